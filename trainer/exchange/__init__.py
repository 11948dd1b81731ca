"""Files that come and go: class lists, spreadsheets, a pupil's copy, ink files."""

from trainer.exchange import bundle, oneroster, roster, spreadsheet
from trainer.exchange.export import pupils_zip
from trainer.exchange.ink_files import Taking, specimen
from trainer.exchange.oneroster import Roster, SchoolClass
from trainer.exchange.roster import Changes

__all__ = [
    "Changes",
    "Roster",
    "SchoolClass",
    "Taking",
    "bundle",
    "oneroster",
    "pupils_zip",
    "roster",
    "specimen",
    "spreadsheet",
]
