"""What the pages of past jobs show: what was taken so far, and a spreadsheet as it would be taken."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal import reference
from journal.desk import paces
from journal.errors import MOST_SHOWN
from journal.web import figures, filters
from journal.web.paces.import_form import LEAVE_OUT, MOST_WORDS, ORDER_WORDS, ROLE_WORDS
from journal.working import counted

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from journal.desk.history import Look
    from journal.desk.paces import Unused
    from journal.errors import Problem
    from journal.pace.history import PastJob
    from journal.pace.history_words import WordUse
    from journal.pace.model import Book
    from journal.pace.own import OwnWork
    from journal.records.queries.imports import Edited, ImportRow
    from journal.web.paces.forms import UploadForm

_SAMPLES = 3
_LONGEST_SAMPLE = 40
_FIRST_ROWS = 8
_JOBS = 12
_UNUSED = 20
_ODD = 4.0  # times the book, either way: worth a second look

_TABLES = {
    "projects": ("project was changed", "projects were changed"),
    "time_entry_changes": ("entry was corrected, set aside or removed", "corrections of entries"),
    "time_entries": ("entry was added", "entries were added"),
    "built": ("quantity was changed", "quantities were changed"),
    "plans": ("plan was made", "plans were made"),
    "parts": ("part was added", "parts were added"),
    "estimates": ("estimate was kept", "estimates were kept"),
    "purchases": ("purchase was noted", "purchases were noted"),
    "coats": ("coat was noted", "coats were noted"),
    "glue_ups": ("glue-up was noted", "glue-ups were noted"),
}


@dataclass(frozen=True, slots=True)
class EditedLine:
    """Why an import stays: what was done in one of its projects."""

    project_id: int
    project: str
    what: str


@dataclass(frozen=True, slots=True)
class PastJobsPage:
    """What paces/past_jobs.html receives.

    Attributes:
        form: to send a sheet.
        taken: what was, each with its minutes.
        kept: the one that could not be taken back, and why in `edited`.
    """

    form: UploadForm
    taken: tuple[tuple[ImportRow, float], ...]
    kept: ImportRow | None
    edited: tuple[EditedLine, ...]


@dataclass(frozen=True, slots=True)
class Option:
    """A choice of a list."""

    value: str
    text: str
    chosen: bool


@dataclass(frozen=True, slots=True)
class ColumnBox:
    """A column: its heading, some of its cells, and what it may hold."""

    place: int
    heading: str
    samples: str
    options: tuple[Option, ...]


@dataclass(frozen=True, slots=True)
class WordBox:
    """A word of the work column: how often, what it means, and how its time lies against the book.

    Attributes:
        place: in the form.
        use: the word.
        near: choices that look like it; stages, operations: all others (stage name, choices).
        plain: choices that always stand: nothing said, leave out.
        against: in words, '' for nothing to compare.
        add: to add it as an operation of the shop's own; None where it is understood.
        odd: so far from the book that the meaning or the unit may be wrong.
    """

    place: int
    use: WordUse
    plain: tuple[Option, ...]
    near: tuple[Option, ...]
    groups: tuple[tuple[str, tuple[Option, ...]], ...]
    against: str
    odd: bool
    add: AddBox | None


@dataclass(frozen=True, slots=True)
class AddRefused:
    """An operation that could not be added: of which word, what was typed by box, and why."""

    key: str
    typed: Mapping[str, str]
    why: str


@dataclass(frozen=True, slots=True)
class AddBox:
    """The boxes to add a word as an operation of the shop's own.

    Attributes:
        typed: box → its text.
        stages: choices.
        why: what was refused, or ''.
    """

    typed: Mapping[str, str]
    stages: tuple[Option, ...]
    why: str


@dataclass(frozen=True, slots=True)
class ReadRow:
    """A row as it was understood."""

    line: int
    project: str
    on: date
    what: str
    quantity: str
    minutes: float | None
    rework: bool


@dataclass(frozen=True, slots=True)
class LookPage:
    """What paces/look.html receives.

    Attributes:
        token: the name the sheet is found by.
        source: what was sent.
        ready: it can be taken.
        verdict: how it stands, in a sentence.
        projects, entries, quantities, minutes, first_on, last_on: what would come in; 0 and None for nothing.
        lessons: rows the paces would learn from.
        troubles: what is wrong with the choice of columns.
        problems, more_problems: bad places, and how many are not shown.
        notes: what was understood without being said.
        unused, more_unused: hours that would teach nothing.
        columns: boxes.
        open_words, known_words: boxes of the words to be looked at, and of the others.
        more_words, undecided: how many words have no box; how many wait for a decision.
        orders, repeated, filled_down, prefix: the other boxes.
        rows: some rows as they were understood.
        jobs, more_jobs: the projects, and how many are not shown.
    """

    token: str
    source: str
    ready: bool
    verdict: str
    projects: int
    entries: int
    quantities: int
    minutes: float
    first_on: date | None
    last_on: date | None
    lessons: int
    troubles: tuple[str, ...]
    problems: tuple[Problem, ...]
    more_problems: int
    notes: tuple[str, ...]
    unused: tuple[Unused, ...]
    more_unused: int
    columns: tuple[ColumnBox, ...]
    open_words: tuple[WordBox, ...]
    known_words: tuple[WordBox, ...]
    more_words: int
    undecided: int
    orders: tuple[Option, ...]
    repeated: bool
    filled_down: bool
    prefix: str
    rows: tuple[ReadRow, ...]
    jobs: tuple[tuple[PastJob, float], ...]
    more_jobs: int


def edited_lines(edited: Sequence[Edited]) -> tuple[EditedLine, ...]:
    """Why an import stays, in words."""
    return tuple(EditedLine(one.project_id, one.project_code, _edited(one)) for one in edited)


def _edited(one: Edited) -> str:
    single, several = _TABLES.get(one.table, (f"row of {one.table}", f"rows of {one.table}"))
    return f"1 {single}" if one.rows == 1 else f"{one.rows:,} {several}"


def look_page(seen: Look, refused: AddRefused | None = None) -> LookPage:
    """A sheet as it would be taken; `refused`: an operation of the shop's own that could not be added."""
    choices, history = seen.incoming.choices, seen.history
    jobs = history.jobs if history else ()
    words = history.words if history else ()
    boxes = [_word(place, use, seen, refused) for place, use in enumerate(words[:MOST_WORDS])]
    spent = {job.number: sum(entry.minutes for entry in job.entries) for job in jobs}
    return LookPage(
        token=seen.incoming.token,
        source=seen.incoming.sheet.name,
        ready=seen.ready,
        verdict=_verdict(seen),
        projects=len(jobs),
        entries=sum(len(job.entries) for job in jobs),
        quantities=sum(len(job.quantities) for job in jobs),
        minutes=sum(spent.values()),
        first_on=min((job.first_on for job in jobs), default=None),
        last_on=max((job.last_on for job in jobs), default=None),
        lessons=seen.lessons,
        troubles=choices.troubles(),
        problems=seen.problems[:MOST_SHOWN],
        more_problems=max(0, len(seen.problems) - MOST_SHOWN),
        notes=history.notes if history else seen.incoming.sheet.notes,
        unused=tuple(_named(one, seen.book) for one in seen.unused[:_UNUSED]),
        more_unused=max(0, len(seen.unused) - _UNUSED),
        columns=_columns(seen),
        open_words=tuple(box for box in boxes if box.odd or not box.use.code),
        known_words=tuple(box for box in boxes if box.use.code and not box.odd),
        more_words=max(0, len(words) - MOST_WORDS),
        undecided=seen.undecided,
        orders=tuple(Option(one.value, text, one is choices.days) for one, text in ORDER_WORDS.items()),
        repeated=choices.repeated,
        filled_down=choices.filled_down,
        prefix=choices.prefix,
        rows=_rows(jobs, seen.book),
        jobs=tuple((job, spent[job.number]) for job in jobs[:_JOBS]),
        more_jobs=max(0, len(jobs) - _JOBS),
    )


