"""How is one of the tables in shared/ read?

A table is a CSV file: first `# title; source; unit; date`, then the column names, then one row a record. A table is
taken whole or not at all: every bad place is collected and named by line and column.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from journal import units
from journal.errors import BadInput, BadRows, Problem
from journal.places import folder

if TYPE_CHECKING:
    from pathlib import Path

R = TypeVar("R")
Read = Callable[[str], Any]


class Mark(StrEnum):
    """How far a row may be trusted, strongest first."""

    PUBLISHED = "published"
    COMPUTED = "computed"
    PRACTICE = "common practice"
    ASSUMPTION = "starting assumption"
    MEMORY = "from memory"


@dataclass(frozen=True, slots=True)
class Heading:
    """The first line of a table: what it is, where it comes from, in what unit, of which date."""

    title: str
    source: str
    unit: str
    date: str


@dataclass(frozen=True, slots=True)
class Shape(Generic[R]):
    """What a table must look like.

    Attributes:
        file: its name in shared/.
        columns: how each column's text becomes a value; the record is built from these by name.
        build: makes the record.
        key: what must be unique in the table.
    """

    file: str
    columns: Mapping[str, Read]
    build: Callable[..., R]
    key: Callable[[R], object]

    @property
    def all_columns(self) -> tuple[str, ...]:
        """Column names in order; every table ends with where the row comes from and how far to trust it."""
        return (*self.columns, "source", "mark")


def load(path: Path, shape: Shape[R]) -> tuple[R, ...]:
    """Records of one table, in the order of its rows.

    Raises:
        BadRows: naming every bad place; nothing is taken.
        FileNotFoundError: when the file is not there.
    """
    problems: list[Problem] = []
    lines = _lines(path, problems)
    _check_head(lines[:2], shape, problems)
    records = [] if problems else list(_records(lines[2:], shape, problems))
    if problems:
        raise BadRows(path.name, problems)
    return tuple(records)


def load_shared(shape: Shape[R]) -> tuple[R, ...]:
    """Records of the project's own copy of a table."""
    return load(folder("shared") / shape.file, shape)


def in_nm(build: Callable[..., R], *columns: str) -> Callable[..., R]:
    """The same maker of records, giving the lengths of `columns`, written in trade units, to fields in nanometres."""

    def make(**cells: object) -> R:
        return build(**{f"{name}_nm" if name in columns else name: value for name, value in cells.items()})

    return make


def by_key(records: Collection[R], key: Callable[[R], str]) -> Mapping[str, R]:
    """Records by their key, in table order; cannot be changed."""
    return MappingProxyType({key(record): record for record in records})


def heading(path: Path) -> Heading:
    """The first line of a table.

    Raises:
        BadInput: when it is not `# title; source; unit; date`.
    """
    with path.open(encoding="utf-8") as file:
        return _heading(file.readline())


def _heading(line: str) -> Heading:
    parts = [part.strip() for part in line.removeprefix("#").split(";")]
    if not line.startswith("#") or len(parts) != 4 or not all(parts):
        raise BadInput("first line", line.strip(), "# title; source; unit; date")
    return Heading(*parts)


def _lines(path: Path, problems: list[Problem]) -> list[tuple[int, list[str]]]:
    """The heading (uncut) and the rows, each with its 1-based line."""
    try:
        with path.open(encoding="utf-8", newline="") as file:
            first = file.readline().rstrip("\r\n")
            reader = csv.reader(file, strict=True)
            return [(1, [first]), *((reader.line_num + 1, row) for row in reader)]
    except UnicodeDecodeError as error:
        problems.append(Problem(1, "", f"not UTF-8 text: {error.reason}; save it as UTF-8"))
    except csv.Error as error:
        problems.append(Problem(reader.line_num + 1, "", f"not readable as CSV: {error}; check the quotes"))
    return []


def _check_head(head: list[tuple[int, list[str]]], shape: Shape[R], problems: list[Problem]) -> None:
    if problems:
        return
    try:
        _heading(head[0][1][0])
    except BadInput as error:
        problems.append(Problem(1, "", _complaint(error)))
    names = [name.strip() for name in head[1][1]] if len(head) > 1 else []
    problems.extend(
        Problem(2, name, f"{names.count(name)} columns of this name where one is expected")
        for name in shape.all_columns
        if names.count(name) != 1
    )
    problems.extend(Problem(2, name, "unknown column") for name in names if name not in shape.all_columns)
    if not problems and tuple(names) != shape.all_columns:
        problems.append(Problem(2, "", f"expected the columns in this order: {', '.join(shape.all_columns)}"))


