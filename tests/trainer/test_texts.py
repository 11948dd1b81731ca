"""Every text is there, is used, and gets the values it has places for; and none says what it must not."""

import ast
import re
import string
import tomllib
from functools import cache
from pathlib import Path

import pytest
from jinja2 import Environment, nodes

from tests.cases import for_each
from trainer.language import texts
from trainer.language.texts import room, text

TRAINER = Path(texts.__file__).parents[1]
TEMPLATES = TRAINER / "desk" / "templates"
JINJA = Environment(autoescape=True)
ROOMS = sorted(path.stem for path in (texts.TEXTS / texts.LANGUAGE).glob("*.toml"))

BANNED = (
    *("dyslexi", "dysgraphi", "dyspraxi", "dcd", "disorder", "diagnos", "at risk", "delayed"),
    *("abnormal", "below normal", "percentile"),
)
"""Words that must never appear as a conclusion: the project's trade facts, section 8, by their stems."""


def leaves(table, prefix):
    """Every text below `table` with its dotted key."""
    for name, entry in table.items():
        if isinstance(entry, dict):
            yield from leaves(entry, f"{prefix}.{name}")
        else:
            yield f"{prefix}.{name}", entry


@cache
def sources():
    """The tree of each module that reads texts."""
    read = {path: path.read_text(encoding="utf-8") for path in sorted(TRAINER.rglob("*.py"))}
    return [
        (str(path.relative_to(TRAINER)), ast.parse(source))
        for path, source in read.items()
        if "from trainer.language" in source
    ]


def pattern(node):
    """A key that is written out, or has parts filled in while the program runs, as a regular expression."""
    if isinstance(node, ast.JoinedStr):
        parts = [
            re.escape(part.value) if isinstance(part, ast.Constant) else r"[^.]*" for part in node.values
        ]
        return "".join(parts)
    return re.escape(node.value) if isinstance(node, ast.Constant) and isinstance(node.value, str) else ""


@cache
def templates():
    """The tree of each template of the desk."""
    return [
        (str(path.relative_to(TEMPLATES)), JINJA.parse(path.read_text(encoding="utf-8")))
        for path in sorted(TEMPLATES.rglob("*.html"))
    ]


def pattern_in_template(node):
    """The same of a template's node."""
    if isinstance(node, nodes.Concat):
        return "".join(pattern_in_template(part) or r"[^.]*" for part in node.nodes)
    return re.escape(node.value) if isinstance(node, nodes.Const) and isinstance(node.value, str) else ""


def choices(node):
    """The keys that one expression may give: both of `one if so else other`."""
    if isinstance(node, nodes.CondExpr):
        return [node.expr1, node.expr2] if node.expr2 is not None else [node.expr1]
    return [node]


def addresses(tree):
    """What looks like a key and names a view or a file."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and getattr(node.func, "id", "") in ("url_for", "Path") and node.args:
            yield node.args[0]


@cache
def keys():
    """Each key that stands anywhere in the trainer: where, and its pattern."""
    shown = []
    looks_like_one = re.compile(rf"({'|'.join(ROOMS)})\\\.[a-z\[]")
    for module, tree in sources():
        inner = {part for node in ast.walk(tree) if isinstance(node, ast.JoinedStr) for part in node.values}
        for node in set(ast.walk(tree)) - inner - set(addresses(tree)):
            if looks_like_one.match(pattern(node)):
                shown.append((f"{module}:{node.lineno}", pattern(node)))
    for name, tree in templates():
        inner = {part for node in tree.find_all(nodes.Concat) for part in node.nodes}
        calls = [node for node in tree.find_all(nodes.Call) if getattr(node.node, "name", "") == "url_for"]
        inner |= {part for node in calls for part in node.find_all((nodes.Const, nodes.Concat))}
        for node in set(tree.find_all((nodes.Const, nodes.Concat))) - inner:
            if looks_like_one.match(pattern_in_template(node)):
                shown.append((f"{name}:{node.lineno}", pattern_in_template(node)))
    return shown


@cache
def calls():
    """Each call of `text` with its key in place: where, the key's pattern, the names of its values.

    A call that hands over values as a whole, `**values`, tells no names.
    """
    made = []
    for module, tree in sources():
        for node in ast.walk(tree):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "text":
                key, values = pattern(node.args[0]), {keyword.arg for keyword in node.keywords}
                if key and None not in values:
                    made.append((f"{module}:{node.lineno}", key, values))
    for name, tree in templates():
        for node in tree.find_all(nodes.Call):
            if getattr(node.node, "name", "") == "text" and node.dyn_kwargs is None:
                values = {keyword.key for keyword in node.kwargs}
                for key in filter(None, map(pattern_in_template, choices(node.args[0]))):
                    made.append((f"{name}:{node.lineno}", key, values))
    return made


def places(said):
    """The names in braces of a text."""
    return {name for _, name, _, _ in string.Formatter().parse(said) if name is not None}


TEXTS = {key: said for name in ROOMS for key, said in leaves(room(name), name)}
WRITTEN_OUT = {re.escape(key): key for key in TEXTS}


@cache
def asked(key):
    """The keys of all texts that a pattern may lead to; most are written out and lead to one."""
    if key in WRITTEN_OUT:
        return [WRITTEN_OUT[key]]
    compiled = re.compile(key)
    return [name for name in TEXTS if compiled.fullmatch(name)]


def test_the_rooms_have_texts():
    assert {"cli", "summary"} <= set(ROOMS)
    assert len(calls()) > 50


def test_every_key_leads_to_a_text():
    lost = [f"{where} {key}" for where, key in keys() if not asked(key)]

    assert lost == []


def test_every_text_that_is_asked_for_gets_its_values():
    """Where parts of a key are filled in, each value given must have a place in one of its texts."""
    wrong = []
    for where, key, values in calls():
        entry = [places(TEXTS[name]) for name in asked(key)]
        named = set().union(*entry)
        if named != values if len(entry) == 1 else not named >= values:
            wrong.append(f"{where} {key}: has places for {named}, gets {values}")

    assert wrong == []


@for_each("name", ROOMS)
def test_every_text_of_a_room_is_asked_for_somewhere(name):
    known = {key for _, pattern in keys() for key in asked(pattern)}
    unused = [key for key in TEXTS if key.startswith(f"{name}.") and key not in known]

    assert unused == []


@for_each("name", ROOMS)
def test_no_text_names_a_condition_or_ranks_a_child(name):
    said = " ".join(said.casefold() for key, said in TEXTS.items() if key.startswith(f"{name}."))

    assert [word for word in BANNED if word in said] == []


def test_texts_are_whole_and_tidy():
    untidy = [
        key
        for key, said in TEXTS.items()
        if not isinstance(said, str) or said != said.strip() or not said or "  " in said
    ]

    assert untidy == []


def test_values_are_put_into_their_places():
    assert text("cli.pupil.erased", name="Nella") == "Nella is erased."


@pytest.mark.parametrize(
    "key", ["cli.pupil.nothing", "cli.pupil", "cli", "attic.door", "cli.pupil.erased.more"]
)
def test_a_key_that_leads_to_no_text_is_an_error(key):
    with pytest.raises(KeyError):
        text(key)


def test_a_value_that_is_missing_is_an_error():
    with pytest.raises(KeyError, match="name"):
        text("cli.pupil.erased")


def test_texts_are_shipped_as_plain_toml():
    for name in ROOMS:
        assert tomllib.loads((texts.TEXTS / texts.LANGUAGE / f"{name}.toml").read_text(encoding="utf-8"))
