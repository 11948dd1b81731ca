"""The teacher's pages, served from this machine to this machine.

In come a record and a folder of letters; out comes a Flask app, or a desk that is served and shown in the
browser.

One worker answers the requests in turn: the record is used by one thread at a time, one teacher sits
there, and erasing never meets a reader of our own; waitress moves the bytes beside it. Nothing is inline
and nothing comes from elsewhere: the Content-Security-Policy allows only the desk's own files.
"""

from trainer.desk import serving
from trainer.desk.desk import Desk
from trainer.desk.practice_window import PracticeWindow

__all__ = [
    "Desk",
    "PracticeWindow",
    "serving",
]
