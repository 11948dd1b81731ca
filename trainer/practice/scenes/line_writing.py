"""A whole word on one line with no boxes, and what is said about its size, base line and spacing."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from strokes.ink import Ink
from strokes.kinds import WordKind
from strokes.report import WordFinding
from strokes.transform import Transform
from strokes.words import WordReport
from trainer.attempt import WordPart, WordTry
from trainer.drawing import Drawing, Rect, lettering, theme
from trainer.language import phrases, text
from trainer.practice.routes import Routes
from trainer.practice.scenes.inking import Inking
from trainer.practice.scenes.screen import Screen
from trainer.practice.scenes.word_writing import MODEL_MM, SHARE
from trainer.speech import Utterance, words
from trainer.window.scenes.buttons import WHITE, Button, icon
from trainer.window.scenes.layout import AIR, layout
from trainer.window.scenes.letter_box import LetterBox
from trainer.window.scenes.scene import Scene

UNIT_MM = 26.0
"""The largest x-height on a line: a word is written from the wrist, along the line."""
ROOM = 1.6
"""X-heights on the line beside a word as the alphabet spaces it; children write wider."""


class LineWriting(Inking):
    """The word stands above; it is done when the child says so, as nobody can tell before."""

    def arrange(self) -> Sequence[Button]:
        """The model over the line, and the rail."""
        self.layout = layout(self.metrics, self.session.hand, 4)
        self.over, self.box = _paper(self, self.word)
        self._move_ink()
        leave, clear, undo, done = self.layout.rail
        return [
            Button("leave", "letters", text("practice.words.leave"), leave),
            Button("clear", "clear", text("practice.write.clear"), clear),
            Button("undo", "undo", text("practice.write.undo"), undo),
            Button("done", "tick", text("practice.write.done"), done, main=True),
        ]

    @property
    def word(self) -> str:
        """The word in hand."""
        assert self.session.word is not None
        return self.session.word.text

    @property
    def aloud(self) -> Sequence[Utterance]:
        """What is to be done, and the word."""
        return (words(text("practice.line.title")), words(self.word))

    def _move_ink(self) -> None:
        self._fit_pad()
        self.ink = self.box.ink(self.pad.ink)
        self.marks = self.ink

    def _begin(self) -> None:
        self.session.voice.stop()

    def _lifted(self) -> None:
        """A stroke is done: store what there is."""
        assert self.session.pupil is not None
        draft = WordTry(
            None,
            self.session.pupil.id,
            self.word,
            WordPart.LINE,
            self.began or self.session.now(),
            ink=self.pad.ink,
            finished=False,
        )
        self.routes.storage.store_line(draft)

    def press(self, name: str) -> Scene | None:
        """The rail; without ink done leads on, as nothing was written."""
        match name:
            case "leave":
                return self.routes.leave()
            case "done":
                return self._finish()
            case "clear":
                self.pad.clear()
            case "undo":
                self.pad.undo()
        if not len(self.pad.ink):
            self.began = None
        self._lifted()
        self._move_ink()
        self.stale = True
        return None

    def _finish(self) -> Scene:
        if self.pad.lift():
            self._lifted()
        if not len(self.pad.ink):
            return self.routes.words.next()
        return self.routes.words.finish_line(self.pad.ink, self.began or self.session.now())

    def draw(self, canvas: Drawing) -> None:
        """The word as a model, and the line."""
        self.headline(canvas, self.layout.head, text("practice.line.title"))
        _model(canvas, self, self.word, self.over)
        self.box.paper(canvas)
        self.buttons.draw(canvas)


class LineAnswer(Screen):
    """Her word as she wrote it, the place to look at marked, and one thing said."""

    counts = True

    def __init__(self, routes: Routes, ink: Ink, report: WordReport | None) -> None:
        super().__init__(routes)
        assert self.session.word is not None
        self.word = self.session.word.text
        self.written = ink
        self.report = report
        self.finding: WordFinding | None = report.findings[0] if report and report.findings else None

    @property
    def sentence(self) -> str:
        """The one thing to try, or praise; nothing of what could not be judged."""
        if self.report is None:
            return text("practice.answer.kept")
        return phrases.say_word(self.report.findings)

    @property
    def aloud(self) -> Sequence[Utterance]:
        """The same, and the word that she wrote."""
        return (words(self.sentence), words(self.word))

    def arrange(self) -> Sequence[Button]:
        """The model over the line, and the rail."""
        names = ["leave", "on", "again"] if self.finding else ["leave", "again", "on"]
        self.layout = layout(self.metrics, self.session.hand, 3)
        self.over, self.box = _paper(self, self.word)
        self.marks = self.box.ink(self.written)
        labels = {
            "leave": "practice.words.leave",
            "again": "practice.answer.again",
            "on": "practice.answer.on",
        }
        icons = {"leave": "letters", "again": "again", "on": "on"}
        return [
            Button(name, icons[name], text(labels[name]), rect, main=name == names[-1])  # type: ignore[arg-type]
            for name, rect in zip(names, self.layout.rail, strict=True)
        ]

    def press(self, name: str) -> Scene | None:
        """Once more, the next word, or back to the words."""
        if name == "again":
            return self.routes.words.write_line()
        return self.routes.words.today() if name == "leave" else self.routes.words.next()

    def draw(self, canvas: Drawing) -> None:
        """The sentence with a tick or an eye, the model, and the line with its mark."""
        head = self.layout.head
        radius = head.height * 0.34
        x, y = head.left + radius, head.center[1]
        if self.report is None:
            icon(canvas, "keep", (x, y), radius, theme.TEXT)
        elif self.finding is None:
            canvas.disc((x, y), radius, theme.GREEN)
            icon(canvas, "tick", (x, y), radius * 0.6, theme.PAPER)
        else:
            icon(canvas, "look", (x, y), radius, theme.TEXT)
        room = Rect(x + radius * 1.5, head.top, head.right - x - radius * 1.5, head.height)
        self.headline(canvas, room, self.sentence)
        _model(canvas, self, self.word, self.over)
        self.box.paper(canvas)
        if self.finding is not None:
            self._mark(canvas, self.finding)
        self.buttons.draw(canvas)

    def _mark(self, canvas: Drawing, finding: WordFinding) -> None:
        """A bracket under the letter, or under the gap between two."""
        left, right = self._span(finding)
        y = self.box.transform.apply(np.array([[0.0, 0.5]]))[0, 1]
        tick, width = canvas.mm(2), max(2.0, canvas.mm(0.8))
        canvas.line([(left, y - tick), (left, y), (right, y), (right, y - tick)], width, theme.VERMILLION)

    def _span(self, finding: WordFinding) -> tuple[float, float]:
        """From where to where on the line, in px, a finding is about; the whole word if that is unknown."""
        assert self.report is not None
        traces = self.report.traces or (tuple(range(len(self.written))),)
        ink = self.written.transformed(self.box.transform)
        boxes = [Ink(tuple(ink.traces[number] for number in own)).bounds for own in traces]
        place = min(finding.place, len(boxes) - 1)
        left, _, right, _ = boxes[place]
        if finding.kind in (WordKind.TOUCHING, WordKind.SPACING) and place + 1 < len(boxes):
            after = boxes[place + 1]
            return (left + right) / 2, (after[0] + after[2]) / 2
        return left, right


def _paper(screen: Screen, word: str) -> tuple[Rect, LetterBox]:
    """The room for the model, and the line under it, laid out for this word."""
    body, metrics = screen.layout.body, screen.metrics
    alphabet = screen.session.alphabet
    high = min(metrics.mm(MODEL_MM), body.height * SHARE)
    over = Rect(body.left, body.top, body.width, high)
    top = body.top + high + metrics.gap * 0.5
    under = Rect(body.left, top, body.width, body.bottom - top)
    letters, wide = lettering.spaced(alphabet, word)
    guide = alphabet.guide
    above = min(guide.ascender, *(letter.taught.bounds[1] for letter, _ in letters))
    tall = guide.descender - above + 2 * AIR
    unit = min(metrics.true_mm(UNIT_MM), under.height / tall, under.width / (wide * 1.25 + ROOM))
    high = min(under.height, unit * tall)
    x, y = under.left + unit * ROOM / 2, under.center[1] - unit * (above + guide.descender) / 2
    line = Rect(under.left, under.center[1] - high / 2, under.width, high)
    return over, LetterBox(line, guide, Transform(unit, unit, x, y))


def _model(canvas: Drawing, screen: Screen, word: str, over: Rect) -> None:
    canvas.panel(over, over.height * 0.08, WHITE, theme.PALE, max(1.0, canvas.mm(0.3)))
    lettering.word(canvas, screen.session.alphabet, word, over.inset(over.height * 0.06))
