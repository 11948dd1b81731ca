"""What a roster would change: newcomers, moves and those already there; nobody is ever removed."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.trainer.rosters import enrollment, school_class, tables, user
from trainer.attempt import CARDS, NAME_LENGTH, Newcomer, Pupil
from trainer.errors import PupilError
from trainer.exchange.oneroster import Person, Roster, SchoolClass, parse
from trainer.exchange.roster import MANY, changes, first_choice, offered

QUAY, SLIPWAY = SchoolClass("c1", "Quay"), SchoolClass("c2", "Slipway")


def roster(*, leaving=(), delta=False, **classes):
    """A roster of classes by title, each with the full names of its people."""
    people, enrolled, found = {}, set(), []
    for title, names in classes.items():
        found.append(SchoolClass(f"id of {title}", title))
        for name in names:
            given, _, family = name.partition(" ")
            person = people.setdefault(
                name, Person(f"p{len(people):03}", given, family, leaving=name in leaving)
            )
            enrolled.add((found[-1].id, person.id))
    return Roster(tuple(people.values()), tuple(found), frozenset(enrolled), delta=delta)


def pupil(number, name, group="Quay", *, card=None, archived=False):
    return Pupil(number, name, card or number, "right", group, archived)


def plan(taken, *pupils, **options):
    return changes(taken, pupils, classes=offered(taken), **options)


def new_names(plan):
    return [newcomer.name for newcomer in plan.new]


# Newcomers


def test_everybody_is_new_to_an_empty_record_with_a_card_each():
    found = plan(roster(Quay=["Nella Aldberg", "Nilo Brant"], Slipway=["Osk Gale"]))

    assert found.new == (
        Newcomer("Nella", 1, "Quay"),
        Newcomer("Nilo", 2, "Quay"),
        Newcomer("Osk", 1, "Slipway"),
    )
    assert (found.moves, found.there, found.missing) == ((), (), ())


@pytest.mark.parametrize(
    ("people", "names"),
    [
        (["Nella Aldberg", "Nilo Aldberg"], ["Nella", "Nilo"]),
        (["Nella Aldberg", "Nella Brant"], ["Nella A", "Nella B"]),
        (["Nella Berg", "Nella Brant", "Nella Gale"], ["Nella Be", "Nella Br", "Nella G"]),
        (["Nella Berg", "Nella Bergman"], ["Nella Berg", "Nella Bergm"]),
        (["nella Aldberg", "Nella Brant"], ["Nella B", "nella A"]),
        (["Nella", "Nella Brant"], ["Nella", "Nella B"]),
    ],
)
def test_a_display_name_is_the_given_name_and_as_much_more_as_tells_two_apart(people, names):
    assert sorted(new_names(plan(roster(Quay=people)))) == names


def test_two_of_one_full_name_get_a_number():
    people = (Person("p1", "Nella", "Berg"), Person("p2", "Nella", "Berg"))
    taken = Roster(people, (QUAY,), frozenset({("c1", "p1"), ("c1", "p2")}))

    assert new_names(plan(taken)) == ["Nella", "Nella 2"]


def test_children_of_two_groups_may_have_the_same_display_name():
    assert new_names(plan(roster(Quay=["Nella Aldberg"], Slipway=["Nella Brant"]))) == ["Nella", "Nella"]


def test_a_name_of_a_pupil_who_is_there_is_not_given_again():
    """The record's Nella is Nella Aldberg or Nella Brant: nobody can say, so both are new and she stays."""
    found = plan(roster(Quay=["Nella Aldberg", "Nella Brant"]), pupil(1, "Nella"))

    assert new_names(found) == ["Nella A", "Nella B"]
    assert [one.name for one in found.missing] == ["Nella"]


def test_long_names_and_titles_are_cut_to_what_the_record_can_hold():
    found = plan(roster(**{"Q" * 60: [f"{'N' * 60} {'B' * 60}", f"{'N' * 60} {'C' * 60}"]}))

    assert all(len(one.name) <= NAME_LENGTH and len(one.group) <= NAME_LENGTH for one in found.new)


def test_a_group_with_more_people_than_cards_shares_them():
    found = plan(roster(Quay=[f"Child{number} X" for number in range(CARDS + 2)]))

    assert {one.card for one in found.new} == set(range(1, CARDS + 1))


def test_taken_cards_are_left_to_those_who_have_them():
    found = plan(roster(Quay=["Nilo Brant"]), pupil(1, "Abel", card=1), pupil(2, "Brida", card=3))

    assert [one.card for one in found.new] == [2]


# Those who are there


