"""What can be typed at the terminal, and what the terminal prints."""

from trainer.commands.cli import main

__all__ = [
    "main",
]
