"""Files and values spoiled at random: a byte, a number, a piece taken out, put elsewhere or repeated."""

from __future__ import annotations

import re
from typing import Any

import numpy as np

LARGEST = 256 * 1024
"""Bytes of a spoiled file; larger ones are tried by hand, as one takes seconds even where it is good."""

NUMBERS = (
    "0",
    "-0",
    "1",
    "-1",
    "0.5",
    "1e300",
    "-1e308",
    "1e999",
    "5e-324",
    "1e-323",
    "1e-9",
    "1e9",
    "1e15",
    "NaN",
    "inf",
    "-inf",
    "0x10",
    "٣",
    "1_0",
    "010",
    "86400000",
    "999999999999",
    "2147483648",
    "18446744073709551616",
) + ("9" * 400, "9" * 5000, "0." + "0" * 400 + "1")

PIECES = (
    *("<", ">", "</g>", "<g>", "&lt;", "&#0;", "&a;", "<!DOCTYPE x>", "<![CDATA[", "<!--", "-->", "<?x y?>"),
    *('transform="scale(1e4)"', 'transform="matrix(0 0 0 0 0 0)"', "skewX(90)", "rotate(45 1 1)"),
    *(
        " A10 20 30 1 0 50 60",
        " A1e4 1e-4 0 1 1 0 0",
        " A0 0 0 0 0 5 5",
        "M0 0",
        "z",
        " l1e4 0 -1e4 0",
        " T5 5",
    ),
    *(
        " h1e-9",
        "m0,0",
        " c0 0 0 0 0 0",
        "*",
        "?",
        "!",
        "'",
        '"',
        '"1',
        "'-1",
        ",",
        ",,",
        ";",
        "\n",
        "\r",
        "\0",
    ),
    *(
        "[",
        "]",
        "{",
        "}",
        "[[[[",
        "null",
        "true",
        "{}",
        "[]",
        ":",
        "=",
        "#",
        '"""',
        "..",
        ".",
        "../",
        "\ufeff",
    ),
    *(
        '\n.SEGMENT CHARACTER 0 OK "a"\n',
        "\n.PEN_DOWN\n",
        "\n.PEN_UP\n",
        "\n.COORD Y X T\n",
        "\n.INCLUDE ink\n",
    ),
    *(
        "\n.X_POINTS_PER_INCH 1e-323\n",
        "\n.X_POINTS_PER_MM 1e8\n",
        "\n.DT 999999\n",
        "\n.POINTS_PER_SECOND 1\n",
    ),
    *('<trace timeOffset="1e308">1 2</trace>', '<traceGroup contextRef="#x">', "</traceGroup>", "<trace/>"),
    *(
        'xml:id="a"',
        'contextRef="#a"',
        'units="ex"',
        'name="T"',
        'type="boolean"',
        "ä",
        "\u0301",
        "\U0001f58a",
    ),
    *('id="taught"', 'data-use="recognition"', 'data-hand="left"', 'data-note="lift"', "<title>a</title>"),
    *(
        '\n[composed]\n"á" = { base = "a", mark = "acute" }\n',
        "[[family]]\n",
        "\n[guide]\nascender = -1.001\n",
    ),
)

_NUMBER = re.compile(rb"-?\d+\.?\d*(?:[eE][+-]?\d+)?")


def spoiled(random: np.random.Generator, content: bytes) -> bytes:
    """The content after one to three random changes, not larger than `LARGEST`."""
    for _ in range(random.integers(1, 4)):
        content = _changed(random, content)[:LARGEST]
    return content


def _changed(random: np.random.Generator, content: bytes) -> bytes:
    at = int(random.integers(len(content) + 1))
    size = int(random.integers(1, 2 + len(content) // int(random.choice([2, 10, 100]))))
    before, piece, after = content[:at], content[at : at + size], content[at + size :]
    match random.integers(9):
        case 0:
            return before + bytes([random.integers(256)]) + content[at + 1 :]
        case 1:
            return before + after
        case 2:
            return before + piece * int(random.choice([2, 3, 10, 500])) + after
        case 3:
            there = int(random.integers(len(after) + 1))
            return before + after[:there] + piece + after[there:]
        case 4 | 5:
            return before + PIECES[random.integers(len(PIECES))].encode() + content[at:]
        case 6 | 7:
            return _other_number(random, content)
        case _:
            return before


def _other_number(random: np.random.Generator, content: bytes) -> bytes:
    numbers = list(_NUMBER.finditer(content))
    if not numbers:
        return content
    match = numbers[random.integers(len(numbers))]
    return content[: match.start()] + NUMBERS[random.integers(len(NUMBERS))].encode() + content[match.end() :]


VALUES: tuple[Any, ...] = (
    *(None, True, False, 0, -1, 1, 7, 0.5, -0.0, 1e300, float("inf"), float("nan"), 10**400, 2**63),
    *("", "a", "1", "taught", "left", "\0", "x" * 5000, [], {}, [[]], [0], [0, 0], [[0, 0]] * 3, {"a": 1}),
)


def other_value(random: np.random.Generator, value: Any) -> Any:
    """JSON with one value in it replaced, taken out or doubled."""
    if isinstance(value, dict | list) and value and random.random() < 0.85:
        keys = list(value) if isinstance(value, dict) else range(len(value))
        key = keys[random.integers(len(keys))]
        copy: Any = value.copy()
        what = random.random()
        if what < 0.06:
            del copy[key]
        elif what < 0.1 and isinstance(copy, list):
            copy[key:key] = [copy[key]] * int(random.choice([1, 5, 300]))
        else:
            copy[key] = other_value(random, value[key])
        return copy
    return VALUES[random.integers(len(VALUES))]
