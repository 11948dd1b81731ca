"""Saying words and sounds aloud."""
