"""The window on the wall: the one place where items, voice and window are joined."""

from __future__ import annotations

from collections.abc import Sequence

from strokes.letter import Hand
from trainer.language import text
from trainer.speech import Silence, Voice, Voicing, open_voice
from trainer.wall.from_afar import BRIGHT, DARK
from trainer.wall.items import Item
from trainer.wall.leading import Leading
from trainer.wall.views.view import Manner
from trainer.window.window import Window


def open_wall(
    items: Sequence[Item],
    *,
    voice: Voice | None = None,
    motion: bool = True,
    hand: Hand | None = None,
    dark: bool = False,
    fullscreen: bool = False,
    size: tuple[int, int] | None = None,
    screen: int = 1,
) -> tuple[Window, Leading]:
    """The window with the first turn in it, not running yet, and its scene: tests step through it."""
    manner = Manner(voice or Silence(), motion=motion, light=DARK if dark else BRIGHT)
    scene = Leading(items, manner, hand=hand)
    window = Window(scene, size=size, fullscreen=fullscreen, screen=screen, title=text("wall.window"))
    return window, scene


def show(
    items: Sequence[Item],
    *,
    voicing: Voicing | None = None,
    motion: bool = True,
    hand: Hand | None = None,
    dark: bool = False,
    fullscreen: bool = False,
    size: tuple[int, int] | None = None,
    screen: int = 1,
) -> tuple[Item, ...]:
    """Show items to the class until the window is closed. Gives back those that were begun, in their order.

    Without `voicing` nothing is said, and captions carry it. `hand` is the teacher's; `dark` is for a room in
    which nothing else is lit. A window of `size` px, or the whole of that `screen`, as for practice. Without
    items it shows that nothing is planned. Raises ScreenError where there is no screen.
    """
    voice = open_voice(voicing) if voicing else Silence()
    try:
        window, scene = open_wall(
            items,
            voice=voice,
            motion=motion,
            hand=hand,
            dark=dark,
            fullscreen=fullscreen,
            size=size,
            screen=screen,
        )
        window.run()
        return scene.items[: scene.reached]
    finally:
        voice.close()
