"""Watch: the pen writes the letter at a natural pace, and the cue of each stroke is told while it moves."""

from __future__ import annotations

from collections.abc import Sequence

from trainer.attempt import Step
from trainer.drawing import Drawing, theme
from trainer.language import phrases, spoken, text
from trainer.practice.routes import Routes
from trainer.practice.scenes.screen import Screen
from trainer.speech import Utterance, words
from trainer.window.scenes.buttons import Button
from trainer.window.scenes.layout import UNIT_MM, layout
from trainer.window.scenes.letter_box import LetterBox
from trainer.window.scenes.model_pen import ModelPen
from trainer.window.scenes.narration import Narration
from trainer.window.scenes.scene import Scene

BEFORE = 0.7
"""Seconds of stillness before the pen sets off, so that nobody misses its start."""


class Watching(Screen):
    """It waits for the child when the pen is done; the way on is open all the time."""

    counts = True

    def __init__(self, routes: Routes) -> None:
        super().__init__(routes)
        self.formation = self.session.letter.taught
        self.waited = 0.0
        self.pen: ModelPen | None = None
        self.cued = -1
        self.narration = Narration(self.formation, self.session.voice)
        self.under_way = False

    def arrange(self) -> Sequence[Button]:
        """The box fills the body."""
        self.layout = layout(self.metrics, self.session.hand, 3)
        self.box = LetterBox.around(
            self.layout.body, self.session.alphabet.guide, self.formation, self.metrics.true_mm(UNIT_MM)
        )
        if self.pen is None:
            self.pen = ModelPen(self.formation, self.box.transform, self.box.pen, motion=self.session.motion)
        else:
            self.pen.move(self.box.transform, self.box.pen)
        self._show()
        leave, again, go = self.layout.rail
        return [
            Button("leave", "letters", text("practice.watch.leave"), leave),
            Button("show", "watch", text("practice.watch.again"), again),
            Button("go", "on", text("practice.watch.go"), go, main=True),
        ]

    def press(self, name: str) -> Scene | None:
        """Once more, on to the writing, or back to the letters."""
        if name == "go":
            return self.routes.write()
        return self.routes.letters() if name == "leave" else Watching(self.routes)

    def on_tick(self, seconds: float) -> Scene | None:
        """The pen moves on."""
        super().on_tick(seconds)
        if self.pen is None or self.pen.done:
            return None
        self.waited += seconds
        if self.waited >= BEFORE:
            self.narration.advance(self.pen, seconds)
        self._show()
        return None

    def _show(self) -> None:
        assert self.pen is not None
        self.marks, self.tip = list(self.pen.marks), self.pen.tip
        if self.pen.under_way != self.under_way:
            self.under_way = not self.under_way
            self.stale = True
        if self.pen.stroke != self.cued:
            self.cued = self.pen.stroke
            self.stale = True

    @property
    def cue(self) -> str:
        """What is told while this stroke is written."""
        return spoken.cue_of(self.formation, max(0, self.cued))

    @property
    def aloud(self) -> Sequence[Utterance]:
        """Which letter it is; and the cue of the stroke that is written or was written last."""
        cue = (words(self.cue),) if self.narration.begun >= 0 else ()
        return (*spoken.letter_aloud(self.session.letter_name), *cue)

    def on_show(self) -> None:
        """Say which letter it is; what is said next is made ready meanwhile."""
        super().on_show()
        letter, strokes = self.session.letter_name, range(len(self.formation.strokes))
        self.session.voice.prepare(
            *(words(spoken.cue_of(self.formation, stroke)) for stroke in strokes),
            *(words(text(f"practice.write.{step}")) for step in (Step.TRACE, Step.COPY)),
            *spoken.recalled_aloud(letter, self.session.alphabet),
            words(phrases.moves(self.formation)),
        )

    def draw(self, canvas: Drawing) -> None:
        """The paper with the letter in pale, and the ring where this stroke starts."""
        self.headline(canvas, self.layout.head, self.cue, step=Step.WATCH)
        self.box.paper(canvas)
        self.box.letter(canvas, self.formation, theme.PALE)
        self.badges = [] if self.under_way else self.box.starts(self.formation, [max(0, self.cued)])
        self.buttons.draw(canvas)
