"""The window and what stands in it, for whoever shows scenes: practice for a child, the wall for a class.

In come pygame's events and time; out come `PointerEvent` and `KeyEvent` for the scene that is shown, and the
pixels of what it drew. It knows no record, no session and no child.

- One pointer at a time: each touch once, palms refused (`pointer`). A `pad` turns it into ink.
- A `Page` paints ink by its distance from the pen's track. New ink touches its own small box only, so that
  the cost of a frame does not grow with the ink.
- Lengths are millimeters on the glass: as a grown-up measured with a bank card, else as the system says
  where that can be a screen, else guessed from the window, rather too large (`true_size`, `sdl`). On a coarse
  screen words and buttons are larger than planned, so that they can be read; where letters are written
  nothing is. `contacts` reads what Linux tells of touches beyond SDL; `trials` are windows for a grown-up.
- Leaving is asked over the scene that is there, which gets no time and no events meanwhile and comes back as
  the same object. The pointer is cancelled first, as at a change of size, so that ink under it is kept.
- `scenes` is what screens are built of: buttons, boxes for letters and words, the pens that show, and the
  cues and sounds that are said in step with them.
"""

__all__ = [
    "contacts",
    "events",
    "long_press",
    "pad",
    "page",
    "pointer",
    "scenes",
    "screens",
    "sdl",
    "trials",
    "true_size",
    "window",
]
