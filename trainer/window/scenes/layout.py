"""Where things stand on a screen, in px: boxes from the window's size, its millimeters and the writing hand.

A right-handed writer has the model on the left and the buttons on the right; for a left-handed one it is
the other way round, so that the hand covers neither. In portrait the model is above and the buttons below.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from strokes.letter import GuideLines, Hand
from strokes.transform import Transform
from trainer.drawing import Metrics, Rect, theme

BELOW_MM = 1.0
"""What is left free below a button in the head."""
HEAD_MM = theme.BUTTON_MM + BELOW_MM
"""Height of the head, the line with the sentence: a button in it is level with the first one of the rail."""
HEAD_SHARE = 0.14
"""The most that the head takes of a small window's height: below it a child still writes 20 mm high."""
UNIT_MM = 48.0
"""The largest x-height: a child writes it from the elbow, a larger one from the shoulder."""
BOX_WIDTH = 2.2
"""X-heights a writing box needs in width."""
AIR = 0.3
"""X-heights kept free above the top line and below the lowest line."""

CORNER_MM = 10.0
"""Side of the corner where a long press asks to leave: a fingertip, and narrower than the head is high."""


@dataclass(frozen=True)
class Layout:
    """The boxes of a screen: head, body and a rail of buttons; the last button is the main one."""

    head: Rect
    body: Rect
    rail: tuple[Rect, ...]


def layout(metrics: Metrics, hand: Hand | None, buttons: int, *, head_share: float = HEAD_SHARE) -> Layout:
    """Head on top, a rail of `buttons` on the writing hand's side (below, in portrait), the body between."""
    width, height = metrics.width, metrics.height
    margin = max(metrics.gap * 0.75, 8.0)
    head = min(metrics.mm(HEAD_MM), height * head_share)
    if width < height:
        return _portrait(metrics, hand, buttons, margin, head)
    side, gap = metrics.row(max(1, buttons), height - 2 * margin)
    broad = side * 1.25 if buttons else 0.0
    left = margin + (broad + margin if hand == "left" else 0.0)
    inner = width - 2 * margin - (broad + margin if buttons else 0.0)
    rail_left = margin if hand == "left" else width - margin - broad
    rail = _stacked(rail_left, margin, broad, height - 2 * margin, side, gap, buttons)
    return Layout(
        Rect(left, margin, inner, head),
        Rect(left, margin + head, inner, height - 2 * margin - head),
        rail,
    )


def _stacked(
    left: float, top: float, width: float, height: float, side: float, gap: float, count: int
) -> tuple[Rect, ...]:
    """All but the last button from the top down; the last, the main one, at the bottom."""
    if not count:
        return ()
    upper = [Rect(left, top + place * (side + gap), width, side) for place in range(count - 1)]
    room = height - (count - 1) * (side + gap)
    tall = min(side * 1.5, room)
    return (*upper, Rect(left, top + height - tall, width, tall))


def _portrait(metrics: Metrics, hand: Hand | None, buttons: int, margin: float, head: float) -> Layout:
    width, height = metrics.width, metrics.height
    span = width - 2 * margin
    side, gap = metrics.row(max(1, buttons), span)
    wide = min(side * 1.25, (span - (buttons - 1) * gap) / buttons) if buttons else 0.0
    tall = min(metrics.button, max(side, 24.0)) if buttons else 0.0
    top = height - margin - tall
    main = min(wide * 1.5, span - (buttons - 1) * (wide + gap)) if buttons else 0.0
    rail: list[Rect] = []
    for place in range(buttons):
        last = place == buttons - 1
        x = margin + span - main if last else margin + place * (wide + gap)
        broad = main if last else wide
        rail.append(Rect(width - x - broad if hand == "left" else x, top, broad, tall))
    below = top - margin if buttons else height - margin
    return Layout(
        Rect(margin, margin, span, head),
        Rect(margin, margin + head, span, below - margin - head),
        tuple(rail),
    )


