"""Whether ink is formed as the table of accepted formations says: a letter and its traces in, a reason out.

The table, `table.toml`, is data: for each letter the formations that are accepted, and for each formation
limits on what is measured of its parts. It never looks at what the checks say, nor at the letters' files.
"""

from strokes.evaluation.accepted.table import TABLE, acceptable, refusal

__all__ = ["TABLE", "acceptable", "refusal"]
