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
    people, enrolled, school_classes = {}, set(), []
    for title, names in classes.items():
        school_classes.append(SchoolClass(f"id of {title}", title))
        for name in names:
            given, _, family = name.partition(" ")
            person = people.setdefault(
                name, Person(f"p{len(people):03}", given, family, leaving=name in leaving)
            )
            enrolled.add((school_classes[-1].id, person.id))
    return Roster(tuple(people.values()), tuple(school_classes), frozenset(enrolled), delta=delta)


def pupil(number, name, group="Quay", *, card=None, archived=False):
    return Pupil(number, name, card or number, "right", group, archived)


def plan(taken, *pupils, **options):
    return changes(taken, pupils, classes=offered(taken), **options)


def new_names(plan):
    return [newcomer.name for newcomer in plan.new]


# Newcomers


def test_everybody_is_new_to_an_empty_record_with_a_card_each():
    planned = plan(roster(Quay=["Nella Aldberg", "Nilo Brant"], Slipway=["Osk Gale"]))

    assert planned.new == (
        Newcomer("Nella", 1, "Quay"),
        Newcomer("Nilo", 2, "Quay"),
        Newcomer("Osk", 1, "Slipway"),
    )
    assert (planned.moves, planned.there, planned.missing) == ((), (), ())


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
    planned = plan(roster(Quay=["Nella Aldberg", "Nella Brant"]), pupil(1, "Nella"))

    assert new_names(planned) == ["Nella A", "Nella B"]
    assert [pupil.name for pupil in planned.missing] == ["Nella"]


def test_long_names_and_titles_are_cut_to_what_the_record_can_hold():
    planned = plan(roster(**{"Q" * 60: [f"{'N' * 60} {'B' * 60}", f"{'N' * 60} {'C' * 60}"]}))

    assert all(
        len(newcomer.name) <= NAME_LENGTH and len(newcomer.group) <= NAME_LENGTH for newcomer in planned.new
    )


def test_a_group_with_more_people_than_cards_shares_them():
    planned = plan(roster(Quay=[f"Child{number} X" for number in range(CARDS + 2)]))

    assert {newcomer.card for newcomer in planned.new} == set(range(1, CARDS + 1))


def test_taken_cards_are_left_to_those_who_have_them():
    planned = plan(roster(Quay=["Nilo Brant"]), pupil(1, "Abel", card=1), pupil(2, "Brida", card=3))

    assert [newcomer.card for newcomer in planned.new] == [2]


# Those who are there


def test_the_same_name_in_the_same_group_is_already_there():
    nella = pupil(1, "nella")
    planned = plan(roster(Quay=["Nella Aldberg"]), nella)

    assert (planned.new, planned.there) == ((), (nella,))


def test_pupils_who_were_told_apart_are_known_again_by_their_longer_names():
    longer, shorter = pupil(1, "Nella A"), pupil(2, "Nella")
    planned = plan(roster(Quay=["Nella Aldberg", "Nella Brant"]), longer, shorter)

    assert (planned.new, planned.there, planned.missing) == ((), (shorter, longer), ())


def test_a_group_keeps_its_spelling():
    planned = plan(roster(quay=["Nella Aldberg", "Nilo Brant"]), pupil(1, "Nella"))

    assert planned.new == (Newcomer("Nilo", 2, "Quay"),)


def test_an_archived_pupil_is_there_too():
    planned = plan(roster(Quay=["Nella Aldberg"]), pupil(1, "Nella", archived=True))

    assert (planned.new, len(planned.there)) == ((), 1)


def test_those_who_are_not_in_the_roster_are_only_listed():
    abel, brida = pupil(1, "Abel"), pupil(2, "Brida", "Pier")
    planned = plan(roster(Quay=["Nella Aldberg"]), abel, brida)

    assert planned.missing == (abel,), "the other group is not in the roster at all"
    assert not planned.moved


def test_nobody_is_missing_from_a_roster_of_changes():
    assert plan(roster(Quay=["Nella Aldberg"], delta=True), pupil(1, "Abel")).missing == ()


def test_those_whom_the_roster_takes_back_are_told_and_stay():
    abel = pupil(1, "Abel")
    planned = plan(roster(Quay=["Abel Aldberg", "Nilo Brant"], leaving=["Abel Aldberg"], delta=True), abel)

    assert (planned.leaving, planned.missing, new_names(planned)) == ((abel,), (), ["Nilo"])


# Moves


def test_a_pupil_of_another_group_may_move_and_keeps_card_and_hand():
    nella = pupil(5, "Nella", "Slipway")
    planned = plan(roster(Quay=["Nella Aldberg"]), nella)

    assert planned.moved == (replace(nella, group="Quay"),)
    assert planned.new == ()


def test_without_the_teacher_s_word_the_child_is_another_one():
    nella = pupil(5, "Nella", "Slipway")
    planned = plan(roster(Quay=["Nella Aldberg"]), nella, same=[])

    assert (planned.moved, new_names(planned)) == ((), ["Nella"])
    assert [(move.pupil, move.same) for move in planned.moves] == [(nella, False)]


def test_two_groups_with_a_pupil_of_that_name_leave_it_open():
    planned = plan(roster(Quay=["Nella Aldberg"]), pupil(1, "Nella", "Slipway"), pupil(2, "Nella", "Pier"))

    assert (planned.moves, new_names(planned)) == ((), ["Nella"])


