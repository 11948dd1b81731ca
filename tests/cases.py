"""Many small cases in one test."""

from __future__ import annotations

import functools
import inspect
from collections.abc import Callable, Iterable, Sequence
from typing import Any

import pytest

Test = Callable[..., None]

FAILURES = (Exception, pytest.fail.Exception, pytest.skip.Exception)
"""What a case may raise. One that is skipped would take the others with it: it fails."""


def for_each(
    names: str | Sequence[str],
    cases: Iterable[Any],
    *,
    ids: Callable[[Any], str] | Sequence[str] | None = None,
) -> Callable[[Test], Test]:
    """As `pytest.mark.parametrize`, but one test runs all cases and then lists those that failed.

    For cases of a few milliseconds: collecting a test in each process and reporting it to the first costs as
    much again. Fixtures of a test are shared by its cases.
    """
    arguments = [name.strip() for name in names.split(",")] if isinstance(names, str) else list(names)
    given = list(cases)
    if not given:
        raise ValueError("a list of cases that is empty tests nothing")
    values = [(case,) if len(arguments) == 1 else tuple(case) for case in given]
    if ids is None:
        called = [", ".join(f"{value!r:.60}" for value in case) for case in values]
    else:
        called = [ids(case) for case in given] if callable(ids) else list(ids)

    def of_all(test: Test) -> Test:
        @functools.wraps(test)
        def run(**fixtures: Any) -> None:
            __tracebackhide__ = True
            failed: dict[str, BaseException] = {}
            for name, case in zip(called, values, strict=True):
                try:
                    test(**fixtures, **dict(zip(arguments, case, strict=True)))
                except FAILURES as failure:
                    failed[name] = failure
            if failed:
                lines = [f"{name}: {failure}" for name, failure in failed.items()]
                count = f"{len(failed)} of {len(given)} cases failed, the first of them as above"
                raise AssertionError("\n".join([count, *lines])) from next(iter(failed.values()))

        signature = inspect.signature(test)
        rest = [parameter for name, parameter in signature.parameters.items() if name not in arguments]
        run.__signature__ = signature.replace(parameters=rest)  # type: ignore[attr-defined]
        del run.__wrapped__  # type: ignore[attr-defined]
        return run

    return of_all
