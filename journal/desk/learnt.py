"""What a job changes: paces and ratios without it, and with it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.desk import paces
from journal.desk.ratios import WORDS, read_ratios
from journal.desk.remembered import Remembered
from journal.desk.shop import read_shop
from journal.pace.model import fit
from journal.pace.ratios import learn
from journal.records.queries import projects as project_records

if TYPE_CHECKING:
    from datetime import date

    from sqlalchemy.orm import Session

    from journal.pace.model import PaceBelief
    from journal.working import Spread

_WORTH_TELLING = 0.005  # a change of under half a per cent is none


@dataclass(frozen=True, slots=True)
class Moved:
    """One pace or ratio: times what is set or in the book, without the job (None: nothing was known) and with it."""

    code: str
    name: str
    before: Spread | None
    after: Spread

    @property
    def share(self) -> float:
        """How much higher the middle is with the job; 0 where nothing was known before."""
        return self.after.p50 / self.before.p50 - 1 if self.before else 0.0


@dataclass(frozen=True, slots=True)
class Learnt:
    """What a job changes; `counts`: its hours are learned from at all."""

    counts: bool
    paces: tuple[Moved, ...]
    ratios: tuple[Moved, ...]


_without: Remembered[tuple[PaceBelief, ...]] = Remembered(8)
_learnt: Remembered[Learnt] = Remembered(8)


def learnt(session: Session, project_id: int, today: date) -> Learnt:
    """What a project's log moves, what it moves most first; the same journal is worked out once."""
    return _learnt.of_journal(session, ("learnt", project_id, today), lambda: _read(session, project_id, today))


def _read(session: Session, project_id: int, today: date) -> Learnt:
    project = project_records.get_project(session, project_id)
    taught = paces.learn(session, today)
    mine = [row for row in taught.evidence.rows if row.project == project.code]
    return Learnt(
        bool(mine), _paces(taught, project.code, today) if mine else (), _ratios(session, taught, project.code, today)
    )


def _paces(taught: paces.Taught, code: str, today: date) -> tuple[Moved, ...]:
    others = tuple(row for row in taught.evidence.rows if row.project != code)
    spoken = sorted({name for row in taught.evidence.rows if row.project == code for name, _ in row.shares})
    book = taught.calibration.book
    before = _without.get((today, others, book, spoken), lambda: fit(others, book, today=today).paces_of(spoken))
    after = taught.calibration.paces_of(spoken)
    moved = [Moved(new.code, book[new.code].name, old.ratio, new.ratio) for old, new in zip(before, after, strict=True)]
    return tuple(sorted((one for one in moved if abs(one.share) >= _WORTH_TELLING), key=lambda one: -abs(one.share)))


def _ratios(session: Session, taught: paces.Taught, code: str, today: date) -> tuple[Moved, ...]:
    found = []
    for kind, with_it in read_ratios(session, read_shop(session, today), today, taught=taught).learned.items():
        others = tuple(with_it.as_seen(row) for row in with_it.rows if row.project != code)
        after = with_it.factor()
        if after is None or len(others) == len(with_it.rows):
            continue
        before = learn(kind, others, today=today).factor()
        found.append(Moved(kind.value, WORDS[kind][0], before.range if before else None, after.range))
    return tuple(found)
