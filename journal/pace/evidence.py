"""Log lines → rows of evidence, with every line that cannot be used named.

A line with minutes is an operation logged singly. A line without was logged within its stage: a line whose `what` is the
stage, quantity blank, holds that stage's minutes for those operations of the project. Lines of one project and
operation add up to one row; lines of one project and stage add up. Rework is kept apart: it is its own rate.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import TYPE_CHECKING

from journal.errors import BadInput, Problem
from journal.pace.design import Row

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping
    from datetime import date

    from journal.pace.model import Book, BookPace

MOST_TIMES = 1000.0  # a line so far from the book, either way, has a slip in its quantity or its minutes
_WHOLE = 10.0  # minutes from which a fraction of one says nothing
MOST_MINUTES = 60 * 60.0  # one line holding more than sixty hours is a slip of the pen


@dataclass(frozen=True, slots=True)
class LogLine:
    """One line of the log.

    Args:
        project: whose work.
        on: the day.
        what: code or name of an operation, or of a stage (then quantity is None).
        quantity: in the operation's unit.
        setups: how often it was set up.
        minutes: person-minutes; None if logged within its stage.
        rework: something done again.
        set_aside: the user keeps it out of learning.
        line: where it stands in its file; 0 for its place in the sequence.
    """

    project: str
    on: date
    what: str
    quantity: float | None
    setups: float = 1.0
    minutes: float | None = None
    rework: bool = False
    set_aside: bool = False
    line: int = 0


@dataclass(frozen=True, slots=True)
class PlanLine:
    """One line of a plan: what is to be done.

    Args:
        what: code or name of an operation.
        quantity: in its unit.
        setups: how often it will be set up.
        line: where it stands in its file.
    """

    what: str
    quantity: float
    setups: float = 1.0
    line: int = 0


@dataclass(frozen=True, slots=True)
class Rework:
    """Time spent doing things again.

    Attributes:
        lines: how many.
        minutes: together.
        by_project, by_stage: the same, split.
        ratio: rework minutes over the other minutes of the log; 0 with none.
    """

    lines: int
    minutes: float
    by_project: Mapping[str, float]
    by_stage: Mapping[str, float]
    ratio: float


@dataclass(frozen=True, slots=True)
class Unlogged:
    """An operation of a project whose stage has no minutes either: planned or done, but no evidence."""

    project: str
    code: str


@dataclass(frozen=True, slots=True)
class Evidence:
    """What a log holds.

    Attributes:
        rows: for `journal.pace.model.fit`.
        problems: lines that could not be used, in order of line.
        rework: the time spent again.
        unlogged: operations without minutes of their own or of their stage.
        set_aside: lines kept out by the user.
    """

    rows: tuple[Row, ...]
    problems: tuple[Problem, ...]
    rework: Rework
    unlogged: tuple[Unlogged, ...]
    set_aside: int


@dataclass(slots=True)
class _Pile:
    """Lines being added up."""

    line: int
    on: date
    baseline_minutes: float = 0.0
    minutes: float = 0.0
    logs: int = 0

    def add(self, line: LogLine, baseline_minutes: float) -> None:
        self.on = max(self.on, line.on)
        self.baseline_minutes += baseline_minutes
        self.minutes += line.minutes or 0.0
        self.logs += 1


@dataclass(slots=True)
class _Piles:
    """All piles of a log, by (project, operation) or (project, stage)."""

    single: dict[tuple[str, str], _Pile] = field(default_factory=dict)
    within: dict[tuple[str, str], _Pile] = field(default_factory=dict)
    stage: dict[tuple[str, str], _Pile] = field(default_factory=dict)
    rework: list[tuple[str, str, float]] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    doubtful: set[str] = field(default_factory=set)
    set_aside: int = 0


class Words:
    """Finds what a line speaks of: codes first, then names, both without regard to case and spacing."""

    def __init__(self, book: Book) -> None:
        self.book = book
        self.stages = {loose(entry.stage): entry.stage for entry in book.values()}
        self.operations = {loose(entry.name): entry.code for entry in book.values() if entry.name}
        self.operations.update((loose(code), code) for code in book)
        self._found: dict[str, tuple[str, str]] = {}

    def find(self, what: str) -> tuple[str, str]:
        """("operation", code), ("stage", code) or ("", the nearest words)."""
        if what not in self._found:
            self._found[what] = self._look(what)
        return self._found[what]

    def _look(self, what: str) -> tuple[str, str]:
        word = loose(what)
        if word in self.operations:
            return "operation", self.operations[word]
        if word in self.stages:
            return "stage", self.stages[word]
        near = get_close_matches(word, [*self.operations, *self.stages], n=3, cutoff=0.5)
        return "", ", ".join(dict.fromkeys(self.operations.get(name, self.stages.get(name, name)) for name in near))


def gather(
    lines: Iterable[LogLine], book: Book, *, today: date | None = None, doubtful: Collection[str] = ()
) -> Evidence:
    """Turn log lines into rows of evidence.

    Args:
        lines: in any order.
        book: the operations known.
        today: lines after it are refused.
        doubtful: projects with lines that could not even be read and may belong to a stage; their stages are not
            complained about.

    Returns:
        Rows and problems together; a bad line does not stop the others.
    """
    words = Words(book)
    piles = _Piles()
    for place, line in enumerate(lines, start=1):
        _take(line, line.line or place, words, piles, today)
    staged, unlogged = _by_stage(piles, book, {*doubtful, *piles.doubtful})
    singles = [
        Row(project, pile.on, book[code].stage, ((code, 1.0),), pile.baseline_minutes, pile.minutes, pile.logs)
        for (project, code), pile in piles.single.items()
    ]
    rows = (*singles, *staged)
    problems = tuple(sorted(piles.problems, key=lambda problem: problem.line))
    return Evidence(rows, problems, _rework(piles, sum(row.minutes for row in rows)), unlogged, piles.set_aside)


def _take(line: LogLine, place: int, words: Words, piles: _Piles, today: date | None) -> None:
    if line.set_aside:
        piles.set_aside += 1
        return
    try:
        kind, code = _check(line, words, today)
    except BadInput as bad:
        piles.problems.append(Problem(place, bad.field, f"read {shown(bad.received)}, expected {bad.expected}"))
        if line.minutes is None:  # it may have been what a stage's minutes are shared over
            piles.doubtful.add(line.project)
        return
    if line.rework:
        stage = code if kind == "stage" else words.book[code].stage
        piles.rework.append((line.project, stage, line.minutes or 0.0))
        return
    if kind == "stage":
        _pile(piles.stage, (line.project, code), line, place, 0.0)
        return
    baseline = words.book[code].baseline_minutes(line.setups, line.quantity or 0.0)
    _pile(piles.within if line.minutes is None else piles.single, (line.project, code), line, place, baseline)


def _pile(
    piles: dict[tuple[str, str], _Pile], key: tuple[str, str], line: LogLine, place: int, baseline: float
) -> None:
    pile = piles.get(key)
    if pile is None:
        pile = piles[key] = _Pile(place, line.on)
    pile.add(line, baseline)


def _check(line: LogLine, words: Words, today: date | None) -> tuple[str, str]:
    """What the line speaks of; BadInput whose field is the column if it cannot be used."""
    if not line.project.strip():
        raise BadInput("project", line.project, "the project's name")
    if today is not None and line.on > today:
        raise BadInput("date", line.on, f"a day up to {today}")
    kind, code = words.find(line.what)
    if not kind:
        hint = f"; near it: {code}" if code else "; `journal paces` lists them"
        raise BadInput("operation", line.what, f"the code of an operation or a stage{hint}")
    if kind == "stage":
        _check_stage(line)
    elif not (line.rework and line.quantity is None):
        _check_operation(line, words.book[code])
    _check_minutes(line)
    if kind == "operation" and line.quantity is not None and line.minutes is not None:
        _check_against_book(line, line.minutes, words.book[code].baseline_minutes(line.setups, line.quantity))
    return kind, code


def _check_stage(line: LogLine) -> None:
    if line.quantity is not None:
        raise BadInput("quantity", line.quantity, f"nothing: “{line.what}” is a stage, and a stage is not counted")
    if line.minutes is None and not line.rework:
        raise BadInput("minutes", None, f"the minutes of the stage “{line.what}”")


def _check_operation(line: LogLine, entry: BookPace) -> None:
    unit = f" in {entry.unit}" if entry.unit else ""
    if line.quantity is None:
        raise BadInput("quantity", None, f"how much was done{unit}, above zero")
    if not (math.isfinite(line.quantity) and line.quantity > 0):
        raise BadInput("quantity", line.quantity, f"how much was done{unit}, above zero")
    if not (math.isfinite(line.setups) and line.setups >= 0):
        raise BadInput("setups", line.setups, "how often it was set up, zero or more")
    if entry.baseline_minutes(line.setups, line.quantity) <= 0:
        raise BadInput("setups", line.setups, "1 or more: the book counts this operation by its set-ups alone")


def _check_minutes(line: LogLine) -> None:
    if line.minutes is None:
        if line.rework:
            raise BadInput("minutes", None, "the minutes the rework took")
        return
    if not (math.isfinite(line.minutes) and line.minutes > 0):
        raise BadInput("minutes", line.minutes, "minutes above zero, or nothing if they are in the stage's line")
    if line.minutes > MOST_MINUTES:
        raise BadInput("minutes", line.minutes, "at most 3600 (60 hours) a line; are these seconds? Split it by day")


def _check_against_book(line: LogLine, minutes: float, baseline: float) -> None:
    if not baseline / MOST_TIMES <= minutes <= baseline * MOST_TIMES:
        raise BadInput(
            "quantity",
            line.quantity,
            f"a quantity that fits {_plain(minutes)} minutes; the book says {_plain(baseline)} minutes",
        )


def _plain(minutes: float) -> str:
    """Minutes as people write them, large or small: 70,006, 12, 0.35."""
    return f"{minutes:,.0f}" if minutes >= _WHOLE else f"{minutes:.2g}"


def _by_stage(piles: _Piles, book: Book, doubtful: Collection[str]) -> tuple[list[Row], tuple[Unlogged, ...]]:
    """Rows of the stages logged as a whole, and the operations left without any minutes."""
    members: dict[tuple[str, str], list[tuple[str, _Pile]]] = {}
    for (project, code), pile in piles.within.items():
        members.setdefault((project, book[code].stage), []).append((code, pile))
    rows = []
    for key, held in piles.stage.items():
        inside = members.pop(key, [])
        if inside:
            rows.append(_stage_row(key, held, inside))
        elif key[0] not in doubtful:
            piles.problems.append(_nothing_inside(key, held))
    left = tuple(Unlogged(project, code) for (project, _), inside in members.items() for code, _ in inside)
    return rows, left


def _stage_row(key: tuple[str, str], held: _Pile, inside: list[tuple[str, _Pile]]) -> Row:
    total = sum(pile.baseline_minutes for _, pile in inside)
    return Row(
        project=key[0],
        on=max(held.on, *(pile.on for _, pile in inside)),
        stage=key[1],
        shares=tuple((code, pile.baseline_minutes / total) for code, pile in inside),
        baseline_minutes=total,
        minutes=held.minutes,
        logs=held.logs,
        by_stage=True,
    )


def _nothing_inside(key: tuple[str, str], held: _Pile) -> Problem:
    project, stage = key
    message = (
        f"{held.minutes:g} minutes of the stage “{stage}” in project “{project}”, but no operation of that stage with "
        "blank minutes to share them over; add a line for each operation done, with its quantity and blank minutes"
    )
    return Problem(held.line, "operation", message)


def _rework(piles: _Piles, other_minutes: float) -> Rework:
    by_project: dict[str, float] = {}
    by_stage: dict[str, float] = {}
    for project, stage, minutes in piles.rework:
        by_project[project] = by_project.get(project, 0.0) + minutes
        by_stage[stage] = by_stage.get(stage, 0.0) + minutes
    total = sum(by_project.values())
    return Rework(len(piles.rework), total, by_project, by_stage, total / other_minutes if other_minutes else 0.0)


def loose(text: str) -> str:
    """A word without regard to case, spaces, hyphens and underscores."""
    return re.sub(r"[\s_\-–]+", " ", text).strip().casefold()


def shown(value: object) -> str:
    """What was read, for a message."""
    if value is None or value == "":
        return "nothing"
    return f"“{value:g}”" if isinstance(value, float) else f"“{str(value)[:60]}”"
