"""How this shop's level against the book moved over the years."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from journal.desk import paces
from journal.pace.level import LevelAt, over_time

if TYPE_CHECKING:
    from datetime import date

    from sqlalchemy.orm import Session

    from journal.pace.design import Row


def level(session: Session, today: date) -> tuple[LevelAt, ...]:
    """The shop's level in every half-year with a log, and today, with its band; the same logs are worked out once."""
    return _over_time(paces.learn(session, today).evidence.rows, today)


@lru_cache(maxsize=4)
def _over_time(rows: tuple[Row, ...], today: date) -> tuple[LevelAt, ...]:
    return over_time(rows, paces.book(), today=today)
