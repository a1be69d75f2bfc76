"""A spreadsheet of past jobs → projects with what was done and how long it took, every row that cannot be used named.

A row is an operation of a project, a stage of a project, or one time entry of either. A row of an operation with a
quantity and no time was logged within its stage. Nothing is dropped without being said.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, TypeVar

from journal.errors import BadInput, Problem
from journal.pace.cells import DayOrder, read_unit
from journal.pace.columns import LEAVE_OUT, Role, word_key
from journal.pace.evidence import shown
from journal.pace.history_row import RowReader, ZeroTime
from journal.pace.history_words import word_uses
from journal.working import counted

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from datetime import date

    from journal.pace.columns import Choices
    from journal.pace.history_row import Cells
    from journal.pace.history_words import WordUse
    from journal.pace.model import Book
    from journal.pace.sheet import Sheet

_DAY_SECONDS = 86_400
_REWORK = "rework"  # the book's allowance; hours under this word were done again
# So many places where an operation's rows all say the same quantity are worth a question.
_ENOUGH_ALIKE = 3

Value = TypeVar("Value")


@dataclass(frozen=True, slots=True)
class PastEntry:
    """Time of one row: of an operation or a stage, `seconds` of each of `people`."""

    line: int
    on: date
    code: str
    by_stage: bool
    seconds: int
    people: int = 1
    rework: bool = False
    note: str = ""

    @property
    def minutes(self) -> float:
        """Of all of them together."""
        return self.seconds * self.people / 60


@dataclass(frozen=True, slots=True)
class PastQuantity:
    """How much of an operation a project held, in the book's unit; `line` is where that was first said."""

    line: int
    code: str
    quantity: float
    setups: int


@dataclass(frozen=True, slots=True)
class PastJob:
    """One project of the sheet."""

    line: int
    number: str
    title: str
    first_on: date
    last_on: date
    entries: tuple[PastEntry, ...]
    quantities: tuple[PastQuantity, ...]


@dataclass(frozen=True, slots=True)
class History:
    """What a sheet holds.

    Attributes:
        jobs: in the order of the sheet; those with bad rows hold only the good ones.
        problems: bad places, by line; while there is one, nothing is to be taken.
        notes: what was understood without being said, and what is left out.
        words: of the work column, the most frequent first; one without a code waits for a decision.
        order: how days without the year in front were read.
        rows, left_out: how many rows; how many of them are left out.
    """

    jobs: tuple[PastJob, ...]
    problems: tuple[Problem, ...]
    notes: tuple[str, ...]
    words: tuple[WordUse, ...]
    order: DayOrder
    rows: int
    left_out: int


def read_history(
    sheet: Sheet,
    choices: Choices,
    book: Book,
    *,
    today: date,
    stage_names: Mapping[str, str],
    usual_order: DayOrder = DayOrder.MONTH_FIRST,
) -> History:
    """Read a sheet as the choices say.

    Args:
        sheet: the table.
        choices: without troubles.
        book: the operations known.
        today: later days are refused.
        stage_names: stage → its name, known beside its code.
        usual_order: of days that could be read either way.

    Raises:
        BadInput: the choices have troubles.
    """
    if choices.troubles():
        raise BadInput("columns", None, " ".join(choices.troubles()))
    words = word_uses(sheet, choices, book, stage_names)
    return _Reader(sheet, choices, book, words, RowReader(sheet, choices, today, usual_order)).read()


@dataclass(frozen=True, slots=True)
class _Amount:
    line: int
    quantity: float
    setups: int | None


@dataclass(slots=True)
class _Job:
    """A project while its rows are read."""

    line: int
    number: str
    title: str = ""
    entries: list[PastEntry] = field(default_factory=list)
    amounts: dict[str, list[_Amount]] = field(default_factory=dict)
    days: list[date] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class _Row:
    """A row whose project, day and work are known."""

    line: int
    cells: Cells
    job: _Job
    on: date
    use: WordUse
    rework: bool


