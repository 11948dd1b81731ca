"""Scenes that belong to a session: what all practice screens share."""

from __future__ import annotations

from abc import ABC
from collections.abc import Sequence

from strokes.letter import Hand
from trainer.attempt import Step
from trainer.drawing import Drawing, Rect, theme
from trainer.language import text
from trainer.practice.routes import Routes
from trainer.speech import Utterance
from trainer.teaching import LADDER
from trainer.window.events import PointerEvent
from trainer.window.scenes.button_scene import ButtonScene, headline
from trainer.window.scenes.buttons import SHAPES, Button
from trainer.window.scenes.layout import Layout, with_say
from trainer.window.scenes.scene import Scene

SAY = "say"
"""The name of the button that says once more what is to be heard on a screen."""


class Screen(ButtonScene, ABC):
    """A scene with buttons that belongs to a session and is laid out for the hand of who practices."""

    counts = False
    """Whether time on this screen counts as practice, which ends in a rest."""

    layout: Layout
    """Where its head, its body and its buttons are; `arrange` sets it."""

    def __init__(self, routes: Routes) -> None:
        super().__init__()
        self.routes = routes
        self.session = routes.session

    @property
    def hand(self) -> Hand | None:
        """The hand of who practices."""
        return self.session.hand

    @property
    def aloud(self) -> Sequence[Utterance]:
        """What is said when the screen comes, and again at a touch on the button for it."""
        return ()

    def on_show(self) -> None:
        """Say it."""
        if self.aloud:
            self.session.voice.say(*self.aloud)

    def on_hide(self) -> None:
        """Nothing is said into the next screen."""
        self.session.voice.stop()

    def rearrange(self) -> None:
        """As for any scene with buttons; where there is a voice, one button more says it again."""
        super().rearrange()
        if self.aloud and self.session.voice.audible:
            self.layout, rect = with_say(self.layout, self.metrics, self.hand)
            self.buttons.all = (*self.buttons.all, Button(SAY, "say", "", rect))

    def choose(self, name: str) -> Scene | None:
        """Say it again, or what the screen's own button does."""
        if name != SAY:
            return super().choose(name)
        self.session.voice.say(*self.aloud)
        return None

    def on_pointer(self, event: PointerEvent) -> Scene | None:
        """The same, unless it came out that the pupil was erased meanwhile: then to the cards."""
        after = super().on_pointer(event)
        return self.routes.after_erasing() or after

    def on_tick(self, seconds: float) -> Scene | None:
        """Let time pass for the session."""
        if self.counts:
            self.session.practiced += seconds
        return None

    def headline(self, canvas: Drawing, head: Rect, sentence: str, *, step: Step | None = None) -> None:
        """The sentence of the screen, and how far the help has come, on the side away from the buttons."""
        room = head
        if step is not None:
            wide = min(head.width * 0.3, canvas.mm(46))
            left = head.left if self.session.hand == "left" else head.right - wide
            ladder(canvas, Rect(left, head.top, wide, head.height), step)
            gap = canvas.mm(4)
            start = head.left + wide + gap if self.session.hand == "left" else head.left
            room = Rect(start, head.top, head.width - wide - gap, head.height)
        headline(canvas, room, sentence)


def ladder(canvas: Drawing, box: Rect, step: Step) -> None:
    """The four steps in a row: ticks behind, a thick ring here, thin rings ahead."""
    middle = box.top + box.height * 0.3
    radius = min(box.height * 0.17, box.width / 14)
    places = [box.left + box.width * (place + 0.5) / len(LADDER) for place in range(len(LADDER))]
    canvas.line([(places[0], middle), (places[-1], middle)], radius * 0.25, theme.EDGE)
    now = LADDER.index(step)
    for place, x in enumerate(places):
        if place < now:
            canvas.disc((x, middle), radius, theme.GREEN)
            points = [(x + px * radius * 0.6, middle + py * radius * 0.6) for px, py in SHAPES["tick"][0]]
            canvas.line(points, radius * 0.28, theme.PAPER)
        elif place == now:
            canvas.disc((x, middle), radius * 1.3, theme.TEXT)
            canvas.disc((x, middle), radius * 0.55, theme.PAPER)
        else:
            canvas.disc((x, middle), radius, theme.PAPER)
            canvas.ring((x, middle), radius * 0.85, radius * 0.3, theme.EDGE)
    words = min(canvas.mm(3.4), box.height * 0.26)
    wide = box.width / len(LADDER) * 1.3
    left = min(max(places[now] - wide / 2, box.left), box.right - wide)
    canvas.text(
        text(f"practice.steps.{step}"),
        Rect(left, middle + radius * 1.5, wide, words * 1.4),
        words,
        theme.QUIET,
        wrap=False,
    )
