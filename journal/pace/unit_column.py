"""The unit column of a log or a plan: quantities brought to the units of the book, what cannot be brought is refused.

A file without such a column is in the book's units. In a file with one, a row may leave it blank only as long as no other
row of its operation names another unit than the book's: two units for one operation, one of them unsaid, is a guess.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from journal.errors import Problem
from journal.pace.cells import read_unit, units_of
from journal.pace.evidence import Words

if TYPE_CHECKING:
    import pandas as pd

    from journal.pace.model import Book, BookPace
    from journal.pace.table_file import Table

COLUMN = "unit"


def in_book_units(table: Table, book: Book, quantity: pd.Series) -> pd.Series:
    """The quantities in the book's units; rows whose unit is refused are told to the table.

    Args:
        table: with the columns operation and unit.
        book: the operations known; others are refused elsewhere.
        quantity: of each row.
    """
    if COLUMN not in table.present:
        return quantity
    words = Words(book)
    factor = quantity * 0 + 1.0
    others: dict[str, list[str]] = {}  # operation → the units other than the book's that its rows name
    bare: dict[str, list[pd.Index]] = {}
    for (operation, unit_text), group in table.cells.groupby(["operation", COLUMN]):
        rows, text = group.index, str(unit_text)
        kind, code = words.find(str(operation))
        if kind != "operation":
            continue
        if not text:
            bare.setdefault(code, []).append(rows)
            continue
        unit = read_unit(text, book[code].unit)
        if unit is None:
            known = ", ".join(units_of(book[code].unit))
            _refuse(table, rows, f"read “{text}”, expected {known}: {_counted(book[code])}")
        elif unit.factor != 1.0:
            factor.loc[rows] = unit.factor
            others.setdefault(code, []).append(text)
    for code, named in others.items():
        message = f"read nothing, expected a unit: {_counted(book[code])} and other rows are in {', '.join(named)}"
        for rows in bare.get(code, ()):
            _refuse(table, rows, message)
    return quantity * factor


def _counted(entry: BookPace) -> str:
    return f"“{entry.name or entry.code}” is counted in {entry.unit}"


def _refuse(table: Table, rows: pd.Index, message: str) -> None:
    table.problems += [Problem(int(line), COLUMN, message) for line in table.lines[rows]]
