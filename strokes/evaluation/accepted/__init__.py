"""The table of accepted formations as plain geometry, one rule a letter; it knows nothing of the checks."""
