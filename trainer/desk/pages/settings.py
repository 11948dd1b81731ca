"""The settings: how practice goes, how long ink is kept, the passphrase, and where everything lies."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import timedelta
from math import ceil

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from trainer.desk.access.login import welcome
from trainer.desk.access.passphrase import LONGEST as LONGEST_PASSPHRASE
from trainer.desk.access.passphrase import SHORTEST as SHORTEST_PASSPHRASE
from trainer.desk.access.passphrase import passphrase
from trainer.desk.access.sessions import COOKIE
from trainer.desk.desk import desk
from trainer.desk.pages import recheck
from trainer.desk.pages.recheck import give_up, running
from trainer.errors import UsageError
from trainer.language import clock_words, day_words, sentence, size_words, text
from trainer.places import is_address
from trainer.record import LONGEST_INK_DAYS, Backup
from trainer.teaching import LONGEST, SHORTEST, STAGES, USUAL, VOLUMES, Rules

BACKUPS = 7
"""Days whose backups stay, of those that the page makes."""

page = Blueprint("settings", __name__)
page.register_blueprint(recheck.page)


@page.get("/settings")
def show() -> str:
    """All settings as they are."""
    return _page()


@page.post("/settings/practice")
def practice() -> tuple[str, int] | Response:
    """Keep the rules for practice."""
    form = request.form
    minutes = form.get("minutes", "").strip()
    if not (minutes.isdecimal() and len(minutes) < 4 and SHORTEST <= int(minutes) <= LONGEST):
        wrong = text("settings.practice.wrong", shortest=SHORTEST, longest=LONGEST)
        return _page(typed=form.to_dict(), wrong={"minutes": wrong}), 422
    stage = form.get("stage", "")
    volume, settings = form.get("volume", ""), desk().record.settings
    rules = replace(
        Rules.of(settings),
        stage=stage if stage in STAGES else Rules().stage,
        minutes=int(minutes),
        motion=form.get("motion") != "off",
        sound=form.get("sound") != "off",
        volume=volume if volume in VOLUMES else Rules().volume,
    )
    rules.keep(settings)
    give_up()  # it judges by the rules of before
    flash(text("settings.practice.kept"))
    return redirect(url_for("settings.show"), 303)


@page.post("/settings/ink")
def ink() -> tuple[str, int] | Response:
    """Keep how long ink is kept. A shorter time erases ink at once, so that is asked back first."""
    record, now = desk().record, desk().now()
    typed = request.form.get("days", "").strip()
    if not (typed.isdecimal() and len(typed) < 6 and 1 <= int(typed) <= LONGEST_INK_DAYS):
        wrong = text("settings.ink.wrong", longest=LONGEST_INK_DAYS)
        return _page(typed={"days": typed[:20]}, wrong={"days": wrong}), 422
    days = int(typed)
    oldest = now - timedelta(days=days)
    going = record.ink.count_before(oldest)
    if going and request.form.get("sure") != typed:
        ask = text("settings.ink.ask", count=f"{going:,}", day=day_words(oldest, year=True))
        return _page(typed={"days": typed}, ask=ask), 422
    record.ink.keep_days = days
    erased = record.ink.forget_old(now, certain=True)
    said = [text("settings.ink.kept", days=days)]
    if erased:
        said.append(text("settings.ink.erased", count=f"{erased:,}"))
    flash(" ".join(said))
    return redirect(url_for("settings.show"), 303)


@page.post("/settings/ink/today")
def today() -> Response:
    """The teacher says that this machine's day is right: ink past its time is erased."""
    now = desk().now()
    if request.form.get("day") == now.astimezone().date().isoformat():
        flash(text("settings.ink.erased", count=f"{desk().record.ink.forget_old(now, certain=True):,}"))
    return redirect(url_for("settings.show"), 303)


@page.post("/settings/backup")
def back_up() -> Response:
    """Write today's backup into a folder beside the letters, over one of today."""
    from trainer.record import backup

    made, _ = backup.back_up_daily(desk().record, desk().backups, BACKUPS, now=desk().now())
    flash(text("settings.place.backed_up", file=made.file))
    return redirect(url_for("settings.show"), 303)


@page.post("/settings/passphrase")
def change_passphrase() -> tuple[str, int] | Response:
    """Change the passphrase; every other session ends. Guesses at the old one are slowed, those of this
    browser alone."""
    secret, now, form, lane = passphrase(), desk().now(), request.form, request.cookies.get(COOKIE, "")
    if wait := secret.wait(now, lane):
        seconds = ceil(wait.total_seconds())
        return _page(wrong={"old": text("desk.login.wait", seconds=seconds)}), 429
    if not secret.fits(form.get("old_passphrase", ""), now, lane):
        return _page(wrong={"old": text("desk.login.wrong")}), 422
    new = form.get("new_passphrase", "")
    if new != form.get("again", ""):
        return _page(wrong={"new": text("desk.first.differ")}), 422
    try:
        secret.set(new)
    except UsageError as error:
        return _page(wrong={"new": sentence(error)}), 422
    welcome(alone=True)
    flash(text("settings.passphrase.changed"))
    return redirect(url_for("settings.show"), 303)


def _page(
    *, typed: Mapping[str, str] | None = None, wrong: Mapping[str, str] | None = None, ask: str = ""
) -> str:
    """The page as things are, with what was typed in the form that could not be kept."""
    record, now = desk().record, desk().now()
    rules = Rules.of(record.settings)
    current = {
        "stage": rules.stage,
        "minutes": str(rules.minutes),
        "motion": "on" if rules.motion else "off",
        "sound": "on" if rules.sound else "off",
        "volume": rules.volume,
        "days": str(record.ink.keep_days),
    }
    return render_template(
        "settings/show.html",
        typed={**current, **(typed or {})},
        wrong=wrong or {},
        ask=ask,
        doubtful=record.ink.doubtful(now),
        today=now.astimezone().date(),
        today_words=day_words(now, year=True),
        stages=STAGES,
        volumes=tuple(VOLUMES),
        minutes=(SHORTEST, LONGEST, USUAL),
        longest_days=LONGEST_INK_DAYS,
        shortest=SHORTEST_PASSPHRASE,
        longest=LONGEST_PASSPHRASE,
        place=record.place,
        backups=0 if is_address(record.place) else BACKUPS,  # a server's are made where it stands
        size=size_words(record.upkeep.size),
        backup=_backup_words(record.upkeep.last_backup),
        means=text("settings.place.server_means" if is_address(record.place) else "settings.place.means"),
        letters=desk().letters_folder,
        run=running(),
    )


def _backup_words(backup: Backup | None) -> str:
    """When the last backup was made, how large it was, and where it lies."""
    if backup is None:
        return text("record.backup.none")
    return text(
        "record.backup.last",
        day=day_words(backup.at, year=True),
        time=clock_words(backup.at),
        size=size_words(backup.size),
        file=backup.file,
    )
