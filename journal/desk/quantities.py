"""Quantities the log asks for: time on an operation that is neither in the project's plan nor noted as built.

Such time teaches nothing until somebody says how much was done; it is asked for once, and never guessed.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.desk import paces
from journal.desk.paces import REWORK, logged, shop_book
from journal.desk.remembered import Remembered
from journal.errors import BadInput, MissingReference
from journal.records.queries import plans
from journal.records.queries.plans import BuiltRow
from journal.records.words import ProjectState

if TYPE_CHECKING:
    from datetime import date

    from sqlalchemy.orm import Session

    from journal.pace.model import Book
    from journal.records.queries.log import LoggedRow


@dataclass(frozen=True, slots=True)
class Wanted:
    """A quantity to ask for: whose, of which operation, counted in what; and the time that waits for it.

    `unit` is "" for an operation the book counts by its set-ups alone.
    """

    project_id: int
    project_code: str
    operation: str
    name: str
    unit: str
    minutes: float
    newest: date


_wanted: Remembered[tuple[Wanted, ...]] = Remembered()


def wanted(session: Session) -> tuple[Wanted, ...]:
    """The quantities to ask for, newest first, each operation of a project once; the same journal is read once."""
    return _wanted.of_journal(session, None, lambda: _read(session))


def _read(session: Session) -> tuple[Wanted, ...]:
    book = shop_book(session)
    known = {(row.project_id, row.operation) for row in paces.quantities(session, tuple(ProjectState))}
    minutes: Counter[tuple[int, str]] = Counter()
    newest: dict[tuple[int, str], LoggedRow] = {}
    for row in logged(session):
        key = (row.project_id, row.what)
        if row.by_stage or row.rework or row.set_aside or key in known or row.what not in book or row.what == REWORK:
            continue
        minutes[key] += row.minutes
        newest[key] = row
    found = [_one(row, minutes[key], book) for key, row in newest.items()]
    return tuple(sorted(found, key=lambda one: one.newest, reverse=True))


def _one(row: LoggedRow, minutes: float, book: Book) -> Wanted:
    entry = book[row.what]
    unit = entry.unit if entry.pace_minutes else ""
    return Wanted(row.project_id, row.project_code, row.what, entry.name, unit, minutes, row.on_date)


def say(session: Session, project_id: int, operation: str, quantity: float, setups: int = 1, note: str = "") -> None:
    """Note how much of an operation was built; its time teaches from then on.

    Raises:
        MissingReference: an operation the book does not know.
        BadInput: nothing done, by quantity and set-ups.
    """
    book = shop_book(session)
    if operation not in book:
        raise MissingReference("operation", operation, list(book))
    if book[operation].baseline_minutes(setups, quantity) <= 0:
        raise BadInput(book[operation].name, f"{quantity:g}", "how much was done, above zero")
    plans.put_built(session, project_id, [BuiltRow(operation, quantity, setups, note)])
