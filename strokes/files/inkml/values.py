"""The values inside an InkML trace: explicit ones, differences, second differences and wildcards.

`1125 18432,'23'43,"7"-8,3-5` are four points of two channels. A prefix stays in force for its channel: `!`
explicit, `'` the difference to the point before, `"` the difference of the differences. `*` is the value of
the point before, `?` no value, T and F the two booleans. (InkML, W3C 2011, section 3.2.1.)
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from strokes.files.inkml.channels import Channel
from strokes.files.specimen import FARTHEST

_VALUE = re.compile(
    r"""[ \t\r\n]*(?:
        (?P<prefix>[!'"])?[ \t\r\n]*(?P<number>-?(?:\d+\.?\d*|(?<![\d.])\.\d+)(?:[eE][+-]?\d{1,4})?)
        | !?[ \t\r\n]*(?P<word>[TF*?])
    )""",
    re.VERBOSE | re.ASCII,
)
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


def points(text: str, channels: Sequence[Channel], needed: int) -> Iterator[list[Value]]:
    """One list of values a point, as long as `channels`; the last ones may be absent, but `needed` may not.

    Raises ValueFaultError. A trace of white space alone has no points.
    """
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
