"""The craft around `strokes`: the practice window, the record and what the teacher reads."""
