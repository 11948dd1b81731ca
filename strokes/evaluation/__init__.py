"""How well the checks agree with labelled real ink: `python -m strokes.evaluation`; nothing else imports it.

In comes labelled ink of many writers; out come counted shares with their intervals, sheets of the worst
cases, and plots of the tolerances. What the ink does is seen by plain geometry that knows nothing of the
checks. The README beside this file holds the figures and how they are scored.
"""
