"""Write a letter: the moving pen, a stroke a turn, and the teacher's own ink in the place of any stroke."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from strokes.letter import Formation
from strokes.polyline import Polyline
from strokes.transform import Transform
from trainer.drawing import Drawing, Rect, theme
from trainer.language import spoken
from trainer.speech import Utterance, lone_sound
from trainer.wall.items import WallLetter, WallWord
from trainer.wall.turns import Turn
from trainer.wall.views.view import Manner, View
from trainer.window.events import PointerEvent
from trainer.window.pad import PALM_PRINT, Pad
from trainer.window.scenes.letter_box import LetterBox
from trainer.window.scenes.model_pen import ModelPen
from trainer.window.scenes.narration import Narration
from trainer.window.scenes.scene import Mark
from trainer.window.scenes.word_row import WordRow

STRIP = 0.27
"""The height of the word above paper for one letter, as a share of what there is."""
BEFORE = 0.5
"""Seconds of stillness before the pen sets off."""
NEAR_DOT = 0.5
"""X-heights around a dot that is due within which a tap writes it."""


class WallStroke(NamedTuple):
    """A stroke as it stands on the wall, in letter space: the pen's, or hers."""

    points: Polyline
    color: str = theme.BLACK


class WritingView(View):
    """A letter of its own, or one of a word; `written` is what stands of each letter of the word so far.

    A touch that moves on the paper takes the pen: her trace stands for the stroke that the pen was writing,
    or for the next one. A touch that does not move is no ink but a step on, unless it is a dot that is due.
    """

    def __init__(
        self, manner: Manner, item: WallLetter | WallWord, place: int, written: list[list[WallStroke]]
    ) -> None:
        super().__init__(manner)
        self.item = item
        self.place = place
        self.written = written
        self.part = 0
        self.pen: ModelPen | None = None
        self.waited = 0.0
        self.pad = Pad(Transform())
        self.taken: Mark | None = None

    @property
    def letter(self) -> str:
        """The letter that is written."""
        return self.item.letter if isinstance(self.item, WallLetter) else self.item.word.text[self.place]

    @property
    def strokes(self) -> list[WallStroke]:
        """What stands of this letter."""
        return self.written[self.place]

    @property
    def formation(self) -> Formation:
        """How it is taught."""
        return self.item.alphabet[self.letter].taught

    @property
    def caption(self) -> str:
        """The cue of the stroke."""
        return spoken.cue_of(self.formation, self.part)

    @property
    def aloud(self) -> tuple[Utterance, ...]:
        """The sound that the letter begins, or of a letter of its own which one it is."""
        if isinstance(self.item, WallLetter):
            return spoken.letter_aloud(self.letter)
        word = self.item.word
        box = word.places[self.place]
        if box is None or word.places.index(box) != self.place:
            return ()
        return (lone_sound(*word.boxes[box].sounds),)

    def arrange(self, body: Rect) -> None:
        """A letter of its own has paper that fills the body, one of a word its cell in the row.

        Where the row is so long that the letter is larger on paper of its own, that stands under the row.
        """
        guide, metrics = self.item.alphabet.guide, self.manner.metrics
        self.row: WordRow | None = None
        self.box = LetterBox.around(body, guide, self.formation, body.height)
        if isinstance(self.item, WallWord):
            word, alphabet = self.item.word, self.item.alphabet
            high, gap = body.height * STRIP, body.height * 0.03
            under = Rect(body.left, body.top + high + gap, body.width, body.height - high - gap)
            self.box = LetterBox.around(under, guide, self.formation, under.height)
            self.row = WordRow.around(body, alphabet, word, metrics)
            if self.row.cells[self.place].unit < self.box.unit:
                over = Rect(body.left, body.top, body.width, high)
                self.row = WordRow.around(over, alphabet, word, metrics)
            else:
                self.box = self.row.cells[self.place]
        if self.pad.transform != self.box.transform.inverse():  # the window has ended her stroke before
            self.pad = Pad(self.box.transform.inverse())
            self.taken = None
        if self.pen is not None:
            self.pen.color = self.manner.light.of(theme.BLACK)
            self.pen.move(self.box.transform, self.box.pen)
        self._show()

    def enter(self, turn: Turn, *, forward: bool) -> None:
        """Forward the pen writes the stroke; back it stands there, and what came after it is gone."""
        self.leave()
        self.part = turn.part
        if forward:
            del self.strokes[turn.part :]
            self._begin(self.aloud if turn.part == 0 else ())
            return
        if turn.part + 1 < len(self.formation.strokes):
            del self.strokes[turn.part + 1 :]
        self._show()

    def leave(self) -> None:
        """She goes on before a stroke is done: the pen's stands there as a whole, hers as far as it is."""
        super().leave()
        if self.pad.writing and self.taken is not None:
            self.pad.lift()
            self._lifted()
        self.pad.clear()
        self._finish()

    def repeat(self) -> None:
        """The pen writes this stroke once more, also in the place of her own."""
        del self.strokes[self.part :]
        self._begin(())

    def _begin(self, said: tuple[Utterance, ...]) -> None:
        manner = self.manner
        if said:
            manner.voice.say(*said)
        self.narration = Narration(self.formation, manner.voice)
        self.pen = ModelPen(
            self.formation,
            self.box.transform,
            self.box.pen,
            strokes=[self.part],
            color=manner.light.of(theme.BLACK),
            motion=manner.motion,
        )
        self.waited, self.taken = 0.0, None
        self.pad.clear()
        self._show()

    def _finish(self) -> None:
        """The stroke that the pen is writing belongs to the page."""
        if self.pen is not None:
            self.strokes.append(WallStroke(self.formation.strokes[self.part].path))
            self.pen = None

    def advance(self, seconds: float) -> bool:
        """The pen moves on; what it has written belongs to the page."""
        if self.pen is None:
            return False
        self.waited += seconds
        before = self.pen.under_way
        if self.waited >= BEFORE:
            self.narration.advance(self.pen, seconds * self.manner.pace)
        changed = before != self.pen.under_way
        if self.pen.done:
            self._finish()
            changed = True
        self._show()
        return changed

    def _show(self) -> None:
        pen, light = self.pen, self.manner.light
        self.marks = [*(pen.marks if pen else ()), *((self.taken,) if self.taken else ())]
        tip = pen.tip if pen else None
        self.tip = tip._replace(color=light.of(tip.color)) if tip else None

    def wants(self, x: float, y: float) -> bool:
        """Her pen may write on the paper, and a touch that began there may leave it."""
        return self.pad.writing or self.box.rect.contains(x, y)

    def touched(self, event: PointerEvent) -> int:
        """Write: the pen is hers once the touch has moved; one that has not steps on."""
        took = self.pad.take(event)
        if took == "grown" and self.taken is None and _extent(self.pad.live) >= PALM_PRINT * self.box.unit:
            self._take_pen()
        if took == "grown" and self.taken is not None:
            self.taken.points.extend(self.pad.live[len(self.taken.points) :])
        if took == "dropped":
            self.taken = None
        led = self._lifted() if took == "lifted" else 0
        self._show()
        return led

    def _take_pen(self) -> None:
        """The pen of the model is put away; what it had written of the stroke is gone."""
        self.manner.voice.stop()
        self.pen = None
        self.taken = Mark(self.box.pen, self.manner.light.of(theme.BLUE))

    def _lifted(self) -> int:
        (trace,) = self.pad.ink.traces
        self.pad.clear()
        models = self.formation.strokes
        due = min(len(self.strokes), len(models) - 1)
        if self.taken is None and _extent(trace.points) < PALM_PRINT:
            away = float(np.hypot(*(trace.points[0] - models[due].path[0])))
            if not models[due].is_dot or away > NEAR_DOT:
                return 1
        self.pen = self.taken = None
        self.strokes.append(WallStroke(trace.points, theme.BLUE))
        before, self.part = self.part, max(self.part, min(len(self.strokes), len(models)) - 1)
        return self.part - before

    def draw(self, canvas: Drawing) -> None:
        """The word above; the paper, the letter in pale, what stands of it, and where the stroke starts."""
        if self.row is not None:
            self.row.paper(canvas, now=self.place)
            for cell, strokes in zip(self.row.cells, self.written[: self.place], strict=False):
                draw_strokes(canvas, cell, strokes)
        if self.row is None or self.box not in self.row.cells:
            self.box.paper(canvas)
        if self.manner.motion:
            self.box.letter(canvas, self.formation, theme.PALE)
        else:
            self.box.guided(canvas, self.formation, theme.PALE)
        draw_strokes(canvas, self.box, self.strokes)
        if self.pen is not None and not self.pen.under_way and self.taken is None:
            for ring in self.box.starts(self.formation, [self.part]):
                ring.draw(canvas)


def _extent(points: Sequence[tuple[float, float]] | Polyline) -> float:
    """How far a trace reaches, in the unit of its points."""
    return float(np.ptp(np.asarray(points), axis=0).max())


def draw_strokes(canvas: Drawing, box: LetterBox, strokes: list[WallStroke]) -> None:
    """What stands of a letter, in its box."""
    for stroke in strokes:
        canvas.line(box.transform.apply(stroke.points), box.pen, stroke.color)
