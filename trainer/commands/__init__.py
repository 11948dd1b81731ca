"""What can be typed at the terminal, one file a noun, and what the terminal prints.

In come words; out come printed lines and an exit code. Errors are one sentence each. What a command needs
is imported inside its function, so that practice opens at once and `--help` loads neither a window nor a
database.
"""

from trainer.commands.cli import main

__all__ = [
    "main",
]
