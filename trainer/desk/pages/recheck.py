"""Old ink judged again by the checks of today, a batch a request, so that the desk answers meanwhile."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from flask import Blueprint, Response, current_app, flash, jsonify, redirect, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from strokes.tolerances import Tolerances
from trainer.desk.desk import desk
from trainer.judging.rechecking import Recheck
from trainer.language import text
from trainer.teaching import Rules

page = Blueprint("recheck", __name__)

RUNNING = "recheck"
"""Where the app keeps the run that has begun and is not done."""


@dataclass
class Run:
    """A run, the batches that are left of it, and how many attempts it has judged of how many."""

    recheck: Recheck
    batches: Iterator[int]
    total: int
    done: int = 0


@page.post("/settings/recheck")
def step() -> AnyResponse:
    """Begin a run, or judge its next batch, or give it up."""
    if "stop" in request.form:
        give_up()
        return _answer(None)
    run = running()
    if run is None:
        run = _begun()
    else:
        run.done += next(run.batches, run.total - run.done)
    if run.done < run.total:
        return _answer(run)
    give_up()
    outcome = run.recheck.outcome
    said = [text("recheck.done", judged=outcome.judged, better=outcome.better, worse=outcome.worse)]
    said += [
        text("recheck.unknown", letter=letter, count=count)
        for letter, count in sorted(outcome.unknown.items())
    ]
    if damaged := len(outcome.damaged) + len(outcome.damaged_words):
        said.append(text("settings.recheck.damaged", count=damaged))
    flash(" ".join(said), "recheck")
    return _answer(None)


def running() -> Run | None:
    """The run that has begun and is not done."""
    run: Run | None = current_app.extensions.get(RUNNING)
    return run


def give_up() -> None:
    """Forget the run; what it judged is kept, and a new one goes on from there."""
    current_app.extensions.pop(RUNNING, None)


def _begun() -> Run:
    tolerances = Tolerances.of(Rules.of(desk().record.settings).stage)
    recheck = Recheck(desk().record, desk().alphabets.for_judging, tolerances)
    run = Run(recheck, recheck.steps(), len(recheck))
    current_app.extensions[RUNNING] = run
    return run


def _answer(run: Run | None) -> AnyResponse:
    """How far it is, for the script of the page; the page itself for a browser without scripts."""
    back = url_for("settings.show", _anchor="recheck")
    if request.accept_mimetypes.best != "application/json":
        return redirect(back, 303)
    answer: Response = jsonify(done=run.done, total=run.total) if run else jsonify(finished=back)
    return answer
