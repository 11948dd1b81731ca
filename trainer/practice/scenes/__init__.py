"""The screens of the practice window, one a module.

In come pointer and key events and time; out come the marks on the screen, and the next screen.

- A scene knows no database and reaches other screens through `Routes`; what it is built of is in
  `trainer.window.scenes`.
- Numbered starts stand above the ink: a scene names its badges, and the window's page puts them over
  everything but the pen's tip. A ring in which the pen comes down is hidden while the ink is there.
- On always means a step up, or the next letter, and is the main button after a letter that is well formed
  or was mended. Two well formed in a row decide with which step a letter is begun the next time, and when
  it has had its share today.
"""
