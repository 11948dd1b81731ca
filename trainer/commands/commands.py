"""What each command does. A door loads only what stands behind it, so that practice opens fast."""

from __future__ import annotations

import tempfile
from argparse import Namespace
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager, nullcontext
from pathlib import Path
from typing import TYPE_CHECKING

from trainer import places
from trainer.commands import options
from trainer.errors import PupilError, UsageError
from trainer.language import text

if TYPE_CHECKING:
    from strokes.alphabet import Alphabet
    from trainer.record import Record


def open_door(chosen: Namespace) -> int:
    """Do the command that was chosen; gives back its exit code."""
    return int(chosen.door(chosen))


def practice(chosen: Namespace) -> int:
    """Open the practice window, on the record or on an invented class."""
    size = options.size(chosen.size)
    if not chosen.demo:
        return _run_practice(lambda: options.record(chosen), chosen, size)
    with _invented_for_now(chosen) as (record, own):
        return _run_practice(lambda: nullcontext(record), own, size)


def desk(chosen: Namespace) -> int:
    """Serve the teacher's pages to her browser, from the record or from an invented class."""
    if not chosen.demo:
        with options.record(chosen) as record:
            return _serve_desk(record, chosen)
    with _invented_for_now(chosen) as (record, own):
        return _serve_desk(record, own)


def summary(chosen: Namespace) -> int:
    """Print or write the summary of the class, of a group or of one pupil."""
    from trainer.commands import terminal
    from trainer.exchange import spreadsheet

    with options.record(chosen) as record:
        pupils = record.pupils.find(chosen.group)
        if chosen.group is not None and not pupils:
            raise PupilError(options.no_group(record, chosen.group))
        one = options.pupil(record, chosen.pupil, chosen.group) if chosen.pupil is not None else None
        group = one.group if one else chosen.group
        alphabets = options.alphabets(chosen, record)
        families = alphabets.of(group).alphabet.families
        summed = record.figures.summary(chosen.group, pupil=one.id if one else None, families=families)
        options.tell(alphabets, [group] if group is not None else [None, *record.pupils.groups()])
    if chosen.csv is None:
        terminal.show(summed, pupil=one, group=chosen.group)
        return 0
    spreadsheet.write(summed, chosen.csv)
    if chosen.csv != "-":
        print(text("cli.csv.written", file=chosen.csv))
    return 0


def add_pupil(chosen: Namespace) -> int:
    """Add a pupil."""
    with options.record(chosen) as record:
        from trainer.record import DEFAULT_GROUP

        group = DEFAULT_GROUP if chosen.group is None else chosen.group
        pupil = record.pupils.add(chosen.name, hand=chosen.hand, group=group, card=chosen.card)
    print(text("cli.pupil.added", name=pupil.name, group=pupil.group, card=pupil.card))
    return 0


def list_pupils(chosen: Namespace) -> int:
    """List the pupils, by group and name."""
    with options.record(chosen) as record:
        pupils = record.pupils.find(chosen.group)
        if chosen.group is not None and not pupils:
            raise PupilError(options.no_group(record, chosen.group))
    if not pupils:
        print(text("cli.pupil.none"))
        return 0
    from trainer.commands import terminal

    terminal.show_pupils(pupils)
    return 0


def remove_pupil(chosen: Namespace) -> int:
    """Erase a pupil, after telling what goes and asking."""
    with options.record(chosen) as record:
        pupil = options.pupil(record, chosen.name, chosen.group)
        count = record.erasure.holdings([pupil.id]).attempts
        print(text("cli.pupil.erases", name=pupil.name, group=pupil.group, attempts=count))
        if not chosen.yes and not options.agreed(text("cli.pupil.ask", name=pupil.name)):
            print(text("cli.pupil.kept"))
            return 1
        record.erasure.remove_pupil(pupil.id)
    print(text("cli.pupil.erased", name=pupil.name))
    return 0


def plan(chosen: Namespace) -> int:
    """Show the plans, or put new letters (or none) in the place of one group's or every group's."""
    with options.record(chosen) as record:
        from trainer.record import DEFAULT_GROUP

        groups = record.pupils.groups() or (DEFAULT_GROUP,)
        if chosen.group is not None:
            if chosen.group not in groups:
                raise PupilError(options.no_group(record, chosen.group))
            groups = (chosen.group,)
        if chosen.letters and chosen.clear:
            raise UsageError("give either letters or --clear, not both")
        alphabets = options.alphabets(chosen, record)
        if chosen.letters or chosen.clear:
            # read for every group before any plan is changed: each may use another alphabet
            read = [_letters(chosen.letters, alphabets.of(group).alphabet) for group in groups]
            for group, letters in zip(groups, read, strict=True):
                record.plans.set(group, letters)
        options.tell(alphabets, groups)
        for group in groups:
            planned = record.plans.get(group)
            if planned:
                print(text("cli.plan.line", group=group, letters=" ".join(planned)))
            else:
                print(text("cli.plan.none", group=group))
    return 0


