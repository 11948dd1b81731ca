"""A simulated hand with one stated fault, and where the pen is at a time.

In come letters and formations; out comes ink, or the pen's place for showing a letter at a natural pace.
For tests, for the invented class and for the pen that shows.
"""

from strokes.simulation.hand import Fault, write
from strokes.simulation.pace import HOP, SPEED, Pace

__all__ = [
    "HOP",
    "SPEED",
    "Fault",
    "Pace",
    "write",
]
