"""The picture cards of pupils: things of a small harbor town."""