class _Reader:
    """One pass over a sheet; collects problems instead of stopping at the first."""

    def __init__(
        self, sheet: Sheet, choices: Choices, book: Book, words: dict[str, WordUse], reader: RowReader
    ) -> None:
        self.sheet, self.choices, self.book, self.words, self.row = sheet, choices, book, words, reader
        self.problems: list[Problem] = []
        self.zeros: list[Problem] = []
        self.told: Counter[str] = Counter()
        self.jobs: dict[str, _Job] = {}
        self.units: dict[str, Counter[str]] = {}
        self.bare: dict[str, list[int]] = {}

    def read(self) -> History:
        above: Cells | None = None
        for line, cells in zip(self.sheet.lines, self.sheet.rows, strict=True):
            above = self._filled(cells, above) if self.choices.filled_down else cells
            self._take(line, above)
        self._refuse_mixed_units()
        jobs = tuple(self._finished(held) for held in self.jobs.values() if held.days)
        problems = [*self.problems, *self._zero_problems()]
        return History(
            jobs=jobs,
            problems=tuple(sorted(problems, key=lambda problem: problem.line)),
            notes=(*self.sheet.notes, *self._notes()),
            words=tuple(self.words.values()),
            order=self.row.order,
            rows=len(self.sheet.rows),
            left_out=self.told["left out"],
        )

    def _try(self, line: int, read: Callable[..., Value], *given: object) -> Value | None:
        """What a cell says; None when it is empty, or cannot be read, which is then a problem."""
        try:
            return read(*given)
        except BadInput as bad:
            message = f"read {shown(bad.received)}, expected {bad.expected}"
            found = self.zeros if isinstance(bad, ZeroTime) else self.problems
            found.append(Problem(line, bad.field, message))
            return None

    def _bad_so_far(self) -> int:
        return len(self.problems) + len(self.zeros)

    def _filled(self, cells: Cells, above: Cells | None) -> Cells:
        if above is None:
            return cells
        places = {self.row.places[role] for role in (Role.PROJECT, Role.TITLE, Role.DATE)}
        return tuple(above[at] if at in places and not cell else cell for at, cell in enumerate(cells))

    def _take(self, line: int, cells: Cells) -> None:
        written = self.row.text(cells, Role.WORK)
        use = self.words.get(word_key(written))
        if use is None:
            problem = "read nothing, expected the name of an operation or a stage"
            self.problems.append(Problem(line, self.row.head(Role.WORK), problem))
            return
        if use.code == LEAVE_OUT:
            self.told["left out"] += 1
            return
        number = self._try(line, self.row.number, cells)
        on = self._try(line, self.row.day, cells)
        rework = self._try(line, self.row.rework, cells)
        if number is None or on is None or rework is None or not use.code:
            return
        job = self.jobs.setdefault(number.casefold(), _Job(line, number))
        job.title = job.title or self._try(line, self.row.title, cells) or ""
        self._take_amounts(_Row(line, cells, job, on, use, rework or use.code == _REWORK))

    def _take_amounts(self, row: _Row) -> None:
        before = self._bad_so_far()
        seconds = self._try(row.line, self.row.seconds, row.cells)
        people = self._try(row.line, self.row.people, row.cells) or 1
        amount = None if row.use.by_stage else self._amount(row)
        if self._bad_so_far() > before:
            return
        if seconds is None and (amount is None or row.rework):
            what = "the time it took" if row.use.by_stage or row.rework else "a quantity, a time, or both"
            self.problems.append(Problem(row.line, self.row.head(self.row.time_role), f"read nothing, expected {what}"))
            return
        row.job.days.append(row.on)
        if seconds is not None:
            note, code = self.row.text(row.cells, Role.NOTE), row.use.code
            row.job.entries.append(
                PastEntry(row.line, row.on, code, row.use.by_stage, seconds, people, row.rework, note)
            )
        self._tell(row, seconds, amount)
        if amount is not None and not row.rework:
            row.job.amounts.setdefault(row.use.code, []).append(amount)

    def _tell(self, row: _Row, seconds: int | None, amount: _Amount | None) -> None:
        """What of a row is understood without being said."""
        self.told["over a day"] += (seconds or 0) > _DAY_SECONDS
        self.told["rework counted"] += row.rework and amount is not None
        self.told["stage counted"] += row.use.by_stage and bool(self.row.text(row.cells, Role.QUANTITY))

    def _amount(self, row: _Row) -> _Amount | None:
        entry = self.book[row.use.code]
        quantity = self._try(row.line, self.row.quantity, row.cells, entry)
        setups = self._try(row.line, self.row.setups, row.cells)
        if quantity is None:
            return None
        unit = self._try(row.line, self.row.unit, row.cells, entry)
        if unit is None:
            self.bare.setdefault(entry.code, []).append(row.line)
            return _Amount(row.line, quantity, setups)
        self.units.setdefault(entry.code, Counter())[unit.word] += 1
        return _Amount(row.line, quantity * unit.factor, setups)

    def _refuse_mixed_units(self) -> None:
        """Some rows of an operation in metres and others without a unit: nobody can say what those are in."""
        bad = {problem.line for problem in self.problems}
        for code, seen in self.units.items():
            entry = self.book[code]
            others = [word for word in seen if (found := read_unit(word, entry.unit)) and found.factor != 1.0]
            for line in self.bare.get(code, ()) if others else ():
                message = f"read nothing, expected a unit: “{_name(self.book, code)}” is counted in {entry.unit} and other rows are in "
                if line not in bad:
                    self.problems.append(Problem(line, self.row.head(Role.UNIT), message + ", ".join(others)))

    def _zero_problems(self) -> list[Problem]:
        """One sentence instead of the same one for every row, when no row has any time."""
        if not self.zeros or any(job.entries for job in self.jobs.values()):
            return self.zeros
        first = self.zeros[0]
        count = counted(len(self.zeros), "row")
        message = f"all {count} with a time say zero; is the time in another column than “{first.column}”?"
        return [Problem(first.line, first.column, message)]

    def _finished(self, held: _Job) -> PastJob:
        return PastJob(
            line=held.line,
            number=held.number,
            title=held.title or held.number,
            first_on=min(held.days),
            last_on=max(held.days),
            entries=tuple(held.entries),
            quantities=tuple(self._together(code, amounts) for code, amounts in held.amounts.items()),
        )

    def _together(self, code: str, amounts: list[_Amount]) -> PastQuantity:
        """The rows of one operation of one project as one quantity."""
        first = amounts[0]
        total = first.quantity if self.choices.repeated else sum(amount.quantity for amount in amounts)
        if len(amounts) > 1:
            self.told["several rows"] += 1
            self.told["alike"] += all(amount.quantity == first.quantity for amount in amounts)
            self._refuse_other_quantities(amounts)
        return PastQuantity(first.line, code, total, self._setups(code, amounts, total))

    def _refuse_other_quantities(self, amounts: list[_Amount]) -> None:
        first = amounts[0]
        for other in amounts[1:] if self.choices.repeated else ():
            if other.quantity != first.quantity:
                message = f"read “{other.quantity:g}”, expected {first.quantity:g} again, as on line {first.line}"
                self.problems.append(Problem(other.line, self.row.head(Role.QUANTITY), message))

    def _setups(self, code: str, amounts: list[_Amount], total: float) -> int:
        said = [amount.setups for amount in amounts if amount.setups is not None]
        if said:
            return max(said) if self.choices.repeated else sum(said)
        if self.book[code].pace_minutes == 0:  # counted by its set-ups alone: three trips are three of them
            return max(1, round(total))
        return 1 if self.choices.repeated else len(amounts)

    def _notes(self) -> list[str]:
        notes = [
            f"{counted(use.rows, 'row')} of “{use.written}” left out"
            for use in self.words.values()
            if use.code == LEAVE_OUT
        ]
        for code, seen in self.units.items():
            if len(seen) > 1:
                listed = " and ".join(f"{word} ({counted(rows, 'row')})" for word, rows in seen.items())
                notes.append(f"“{_name(self.book, code)}” is given in {listed}; all brought to {self.book[code].unit}")
        if self.row.unsure:
            notes.append(f"days such as 3/4/2020 were read {self.row.order.value}; nothing in the column tells")
        notes += [f"{counted(self.told[key], 'row')} with {what}" for key, what in _TOLD.items() if self.told[key]]
        several = self.told["several rows"]
        if several >= _ENOUGH_ALIKE and several == self.told["alike"] and not self.choices.repeated:
            notes.append(
                "wherever an operation of a project has several rows, they carry the same quantity; they were added up. "
                "If it is the whole project’s, written again in each row, say so below"
            )
        return notes


_TOLD = {
    "stage counted": "a quantity beside a whole stage: a stage is not counted",
    "rework counted": "a quantity of work done again: that is not counted",
    "over a day": "more than 24 hours, taken as the sum of several days",
}


def _name(book: Book, code: str) -> str:
    return book[code].name or code
