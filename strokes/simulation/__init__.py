"""A simulated hand with one stated fault, and where the pen is at a time."""

from strokes.simulation.hand import Fault, write
from strokes.simulation.pace import HOP, SPEED, Pace

__all__ = [
    "HOP",
    "SPEED",
    "Fault",
    "Pace",
    "write",
]
