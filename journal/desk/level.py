"""How this shop's level against the book moved over the years."""

from __future__ import annotations

from typing import TYPE_CHECKING

from journal.desk import paces
from journal.desk.remembered import Remembered
from journal.pace.level import LevelAt, over_time

if TYPE_CHECKING:
    from datetime import date

    from sqlalchemy.orm import Session


_levels: Remembered[tuple[LevelAt, ...]] = Remembered()


def level(session: Session, today: date) -> tuple[LevelAt, ...]:
    """The shop's level in every half-year with a log, and today, with its band; the same logs are worked out once."""
    taught = paces.learn(session, today)
    rows, book = taught.evidence.rows, taught.calibration.book
    return _levels.get((today, rows), lambda: over_time(rows, book, today=today))
