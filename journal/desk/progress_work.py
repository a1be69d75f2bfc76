"""How far the work of a project in build is: its plan against its log, piece by piece.

An operation is done when its as-built quantity was noted, when the user says so, or when work that comes after it in the
book was logged on a later day (unless it has had under a quarter of the book's minutes: then more of it is to come);
otherwise one with time is open. The shop stage (cleaning, drawings) goes alongside all others.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal import reference
from journal.desk import paces
from journal.pace.progress import Piece, State

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import date

    from journal.build.step_work import OwnWork
    from journal.pace.model import Book
    from journal.records.queries.log import LoggedRow, QuantityRow

# Goes on from the first day to the last, so that other stages tell nothing about it.
_ALONGSIDE = "shop"
_LEAST_OF_BOOK = 0.25


@dataclass(frozen=True, slots=True)
class Work:
    """The project's plan, as built where that was noted."""

    code: str
    quantities: tuple[QuantityRow, ...]
    done: frozenset[str]
    book: Book
    own: tuple[OwnWork, ...] = ()

    def baselines(self) -> dict[str, float]:
        """Minutes by the book of every operation in its order, but rework, which is kept apart."""
        rows = {row.operation: row for row in self.quantities if row.operation != paces.REWORK}
        found = {
            code: entry.baseline_minutes(rows[code].setups, rows[code].quantity)
            for code, entry in self.book.items()
            if code in rows
        }
        return {code: minutes for code, minutes in found.items() if minutes > 0}

    def pieces(self, logged: Sequence[LoggedRow]) -> tuple[Piece, ...]:
        """Operations logged singly or not at all, and stages logged as a whole with the rest of their operations."""
        minutes, last = tally(logged)
        baselines = self.baselines()
        stages: dict[str, dict[str, float]] = {}
        found = []
        for code, baseline in baselines.items():
            stage = self.book[code].stage
            if code not in minutes and stage in minutes:
                stages.setdefault(stage, {})[code] = baseline
            else:
                found.append(self._piece(code, stage, {code: baseline}, minutes, last))
        found += [self._piece(stage, stage, inside, minutes, last) for stage, inside in stages.items()]
        return tuple(found)

    def _piece(
        self, name: str, stage: str, inside: Mapping[str, float], minutes: Mapping[str, float], last: Mapping[str, date]
    ) -> Piece:
        whole = sum(inside.values())
        shares = tuple((code, baseline / whole) for code, baseline in inside.items())
        spent = minutes.get(name, 0.0)
        if not spent:
            return Piece(name, stage, shares, whole)
        enough = spent >= _LEAST_OF_BOOK * whole
        state = State.DONE if self._is_done(name, inside, last, enough=enough) else State.OPEN
        return Piece(name, stage, shares, whole, state, spent, last[name])

    def _is_done(self, name: str, inside: Iterable[str], last: Mapping[str, date], *, enough: bool) -> bool:
        as_built = {row.operation for row in self.quantities if row.as_built}
        if name in self.done or as_built.issuperset(inside):
            return True
        return enough and any(day > last[name] for day in after(name, last, self.book))

    def over(self, logged: Sequence[LoggedRow]) -> frozenset[str]:
        """Stages that seem over: something that comes after them was logged."""
        _, last = tally(logged)
        return frozenset(stage for stage in reference.stages() if after(stage, last, self.book))

    def own_left(self, logged: Sequence[LoggedRow]) -> float:
        """Typed minutes of the maker's own steps still to come: until their stage is over, as they are no operation."""
        over = self.over(logged)
        return sum(one.minutes for one in self.own if one.stage not in over)

    def silent(self, logged: Sequence[LoggedRow]) -> tuple[str, ...]:
        """Operations to come of stages that seem over."""
        _, last = tally(logged)
        to_come = [piece for piece in self.pieces(logged) if piece.state is State.TO_COME]
        return tuple(piece.name for piece in to_come if after(piece.stage, last, self.book))

    def covered(self, logged: Sequence[LoggedRow]) -> set[str]:
        """What was logged and has a piece of the plan."""
        return {piece.name for piece in self.pieces(logged)}


def tally(logged: Sequence[LoggedRow]) -> tuple[dict[str, float], dict[str, date]]:
    """Minutes and last day by operation or stage; what was done again or is set aside is not progress."""
    minutes: Counter[str] = Counter()
    last: dict[str, date] = {}
    for row in logged:
        if not row.rework and not row.set_aside and row.minutes:
            minutes[row.what] += row.minutes
            last[row.what] = max(row.on_date, last.get(row.what, row.on_date))
    return dict(minutes), last


def order(book: Book) -> dict[str, tuple[int, int]]:
    """Place of every stage and operation in the order of work; a stage comes after its operations."""
    stages = {code: place for place, code in enumerate(reference.stages()) if code != _ALONGSIDE}
    found = {code: (place, len(book)) for code, place in stages.items()}
    for place, (code, entry) in enumerate(book.items()):
        if entry.stage in stages:
            found[code] = (stages[entry.stage], place)
    return found


def after(name: str, last: Mapping[str, date], book: Book) -> list[date]:
    """The last days of everything logged that comes after it; none for what goes alongside."""
    places = order(book)
    return [day for what, day in last.items() if name in places and places.get(what, (-1, 0)) > places[name]]