def test_a_card_that_is_taken_in_the_new_group_gives_way():
    planned = plan(
        roster(Quay=["Abel Aldberg", "Nella Brant"]),
        pupil(1, "Abel", card=1),
        pupil(2, "Nella", "Slipway", card=1),
    )

    assert [pupil.card for pupil in planned.moved] == [2]


def test_a_name_that_is_taken_in_the_new_group_gives_way():
    """The Nella of the group is known as another one, so the one who moves gets a letter more."""
    planned = plan(
        roster(Quay=["Nella Aldberg", "Nella Brant"]),
        pupil(1, "Nella"),
        pupil(2, "Nella B", "Slipway"),
        pupil(3, "Nella A"),
    )

    assert [pupil.name for pupil in planned.there] == ["Nella", "Nella A"]
    assert planned.moves == ()


def test_an_archived_pupil_of_another_group_does_not_move():
    assert plan(roster(Quay=["Nella Aldberg"]), pupil(1, "Nella", "Slipway", archived=True)).moves == ()


def test_two_may_change_places():
    planned = plan(
        roster(Quay=["Nella A"], Slipway=["Nilo B"]), pupil(1, "Nilo"), pupil(2, "Nella", "Slipway")
    )

    assert {(pupil.name, pupil.group) for pupil in planned.moved} == {("Nella", "Quay"), ("Nilo", "Slipway")}
    assert planned.missing == ()


# Classes


def test_a_child_of_two_classes_goes_into_the_first_and_is_told():
    planned = plan(roster(Quay=["Nella Aldberg"], Slipway=["Nella Aldberg", "Nilo Brant"]))

    assert [(newcomer.name, newcomer.group) for newcomer in planned.new] == [
        ("Nella", "Quay"),
        ("Nilo", "Slipway"),
    ]
    assert planned.doubled == ("Nella",)


def test_only_the_chosen_classes_count():
    whole = roster(Quay=["Nella Aldberg"], Slipway=["Nilo Brant"])
    planned = changes(whole, [], classes=whole.classes[:1])

    assert new_names(planned) == ["Nella"]


def test_classes_that_are_groups_already_are_chosen_first_else_all():
    whole = roster(Quay=["Nella Aldberg"], Slipway=["Nilo Brant"])

    assert [school_class.title for school_class in first_choice(whole, [])] == ["Quay", "Slipway"]
    assert [school_class.title for school_class in first_choice(whole, [pupil(1, "Abel", "slipway")])] == [
        "Slipway"
    ]


def test_of_a_school_s_list_no_class_is_chosen_before_the_teacher_says_which():
    school = roster(Quay=[f"Child{n}" for n in range(MANY)], Slipway=["Nella"])

    assert first_choice(school, []) == ()
    assert [school_class.title for school_class in first_choice(school, [pupil(1, "Abel", "Slipway")])] == [
        "Slipway"
    ]


def test_a_class_that_is_taken_back_is_not_offered():
    assert offered(Roster(classes=(replace(QUAY, leaving=True), SLIPWAY))) == (SLIPWAY,)


def test_what_is_shown_and_what_is_confirmed_can_be_told_apart():
    whole = roster(Quay=["Nella Aldberg"])

    assert plan(whole).fingerprint == plan(whole).fingerprint != plan(whole, pupil(1, "Abel")).fingerprint


# Into the record


def take_in(record, taken, **options):
    planned = changes(taken, record.pupils.find(archived=True), classes=offered(taken), **options)
    record.pupils.admit(planned.new, planned.moved)
    return planned


def test_a_roster_from_the_tables_comes_into_the_record(record):
    old = record.pupils.add("Nella", group="Pier", hand="left", card=9)

    take_in(record, parse(tables()))

    assert [(pupil.group, pupil.name) for pupil in record.pupils.find()] == [
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


def applied(pupils, planned):
    """The class list after the changes."""
    moved = {pupil.id: pupil for pupil in planned.moved}
    new = [
        Pupil(len(pupils) + place, newcomer.name, newcomer.card, None, newcomer.group)
        for place, newcomer in enumerate(planned.new)
    ]
    return [moved.get(pupil.id, pupil) for pupil in pupils] + new


name = st.text(alphabet="Aab", min_size=1, max_size=3)
people = st.lists(st.tuples(name, st.text(alphabet="Aab", max_size=3)), max_size=7)
groups = st.sampled_from(["Quay", "Slipway", "Pier"])


@given(st.fixed_dictionaries({"c1": people, "c2": people}), st.lists(st.tuples(name, groups), max_size=6))
def test_any_roster_tells_all_apart_and_changes_nothing_the_second_time(classes, there):
    users = [
        user(f"{own}-{n}", given, family)
        for own, members in classes.items()
        for n, (given, family) in enumerate(members)
    ]
    places = [enrollment(row["sourcedId"], row["sourcedId"][:2]) for row in users]
    taken = parse(tables(users, [school_class("c1", "Quay"), school_class("c2", "Slipway")], places))
    known = dict.fromkeys((called.casefold(), group) for called, group in there)
    pupils = [pupil(number, called, group) for number, (called, group) in enumerate(known)]

    after = applied(pupils, changes(taken, pupils, classes=taken.classes))

    names = [(pupil.name.casefold(), pupil.group) for pupil in after]
    assert len(names) == len(set(names))
    for group, own in (("Quay", "c1"), ("Slipway", "c2")):
        assert sum(pupil.group == group for pupil in after) >= len(classes[own])
    again = changes(taken, after, classes=taken.classes)
    assert (again.new, again.moved) == ((), ())
