"""What can be typed at the terminal, and what the terminal prints."""
