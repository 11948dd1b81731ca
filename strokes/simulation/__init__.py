"""A simulated hand with one stated fault, and where the pen is at a time."""
