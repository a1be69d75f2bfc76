"""The boxes of the evening entry: hours by day and work, quantities built; read back with what each was shown as."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.desk.evening import Told, ToldBuilt
from journal.errors import BadInput
from journal.floor.hours import read_hours, show_hours
from journal.web import forms
from journal.web.state import display, in_marks

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import date

    from journal.desk.evening import Evening, Line, ProjectLines

_LONGEST_SHOWN = 9
_MOST_BUILT = 10_000_000


@dataclass(frozen=True, slots=True)
class Cell:
    """A box for hours.

    Attributes:
        name, value: its name and text.
        shown: the seconds it was shown with.
        seconds: those it holds now; 0 where they cannot be read.
        error: what is wrong with it.
    """

    name: str
    value: str
    shown: int
    seconds: int
    error: str = ""


@dataclass(frozen=True, slots=True)
class BuiltCell:
    """A box for a quantity: its name, text, the text it was shown with, whether it is all, and what is wrong with it."""

    name: str
    value: str
    shown: str
    done: bool
    noted: bool
    error: str = ""


@dataclass(frozen=True, slots=True)
class Row:
    """A piece of work with its boxes, one a day."""

    line: Line
    cells: tuple[Cell, ...]
    built: BuiltCell | None = None

    @property
    def wrong(self) -> bool:
        return any(cell.error for cell in self.cells) or bool(self.built and self.built.error)

    @property
    def used(self) -> bool:
        """Whether anything stands in it."""
        return any(cell.value for cell in self.cells)


@dataclass(frozen=True, slots=True)
class StageRows:
    """A stage with its rows; `open`: its operations are shown."""

    whole: Row
    operations: tuple[Row, ...]
    now: bool

    @property
    def open(self) -> bool:
        return any(row.used or row.wrong for row in self.operations)

    @property
    def rows(self) -> tuple[Row, ...]:
        return (self.whole, *self.operations)


@dataclass(frozen=True, slots=True)
class ProjectRows:
    """A project's stages: those of these days, and the rest; its note."""

    lines: ProjectLines
    stages: tuple[StageRows, ...]
    note: str
    note_error: str = ""

    @property
    def near(self) -> tuple[StageRows, ...]:
        return tuple(stage for stage in self.stages if stage.now or any(row.used or row.wrong for row in stage.rows))

    @property
    def far(self) -> tuple[StageRows, ...]:
        near = {id(stage) for stage in self.near}
        return tuple(stage for stage in self.stages if id(stage) not in near)

    @property
    def far_open(self) -> bool:
        return not self.near


@dataclass(frozen=True, slots=True)
class Read:
    """The boxes with what was read from them."""

    projects: tuple[ProjectRows, ...]
    shop: Row
    told: tuple[Told, ...]
    built: tuple[ToldBuilt, ...]
    notes: Mapping[int, str]

    @property
    def refused(self) -> bool:
        rows = [row for project in self.projects for stage in project.stages for row in stage.rows]
        return any(row.wrong for row in (self.shop, *rows))


def box_id(name: str) -> str:
    """An id from a box's name."""
    return name.replace(".", "-")


def shown(found: Evening) -> Read:
    """The boxes as the page opens."""
    return _Reader(found, None).read()


def read(found: Evening, sent: Mapping[str, str]) -> Read:
    """The boxes as they were sent; names that the page did not give are not looked at."""
    return _Reader(found, sent).read()


