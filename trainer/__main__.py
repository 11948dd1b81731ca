"""`python -m trainer`, and the `trainer` command."""

from __future__ import annotations

import sys

from trainer.commands import main

if __name__ == "__main__":
    sys.exit(main())
