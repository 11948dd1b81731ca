"""The answer to a letter: praise for what was done, or one thing to try with a picture of it.

The picture says it to who cannot read: her own stroke is written once more as she wrote it, then the model's
pen writes the same stroke beside it. It begins by itself, and nothing waits for it. Afterwards, and where
nothing may move, both stand there with their starts and small arrows.
"""

from __future__ import annotations

from collections.abc import Sequence

from strokes.ink import Ink
from strokes.kinds import Kind
from strokes.polyline import length
from trainer.drawing import Drawing, Rect, theme
from trainer.language import text
from trainer.practice.assessment import Assessment
from trainer.practice.routes import Routes
from trainer.practice.scenes.screen import Screen
from trainer.speech import Utterance, words
from trainer.window.scenes.buttons import Button, Icon, icon
from trainer.window.scenes.layout import UNIT_MM, beside, layout
from trainer.window.scenes.letter_box import LetterBox
from trainer.window.scenes.model_pen import InkPen, ModelPen
from trainer.window.scenes.scene import Mark, Scene

FIRST_BIT = 0.9
"""X-heights of a stroke that are shown as its beginning, where the start is the thing to try."""

TIMES = 2
"""How often both strokes are written: once to see it, once more to see it well."""

BEFORE = 0.7
"""Seconds of stillness before a pen sets off, so that nobody misses its start."""