def _verdict(seen: Look) -> str:
    if seen.history is None:
        return "The columns cannot be read yet. Say below which holds what."
    standing = [
        f"{counted(len(seen.problems), 'place')} to mend" if seen.problems else "",
        f"{counted(seen.undecided, 'word')} to be told the meaning of" if seen.undecided else "",
    ]
    if any(standing):
        return f"Nothing is taken yet: {' and '.join(word for word in standing if word)}. All of it comes in, or none."
    if not seen.history.jobs:
        return "There is nothing in it to take."
    return "Every row can be read. Look it over; it can be taken back later, as long as nothing of it was edited."


def _columns(seen: Look) -> tuple[ColumnBox, ...]:
    sheet, roles = seen.incoming.sheet, seen.incoming.choices.roles
    return tuple(
        ColumnBox(
            place=place,
            heading=head,
            samples=", ".join(_samples(sheet.column(place))),
            options=tuple(Option(role.value, text, role is roles[place]) for role, text in ROLE_WORDS.items()),
        )
        for place, head in enumerate(sheet.heads)
    )


def _samples(cells: Sequence[str]) -> list[str]:
    found: dict[str, None] = {}
    for cell in cells:
        if cell:
            found[cell[:_LONGEST_SAMPLE]] = None
        if len(found) == _SAMPLES:
            break
    return list(found)


