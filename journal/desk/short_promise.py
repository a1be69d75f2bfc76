"""Is less time promised than the shop's days say? A caution while it can still be changed, never a refusal."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.desk import days
from journal.records.queries.shop import get_shop

if TYPE_CHECKING:
    from datetime import date

    from sqlalchemy.orm import Session


@dataclass(frozen=True, slots=True)
class ShortPromise:
    """A promise shorter than Days says: the chance to keep it, and the weeks that Days says."""

    chance: float
    weeks: float


def short_promise(session: Session, project_id: int, promised_days: int, today: date) -> ShortPromise | None:
    """How sure a promise of so many days from today is; None where it is sure enough, or Days cannot be worked out."""
    weeks = days.promised_weeks(session, project_id, today)
    if weeks is None or promised_days >= weeks * 7:
        return None
    chance = days.chance_within(session, project_id, today, promised_days)
    if chance is None or chance * 100 >= get_shop(session).confidence_pct:
        return None
    return ShortPromise(chance, weeks)