def _records(lines: list[tuple[int, list[str]]], shape: Shape[R], problems: list[Problem]) -> Iterator[R]:
    if not lines:
        problems.append(Problem(3, "", "the table has no rows"))
    first_seen: dict[object, int] = {}
    for line, row in lines:
        record = _record(line, row, shape, problems)
        if record is None:
            continue
        key = shape.key(record)
        if key in first_seen:
            column = next(iter(shape.columns))
            problems.append(Problem(line, column, f"the same as line {first_seen[key]}; each may stand once"))
        first_seen.setdefault(key, line)
        yield record


def _record(line: int, row: list[str], shape: Shape[R], problems: list[Problem]) -> R | None:
    names = shape.all_columns
    if len(row) != len(names):
        problems.append(Problem(line, "", f"{len(row)} cells where the heading has {len(names)}"))
        return None
    before = len(problems)
    values: dict[str, Any] = {}
    reads: dict[str, Read] = {**shape.columns, "source": text, "mark": mark}
    for name, cell in zip(names, row, strict=True):
        try:
            values[name] = reads[name](cell.strip())
        except BadInput as error:
            problems.append(Problem(line, name, _complaint(error)))
    if len(problems) > before:
        return None
    try:
        return shape.build(**values)
    except BadInput as error:
        problems.append(Problem(line, error.field, _complaint(error)))
        return None


def _complaint(error: BadInput) -> str:
    """What was read and expected, without the name of the place, which the problem carries itself."""
    return str(error).removeprefix(f"{error.field}: ")


# Readers of one cell; each refuses with BadInput.


def text(cell: str) -> str:
    """Text that must be there."""
    if not cell:
        raise BadInput("cell", cell, "some text")
    return cell


def note(cell: str) -> str:
    """Text that may be missing."""
    return cell


def words(cell: str) -> tuple[str, ...]:
    """Words separated by `|`, none or more."""
    return tuple(word.strip() for word in cell.split("|") if word.strip())


def yes_no(cell: str) -> bool:
    """`yes` or `no`."""
    if cell not in ("yes", "no"):
        raise BadInput("cell", cell, "yes or no")
    return cell == "yes"


def mark(cell: str) -> Mark:
    """One of the marks."""
    if cell not in tuple(Mark):
        raise BadInput("mark", cell, ", ".join(Mark))
    return Mark(cell)


def number(cell: str) -> float:
    """A number, zero or more, finite."""
    try:
        value = float(cell)
    except ValueError:
        raise BadInput("cell", cell, "a number") from None
    if not math.isfinite(value) or value < 0:
        raise BadInput("cell", cell, "a number, zero or more")
    return value


def positive(cell: str) -> float:
    """A number above zero, finite."""
    value = number(cell)
    if value == 0:
        raise BadInput("cell", cell, "a number above zero")
    return value


def whole(cell: str) -> int:
    """A whole number, zero or more."""
    if not (cell.isascii() and cell.isdigit()):
        raise BadInput("cell", cell, "a whole number, zero or more")
    return int(cell)


def length(cell: str) -> int:
    """A length in nanometres above zero, written as the trade does: `1 1/2`, `23/32 in`, `8 ft`, `18 mm`."""
    return units.parse_length(cell)


def optional(read: Read) -> Read:
    """The same reader, with None for an empty cell."""
    return lambda cell: read(cell) if cell else None


def one_of(what: str, known: Callable[[], Collection[str]]) -> Read:
    """A reader of one word that must be known, such as the code of another table's row."""

    def read(cell: str) -> str:
        if cell not in known():
            raise BadInput(what, cell, f"a known {what}: {', '.join(known())}")
        return cell

    return read


def each_of(what: str, known: Callable[[], Collection[str]]) -> Read:
    """A reader of words separated by `|`, each of which must be known."""
    read_one = one_of(what, known)
    return lambda cell: tuple(read_one(word) for word in words(cell))
