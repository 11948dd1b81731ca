"""The teacher's pages, one a module, served from this machine to this machine."""

from trainer.desk import serving
from trainer.desk.desk import Desk

__all__ = [
    "Desk",
    "serving",
]
