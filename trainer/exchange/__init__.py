"""Files that come and go: class lists, spreadsheets, a pupil's copy, ink files.

In come files from outside, within bounds, and out come what a record would change, looked at before
anything is written; in comes the record, and out come a table for a spreadsheet or all that is kept of a
child as one zip file.
"""

from trainer.exchange import alphabet_files, bundle, name_list, oneroster, roster, spreadsheet
from trainer.exchange.export import file_name, pupils_zip
from trainer.exchange.ink_files import Taking, specimen, who_has
from trainer.exchange.oneroster import Roster, SchoolClass
from trainer.exchange.roster import Changes

__all__ = [
    "Changes",
    "Roster",
    "SchoolClass",
    "Taking",
    "alphabet_files",
    "bundle",
    "file_name",
    "name_list",
    "oneroster",
    "pupils_zip",
    "roster",
    "specimen",
    "spreadsheet",
    "who_has",
]
