"""The verdict of an attempt: an alphabet, a hand and tolerances judge ink, while it is written and after.

In come traces in letter space, between the lines, one after another; out come a `Hint` where a stroke
should be shown again, and all of it `Judged`: the report, what stands, and whether it was mended.

- A letter is judged whole, and in one place, `Judge`: for the window, `rehearse`, ink that comes in, the
  demo and the rechecking of old ink. What is present is judged on the letter as it stands, how it was done
  on the first tries: well formed, mended after it was shown, or not yet.
- A trace is read as any run of strokes of any accepted formation: a retry may be the rest of the letter as
  well, may stand over the old ink or beside it, and the stroke that is shown is the one that went wrong in
  the formation that reads it best. What was written again steps back.
- Another letter only when the letter is all there: a beginning, two letters, taps and a scribble are told
  as such, and a letter that is not finished does not end by itself.
"""

from trainer.judging.following import Hint
from trainer.judging.judge import Judge, Judged, There

__all__ = [
    "Hint",
    "Judge",
    "Judged",
    "There",
]
