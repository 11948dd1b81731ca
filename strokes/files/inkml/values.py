"""The values inside an InkML trace: explicit ones, differences, second differences and wildcards.

`1125 18432,'23'43,"7"-8,3-5` are four points of two channels. A prefix stays in force for its channel: `!`
explicit, `'` the difference to the point before, `"` the difference of the differences. `*` is the value of
the point before, `?` no value, T and F the two booleans. (InkML, W3C 2011, section 3.2.1.)
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import chain

import numpy as np

from strokes.files.inkml.channels import Channel
from strokes.files.specimen import FARTHEST
from strokes.polyline import Floats

_VALUE = re.compile(
    r"""[ \t\r\n]*(?:
        (?P<prefix>[!'"])?[ \t\r\n]*(?P<number>-?(?:\d+\.?\d*|(?<![\d.])\.\d+)(?:[eE][+-]?\d{1,4})?)
        | !?[ \t\r\n]*(?P<word>[TF*?])
    )""",
    re.VERBOSE | re.ASCII,
)
_PLAIN = re.compile(r"[-.0-9, \t\r\n]*", re.ASCII)
_SPACE = " \t\r\n"

Value = float | bool | None
"""What a channel says at one point: a number, a boolean, or nothing."""


@dataclass
class _State:
    """What is known of one channel from the points before."""

    order: str = "!"
    value: Value = None
    step: float | None = None


class ValueFaultError(Exception):
    """What is wrong with a value; the reader of the file adds where. Never leaves `inkml`."""


def points(text: str, channels: Sequence[Channel], needed: int) -> Floats:
    """The values (n, channels) of n points, NaN for no value and 1 or 0 for a boolean.

    The last channels may be absent from a point, but `needed` of them may not. Raises ValueFaultError. A
    trace of white space alone has no points.
    """
    return np.array(list(_points(text, channels, needed)), dtype=np.float64)


def plain_points(text: str, channels: Sequence[Channel]) -> Floats | None:
    """The same of a trace of plain numbers, as most are, in a fifth of the time; None for any other."""
    if not _PLAIN.fullmatch(text) or any(channel.type not in ("decimal", "double") for channel in channels):
        return None
    rows = [piece.split() for piece in text.split(",")]
    if set(map(len, rows)) != {len(channels)}:
        return None
    try:
        numbers = np.array(list(map(float, chain.from_iterable(rows))), dtype=np.float64)
    except ValueError:  # such as 12-5, which are two numbers
        return None
    return numbers.reshape(len(rows), -1) if (np.abs(numbers) <= FARTHEST).all() else None


def _points(text: str, channels: Sequence[Channel], needed: int) -> Iterator[list[Value]]:
    if not text.strip(_SPACE):
        return
    states = [_State() for _ in channels]
    pieces = text.split(",")
    if len(pieces) > 1 and not pieces[-1].strip(_SPACE):
        pieces.pop()  # a comma at the end closes the last point
    for number, piece in enumerate(pieces, 1):
        try:
            yield _point(piece.strip(_SPACE), channels, needed, states)
        except ValueFaultError as fault:
            raise ValueFaultError(f"point {number}: {fault}") from None


def _point(piece: str, channels: Sequence[Channel], needed: int, states: list[_State]) -> list[Value]:
    values: list[Value] = []
    at = 0
    while at < len(piece):
        match = _VALUE.match(piece, at)
        if match is None:
            raise ValueFaultError(
                f"must be values such as 12, -3.5, '2, \"1, *, ?, T or F, not {_show(piece[at:])}"
            )
        if len(values) == len(channels):
            raise ValueFaultError(f"must have at most {len(channels)} values, one a channel, not more")
        channel, state = channels[len(values)], states[len(values)]
        try:
            value = _value(match, channel, state)
        except ValueFaultError as fault:
            raise ValueFaultError(f"channel {channel.name} {fault}") from None
        values.append(value)
        at = match.end()
    if len(values) < needed:
        raise ValueFaultError(f"must have at least {needed} values, not {len(values)}")
    return values + [None] * (len(channels) - len(values))


def _value(match: re.Match[str], channel: Channel, state: _State) -> Value:
    if word := match["word"]:
        return _word(word, channel, state)
    written = match["number"]
    if channel.type == "boolean":
        raise ValueFaultError(f"must be T or F, not {_show(written)}")
    if channel.type == "integer" and not re.fullmatch(r"-?\d+", written):
        raise ValueFaultError(f"must be a whole number, not {_show(written)}")
    state.order = match["prefix"] or state.order
    number, before = float(written), state.value
    if state.order == "!":
        value, step = number, None
    else:
        if before is None:
            raise ValueFaultError("must begin with an explicit value, not with a difference")
        if state.order == "'":
            step = number
        elif state.step is None:
            raise ValueFaultError("must have a first difference before a second one")
        else:
            step = state.step + number
        value = before + step
    if not abs(value) <= FARTHEST and channel.name in "XY":
        raise ValueFaultError(f"must lie within {FARTHEST:g} of 0, not at {value:g}")
    if not abs(value) < float("inf"):
        raise ValueFaultError("must be finite")
    state.value, state.step = value, step
    return value


def _word(word: str, channel: Channel, state: _State) -> Value:
    if word == "?":
        return None
    if word == "*":
        if state.value is None:
            raise ValueFaultError("must have a value before it can be repeated by *")
        if state.step is not None:
            state.step = 0.0
        return state.value
    if channel.type != "boolean":
        raise ValueFaultError(f"must be a number, not {word}")
    state.value = word == "T"
    return state.value


def _show(text: str) -> str:
    shown = repr(text)
    return shown if len(shown) <= 30 else f"{shown[:30]}…"
