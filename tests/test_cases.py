"""Cases in one test: all of them run, and each that fails is named."""

from __future__ import annotations

import pytest

from tests.cases import for_each


def test_all_cases_run_and_each_that_fails_is_named() -> None:
    seen = []

    @for_each("number, letter", [(1, "a"), (2, "b"), (3, "c"), (4, "d")])
    def check(number: int, letter: str) -> None:
        seen.append(letter)
        if number == 4:
            pytest.skip("not here")
        assert number % 2, "it is even"

    with pytest.raises(AssertionError) as raised:
        check()

    assert seen == ["a", "b", "c", "d"]
    count, *lines = str(raised.value).splitlines()
    assert count.startswith("2 of 4 cases failed")
    assert [line.split(":")[0] for line in lines if "'" in line] == ["2, 'b'", "4, 'd'"]
    assert raised.value.__cause__ is not None


def test_no_cases_are_refused_and_so_is_a_name_that_the_test_does_not_take() -> None:
    with pytest.raises(ValueError, match="tests nothing"):
        for_each("letter", [])

    @for_each("digit", [1])
    def check(letter: str) -> None:
        assert letter

    with pytest.raises(AssertionError, match="1 of 1 cases failed"):
        check()


@for_each("letter", ["a", "b"], ids=["first", "second"])
@for_each("number", [1, 2, 3])
def test_cases_of_cases_take_the_fixtures_of_the_test(letter: str, number: int, request: object) -> None:
    assert isinstance(request, pytest.FixtureRequest)
    assert letter in "ab"
    assert number < 4