def test_the_same_name_in_the_same_group_is_already_there():
    nella = pupil(1, "nella")
    found = plan(roster(Quay=["Nella Aldberg"]), nella)

    assert (found.new, found.there) == ((), (nella,))


def test_pupils_who_were_told_apart_are_known_again_by_their_longer_names():
    one, two = pupil(1, "Nella A"), pupil(2, "Nella")
    found = plan(roster(Quay=["Nella Aldberg", "Nella Brant"]), one, two)

    assert (found.new, found.there, found.missing) == ((), (two, one), ())


def test_a_group_keeps_its_spelling():
    found = plan(roster(quay=["Nella Aldberg", "Nilo Brant"]), pupil(1, "Nella"))

    assert found.new == (Newcomer("Nilo", 2, "Quay"),)


def test_an_archived_pupil_is_there_too():
    found = plan(roster(Quay=["Nella Aldberg"]), pupil(1, "Nella", archived=True))

    assert (found.new, len(found.there)) == ((), 1)


def test_those_who_are_not_in_the_roster_are_only_listed():
    abel, brida = pupil(1, "Abel"), pupil(2, "Brida", "Pier")
    found = plan(roster(Quay=["Nella Aldberg"]), abel, brida)

    assert found.missing == (abel,), "the other group is not in the roster at all"
    assert not found.moved


def test_nobody_is_missing_from_a_roster_of_changes():
    assert plan(roster(Quay=["Nella Aldberg"], delta=True), pupil(1, "Abel")).missing == ()


def test_those_whom_the_roster_takes_back_are_told_and_stay():
    abel = pupil(1, "Abel")
    found = plan(roster(Quay=["Abel Aldberg", "Nilo Brant"], leaving=["Abel Aldberg"], delta=True), abel)

    assert (found.leaving, found.missing, new_names(found)) == ((abel,), (), ["Nilo"])


# Moves


def test_a_pupil_of_another_group_may_move_and_keeps_card_and_hand():
    nella = pupil(5, "Nella", "Slipway")
    found = plan(roster(Quay=["Nella Aldberg"]), nella)

    assert found.moved == (replace(nella, group="Quay"),)
    assert found.new == ()


def test_without_the_teacher_s_word_the_child_is_another_one():
    nella = pupil(5, "Nella", "Slipway")
    found = plan(roster(Quay=["Nella Aldberg"]), nella, same=[])

    assert (found.moved, new_names(found)) == ((), ["Nella"])
    assert [(move.pupil, move.same) for move in found.moves] == [(nella, False)]


def test_two_groups_with_a_pupil_of_that_name_leave_it_open():
    found = plan(roster(Quay=["Nella Aldberg"]), pupil(1, "Nella", "Slipway"), pupil(2, "Nella", "Pier"))

    assert (found.moves, new_names(found)) == ((), ["Nella"])


def test_a_card_that_is_taken_in_the_new_group_gives_way():
    found = plan(
        roster(Quay=["Abel Aldberg", "Nella Brant"]),
        pupil(1, "Abel", card=1),
        pupil(2, "Nella", "Slipway", card=1),
    )

    assert [one.card for one in found.moved] == [2]


def test_a_name_that_is_taken_in_the_new_group_gives_way():
    """The Nella of the group is known as another one, so the one who moves gets a letter more."""
    found = plan(
        roster(Quay=["Nella Aldberg", "Nella Brant"]),
        pupil(1, "Nella"),
        pupil(2, "Nella B", "Slipway"),
        pupil(3, "Nella A"),
    )

    assert [one.name for one in found.there] == ["Nella", "Nella A"]
    assert found.moves == ()


def test_an_archived_pupil_of_another_group_does_not_move():
    assert plan(roster(Quay=["Nella Aldberg"]), pupil(1, "Nella", "Slipway", archived=True)).moves == ()


def test_two_may_change_places():
    found = plan(roster(Quay=["Nella A"], Slipway=["Nilo B"]), pupil(1, "Nilo"), pupil(2, "Nella", "Slipway"))

    assert {(one.name, one.group) for one in found.moved} == {("Nella", "Quay"), ("Nilo", "Slipway")}
    assert found.missing == ()


# Classes


def test_a_child_of_two_classes_goes_into_the_first_and_is_told():
    found = plan(roster(Quay=["Nella Aldberg"], Slipway=["Nella Aldberg", "Nilo Brant"]))

    assert [(one.name, one.group) for one in found.new] == [("Nella", "Quay"), ("Nilo", "Slipway")]
    assert found.doubled == ("Nella",)