def with_say(laid: Layout, metrics: Metrics, hand: Hand | None) -> tuple[Layout, Rect]:
    """The layout with a shorter head, and the place of a button at the head's end on the writing hand's side.

    The corner at the other end is the grown-up's. In a small window the button is higher than the head: it
    reaches into the margin.
    """
    head, side = laid.head, metrics.button
    left = head.left if hand == "left" else head.right - side
    start = head.left + side + metrics.gap if hand == "left" else head.left
    shorter = Rect(start, head.top, head.width - side - metrics.gap, head.height)
    top = max(head.bottom - side - metrics.mm(BELOW_MM), 0.0)  # not upon the paper
    return replace(laid, head=shorter), Rect(left, top, side, side)


def corner(metrics: Metrics, hand: Hand | None) -> Rect:
    """Where a grown-up's long press asks to leave: at the top, away from the buttons and above all paper."""
    side = min(metrics.mm(CORNER_MM), 0.1 * min(metrics.width, metrics.height))
    return Rect(metrics.width - side if hand == "left" else 0.0, 0.0, side, side)


def beside(body: Rect, hand: Hand | None, gap: float, *, share: float = 0.34) -> tuple[Rect, Rect]:
    """The model's box and the writing box: side by side, or the model above where the body is upright."""
    if body.width < body.height * 1.05:
        upper = (body.height - gap) * share
        return (
            Rect(body.left, body.top, body.width, upper),
            Rect(body.left, body.top + upper + gap, body.width, body.height - upper - gap),
        )
    narrow = (body.width - gap) * share
    model_left = body.right - narrow if hand == "left" else body.left
    box_left = body.left if hand == "left" else body.left + narrow + gap
    return (
        Rect(model_left, body.top, narrow, body.height),
        Rect(box_left, body.top, body.width - narrow - gap, body.height),
    )


def letter_space(box: Rect, guide: GuideLines, bounds: Sequence[float], limit: float) -> Transform:
    """From letter space to px, with the four lines in the middle of `box` and the letter's `bounds` centered.

    Above and below there is room for what the letter has beyond the lines, such as the mark of an Ä. `limit`
    is the largest x-height in px.
    """
    left, top, right, bottom = bounds
    top, bottom = min(top, guide.ascender), max(bottom, guide.descender)
    tall = bottom - top + 2 * AIR
    unit = min(box.height / tall, box.width / max(BOX_WIDTH, right - left + 0.8), limit)
    x, y = box.center
    return Transform(unit, unit, x - unit * (left + right) / 2, y - unit * (top + bottom) / 2)


def grid(area: Rect, count: int, side: float, gap: float, *, shape: float = 1.0) -> tuple[list[Rect], int]:
    """Up to `count` cells of at least `side`, of height side · shape, as many as fit; and their number.

    The cells grow while they all still fit, up to half as large again, and stand in the middle.
    """
    best = max(1, _columns(area.width, side, gap)) * max(1, _columns(area.height, side * shape, gap))
    shown = max(1, min(count, best))
    size = side
    while size < side * 1.5 and _holds(area, shown, size * 1.04, gap, shape):
        size *= 1.04
    size = min(size, area.width, area.height / shape)
    columns = min(shown, max(1, _columns(area.width, size, gap)))
    rows = -(-shown // columns)
    columns = -(-shown // rows)
    top = area.top + (area.height - rows * size * shape - (rows - 1) * gap) / 2
    cells = []
    for place in range(shown):
        row, column = divmod(place, columns)
        in_row = min(columns, shown - row * columns) if row == rows - 1 else columns
        left = area.left + (area.width - in_row * size - (in_row - 1) * gap) / 2
        cells.append(Rect(left + column * (size + gap), top + row * (size * shape + gap), size, size * shape))
    return cells, shown


def row(rect: Rect, count: int, most: float) -> list[Rect]:
    """So many squares in a row in the middle of `rect`, each at most `most` px wide."""
    side = min(most, rect.height, rect.width / (count * 1.2))
    gap = side * 0.2
    x, y = rect.center
    left = x - (count * side + (count - 1) * gap) / 2
    return [Rect(left + k * (side + gap), y - side / 2, side, side) for k in range(count)]


def _columns(width: float, side: float, gap: float) -> int:
    return int((width + gap) // (side + gap))


def _holds(area: Rect, count: int, side: float, gap: float, shape: float) -> bool:
    return _columns(area.width, side, gap) * _columns(area.height, side * shape, gap) >= count
