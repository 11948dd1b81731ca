"""UNIPEN 1.0, the format of the large collections of handwriting: read."""
