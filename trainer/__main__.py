"""`python -m trainer`, and the `trainer` command."""

from __future__ import annotations

import sys


def main() -> int:
    """Run one command. Gives back the exit code; 130 for Ctrl-C, even while the program is being read in."""
    try:
        from trainer.commands import main as run

        return run()
    except KeyboardInterrupt:
        return 130


if __name__ == "__main__":
    sys.exit(main())
