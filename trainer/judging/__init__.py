"""The verdict of an attempt: an alphabet, a hand and tolerances judge ink, while it is written and after."""
