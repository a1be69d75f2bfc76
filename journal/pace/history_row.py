"""One row of a spreadsheet of past jobs: what each of its cells says, in the book's words and units."""

from __future__ import annotations

from typing import TYPE_CHECKING

from journal.errors import BadInput
from journal.pace.cells import (
    DayOrder,
    DayReader,
    Unit,
    comma_is_decimal,
    find_order,
    read_number,
    read_seconds,
    read_unit,
    units_of,
)
from journal.pace.columns import Role
from journal.pace.evidence import MOST_MINUTES

if TYPE_CHECKING:
    from datetime import date

    from journal.pace.columns import Choices
    from journal.pace.model import BookPace
    from journal.pace.sheet import Sheet

MOST_PEOPLE = 50
LONGEST_NUMBER = 60  # characters of a project's number
LONGEST_TITLE = 200
_MOST_SETUPS = 10_000
_MOST_QUANTITY = 1e9
_FORMULA = ("=", "@", "+")
_YES, _NO = ("yes", "y", "true", "1", "x"), ("", "no", "n", "false", "0", "-")

Cells = tuple[str, ...]


class ZeroTime(BadInput):
    """A time of nothing."""


class RowReader:
    """Reads the rows of one sheet; a method that cannot read a cell raises BadInput with the column's heading."""

    def __init__(self, sheet: Sheet, choices: Choices, today: date, usual_order: DayOrder) -> None:
        self.heads = sheet.heads
        self.prefix = choices.prefix
        self.places: dict[Role, int | None] = {role: choices.place(role) for role in Role}
        self.time_role = Role.MINUTES if choices.place(Role.HOURS) is None else Role.HOURS
        columns = {role: () if place is None else sheet.column(place) for role, place in self.places.items()}
        self.commas = {role: comma_is_decimal(set(cells)) for role, cells in columns.items()}
        found = find_order(columns[Role.DATE], usual_order)
        self.order = found.order if choices.days is DayOrder.FOUND else choices.days
        self.unsure = found.unsure and choices.days is DayOrder.FOUND
        self.days = DayReader(self.order, today)
        self._known_days: dict[str, date] = {}

    def head(self, role: Role) -> str:
        """The heading of a role's column."""
        place = self.places[role]
        return role.value if place is None else self.heads[place]

    def text(self, cells: Cells, role: Role) -> str:
        """The cell of a role; '' when no column has it."""
        place = self.places[role]
        return "" if place is None else cells[place]

    def number(self, cells: Cells) -> str:
        """The project's number, with the prefix before it."""
        number = " ".join(self.text(cells, Role.PROJECT).split())
        if not number:
            raise self._bad(Role.PROJECT, "", "the project's number or name")
        if number.startswith(_FORMULA):
            raise self._bad(Role.PROJECT, number, "plain text; a spreadsheet would run this as a formula")
        if len(self.prefix) + len(number) > LONGEST_NUMBER:
            raise self._bad(Role.PROJECT, number, f"at most {LONGEST_NUMBER - len(self.prefix)} characters")
        return self.prefix + number

    def title(self, cells: Cells) -> str:
        """The project's title; '' when it has none."""
        title = " ".join(self.text(cells, Role.TITLE).split())
        if len(title) > LONGEST_TITLE:
            raise self._bad(Role.TITLE, title, f"at most {LONGEST_TITLE} characters")
        return title

    def day(self, cells: Cells) -> date:
        """The day."""
        text = self.text(cells, Role.DATE)
        if text not in self._known_days:
            try:
                self._known_days[text] = self.days.read(text)
            except BadInput as bad:
                raise self._bad(Role.DATE, text, bad.expected) from bad
        return self._known_days[text]

    def rework(self, cells: Cells) -> bool:
        """Whether it was done again."""
        word = self.text(cells, Role.REWORK).casefold()
        if word not in _YES + _NO:
            raise self._bad(Role.REWORK, word, "yes, no or nothing")
        return word in _YES

    def seconds(self, cells: Cells) -> int | None:
        """The time of one person; None for an empty cell."""
        role = self.time_role
        text = self.text(cells, role)
        if not text:
            return None
        try:
            each = 60.0 if role is Role.HOURS else 1.0
            seconds = read_seconds(text, minutes_each=each, decimal_comma=self.commas[role])
        except BadInput as bad:
            raise self._bad(role, text, bad.expected) from bad
        if seconds == 0:
            raise ZeroTime(self.head(role), text, "a time above zero, or nothing if it is in the stage's row")
        if seconds < 0:
            raise self._bad(role, text, "a time above zero")
        if seconds > 60 * MOST_MINUTES:
            raise self._bad(role, text, "at most 60 hours a row; is the unit right? Else split it by day")
        return seconds

    def people(self, cells: Cells) -> int:
        """How many worked at once; 1 for an empty cell."""
        text = self.text(cells, Role.PEOPLE)
        number = self._whole(Role.PEOPLE, text) if text else 1
        if number is None or not 1 <= number <= MOST_PEOPLE:
            raise self._bad(Role.PEOPLE, text, f"a whole number from 1 to {MOST_PEOPLE}, or nothing for 1")
        return number

    def setups(self, cells: Cells) -> int | None:
        """How often it was set up; None for an empty cell."""
        text = self.text(cells, Role.SETUPS)
        if not text:
            return None
        number = self._whole(Role.SETUPS, text)
        if number is None or not 0 <= number <= _MOST_SETUPS:
            raise self._bad(Role.SETUPS, text, "how often it was set up, a whole number, or nothing for 1")
        return number

    def quantity(self, cells: Cells, entry: BookPace) -> float | None:
        """How much, in the unit of the cells; None for an empty cell."""
        text = self.text(cells, Role.QUANTITY)
        if not text:
            return None
        number = read_number(text, decimal_comma=self.commas[Role.QUANTITY])
        if number is None or not 0 < number < _MOST_QUANTITY:
            raise self._bad(Role.QUANTITY, text, f"how much was done in {entry.unit}, above zero, or nothing")
        return number

    def unit(self, cells: Cells, entry: BookPace) -> Unit | None:
        """The unit of the row; None for an empty cell, which is the book's unit."""
        text = self.text(cells, Role.UNIT)
        if not text:
            return None
        unit = read_unit(text, entry.unit)
        if unit is None:
            known = ", ".join(units_of(entry.unit))
            raise self._bad(Role.UNIT, text, f"{known}: “{entry.name or entry.code}” is counted in {entry.unit}")
        return unit

    def _whole(self, role: Role, text: str) -> int | None:
        number = read_number(text, decimal_comma=self.commas[role])
        return int(number) if number is not None and number == int(number) else None

    def _bad(self, role: Role, received: str, expected: str) -> BadInput:
        return BadInput(self.head(role), received, expected)