class _Reader:
    def __init__(self, found: Evening, sent: Mapping[str, str] | None) -> None:
        self.found = found
        self.sent = sent
        self.told: list[Told] = []
        self.built: list[ToldBuilt] = []
        self.notes: dict[int, str] = {}

    def read(self) -> Read:
        projects = tuple(self._project(lines) for lines in self.found.projects)
        shop = self._row(self.found.shop)
        return Read(projects, shop, tuple(self.told), tuple(self.built), self.notes)

    def _project(self, lines: ProjectLines) -> ProjectRows:
        stages = tuple(
            StageRows(
                self._row(stage.whole), tuple(self._row(line, amounts=True) for line in stage.operations), stage.now
            )
            for stage in lines.stages
        )
        name = f"note.{lines.project.id}"
        note = lines.note if self.sent is None else self.sent.get(name, lines.note).replace("\r\n", "\n")
        if (
            self.sent is not None
            and note.strip() != self.sent.get(f"{name}.was", lines.note).replace("\r\n", "\n").strip()
        ):
            self.notes[lines.project.id] = note
        return ProjectRows(lines, stages, note)

    def _row(self, line: Line, *, amounts: bool = False) -> Row:
        pairs = zip(self.found.days, line.seconds, strict=True)
        cells = tuple(self._cell(line, place, day, seconds) for place, (day, seconds) in enumerate(pairs))
        return Row(line, cells, self._amount(line) if amounts and len(self.found.days) == 1 else None)

    def _cell(self, line: Line, place: int, day: date, seconds: int) -> Cell:
        name = f"{_name(line)}.{place}"
        if self.sent is None or name not in self.sent:
            return Cell(name, show_hours(seconds), seconds, seconds)
        was, text = self.sent.get(f"{name}.was", ""), self.sent[name]
        before = int(was) if was.isascii() and was.isdigit() and len(was) <= _LONGEST_SHOWN else seconds
        try:
            typed = read_hours(text, line.name, mark=display().mark)
        except BadInput as refusal:
            return Cell(name, text, before, 0, forms.explain(refusal))
        self.told.append(Told(day, line.task, typed, before))
        return Cell(name, text, before, typed)

    def _amount(self, line: Line) -> BuiltCell | None:
        if line.amount is None or not line.unit:
            return None
        name, plain = f"{_name(line)}.built", f"{line.amount.quantity:.10g}"
        text = in_marks(f"{round(line.amount.quantity, 1):g}")
        if self.sent is None or name not in self.sent:
            return BuiltCell(name, text, text, done=line.amount.as_built, noted=line.amount.as_built)
        typed, done = self.sent[name].strip(), f"{name}.done" in self.sent
        was = self.sent.get(f"{name}.was", text)
        cell = BuiltCell(name, typed, was, done=done, noted=line.amount.as_built)
        if typed == was and (not done or line.amount.as_built):
            return cell
        try:
            quantity = float(plain) if typed == was == text else float(_quantity(typed, line.name))
        except BadInput as refusal:
            return BuiltCell(name, typed, was, done=done, noted=line.amount.as_built, error=forms.explain(refusal))
        self.built.append(ToldBuilt(line.task.project_id or 0, line.task.code, quantity))
        return cell


def _quantity(text: str, field: str) -> float:
    expected = "a quantity such as 12.5"
    value = float(forms.read_number(text, field, expected))
    if not 0 <= value <= _MOST_BUILT:
        raise BadInput(field, text, f"{expected}, 0 or more")
    return value


def _name(line: Line) -> str:
    task = line.task
    return f"{task.project_id or 0}.{'s' if task.by_stage else 'o'}.{task.code}"


def with_note_error(projects: Iterable[ProjectRows], error: str, notes: Mapping[int, str]) -> tuple[ProjectRows, ...]:
    """The projects with a refusal at the notes that were changed."""
    return tuple(
        ProjectRows(one.lines, one.stages, one.note, error if one.lines.project.id in notes else "") for one in projects
    )


def typed_sums(rows: Sequence[Row]) -> tuple[int, int]:
    """Seconds that stand in all boxes, and those of them that are more than the page had shown."""
    boxes = [cell for row in rows for cell in row.cells]
    return sum(box.seconds for box in boxes), sum(max(box.seconds - box.shown, 0) for box in boxes)


def column_sums(rows: Sequence[Row]) -> tuple[int, ...]:
    """Seconds of each day over some rows, as the page opened."""
    return tuple(sum(row.line.seconds[place] for row in rows) for place in range(len(rows[0].cells))) if rows else ()