def _word(place: int, use: WordUse, seen: Look, refused: AddRefused | None) -> WordBox:
    book, against = seen.book, seen.against.get(use.code)
    ratio = against.minutes / against.book_minutes if against and against.book_minutes else None
    plain = (
        *((Option("", "say what it is …", use.code == ""),) if not use.known else ()),
        Option(LEAVE_OUT, "leave these rows out", use.code == LEAVE_OUT),
    )
    return WordBox(
        place=place,
        use=use,
        plain=plain,
        near=tuple(Option(code, _work_name(code, book), chosen=False) for code in use.near if code != use.code),
        groups=_groups(use.code, book),
        against=f"{figures.number(ratio)} times the book" if ratio else "",
        odd=bool(ratio) and not 1 / _ODD <= (ratio or 1.0) <= _ODD,
        add=_add_box(use, seen.own, refused),
    )


def _add_box(use: WordUse, own: Sequence[OwnWork], refused: AddRefused | None) -> AddBox | None:
    """For a word nobody knows; what it was added as stands among the choices."""
    if use.code and use.code not in {one.code for one in own}:
        return None
    mine = refused if refused and refused.key == use.key else None
    if use.code and not mine:
        return None
    typed = mine.typed if mine else {"name": use.written[:_LONGEST_SAMPLE]}
    stages = tuple(Option(code, stage.name, code == typed.get("stage")) for code, stage in reference.stages().items())
    return AddBox(typed, stages, mine.why if mine else "")


def _groups(chosen: str, book: Book) -> tuple[tuple[str, tuple[Option, ...]], ...]:
    """All stages and operations, a group a stage, the stage itself first."""
    found = []
    for code, stage in reference.stages().items():
        operations = [one for one in book.values() if one.stage == code]
        options = [Option(code, f"{stage.name}, the whole stage", code == chosen)]
        options += [Option(one.code, f"{one.name} ({one.unit})", one.code == chosen) for one in operations]
        found.append((stage.name, tuple(options)))
    return tuple(found)


def _work_name(code: str, book: Book) -> str:
    entry, stage = book.get(code), reference.stages().get(code)
    return entry.name if entry else stage.name if stage else code


def _rows(jobs: Sequence[PastJob], book: Book) -> tuple[ReadRow, ...]:
    """The first rows, as they were understood."""
    found: dict[int, ReadRow] = {}
    for job in jobs:
        for entry in job.entries:
            name = _work_name(entry.code, book)
            found[entry.line] = ReadRow(entry.line, job.number, entry.on, name, "", entry.minutes, entry.rework)
        for line in job.quantities:
            amount = filters.amount(line.quantity, book[line.code].unit)
            row = found.get(line.line)
            minutes, on = (row.minutes, row.on) if row else (None, job.last_on)
            found[line.line] = ReadRow(
                line.line, job.number, on, _work_name(line.code, book), amount, minutes, rework=False
            )
        if len(found) >= _FIRST_ROWS:
            break
    return tuple(found[line] for line in sorted(found)[:_FIRST_ROWS])


def _named(unused: Unused, book: Book) -> Unused:
    return paces.Unused(unused.project, unused.on, _work_name(unused.what, book), unused.why)
