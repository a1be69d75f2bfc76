"""A log or a plan read from a file.

Log columns: project, date, operation, quantity, minutes, and if wanted unit, setups and rework. Plan columns: operation,
quantity, and if wanted unit and setups.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from journal.errors import BadInput, BadRows, Problem
from journal.pace.evidence import LogLine, PlanLine, gather
from journal.pace.forecast import find_problems
from journal.pace.table_file import read_table
from journal.pace.unit_column import in_book_units

if TYPE_CHECKING:
    from datetime import date
    from pathlib import Path

    import pandas as pd

    from journal.pace.evidence import Evidence
    from journal.pace.model import Book
    from journal.pace.table_file import Table

_HEADINGS = {
    "project": "project",
    "projects": "project",
    "job": "project",
    "date": "date",
    "day": "date",
    "operation": "operation",
    "operations": "operation",
    "op": "operation",
    "task": "operation",
    "stage": "operation",
    "quantity": "quantity",
    "qty": "quantity",
    "amount": "quantity",
    "unit": "unit",
    "units": "unit",
    "uom": "unit",
    "minutes": "minutes",
    "mins": "minutes",
    "min": "minutes",
    "hours": "hours",
    "hrs": "hours",
    "setups": "setups",
    "set ups": "setups",
    "setup": "setups",
    "set up": "setups",
    "rework": "rework",
    "redone": "rework",
}
_PLAN_HEADINGS = {
    heading: column for heading, column in _HEADINGS.items() if column in ("operation", "quantity", "unit", "setups")
}
_MOST_SHOWN = 200


def read_log_file(path: Path, book: Book, *, today: date | None = None) -> Evidence:
    """The evidence in a log file; nothing is taken if anything in it is wrong.

    Args:
        path: a CSV or tab-separated text.
        book: the operations known.
        today: lines after it are refused.

    Raises:
        BadInput: the file as a whole cannot be read.
        BadRows: some lines cannot be used; all of them are named.
    """
    lines, problems, doubtful = read_log_lines(path, book)
    evidence = gather(lines, book, today=today, doubtful=doubtful)
    _refuse(path.name, [*problems, *evidence.problems])
    return evidence


def read_log_lines(path: Path, book: Book) -> tuple[list[LogLine], list[Problem], set[str]]:
    """The lines of a log file that can be read, the problems of the others, and the projects those may belong to.

    Quantities come in the units of the book.

    Raises:
        BadInput: the file as a whole cannot be read.
    """
    table = read_table(path, ("project", "date", "operation", "quantity"), _HEADINGS)
    if table.present >= {"minutes", "hours"}:
        raise BadInput(f"{path.name}, headings", "minutes, hours", "one of the two; take the other away")
    if not table.present & {"minutes", "hours"}:
        raise BadInput(f"{path.name}, headings", ", ".join(sorted(table.present)), "a column minutes (it may be blank)")
    cells = table.cells
    table.complain(cells["project"] == "", "project", "the project's name")
    table.complain(cells["operation"] == "", "operation", "the code of an operation or a stage")
    days = table.dates("date")
    quantity = table.numbers("quantity", "a number, as 12 or 12.5, or nothing for a stage")
    quantity = in_book_units(table, book, quantity)
    minutes = _minutes(table)
    setups = table.numbers("setups", "a number, or nothing for 1")
    rework = table.yes("rework")
    bad = {problem.line for problem in table.problems}
    time = "hours" if "hours" in table.present else "minutes"
    doubtful = {
        project
        for project, line, cell in zip(cells["project"], table.lines.tolist(), cells[time], strict=True)
        if line in bad and not cell
    }
    records = zip(
        cells["project"], days, cells["operation"], quantity, setups, minutes, rework, table.lines.tolist(), strict=True
    )
    lines = [
        LogLine(project, day.date(), what, _or_none(q), 1.0 if math.isnan(s) else s, _or_none(m), bool(r), line=line)
        for project, day, what, q, s, m, r, line in records
        if line not in bad
    ]
    return lines, table.problems, doubtful


def read_plan_file(path: Path, book: Book) -> list[PlanLine]:
    """The lines of a plan file; nothing is taken if anything in it is wrong.

    Raises:
        BadInput: the file as a whole cannot be read.
        BadRows: some lines cannot be used; all of them are named.
    """
    table = read_table(path, ("operation", "quantity"), _PLAN_HEADINGS)
    cells = table.cells
    table.complain(cells["operation"] == "", "operation", "the code of an operation")
    quantity = table.numbers("quantity", "a number above zero, as 12 or 12.5")
    table.complain(cells["quantity"] == "", "quantity", "a number above zero, as 12 or 12.5")
    quantity = in_book_units(table, book, quantity)
    setups = table.numbers("setups", "a number, or nothing for 1").fillna(1.0)
    bad = {problem.line for problem in table.problems}
    lines = [
        PlanLine(what, float(q), float(s), line)
        for what, q, s, line in zip(cells["operation"], quantity, setups, table.lines.tolist(), strict=True)
        if line not in bad
    ]
    _refuse(path.name, [*table.problems, *find_problems(lines, book)])
    return lines


def _minutes(table: Table) -> pd.Series:
    if "hours" in table.present:
        return table.numbers("hours", "hours as a number, as 1.5, or nothing if they are in the stage's line") * 60.0
    return table.numbers("minutes", "minutes as a number, as 90, or nothing if they are in the stage's line")


def _or_none(value: float) -> float | None:
    return None if math.isnan(value) else float(value)


def _refuse(source: str, problems: list[Problem]) -> None:
    if not problems:
        return
    ordered = sorted(problems, key=lambda problem: problem.line)
    shown = ordered[:_MOST_SHOWN]
    if len(ordered) > len(shown):
        shown.append(Problem(ordered[len(shown)].line, "", f"and {len(ordered) - len(shown)} more from here on"))
    raise BadRows(source, shown)