def check_alphabet(chosen: Namespace) -> int:
    """Print the faults of an alphabet's files, a line each: of the one named, or of all the teacher's own."""
    from strokes.alphabet import Alphabet
    from strokes.files import faults
    from trainer.teaching import PRINT, Alphabets

    folders = [named] if (named := chosen.folder or chosen.alphabet) else []
    if not folders:
        every = Alphabets(places.own_letters(chosen.data)).all()
        folders = [folder for name, folder in every.items() if name != PRINT] or [every[PRINT]]
    any_found = False
    for folder in folders:
        found = faults(folder)
        any_found = any_found or bool(found)
        for fault in found:
            print(fault)
        if not found:
            print(text("cli.alphabet.good", letters=len(Alphabet.load(folder)), folder=folder))
    return 1 if any_found else 0


def copy_alphabet(chosen: Namespace) -> int:
    """Copy the shipped alphabet to where a teacher may change it."""
    from trainer.teaching import copy_shipped

    folder = chosen.folder or places.own_letters(chosen.data)
    copy_shipped(folder)
    print(text("cli.alphabet.copied", folder=folder))
    return 0


def draw_alphabet(chosen: Namespace) -> int:
    """Draw an alphabet into a picture."""
    from trainer.drawing.raster import picture

    if chosen.out.suffix.lower() != ".png":
        raise UsageError(f"--out must be a PNG file, such as alphabet.png, not {str(chosen.out)!r}")
    alphabets = options.alphabets(chosen, folder=chosen.folder)
    picture.draw(alphabets.of().alphabet, chosen.out)
    options.tell(alphabets, [None])
    print(text("cli.alphabet.drawn", file=chosen.out))
    return 0


def demo(chosen: Namespace) -> int:
    """Make the invented class, show its summary, and say what to try."""
    from trainer.commands import terminal
    from trainer.demo import WEEKS

    size = options.size(chosen.size)
    address = options.address(chosen)
    if address and chosen.folder:
        raise UsageError("give either a folder or --record for the invented class, not both")
    place = address or places.data_folder(
        chosen.folder or chosen.data or Path(tempfile.mkdtemp(prefix="trainer-demo-"))
    )
    own = chosen if address else _with_data(chosen, Path(place))
    with _invented(place) as record:
        if chosen.practice:
            return _run_practice(lambda: nullcontext(record), own, size)
        pupils = record.pupils.find()
        alphabets = options.alphabets(own, record)
        summed = record.figures.summary(families=alphabets.of().alphabet.families)
        options.tell(alphabets, [None, *record.pupils.groups()])
        attempts = record.erasure.holdings([pupil.id for pupil in pupils]).attempts
    where = f'--record "{record.place}"' if address else f"--data {place}"
    terminal.show(summed)
    print(text("cli.demo.made", pupils=len(pupils), attempts=attempts, weeks=WEEKS))
    print(f"  {record.place if address else place}\n\n{text('cli.demo.try')}")
    print("  " + text("cli.demo.practice", where=where))
    print("  " + text("cli.demo.pupil", where=where, name=pupils[0].name))
    print("  " + text("cli.demo.table", where=where))
    print("\n" + text("cli.demo.drop" if address else "cli.demo.throw_away"))
    return 0


@contextmanager
def _invented_for_now(chosen: Namespace) -> Iterator[tuple[Record, Namespace]]:
    """The invented class in a data folder of its own, letters included, that is gone afterwards.

    What was chosen comes along, with that folder in the place of the teacher's: nothing of hers is changed.
    """
    if chosen.record is not None:
        raise UsageError("give either --record or --demo, whose record is thrown away, not both")
    if chosen.alphabet is not None:
        options.alphabets(chosen)
    with tempfile.TemporaryDirectory(prefix="trainer-demo-") as folder:
        own = _with_data(chosen, Path(folder))
        if chosen.alphabet is not None:
            from trainer.teaching import copy_letters

            own.alphabet = places.own_letters(own.data)
            copy_letters(chosen.alphabet, own.alphabet)
        with _invented(Path(folder)) as record:
            yield record, own


def _with_data(chosen: Namespace, folder: Path) -> Namespace:
    return Namespace(**{**vars(chosen), "data": folder})


def _letters(typed: list[str], alphabet: Alphabet) -> list[str]:
    return options.letters(typed, alphabet) if typed else []


def _serve_desk(record: Record, chosen: Namespace) -> int:
    from trainer.desk import Desk, serving

    alphabets = options.alphabets(chosen, record)
    options.tell(alphabets, [None, *record.pupils.groups()])
    serving.serve(
        Desk(record, alphabets.own, named=alphabets.named),
        port=chosen.port,
        browser=not chosen.no_browser,
        forget=chosen.new_passphrase,
    )
    return 0


def _invented(place: Path | str) -> Record:
    """A new record with the invented class; nobody waits for it without knowing why."""
    from trainer.demo import fill

    print(text("cli.demo.making"), flush=True)
    return fill(place)


def _run_practice(
    open_record: Callable[[], AbstractContextManager[Record]],
    chosen: Namespace,
    size: tuple[int, int] | None,
) -> int:
    from trainer.practice import run

    run(
        open_record,
        lambda: options.alphabets(chosen).of().alphabet,
        alphabet_of=lambda record, group: options.alphabets(chosen, record).of(group).alphabet,
        to_mend=lambda record, groups: options.alphabets(chosen, record).told(groups),
        fullscreen=chosen.fullscreen,
        size=size,
        motion=not chosen.still,
    )
    return 0
