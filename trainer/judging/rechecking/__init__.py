"""Old ink judged again by the checks and letters of today, on all cores.

In come a record and the alphabets of its groups; out go new verdicts into the record, and counts of what
changed.
"""

from trainer.judging.rechecking.recheck import Recheck

__all__ = [
    "Recheck",
]