def test_only_the_chosen_classes_count():
    whole = roster(Quay=["Nella Aldberg"], Slipway=["Nilo Brant"])
    found = changes(whole, [], classes=whole.classes[:1])

    assert new_names(found) == ["Nella"]


def test_classes_that_are_groups_already_are_chosen_first_else_all():
    whole = roster(Quay=["Nella Aldberg"], Slipway=["Nilo Brant"])

    assert [one.title for one in first_choice(whole, [])] == ["Quay", "Slipway"]
    assert [one.title for one in first_choice(whole, [pupil(1, "Abel", "slipway")])] == ["Slipway"]


def test_of_a_school_s_list_no_class_is_chosen_before_the_teacher_says_which():
    school = roster(Quay=[f"Child{n}" for n in range(MANY)], Slipway=["Nella"])

    assert first_choice(school, []) == ()
    assert [one.title for one in first_choice(school, [pupil(1, "Abel", "Slipway")])] == ["Slipway"]


def test_a_class_that_is_taken_back_is_not_offered():
    assert offered(Roster(classes=(replace(QUAY, leaving=True), SLIPWAY))) == (SLIPWAY,)


def test_what_is_shown_and_what_is_confirmed_can_be_told_apart():
    whole = roster(Quay=["Nella Aldberg"])

    assert plan(whole).fingerprint == plan(whole).fingerprint != plan(whole, pupil(1, "Abel")).fingerprint


# Into the record


def take_in(record, taken, **options):
    found = changes(taken, record.pupils.find(archived=True), classes=offered(taken), **options)
    record.pupils.admit(found.new, found.moved)
    return found


def test_a_roster_from_the_tables_comes_into_the_record(record):
    old = record.pupils.add("Nella", group="Pier", hand="left", card=9)

    take_in(record, parse(tables()))

    assert [(one.group, one.name) for one in record.pupils.find()] == [
        ("Quay", "Nella"),
        ("Quay", "Nilo"),
        ("Slipway", "Osk, the younger"),
    ]
    assert record.pupils.get(old.id) == replace(old, group="Quay")


def test_two_who_change_places_are_written_in_one_go(record):
    nella, other = record.pupils.add("Nella", group="Quay"), record.pupils.add("Nella", group="Slipway")

    record.pupils.admit([], [replace(nella, group="Slipway"), replace(other, group="Quay")])

    assert record.pupils.get(nella.id).group == "Slipway"
    assert record.pupils.get(other.id).group == "Quay"


@pytest.mark.parametrize(
    "bad", [Newcomer("NILO", 3, "Quay"), Newcomer("", 3, "Quay"), Newcomer("Osk", CARDS + 1, "Quay")]
)
def test_it_is_all_or_nothing(record, bad):
    nella = record.pupils.add("Nella", group="Slipway")

    with pytest.raises(PupilError):
        record.pupils.admit([Newcomer("Nilo", 2, "Quay"), bad], [replace(nella, group="Quay")])

    assert record.pupils.find() == (nella,)


def applied(pupils, found):
    """The class list after the changes."""
    moved = {one.id: one for one in found.moved}
    new = [
        Pupil(len(pupils) + place, one.name, one.card, None, one.group) for place, one in enumerate(found.new)
    ]
    return [moved.get(one.id, one) for one in pupils] + new


name = st.text(alphabet="Aab", min_size=1, max_size=3)
people = st.lists(st.tuples(name, st.text(alphabet="Aab", max_size=3)), max_size=7)
groups = st.sampled_from(["Quay", "Slipway", "Pier"])


@given(st.fixed_dictionaries({"c1": people, "c2": people}), st.lists(st.tuples(name, groups), max_size=6))
def test_any_roster_tells_all_apart_and_changes_nothing_the_second_time(classes, there):
    users = [
        user(f"{own}-{n}", given, family)
        for own, found in classes.items()
        for n, (given, family) in enumerate(found)
    ]
    places = [enrollment(row["sourcedId"], row["sourcedId"][:2]) for row in users]
    taken = parse(tables(users, [school_class("c1", "Quay"), school_class("c2", "Slipway")], places))
    known = dict.fromkeys((called.casefold(), group) for called, group in there)
    pupils = [pupil(number, called, group) for number, (called, group) in enumerate(known)]

    after = applied(pupils, changes(taken, pupils, classes=taken.classes))

    told = [(one.name.casefold(), one.group) for one in after]
    assert len(told) == len(set(told))
    for group, own in (("Quay", "c1"), ("Slipway", "c2")):
        assert sum(one.group == group for one in after) >= len(classes[own])
    again = changes(taken, after, classes=taken.classes)
    assert (again.new, again.moved) == ((), ())
