"""Past jobs from a spreadsheet: sent, looked at as often as it takes, taken in whole, taken back whole.

What the sheet holds comes in as closed projects with their quantities as built and their hours. It brings no plan: what
was quoted is not in such a sheet, and what was built must not pass for it.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from hashlib import sha256
from types import MappingProxyType
from typing import TYPE_CHECKING

from journal import reference, units
from journal.desk import incoming, paces
from journal.desk.workbook import is_workbook, read_workbook
from journal.errors import BadInput, BadRows, Problem
from journal.pace.cells import DayOrder
from journal.pace.columns import LEAVE_OUT, Role, guess, word_key
from journal.pace.evidence import gather
from journal.pace.history import read_history
from journal.pace.own import with_own
from journal.pace.sheet import read_text
from journal.records.queries import imports as records
from journal.records.queries.log import EntryDraft, LoggedRow, QuantityRow
from journal.records.queries.plans import BuiltRow
from journal.records.queries.projects import ProjectDraft
from journal.records.words import EntrySource, ProjectState

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date, datetime
    from pathlib import Path

    from sqlalchemy.orm import Session

    from journal.desk.incoming import Incoming
    from journal.desk.paces import Unused
    from journal.pace.columns import Choices
    from journal.pace.design import Row
    from journal.pace.evidence import Evidence, LogLine
    from journal.pace.history import History, PastJob
    from journal.pace.model import Book
    from journal.pace.own import OwnWork, Typed
    from journal.records.queries.imports import ImportRow

LARGEST_BYTES = 16 * 1024 * 1024
PASTED = "a paste"


@dataclass(frozen=True, slots=True)
class AgainstBook:
    """What was logged of an operation or stage, and what the book says of as much: minutes of one person."""

    minutes: float
    book_minutes: float


@dataclass(frozen=True, slots=True)
class Look:
    """A sheet as it would be taken.

    Attributes:
        incoming: the sheet and how it is read.
        history: what it holds; None while the columns cannot be read.
        problems: bad places by line; while there is one, nothing is taken.
        unused: hours that would be kept and teach nothing, with the reason.
        against: operation or stage → what was logged and what the book says of as much.
        lessons: rows the paces would learn from.
        book: the operations known, those that would come with the sheet among them.
    """

    incoming: Incoming
    history: History | None
    problems: tuple[Problem, ...]
    unused: tuple[Unused, ...]
    against: dict[str, AgainstBook]
    lessons: int
    book: Book

    @property
    def undecided(self) -> int:
        """Words of the work column nobody has said the meaning of."""
        return sum(not use.code for use in self.history.words) if self.history else 0

    @property
    def own(self) -> tuple[OwnWork, ...]:
        """Operations that would come with the sheet: some word of it means them."""
        meant = {use.code for use in self.history.words} if self.history else set()
        return tuple(one for one in self.incoming.choices.added if one.code in meant)

    @property
    def ready(self) -> bool:
        """It can be taken."""
        return bool(self.history and self.history.jobs) and not self.problems and not self.undecided


def receive(data: Path, content: bytes | str, name: str) -> str:
    """Read what was sent and keep it to be looked at; answers the name it is found by.

    Raises:
        BadInput: it is no table that can be read.
    """
    raw = content if isinstance(content, bytes) else content.encode()
    if isinstance(content, bytes) and is_workbook(content):
        sheet = read_workbook(content, name)
    else:
        sheet = read_text(content, name)
    return incoming.keep(data, sheet, sha256(raw).hexdigest(), guess(sheet))


def look(session: Session, data: Path, token: str, today: date, system: units.System = units.System.INCH) -> Look:
    """A sheet as it would be taken, today and into this journal.

    Raises:
        MissingReference: no sheet waits under this name.
    """
    found = incoming.get(data, token)
    book = with_own(paces.shop_book(session), found.choices.added)
    if found.choices.troubles():
        return Look(found, None, (), (), {}, 0, book)
    # A shop that thinks in inches writes the month first, as a rule.
    usual = DayOrder.MONTH_FIRST if system is units.System.INCH else DayOrder.DAY_FIRST
    history = read_history(found.sheet, found.choices, book, today=today, stage_names=stage_names(), usual_order=usual)
    evidence, lines = _taught(history.jobs, book, today)
    wrong, silent = _sorted_out(evidence.problems, lines)
    problems = [*history.problems, *_located(wrong, history.jobs, found), *_clashes(session, history.jobs, found)]
    return Look(
        incoming=found,
        history=history,
        problems=tuple(sorted(problems, key=lambda problem: problem.line)),
        unused=paces.unused(lines, silent),
        against=_against(evidence.rows),
        lessons=len(evidence.rows),
        book=book,
    )


def choose(data: Path, token: str, choices: Choices) -> None:
    """Keep how a sheet is to be read."""
    incoming.choose(data, token, choices)


def add_own(data: Path, seen: Look, key: str, typed: Typed) -> None:
    """Let a word of the sheet mean an operation the book does not know; it comes in with the sheet.

    Raises:
        BadInput: a word the sheet has not, or an operation that cannot be added as typed.
    """
    choices, words = seen.incoming.choices, seen.history.words if seen.history else ()
    if key not in {use.key for use in words}:
        raise BadInput("word", key, "a word of the sheet's work column")
    work = typed.work(seen.book, stage_names())
    meant = {word: code for word, code in choices.words.items() if word != key}
    if word_key(work.name) != key:  # under its own name the word is known from then on
        meant[key] = work.code
    added = replace(choices, words=MappingProxyType(meant), added=(*choices.added, work))
    incoming.choose(data, seen.incoming.token, added)


def stage_names() -> dict[str, str]:
    """Stage → its name."""
    return {code: stage.name for code, stage in reference.stages().items()}


def take(session: Session, seen: Look, *, now: datetime) -> ImportRow:
    """Take all of a sheet that was looked at.

    Raises:
        BadRows: some of it cannot be taken, so none of it was.
    """
    history, name = seen.history, seen.incoming.sheet.name
    if history is None or not seen.ready:
        undecided = [
            Problem(1, "", f"nobody has said what “{use.written}” is")
            for use in (history.words if history else ())
            if not use.code
        ]
        nothing = [] if history and history.jobs else [Problem(1, "", "there is nothing in it to take")]
        raise BadRows(name, [*seen.problems, *undecided, *nothing])
    jobs = [_record(job, name) for job in history.jobs]  # before the journal is held for writing
    clashes = _clashes(session, history.jobs, seen.incoming)
    if clashes:
        raise BadRows(name, clashes)
    head = records.ImportDraft(
        source=name,
        sha256=seen.incoming.sha256,
        first_on=min(job.first_on for job in history.jobs),
        last_on=max(job.last_on for job in history.jobs),
        rework_told=seen.incoming.choices.place(Role.REWORK) is not None or _any_rework(history.jobs),
    )
    known = paces.shop_book(session)
    own = tuple(one for one in seen.own if one.code not in known)
    return records.take(session, head, jobs, now=now, own=own)


def taken(session: Session) -> tuple[ImportRow, ...]:
    """What was taken so far, the newest first."""
    return records.imports(session)


def undo(session: Session, import_id: int) -> ImportRow:
    """Take an import back, without a trace.

    Raises:
        MissingReference: it is not there, or no longer.
        EditedSince: something of it was edited; all of it stays.
    """
    return records.undo(session, import_id)


def _record(job: PastJob, source: str) -> records.PastJob:
    project = ProjectDraft(
        code=job.number,
        title=job.title,
        state=ProjectState.CLOSED,
        started_on=job.first_on,
        delivered_on=job.last_on,
        note=f"From {source}.",
    )
    built = tuple(BuiltRow(line.code, line.quantity, line.setups) for line in job.quantities)
    entries = tuple(
        EntryDraft(
            on_date=entry.on,
            seconds=entry.seconds,
            operation=None if entry.by_stage else entry.code,
            stage=entry.code if entry.by_stage else None,
            people=entry.people,
            rework=entry.rework,
            note=entry.note,
            source=EntrySource.IMPORT,
        )
        for entry in job.entries
    )
    return records.PastJob(project, built, entries)


def _any_rework(jobs: Iterable[PastJob]) -> bool:
    return any(entry.rework for job in jobs for entry in job.entries)


def _taught(jobs: Sequence[PastJob], book: Book, today: date) -> tuple[Evidence, list[LogLine]]:
    """What the paces would learn, by the very rules they learn from the journal with."""
    minutes: Counter[tuple[str, date, str, bool, bool]] = Counter()
    for job in jobs:
        for entry in job.entries:
            minutes[job.number, entry.on, entry.code, entry.by_stage, entry.rework] += entry.minutes
    logged = [
        LoggedRow(0, project, on, what, by_stage, spent, rework, set_aside=False, entries=1)
        for (project, on, what, by_stage, rework), spent in sorted(minutes.items(), key=lambda item: item[0][1])
    ]
    quantities = [
        QuantityRow(0, job.number, line.code, line.quantity, line.setups, as_built=True)
        for job in jobs
        for line in job.quantities
    ]
    lines = paces.lines_of(logged, quantities)
    return gather(lines, book, today=today), lines


def _sorted_out(
    problems: Iterable[Problem], lines: Sequence[LogLine]
) -> tuple[list[tuple[LogLine, Problem]], list[Problem]]:
    """Slips to be mended, apart from hours that merely have nothing to be measured by."""
    wrong: list[tuple[LogLine, Problem]] = []
    silent: list[Problem] = []
    for problem in problems:
        line = lines[problem.line - 1]
        nothing_to_measure_by = problem.column in ("quantity", "operation") and line.quantity is None
        if nothing_to_measure_by:
            silent.append(problem)
        else:
            wrong.append((line, problem))
    return wrong, silent


def _located(wrong: Iterable[tuple[LogLine, Problem]], jobs: Sequence[PastJob], found: Incoming) -> Iterable[Problem]:
    """A slip with the line of the sheet where that work of that project stands first."""
    at: dict[tuple[str, str], int] = {}
    for job in jobs:
        for one in (*job.entries, *job.quantities):
            at.setdefault((job.number, one.code), one.line)
    roles = {"quantity": Role.QUANTITY, "setups": Role.SETUPS, "date": Role.DATE}
    for line, problem in wrong:
        place = found.choices.place(roles.get(problem.column, Role.WORK))
        head = found.sheet.heads[place] if place is not None else problem.column
        yield Problem(at[line.project, line.what], head, f"{line.what} of {line.project}: {problem.message}")


def _clashes(session: Session, jobs: Iterable[PastJob], found: Incoming) -> list[Problem]:
    """Projects whose number the journal has already."""
    known = records.known_codes(session)
    place = found.choices.place(Role.PROJECT)
    head = found.sheet.heads[place or 0]
    clashes = []
    for job in jobs:
        if job.number.casefold() in known:
            came = "came with an earlier sheet" if known[job.number.casefold()] else "is in the journal"
            message = f"“{job.number}” {came} already; put something before the numbers, or take these rows out"
            clashes.append(Problem(job.line, head, message))
    return clashes


def _against(rows: Iterable[Row]) -> dict[str, AgainstBook]:
    minutes: Counter[str] = Counter()
    book: Counter[str] = Counter()
    for row in rows:
        what = row.stage if row.by_stage else row.shares[0][0]
        minutes[what] += row.minutes
        book[what] += row.baseline_minutes
    return {what: AgainstBook(minutes[what], book[what]) for what in minutes}


__all__ = [
    "LARGEST_BYTES",
    "LEAVE_OUT",
    "PASTED",
    "AgainstBook",
    "Look",
    "add_own",
    "choose",
    "look",
    "receive",
    "stage_names",
    "take",
    "taken",
    "undo",
]
