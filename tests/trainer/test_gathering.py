from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strokes.kinds import Kind
from strokes.letter import Family
from tests.cases import for_each
from tests.trainer import reckoning
from tests.trainer.samples import attempt
from trainer.attempt import Pupil
from trainer.teaching import gathering
from trainer.teaching.counts import Lately
from trainer.teaching.gathering import LARGEST, MOST_GROUPS, SMALLEST, no_families
from trainer.teaching.tries import AGAIN, ENOUGH

OVER = Family("down, back up and over", ("b", "h", "m", "n"))


def over(_):
    """Each group writes letters of one family."""
    return [OVER]


def gathered(attempts, pupils, families=no_families):
    """The groups, and who stands alone."""
    result = gathering.gathered(reckoning.counts(attempts, pupils).lately, pupils, families)
    return result.groups, result.alone


def pupils(count, group="Quay"):
    return [Pupil(number, f"Pupil {number:02}", number, group=group) for number in range(1, count + 1)]


def tries(pupil, letter, *kinds, good=0, start=0):
    """A try for each kind, in order, and then good ones."""
    shown = [attempt(pupil, letter, kind, day=start + day) for day, kind in enumerate(kinds)]
    return shown + [attempt(pupil, letter, day=start + len(kinds) + day) for day in range(good)]


def test_pupils_who_did_the_same_at_the_same_letter_are_gathered():
    attempts = tries(1, "b", Kind.START, Kind.START, good=1) + tries(
        2, "b", Kind.START, Kind.START, Kind.START
    )
    (group,), alone = gathered(attempts, pupils(2))

    assert (group.letter, group.kind, [pupil.id for pupil in group.pupils]) == ("b", Kind.START, [1, 2])
    assert (group.times, group.tries) == (5, 6)
    assert alone == ()


