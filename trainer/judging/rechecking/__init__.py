"""Old ink judged again by the checks and letters of today, on all cores."""

from trainer.judging.rechecking.recheck import Recheck

__all__ = [
    "Recheck",
]