class Answer(Screen):
    """After a well written letter the main button leads on, else where the advice leads.

    `on` always means a step up, or the next letter: two well formed letters decide with which step a letter
    is begun the next time, and nobody is held to write a second one now. Again and on are open whatever was
    written. What was not judged (None) is neither praised nor told.
    """

    counts = True

    def __init__(self, routes: Routes, assessment: Assessment) -> None:
        super().__init__(routes)
        self.ink_written = assessment.attempt.ink
        self.formation = assessment.formation
        self.saying = saying = assessment.saying
        self.judged = judged = assessment.judged
        self.current = judged.current if judged is not None else tuple(range(len(self.ink_written)))
        self.spoken_of = self.current if saying.trace is None else (saying.trace,)
        step, advice = self.session.step, self.session.advice
        well = judged is not None and judged.stands_well and saying.is_praise
        up = well or advice.is_up_from(step)
        self.main = "on" if up else "again" if advice.step is step else "easier"
        self.pens: tuple[InkPen, ModelPen] | None = None
        self.left = 0 if saying.is_praise or not self.session.motion else TIMES
        self.waited = 0.0

    @property
    def aloud(self) -> Sequence[Utterance]:
        """The praise, or the one thing to try."""
        return (words(self.saying.sentence),)

    def arrange(self) -> Sequence[Button]:
        """The child's letter, with the model beside it where there is something to try."""
        names: list[tuple[str, Icon]] = [("leave", "letters"), ("again", "again"), ("on", "on")]
        if self.main == "easier":
            names.insert(1, ("easier", "easier"))
        names.sort(key=lambda button: button[0] == self.main)
        self.layout = layout(self.metrics, self.session.hand, len(names))
        body = self.layout.body
        guide, limit = self.session.alphabet.guide, self.metrics.true_mm(UNIT_MM)
        self.model: LetterBox | None = None
        yours = body
        if not self.saying.is_praise:
            model, yours = beside(body, self.session.hand, self.metrics.gap, share=0.5)
            self.model = LetterBox.around(model, guide, self.formation, limit)
        self.box = LetterBox.around(yours, guide, self.formation, limit)
        self._lay_ink()
        return [
            Button(name, shape, self._label(name), rect, main=name == self.main)
            for (name, shape), rect in zip(names, self.layout.rail, strict=True)
        ]

    def _label(self, name: str) -> str:
        in_word = name == "leave" and self.session.word is not None
        return text("practice.words.leave" if in_word else f"practice.answer.{name}")

    def press(self, name: str) -> Scene | None:
        """Again, on, a step down, or back to the letters."""
        match name:
            case "again":
                return self.routes.again()
            case "on":
                return self.routes.on()
            case "easier":
                return self.routes.easier()
        return self.routes.letters()

    # Showing

    @property
    def own(self) -> Ink:
        """What is spoken of: one trace, or all that the letter consists of now."""
        return Ink(tuple(self.ink_written.traces[number] for number in self.spoken_of))

    @property
    def strokes(self) -> tuple[int, ...]:
        """The strokes that the model's pen writes: the one that is spoken of, or all."""
        stroke = self.saying.stroke
        return tuple(range(len(self.formation.strokes))) if stroke is None else (stroke,)

    def _lay_ink(self) -> None:
        """The ink that stays as it is, that which is spoken of, and the pens, for the boxes as they are."""
        others = [number for number in range(len(self.ink_written)) if number not in self.spoken_of]
        self.others = self.box.ink(
            Ink(tuple(self.ink_written.traces[number] for number in others)),
            back=[place for place, number in enumerate(others) if number not in self.current],
        )
        self.own_marks: list[Mark] = self.box.ink(self.own)
        if self.model is not None:
            self.own_marks += self.box.arrows_of(self.own)
            if self.pens is not None:
                for pen, box in zip(self.pens, (self.box, self.model), strict=True):
                    pen.move(box.transform, box.pen)
            elif self.left:
                self._take_pens(self.model)
        self._show()

    def _take_pens(self, model: LetterBox) -> None:
        self.pens = (
            InkPen(self.own, self.box.transform, self.box.pen),
            ModelPen(self.formation, model.transform, model.pen, strokes=self.strokes),
        )

    def on_tick(self, seconds: float) -> Scene | None:
        """The pens write by turns."""
        super().on_tick(seconds)
        if self.pens is None:
            return None
        self.waited += seconds
        if self.waited < BEFORE:
            return None
        pen = next((pen for pen in self.pens if not pen.done), None)
        if pen is None:
            self._end_round()
        else:
            pen.advance(seconds)
            self.waited = 0.0 if pen.done else self.waited
        self._show()
        return None

    def _end_round(self) -> None:
        """Both strokes are written: they are written once more, or stand there now."""
        assert self.model is not None
        self.left -= 1
        self.waited = 0.0
        if self.left:
            self._take_pens(self.model)
        else:
            self.pens = None
            self.stale = True

    def _show(self) -> None:
        if self.pens is None:
            self.marks, self.tip = [*self.others, *self.own_marks], None
            return
        own, model = self.pens
        self.marks = [*self.others, *own.marks, *model.marks]
        self.tip = (model if own.done else own).tip

    # Picture

    def draw(self, canvas: Drawing) -> None:
        """The sentence over the pictures, with a tick before praise, else with an eye: look here."""
        head = self.layout.head
        radius = head.height * 0.34
        x = head.left + radius
        middle = head.center[1]
        if self.judged is None:
            icon(canvas, "keep", (x, middle), radius, theme.TEXT)
        elif self.saying.is_praise:
            canvas.disc((x, middle), radius, theme.GREEN)
            icon(canvas, "tick", (x, middle), radius * 0.6, theme.PAPER)
        else:
            icon(canvas, "look", (x, middle), radius, theme.TEXT)
        room = Rect(x + radius * 1.5, head.top, head.right - x - radius * 1.5, head.height)
        self.headline(canvas, room, self.saying.sentence)
        self.box.paper(canvas)
        if self.model is not None:
            self.box.caption(canvas, text("practice.answer.yours"))
            self._draw_model(canvas, self.model)
            numbers = [sum(k <= number for k in self.current) for number in self.spoken_of]
            self.badges = [
                *self.box.starts_of(self.own, numbers),
                *self.model.starts(self.formation, self.strokes),
            ]
        self.buttons.draw(canvas)

    def _draw_model(self, canvas: Drawing, model: LetterBox) -> None:
        """The letter in pale and what to look at in black with its arrows, but while its pen writes it."""
        model.paper(canvas)
        model.caption(canvas, text("practice.answer.model"))
        saying = self.saying
        if self.pens is None and saying.stroke is None:
            model.guided(canvas, self.formation, theme.BLACK)
            return
        model.letter(canvas, self.formation, theme.PALE)
        if self.pens is not None or saying.stroke is None:
            return
        total = length(self.formation.strokes[saying.stroke].path)
        share = saying.share or (0.0, 1.0)
        if saying.kind is Kind.START and total > 0:
            share = (0.0, min(1.0, FIRST_BIT / total))
        model.piece(canvas, self.formation, saying.stroke, share, theme.BLACK)
