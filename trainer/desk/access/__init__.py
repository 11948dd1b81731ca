"""What every request must pass: the guard, sessions and the passphrase."""
