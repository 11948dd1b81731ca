"""The figures of an evaluation as text for people and as JSON for programs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from typing import Any

from strokes.evaluation.results import OBSERVED, Results
from strokes.intervals import Share
from strokes.kinds import Kind


def as_json(results: Results) -> dict[str, Any]:
    """Every figure, for programs."""
    names = (
        "agreement",
        "agreement_by",
        "unobserved",
        "acceptance",
        "acceptance_by",
        "refused",
        "fault",
        "faults",
        "faults_by",
        "faults_told",
        "faults_noticed",
        "faults_missed",
        "undamaged",
        "identity",
        "identity_by",
        "confusions",
        "hands",
        "flips",
        "flips_of_accepted",
    )
    figures = {name: _plain(getattr(results, name)) for name in names}
    return {"samples": len(results.trials), "seconds": round(results.seconds, 2), **figures}


def _plain(value: Any) -> Any:
    if isinstance(value, Share):
        low, high = value.interval
        return {
            "good": value.good,
            "tries": value.tries,
            "share": round(value.share, 5),
            "low": round(low, 5),
            "high": round(high, 5),
            "writers": value.writers,
            "by_writer": round(value.by_writer, 5),
        }
    if isinstance(value, Mapping):
        return {name: _plain(entry) for name, entry in value.items()}
    return value


HEADING = f"{'':<40} {'good':>6} {'of':>6}  {'share':>7}  {'95% interval':>15}  {'mean of writers':>15}"


def as_text(results: Results) -> str:
    """The tables, in 100 columns."""
    parts = [
        f"{len(results.trials)} samples in {results.seconds:.0f} s; the table of formations accepts"
        f" {len(results.accepted)} of them.",
        _table(
            "Agreement with what the ink does", {OBSERVED[Kind(k)]: v for k, v in results.agreement.items()}
        ),
        _counted("Not plain enough to be observed", results.unobserved),
        _table("Acceptance: formed, of what the table accepts", {"all": results.acceptance}),
        _table("Acceptance, by letter", dict(sorted(results.acceptance_by.items()))),
        _table(
            "Faults: told by the right kind, and silence before", {**results.faults, "all": results.fault}
        ),
        _table("Faults: told by the right kind, whatever was said before", results.faults_told),
        _table("Faults: anything found at all", results.faults_noticed),
        _counted("Told instead", dict(list(results.faults_missed.items())[:30])),
        _counted("Faults not applied", results.undamaged),
        _table("Identity", {"all": results.identity}),
        _table("Identity, by letter", dict(sorted(results.identity_by.items()))),
        _counted("The ten worst confusions", dict(list(results.confusions.items())[:10])),
        _confusion_table(results),
        *(
            _table(f"Written as left-handers often do, hand {name}", each)
            for name, each in results.hands.items()
        ),
        _table("Verdicts that flip", results.flips),
        _table("Verdicts that flip, of changed ink that the table still accepts", results.flips_of_accepted),
    ]
    return "\n\n".join(part for part in parts if part)


def _table(title: str, shares: Mapping[str, Share]) -> str:
    return (
        "\n".join([title, HEADING, *(_line(name, share) for name, share in shares.items())]) if shares else ""
    )


def _line(name: str, share: Share) -> str:
    low, high = share.interval
    return (
        f"{name:<40} {share.good:>6} {share.tries:>6}  {share.share:>7.2%}  {low:>7.2%}-{high:>7.2%}"
        f"  {share.by_writer:>7.2%} of {share.writers:>4}"
    )


def _counted(title: str, counts: Mapping[str, int]) -> str:
    return "\n".join([title, *(f"{count:>7}  {name}" for name, count in counts.items())]) if counts else ""


def _confusion_table(results: Results) -> str:
    """Rows are letters, columns the names they were given; a dot for none."""
    counts = Counter((trial.letter, trial.named) for trial in results.trials)
    letters = sorted({name for trial in results.trials for name in (trial.letter, trial.named)})
    rows = ["  " + "".join(f"{name:>4}" for name in letters)]
    for letter in letters:
        cells = (counts[letter, name] for name in letters)
        rows.append(f"{letter:<2}" + "".join(f"{count or '.':>4}" for count in cells))
    return "\n".join(["Confusion table: rows are letters, columns the names they were given", *rows])
