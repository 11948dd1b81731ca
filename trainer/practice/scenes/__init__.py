"""The screens of the practice window, one a module.

In come pointer and key events and time; out come the marks on the screen, and the next screen.

- A scene never sees pygame: it gets the window's own events and draws on a `Drawing`; a recording twin
  stands in for that in tests. It knows no database and reaches other screens through `Routes`.
- Numbered starts stand above the ink: a scene names its badges, and the window's page puts them over
  everything but the pen's tip. A ring in which the pen comes down is hidden while the ink is there.
- On always means a step up, or the next letter, and is the main button after a letter that is well formed
  or was mended. Two well formed in a row decide with which step a letter is begun the next time, and when
  it has had its share today.
"""
