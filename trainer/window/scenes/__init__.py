"""What screens are built of; no scene sees pygame.

In come the window's own events and time; out come a still page drawn on a `Drawing`, marks that grow on it,
and the next screen. A recording twin stands in for the `Drawing` in tests.
"""

__all__ = [
    "button_scene",
    "buttons",
    "layout",
    "leaving",
    "letter_box",
    "measuring",
    "model_pen",
    "narration",
    "scene",
    "sounding",
    "touch_trial",
    "word_row",
]
