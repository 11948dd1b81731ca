"""Pictures for the pages: letters and ink as SVG, replay, charts, the typeface.

They are drawn on the server, letters and ink by the code of the practice window and the term by
matplotlib: they are there without a script, print as they are seen, and a test can read them. Only what
moves has a script.
"""
