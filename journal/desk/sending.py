"""One sending of a form about the log: its key, so that a second sending changes nothing, and when and where it is now."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.errors import BadInput
from journal.records.queries import acts

if TYPE_CHECKING:
    from datetime import date, datetime, tzinfo

    from sqlalchemy.orm import Session

_SHORTEST, _LONGEST = 8, 60


@dataclass(frozen=True, slots=True)
class Sending:
    """What every change of the log is told.

    Attributes:
        key: of the form, new each time a page is made.
        today: the shop's day.
        zone: the shop's.
        now: the moment, with its zone.
        at: when it happened, of what waited for signal before it was sent; None: now.
    """

    key: str
    today: date
    zone: tzinfo
    now: datetime
    at: datetime | None = None

    def __post_init__(self) -> None:
        if not _SHORTEST <= len(self.key) <= _LONGEST:
            raise BadInput("form", self.key, "a form of this journal; open the page again")

    @property
    def when(self) -> datetime:
        """When it happened."""
        return self.at or self.now

    def before(self, session: Session) -> str:
        """What this form did when it was sent before; '' when it was not."""
        found = acts.find_act(session, self.key)
        return found.said if found else ""
