"""The page over all finished jobs, and its tables as CSV."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from io import StringIO
from typing import TYPE_CHECKING

from flask import Blueprint, Response, abort, render_template, request

from journal.desk import across as desk
from journal.desk.across import By, Group, Job
from journal.records.keeping.cells import as_text
from journal.web.across.picture import Scatter, scatter
from journal.web.state import journal, reading

if TYPE_CHECKING:
    from collections.abc import Sequence

    from flask.typing import ResponseReturnValue

bp = Blueprint("across", __name__, url_prefix="/across", template_folder="templates")

_SHOWN = 60
_LONGEST = 200


@dataclass(frozen=True, slots=True)
class Choice:
    """A filter: what may be chosen, and what is."""

    by: By
    names: tuple[str, ...]
    chosen: str | None


@dataclass(frozen=True, slots=True)
class AcrossPage:
    """What across/index.html receives.

    Attributes:
        any_job: there is a finished job at all.
        choices: the filters; asked: those in force, for the addresses of the CSV files.
        tables: one a way of putting jobs together.
        jobs: the newest of those found; found: how many that is.
        picture: hours agreed and taken; None without any.
    """

    any_job: bool
    choices: tuple[Choice, ...]
    asked: dict[str, str]
    tables: tuple[tuple[By, tuple[Group, ...]], ...]
    jobs: tuple[Job, ...]
    found: int
    picture: Scatter | None


@bp.get("/")
def index() -> ResponseReturnValue:
    """All finished jobs, or those the filters leave."""
    everything, asked = _all(), _asked()
    found = desk.narrowed(everything, asked)
    page = AcrossPage(
        any_job=bool(everything),
        choices=tuple(Choice(by, tuple(sorted({job.of(by) for job in everything})), asked.get(by)) for by in By),
        asked={by.value: name for by, name in asked.items()},
        tables=tuple((by, desk.grouped(found, by)) for by in By),
        jobs=found[:_SHOWN],
        found=len(found),
        picture=scatter(found),
    )
    return render_template("across/index.html", page=page)


@bp.get("/<name>.csv")
def table(name: str) -> ResponseReturnValue:
    """One table as CSV: `jobs`, or a way of putting them together."""
    found = desk.narrowed(_all(), _asked())
    if name == "jobs":
        return _csv(name, desk.heads(Job), found)
    if name not in set(By):
        abort(404)
    return _csv(name, desk.heads(Group), desk.grouped(found, By(name)))


def _all() -> tuple[Job, ...]:
    with reading() as session:
        return desk.jobs(session, journal().today())


def _asked() -> dict[By, str]:
    """The filters; a name of "-" stands for those nobody said it of, an empty one for all."""
    given = {by: request.args.get(by.value, "")[:_LONGEST] for by in By}
    return {by: "" if name == "-" else name for by, name in given.items() if name}


def _csv(name: str, columns: Sequence[str], rows: Sequence[Job | Group]) -> Response:
    """Cells as everywhere: no text of them can run as a formula; numbers stay numbers."""
    out = StringIO()
    writer = csv.writer(out)
    writer.writerow(columns)
    writer.writerows([as_text(getattr(row, column)) for column in columns] for row in rows)
    answer = Response(out.getvalue(), mimetype="text/csv")
    answer.headers["Content-Disposition"] = f'attachment; filename="{name}.csv"'
    return answer
