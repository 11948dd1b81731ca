"""The practice window: pointer, pad, page, loop, session and screens.

`run` opens the window over a record and an alphabet; `rehearse` sends a letter's traces through the same code
without a window and tells what a child would have been told.
"""

from trainer.practice.opening import open_window, run
from trainer.practice.record import PracticeRecord
from trainer.practice.rehearsal import Rehearsed, rehearse

__all__ = ["PracticeRecord", "Rehearsed", "open_window", "rehearse", "run"]
