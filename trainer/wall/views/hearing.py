"""Hear a word, count its sounds, and see the box of each."""

from __future__ import annotations

from trainer.drawing import Drawing, Rect, lettering, theme
from trainer.drawing.cards import harbor
from trainer.language import phrases, text
from trainer.speech import lone_sound, words
from trainer.wall.items import WallWord
from trainer.wall.turns import Act, Turn
from trainer.wall.views.view import Manner, View
from trainer.wall.views.writing import WallStroke, draw_strokes
from trainer.window.scenes.buttons import WHITE, rounded
from trainer.window.scenes.layout import row
from trainer.window.scenes.sounding import EVEN, SHRINKING, Sounding
from trainer.window.scenes.word_row import WordRow, counters

COUNTERS = 0.34
"""The height of the counters over the picture, as a share of what there is."""


class SoundsView(View):
    """The word by its sounds; where nothing is heard, each box shows its letters as its sound comes."""

    def __init__(self, manner: Manner, item: WallWord) -> None:
        super().__init__(manner)
        self.item = item
        self.turn = Turn(0, Act.HEAR)
        self.sounding: Sounding | None = None

    @property
    def caption(self) -> str:
        """What the class does now; the word itself is not in it."""
        if self.turn.act is Act.HEAR:
            heard = self.sounding is None or self.sounding.done
            return text("wall.which" if heard else "wall.hear")
        if self.turn.act is Act.BOXES:
            return text("wall.boxes", count=phrases.sounds(len(self.item.word.sounds)))
        if self.turn.part == 0:
            return text("wall.count")
        return phrases.sounds(self.turn.part)

    def arrange(self, body: Rect) -> None:
        """Boxes of equal size to hear, counters over the picture to count, and the boxes with letters."""
        word, metrics = self.item.word, self.manner.metrics
        self.boxes = row(body, len(word.boxes), body.height * 0.6)
        self.card = harbor.picture_of(word.text)
        high = body.height * (1.0 if self.card is None else COUNTERS)
        self.over = Rect(body.left, body.top, body.width, high)
        self.under = Rect(body.left, self.over.bottom, body.width, body.height - high)
        self.row = WordRow.around(body, self.item.alphabet, word, metrics)

    def enter(self, turn: Turn, *, forward: bool) -> None:
        """The sounds come by themselves where she goes forward; each count is said with its sound."""
        self.turn = turn
        self.sounding = None
        self.leave()
        if forward:
            self.repeat()

    def repeat(self) -> None:
        """The sounds once more, or the word whose sounds are counted, or the sound that was counted last."""
        word, voice = self.item.word, self.manner.voice
        if self.turn.act is not Act.COUNT:
            self.sounding = Sounding(word, voice, SHRINKING if self.turn.act is Act.HEAR else EVEN)
        elif self.turn.part == 0:
            voice.say(words(word.text))
        else:
            voice.say(lone_sound(word.sounds[self.turn.part - 1]))

    def advance(self, seconds: float) -> bool:
        """The sounds go on."""
        return self.sounding is not None and self.sounding.advance(seconds * self.manner.pace)

    def draw(self, canvas: Drawing) -> None:
        """What belongs to the turn."""
        if self.turn.act is Act.HEAR:
            self._draw_sounds(canvas)
        elif self.turn.act is Act.COUNT:
            counters(canvas, self.over, self.turn.part, self.boxes[0].height)
            if self.card is not None:
                harbor.draw(canvas, self.card, self.under.inset(self.under.height * 0.04))
        else:
            self._draw_boxes(canvas)

    def _draw_sounds(self, canvas: Drawing) -> None:
        sounding = self.sounding
        heard = len(self.boxes) if sounding is None or sounding.done else sounding.heard
        lit = sounding.box if sounding else None
        for number, box in enumerate(self.boxes):
            rounded(canvas, box, WHITE, strong=number == lit)
            if number < heard and not self.manner.voice.audible:
                letters = self.item.word.boxes[number].letters
                lettering.word(canvas, self.item.alphabet, letters, box.inset(box.height * 0.12))
            elif number < heard:
                canvas.disc(box.center, box.height * (0.2 if number == lit else 0.14), theme.TEXT)

    def _draw_boxes(self, canvas: Drawing) -> None:
        """A digraph shares a box; a silent letter stands outside, and is pale."""
        word = self.item.word
        lit = self.sounding.box if self.sounding else None
        self.row.paper(canvas, now=None if lit is None else word.places.index(lit))
        for place, cell in enumerate(self.row.cells):
            color = theme.PALE if word.places[place] is None else theme.BLACK
            cell.letter(canvas, self.item.alphabet[word.text[place]].taught, color)


class ReadingView(View):
    """The word as it was written, read by its sounds and then whole."""

    def __init__(self, manner: Manner, item: WallWord, written: list[list[WallStroke]]) -> None:
        super().__init__(manner)
        self.item = item
        self.written = written
        self.sounding: Sounding | None = None

    @property
    def caption(self) -> str:
        """The word."""
        return text("wall.read", word=self.item.word.text)

    def arrange(self, body: Rect) -> None:
        """As large as the body lets it be."""
        word, metrics = self.item.word, self.manner.metrics
        self.row = WordRow.around(body, self.item.alphabet, word, metrics)

    def enter(self, turn: Turn, *, forward: bool) -> None:  # noqa: ARG002 - it has one turn
        """It is read where she goes forward."""
        self.sounding = None
        self.leave()
        if forward:
            self.repeat()

    def repeat(self) -> None:
        """Read it once more; of a name only the letters are known, and it is said as a whole."""
        if self.item.word.boxes:
            self.sounding = Sounding(self.item.word, self.manner.voice, EVEN)
        else:
            self.manner.voice.say(words(self.item.word.text))

    def advance(self, seconds: float) -> bool:
        """The sounds, and after the last one the word."""
        if self.sounding is None or not self.sounding.advance(seconds * self.manner.pace):
            return False
        if self.sounding.done:
            self.sounding = None
            self.manner.voice.say(words(self.item.word.text))
        return True

    def draw(self, canvas: Drawing) -> None:
        """The boxes with what stands in them; the one that is said has a strong frame."""
        lit = self.sounding.box if self.sounding else None
        self.row.paper(canvas, now=None if lit is None else self.item.word.places.index(lit))
        for cell, strokes in zip(self.row.cells, self.written, strict=True):
            draw_strokes(canvas, cell, strokes)
