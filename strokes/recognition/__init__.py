"""Which letter does this ink look like: the nearest of all drawn models, nothing trained."""
