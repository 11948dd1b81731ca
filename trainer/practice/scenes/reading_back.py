"""Read back: her own ink is written once more, letter by letter, with the sounds and then the word."""

from __future__ import annotations

from collections.abc import Sequence

from trainer.drawing import Drawing, Rect, theme
from trainer.language import text
from trainer.practice.routes import Routes
from trainer.practice.scenes.screen import Screen
from trainer.practice.word_in_hand import WordInHand
from trainer.speech import Utterance, lone_sound, words
from trainer.window.scenes.buttons import Button, icon
from trainer.window.scenes.layout import layout
from trainer.window.scenes.model_pen import InkPen
from trainer.window.scenes.scene import Mark, Scene
from trainer.window.scenes.word_row import WordRow

BEFORE = 0.5
"""Seconds of stillness before a letter is written."""
FASTER = 2.0
"""How much faster than she wrote the pen goes: a word is to be read as one."""
LONGEST_WAIT = 3.0
"""Seconds for which the pen waits, at most, until a sound is said."""


class ReadingBack(Screen):
    """It plays by itself, once; going on is open all the time, and nothing waits for it."""

    counts = True

    def __init__(self, routes: Routes, word: WordInHand) -> None:
        super().__init__(routes)
        self.word = word
        self.place = 0
        self.waited = 0.0
        self.pen: InkPen | None = None
        self.ended = False

    @property
    def aloud(self) -> Sequence[Utterance]:
        """The word by its sounds and whole, for the button; while it is read the sounds come one by one."""
        return (*(lone_sound(*box.sounds) for box in self.word.word.boxes), words(self.word.text))

    def on_show(self) -> None:
        """The pen begins by itself, and the sounds come with it."""
        self.session.voice.prepare(*self.aloud)

    def arrange(self) -> Sequence[Button]:
        """The word in its boxes, and the rail."""
        self.layout = layout(self.metrics, self.session.hand, 3)
        body = self.layout.body
        room = body.inset(self.metrics.gap * 0.3)
        self.row = WordRow.around(room, self.session.alphabet, self.word.word, self.metrics)
        if self.pen is not None:
            box = self.row.cells[self.place]
            self.pen.move(box.transform, box.pen)
        self._show()
        leave, show, on = self.layout.rail
        return [
            Button("leave", "letters", text("practice.words.leave"), leave),
            Button("show", "watch", text("practice.words.read_again"), show),
            Button("on", "on", text("practice.answer.on"), on, main=True),
        ]

    def press(self, name: str) -> Scene | None:
        """Once more, on, or back to the words."""
        if name == "on":
            return self.routes.words.after_writing()
        return self.routes.words.today() if name == "leave" else ReadingBack(self.routes, self.word)

    def on_tick(self, seconds: float) -> Scene | None:
        """The pen writes one letter after the other; the word is said last."""
        super().on_tick(seconds)
        if self.ended:
            return None
        self.waited += seconds
        if self.pen is None:
            speaking = self.session.voice.speaking and self.waited < LONGEST_WAIT
            if self.waited >= BEFORE and not speaking:
                self._begin_letter()
            return None
        if self.session.motion:
            self.pen.advance(seconds * FASTER)
        if self.pen.done or (not self.session.motion and self.waited >= BEFORE):
            self._end_letter()
        self._show()
        return None

    def _begin_letter(self) -> None:
        if self.place == len(self.word.text):
            self.ended = True
            self.session.voice.say(words(self.word.text))
            self.stale = True
            return
        box = self.row.cells[self.place]
        self.pen = InkPen(self.word.written[self.place], box.transform, box.pen)
        self.waited = 0.0
        self.stale = True
        places = self.word.word.places
        number = places[self.place]
        if number is not None and places.index(number) == self.place:
            self.session.voice.say(lone_sound(*self.word.word.boxes[number].sounds))

    def _end_letter(self) -> None:
        self.pen, self.waited = None, 0.0
        self.place += 1
        self.stale = True

    def _show(self) -> None:
        written: list[Mark] = [
            mark
            for place, ink in enumerate(self.word.written[: self.place])
            for mark in self.row.cells[place].ink(ink)
        ]
        self.marks = [*written, *(self.pen.marks if self.pen and self.session.motion else ())]
        self.tip = self.pen.tip if self.pen and self.session.motion else None

    def draw(self, canvas: Drawing) -> None:
        """The boxes; at the end the sentence with the word, and a tick."""
        head = self.layout.head
        now = self.place if self.place < len(self.word.text) else None
        room = head
        if self.ended:
            radius = head.height * 0.34
            x, y = head.left + radius, head.center[1]
            canvas.disc((x, y), radius, theme.GREEN)
            icon(canvas, "tick", (x, y), radius * 0.6, theme.PAPER)
            room = Rect(x + radius * 1.5, head.top, head.right - x - radius * 1.5, head.height)
        key = "wrote" if self.ended else "reading"
        self.headline(canvas, room, text(f"practice.words.{key}", word=self.word.text))
        self.row.paper(canvas, now=now, chunk=self.word.chunk)
        self.buttons.draw(canvas)
