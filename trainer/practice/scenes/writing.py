"""Write: over the letter, beside it, or from memory; each stroke is judged when the pen lifts.

What is written stays as it is. A stroke that started elsewhere or ran backwards is shown again at once by
the model's pen, and a touch on the paper goes on at any time. While the pen is still down, a second ring
around the stroke's start is all that tells of it, once for each stroke and never from memory.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Sequence
from typing import TypeVar

import numpy as np

from strokes.kinds import Kind
from strokes.transform import Transform
from trainer.attempt import Step
from trainer.drawing import Drawing, Rect, Ring, theme
from trainer.judging import Hint, Judged, There
from trainer.language import spoken, text
from trainer.practice.routes import Routes
from trainer.practice.scenes.inking import Inking
from trainer.speech import Utterance, words
from trainer.window.scenes.buttons import Button, cover
from trainer.window.scenes.layout import UNIT_MM, beside, layout
from trainer.window.scenes.letter_box import LetterBox
from trainer.window.scenes.model_pen import ModelPen
from trainer.window.scenes.narration import Narration
from trainer.window.scenes.scene import Mark, Scene

T = TypeVar("T")

_log = logging.getLogger(__name__)

REST = 1.5
"""Seconds without a touch after which a letter that is all there counts as finished."""
LONG_REST = 4.0
"""The same for a letter with something to try: the child may still be adding to it."""


class Writing(Inking):
    """One letter at one step. Recall allows a look at the model; the letter then counts as copied."""

    counts = True
    leave_text = "practice.write.leave"

    def __init__(self, routes: Routes, step: Step) -> None:
        super().__init__(routes)
        self.before: list[Mark] = []
        self.step = step
        self.peeped = False
        self.formation = self.session.letter.taught
        self.written = self.session.judge.written(self.session.letter_name, step)
        self.hint: Hint | None = None
        self.cue: Mark | None = None
        self.cued: set[int] = set()
        self.pen: ModelPen | None = None
        self.narration: Narration | None = None
        self.judged: Judged | None = None

    # Layout

    def arrange(self) -> Sequence[Button]:
        """The box alone for tracing, else with the model beside it; ink that is there moves along."""
        recall = self.step is Step.RECALL
        self.layout = layout(self.metrics, self.session.hand, 4 if recall else 5)
        self.model: LetterBox | None = None
        self.lid: Rect | None = None
        self._place(self.layout.body)
        self._move_ink()
        return self._buttons()

    def _place(self, rect: Rect) -> None:
        """Set the box, and the model or the lid over it."""
        recall = self.step is Step.RECALL
        guide, limit = self.session.alphabet.guide, self.metrics.true_mm(UNIT_MM)
        if self.step is not Step.TRACE:
            model, rect = beside(rect, self.session.hand, self.metrics.gap)
            self.lid = model if recall else None
            self.model = None if recall else LetterBox.around(model, guide, self.formation, limit)
        self.box = LetterBox.around(rect, guide, self.formation, limit)

    def _buttons(self) -> list[Button]:
        leave, *middle, done = self.layout.rail
        names = [("clear", "clear"), ("undo", "undo")]
        if self.lid is None:
            names.insert(0, ("show", "watch"))
        buttons = [Button("leave", "letters", text(self.leave_text), leave)]
        for (name, shape), rect in zip(names, middle, strict=True):
            buttons.append(Button(name, shape, text(f"practice.write.{name}"), rect))  # type: ignore[arg-type]
        buttons.append(Button("done", "tick", text("practice.write.done"), done, main=True))
        if self.lid is not None:
            buttons.append(Button("lid", "look", text("practice.write.peep"), self.lid))
        return buttons

    def _move_ink(self) -> None:
        """Set the pad and the marks to the box as it is now."""
        self._fit_pad()
        back = self.written.following.back
        self.ink = self.box.ink(self.pad.ink, back=back)
        if self.pen is not None:
            self.pen.move(*self._pen_place())
        self._show()

    def _pen_place(self) -> tuple[Transform, float]:
        box = self.model if self.hint is None and self.model is not None else self.box
        return box.transform, box.pen * (0.7 if self.hint else 1.0)

    # Writing

    def _on_paper(self, x: float, y: float) -> bool:
        """Not on the model's paper."""
        if self.model is not None and self.model.rect.contains(x, y):
            return False
        return super()._on_paper(x, y)

    def _begin(self) -> None:
        self._end_show()
        self.written.following.begin()
        self.stale |= any(ring.holds(self.pad.live[0]) for ring in self.badges)
        self._grow()
        self._show()

    def _grow(self) -> None:
        """The pen went on: if it has begun elsewhere or runs backwards, the start is ringed once more."""
        ((x, y),) = self.pad.transform.apply(np.array(self.pad.live[-1:]))
        hint = self.written.following.grow(float(x), float(y))
        if hint is None or hint.stroke in self.cued or self.step is Step.RECALL:
            return
        self.cued.add(hint.stroke)
        self.cue = self.box.around_start(hint.formation, hint.stroke)
        self._show()

    def _dropped(self) -> None:
        self.cue = None
        self.stale = True  # the ring that gave way is there again
        self._show()

    def _lifted(self) -> None:
        """A stroke is done: keep it first, then judge it."""
        self.cue = None
        self._show()
        trace, back = self.pad.ink.traces[-1], self.written.following.back
        self._keep()
        hint = self._judge(lambda: self.written.take(trace))
        self.stale |= self.step is not Step.RECALL  # the rings of the strokes to come
        if self.written.following.back != back:
            self._move_ink()  # else it looks as it did under the pen, and need not be painted again
        if hint is not None:
            self._show_again(hint)
        self._look_whether_done()

    def _judge(self, judging: Callable[[], T]) -> T | None:
        """What judging gives; an error inside it is logged, and practice goes on."""
        try:
            return judging()
        except Exception:
            _log.exception("a trace could not be judged; its ink is kept")
            self.written.pass_over()
            return None

    def _keep(self) -> None:
        self.routes.storage.store_draft(self.pad.ink, self.began or self.session.now(), self.step)

    def _look_whether_done(self) -> None:
        self.rested = 0.0
        self.judged = self._judge(lambda: self.written.judged) if len(self.pad.ink) else None

    @property
    def there(self) -> There:
        """Whether the letter is all there."""
        return self.judged.there if self.judged is not None else "no"

    # Showing

    def _show_again(self, hint: Hint) -> None:
        self.hint, self.narration = hint, None
        self.stale = True
        if self.session.motion:
            self.pen = ModelPen(hint.formation, *self._pen_place(), strokes=[hint.stroke])
        self.session.voice.say(*self.aloud)
        self._show()

    def _show_all(self) -> None:
        """The whole letter is written once more, in the model's box where there is one."""
        self.hint = None
        self.pen = ModelPen(self.formation, *self._pen_place(), motion=self.session.motion)
        self.narration = Narration(self.formation, self.session.voice)
        self.session.voice.stop()
        self.stale = True
        self._show()

    def _end_show(self) -> None:
        if self.narration is not None and self.pen is not None and not self.pen.done:
            self.session.voice.stop()  # who writes now is told no more of how it goes
        self.narration = None
        if self.hint is not None or self.pen is not None:
            self.hint = self.pen = None
            self.stale = True
        self._show()

    def _show(self) -> None:
        cue = [self.cue] if self.cue else []
        self.marks = [*self.before, *cue, *self.ink, *self._shown()]
        self.tip = self.pen.tip if self.pen else None

    def _shown(self) -> Sequence[Mark]:
        """What the model's pen wrote; where nothing may move, the stroke to show again with its arrows."""
        if self.pen is not None:
            return self.pen.marks
        if self.hint is None or self.session.motion:
            return ()
        return self.box.over_ink(self.hint.formation, self.hint.stroke, self._pen_place()[1])

    def on_tick(self, seconds: float) -> Scene | None:
        """The model's pen moves; else, after a rest, a letter that is all there is finished."""
        super().on_tick(seconds)
        if self.pen is not None:
            if self.pen.done and self.hint is None:
                self._end_show()
            elif not self.pen.done:
                self._advance(self.pen, seconds)
                self._show()
                return None
        if self.there == "no" or self.pad.writing:
            return None
        self.rested += seconds
        return self._finish() if self.rested >= (REST if self.there == "well" else LONG_REST) else None

    def _advance(self, pen: ModelPen, seconds: float) -> None:
        if self.narration is not None:
            self.narration.advance(pen, seconds)
        else:
            pen.advance(seconds)

    # Leaving

    def _finish(self) -> Scene | None:
        if self.pad.lift():
            self._lifted()
        if not len(self.pad.ink):
            return None
        return self.routes.finish(self.pad.ink, self.began or self.session.now(), self.step, self.judged)

    def press(self, name: str) -> Scene | None:
        """The rail, and the lid over the model."""
        match name:
            case "done":
                return self._finish()
            case "leave":
                return self.routes.leave()
            case "show":
                self._show_all()
            case "lid":
                self._peep()
            case "undo" | "clear":
                self._take_back(everything=name == "clear")
        return None

    def _peep(self) -> None:
        self.step, self.peeped = Step.COPY, True
        if len(self.pad.ink):
            self._keep()
        self.rearrange()
        self.session.voice.say(*self.aloud)

    def _take_back(self, *, everything: bool) -> None:
        self.cue = None
        if everything:
            self.pad.clear()
            self.written.forget()
            self.cued.clear()
        else:
            whole = not self.pad.writing
            if self.pad.undo() and whole:
                self.written.undo()
        self._keep()
        self.stale = True  # the rings of the strokes to come
        if not len(self.pad.ink):
            self.began = None
        self._end_show()
        self._move_ink()
        self._look_whether_done()

    # Picture

    @property
    def sentence(self) -> str:
        """What is to be done now."""
        if self.hint is not None:
            return text(f"practice.write.{'start' if self.hint.kind is Kind.START else 'direction'}")
        if self.peeped:
            return text("practice.write.peeped")
        return (
            spoken.recalled(self.session.letter_name)
            if self.step is Step.RECALL
            else text(f"practice.write.{self.step}")
        )

    @property
    def aloud(self) -> Sequence[Utterance]:
        """The same aloud; from memory the letter is told by its sound."""
        if self.step is Step.RECALL and self.hint is None:
            return spoken.recalled_aloud(self.session.letter_name, self.session.alphabet)
        return (words(self.sentence),)

    def draw(self, canvas: Drawing) -> None:
        """The paper with as much of the letter as this step shows."""
        self.headline(canvas, self.layout.head, self.sentence, step=self.step)
        self._paper(canvas)
        if self.step is Step.TRACE:
            self.box.guided(canvas, self.formation, theme.PALE)
        self.badges = self._starts()
        if self.model is not None:
            self.model.paper(canvas)
            rewritten = self.pen is not None and self.hint is None
            self.model.guided(canvas, self.formation, theme.PALE if rewritten else theme.BLACK)
            self.badges += self.model.starts(self.formation)
        self.buttons.draw(canvas, but="lid")
        if self.lid is not None:
            cover(
                canvas, self.lid, "look", text("practice.write.peep"), pressed=self.buttons.pressed == "lid"
            )

    def _paper(self, canvas: Drawing) -> None:
        """What lies under the letter."""
        self.box.paper(canvas)

    def _starts(self) -> list[Ring]:
        """The ring of the stroke that is shown again, or those of the strokes to come.

        One that the pen has come down in gives way to the ink.
        """
        if self.hint is not None:
            return self.box.starts(self.hint.formation, [self.hint.stroke])
        if self.step is Step.RECALL:
            return []
        coming = self.box.starts(
            self.formation, range(self.written.following.next, len(self.formation.strokes))
        )
        return [ring for ring in coming if not (self.pad.live and ring.holds(self.pad.live[0]))]