@pytest.mark.parametrize(
    ("kinds", "good", "why"),
    [
        ((Kind.START, Kind.START), 0, "two tries are not enough"),
        ((Kind.START,), 2, "once may be a slip"),
        ((Kind.START, Kind.START), 3, "less than half of the last five"),
        ((Kind.START,) * 4, 5, "it has mended since"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_nobody_is_gathered_for_too_little(kinds, good, why):
    assert gathered(tries(1, "b", *kinds, good=good), pupils(1)) == ((), ()), why


def test_notes_gather_nobody():
    attempts = [attempt(1, "t", notes=(Kind.ORDER,)) for _ in range(5)]

    assert gathered(attempts, pupils(1)) == ((), ())


def test_a_pupil_with_nobody_to_share_stands_alone():
    groups, (need,) = gathered(tries(1, "b", *[Kind.LIFT] * 3), pupils(1))

    assert groups == ()
    assert (need.pupil.id, need.letter, need.kind) == (1, "b", Kind.LIFT)


def test_a_pupil_comes_under_the_kind_seen_most_and_then_under_the_first_to_teach():
    seen_most = tries(1, "b", Kind.START, Kind.START, Kind.LIFT, Kind.LIFT, Kind.LIFT)
    even = [attempt(1, "c", Kind.LIFT, Kind.START, day=day) for day in range(4)]

    assert [(group.letter, group.kind) for group in gathered(seen_most + even, pupils(1))[1]] == [
        ("c", Kind.START),
        ("b", Kind.LIFT),
    ]


def test_movement_comes_before_look():
    both = [attempt(1, "b", Kind.SIZE, *[Kind.START] * (day > 1), day=day) for day in range(5)]
    look = tries(1, "a", *[Kind.SIZE] * 5)

    assert [(group.letter, group.kind) for group in gathered(both + look, pupils(1))[1]] == [
        ("b", Kind.START),
        ("a", Kind.SIZE),
    ]


def test_children_of_two_groups_do_not_sit_at_one_table():
    both = [Pupil(1, "Abel", 1, group="Quay"), Pupil(2, "Gesa", 1, group="Slipway")]
    attempts = tries(1, "b", *[Kind.START] * 3) + tries(2, "b", *[Kind.START] * 3)

    assert gathered(attempts, both)[0] == ()


@for_each("count", range(2, 28))
def test_no_group_is_too_small_or_too_large_and_all_whom_the_groups_hold_have_one(count):
    attempts = [attempt for pupil in range(1, count + 1) for attempt in tries(pupil, "b", *[Kind.START] * 3)]
    groups, alone = gathered(attempts, pupils(count))

    sizes = [len(group.pupils) for group in groups]
    assert alone == ()
    assert sum(sizes) == min(count, MOST_GROUPS * LARGEST)
    assert SMALLEST <= min(sizes) <= max(sizes) <= LARGEST
    assert max(sizes) - min(sizes) <= 1
    assert len(sizes) <= MOST_GROUPS


def test_what_was_seen_most_often_comes_first():
    often = [attempt for pupil in (1, 2) for attempt in tries(pupil, "m", *[Kind.START] * 5)]
    seldom = [attempt for pupil in (3, 4, 5) for attempt in tries(pupil, "b", Kind.START, Kind.START, good=1)]

    assert [group.letter for group in gathered(often + seldom, pupils(5))[0]] == ["m", "b"]


def test_a_pupil_sits_at_one_table_where_the_most_is_covered():
    both = [*tries(1, "b", *[Kind.START] * 3), *tries(1, "m", *[Kind.START] * 5)]
    others = [attempt for pupil in (2, 3) for attempt in tries(pupil, "b", *[Kind.START] * 3)]
    last = tries(4, "m", *[Kind.START] * 3)
    groups, _ = gathered(both + others + last, pupils(4))

    assert [(group.letter, [pupil.id for pupil in group.pupils]) for group in groups] == [
        ("m", [1, 4]),
        ("b", [2, 3]),
    ]


def test_letters_of_one_movement_family_share_a_table_where_no_letter_is_shared():
    attempts = tries(1, "n", *[Kind.START] * 3) + tries(2, "h", *[Kind.START] * 3)
    (group,), alone = gathered(attempts, pupils(2), over)

    assert (group.letters, group.letter, group.family) == (("h", "n"), "h, n", OVER.name)
    assert (group.times, group.tries, alone) == (6, 6, ())
    assert gathered(attempts, pupils(2))[0] == ()


def test_one_letter_is_the_plainer_lesson_when_all_share_it():
    attempts = [attempt for pupil in (1, 2) for attempt in tries(pupil, "n", *[Kind.START] * 4)]
    attempts += tries(1, "h", Kind.START, Kind.START, good=1)
    (group,), _ = gathered(attempts, pupils(2), over)

    assert (group.letters, group.family) == (("n",), "")


def test_letters_of_two_families_do_not_share_a_table():
    attempts = tries(1, "n", *[Kind.START] * 3) + tries(2, "o", *[Kind.START] * 3)

    assert gathered(attempts, pupils(2), lambda _: [OVER, Family("round", ("o",))])[0] == ()


def test_another_letter_in_place_of_it_comes_before_the_movements_that_follow_from_it():
    """Whoever writes u for a begins where a u begins; the mark of a start would mend nothing."""
    u_for_a = [
        attempt(1, "a", Kind.LETTER, *[Kind.START] * (day < 2), instead="u", day=day) for day in range(3)
    ]
    start = tries(2, "b", *[Kind.START] * 5)

    assert [(need.letter, need.kind, need.instead) for need in gathered(u_for_a + start, pupils(2))[1]] == [
        ("a", Kind.LETTER, ("u",)),
        ("b", Kind.START, ()),
    ]


def test_another_letter_is_worth_a_group_as_much_as_a_movement():
    """In one of two groups at most, they are taught the letter, not its size."""
    attempts = [
        attempt(pupil, letter, kind, day=day)
        for pupil in (1, 2)
        for letter, kind, times in (("a", Kind.LETTER, 3), ("b", Kind.SIZE, 5))
        for day in range(times)
    ]
    (group,), _ = gathered(attempts, pupils(2))

    assert (group.letter, group.kind) == ("a", Kind.LETTER)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.integers(1, 12),
            st.sampled_from("bhmnao"),
            st.integers(2, 5),
            st.dictionaries(st.sampled_from(list(Kind)), st.integers(1, 5), max_size=3),
        ),
        max_size=40,
        unique_by=lambda drawn: drawn[:2],
    ),
    st.integers(1, 4),
)
def test_no_need_of_any_class_is_forgotten_or_told_twice(drawn, groups):
    """Each is in one group, alone, or waiting for another day; the need of each pupil at each letter."""
    every = [replace(pupil, group=f"Group {pupil.id % groups}") for pupil in pupils(12)]
    lately = [
        Lately(pupil, letter, tries, 0, {kind: min(times, tries) for kind, times in kinds.items()})
        for pupil, letter, tries, kinds in drawn
    ]
    result = gathering.gathered(lately, every, over)

    needs = [need for group in result.groups for need in group.needs] + [*result.alone, *result.waiting]
    needed = {
        (shown.pupil, shown.letter)
        for shown in lately
        if shown.tries >= ENOUGH and max(shown.kinds.values(), default=0) >= max(AGAIN, shown.tries / 2)
    }
    assert sorted((need.pupil.id, need.letter) for need in needs) == sorted(needed)


def test_a_pupil_of_a_group_keeps_what_is_shared_with_others_for_another_day():
    """The letter b is shared with a pupil who is gathered for m; it stood nowhere."""
    both = [*tries(1, "m", *[Kind.START] * 5), *tries(1, "b", Kind.START, Kind.START, good=1)]
    others = [*tries(2, "m", *[Kind.START] * 5), *tries(2, "b", Kind.START, Kind.START, good=1)]
    result = gathering.gathered(reckoning.counts(both + others, pupils(2)).lately, pupils(2))

    assert [group.letter for group in result.groups] == ["m"]
    assert [(need.pupil.id, need.letter) for need in result.waiting] == [(1, "b"), (2, "b")]


def test_only_four_tables_are_laid_and_what_is_left_waits():
    written = [(pupil, letter) for at, letter in enumerate("bhmnac") for pupil in (2 * at + 1, 2 * at + 2)]
    attempts = [attempt for pupil, letter in written for attempt in tries(pupil, letter, *[Kind.START] * 3)]
    result = gathering.gathered(reckoning.counts(attempts, pupils(12)).lately, pupils(12))

    assert (len(result.groups), result.alone, len(result.waiting)) == (MOST_GROUPS, (), 4)


def test_the_same_needs_give_the_same_groups_in_whatever_order_they_come():
    attempts = [
        attempt
        for pupil in range(1, 13)
        for attempt in tries(pupil, "bhmnac"[pupil % 5], *[(Kind.START, Kind.SIZE)[pupil % 2]] * 3)
    ]
    lately = reckoning.counts(attempts, pupils(12)).lately

    once = gathering.gathered(lately, pupils(12), over)
    assert gathering.gathered(lately[::-1], pupils(12)[::-1], over) == once
