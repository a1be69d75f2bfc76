"""What moved a prediction, in one sentence: the book, this shop, how much it rests on, this project so far."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from journal.errors import MissingReference
from journal.units import IN_INCHES, Shown
from journal.working import counted

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date

    from journal.pace.model import Book, BookPace, Calibration, PaceBelief

_DAYS_A_WEEK = 7
_WEEKS_TOLD = 13  # after a quarter of a year, months say it better
_WEEKS_A_MONTH = 52 / 12


def explain(calibration: Calibration, code: str, *, project: str | None = None) -> str:
    """What moved one operation: “book 4.5 min a hole; this shop +12%; 7 logs, newest 5 weeks; this project so far −6%”.

    Args:
        calibration: of `journal.pace.model.fit`.
        code: an operation of its book.
        project: one of the projects it kept; None for one to come.

    Raises:
        MissingReference: no such operation, or a project not kept.
    """
    so_far = None if project is None else calibration.effect("project", project)[0]
    return sentence(calibration.pace(code), calibration.book[code], calibration.today, so_far)


def explain_all(calibration: Calibration, *, project: str | None = None, shown: Shown = IN_INCHES) -> dict[str, str]:
    """The same for every operation of the book, at once, in the units of a shop."""
    kept = ("project", project or "") in calibration.names
    if project is not None and not kept:
        raise MissingReference("kept project", project, [name for kind, name in calibration.names if kind == "project"])
    so_far = calibration.effect("project", project)[0] if project is not None else None
    return sentences(calibration.paces(), calibration.book, calibration.today, so_far, shown=shown)


def sentences(
    beliefs: Iterable[PaceBelief], book: Book, today: date, so_far: float | None = None, *, shown: Shown = IN_INCHES
) -> dict[str, str]:
    """The sentence of each belief, by its operation; see `sentence`."""
    return {belief.code: sentence(belief, book[belief.code], today, so_far, shown=shown) for belief in beliefs}


def sentence(
    belief: PaceBelief, entry: BookPace, today: date, so_far: float | None = None, *, shown: Shown = IN_INCHES
) -> str:
    """The sentence of one belief; `so_far` is the project's own effect, in ln(minutes / what was expected)."""
    parts = [f"book {_book(entry, shown)}", f"this shop {signed(belief.ratio.p50 - 1.0)}", _logs(belief, today)]
    if so_far is not None:
        parts.append(f"this project so far {signed(math.exp(so_far) - 1.0)}")
    return "; ".join(parts)


def signed(share: float) -> str:
    """A share as a signed percentage with a real minus: “+12%”, “−6%”, “±0%”."""
    whole = round(100 * share)
    return f"{'+' if whole > 0 else '−' if whole < 0 else '±'}{abs(whole)}%"


def _book(entry: BookPace, shown: Shown) -> str:
    if entry.pace_minutes:
        return f"{entry.pace_minutes / shown.units_of(entry.unit):.3g} min a {shown.counted_in(entry.unit) or 'unit'}"
    return f"{entry.setup_minutes:.3g} min a set-up"


def _logs(belief: PaceBelief, today: date) -> str:
    if belief.newest is None:
        return "no log yet"
    own, within = belief.logs, belief.stage_logs
    shown = [counted(own, "log")] if own else []
    shown += [f"{within} within its stage"] if within else []
    return f"{', '.join(shown)}, newest {_age(today, belief.newest)}"


def _age(today: date, newest: date) -> str:
    weeks = (today - newest).days / _DAYS_A_WEEK
    if weeks < 1:
        return "this week"
    if weeks < _WEEKS_TOLD:
        return counted(int(weeks), "week")
    return counted(round(weeks / _WEEKS_A_MONTH), "month")
