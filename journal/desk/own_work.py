"""Operations of the shop's own: added where the book does not know a kind of work, let go while nothing speaks of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from journal.desk.history import stage_names
from journal.desk.paces import shop_book
from journal.errors import Conflict, MissingReference
from journal.records.queries import own_work as records

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy.orm import Session

    from journal.pace.own import OwnWork, Typed


def listed(session: Session) -> tuple[OwnWork, ...]:
    """All of them, the oldest first."""
    return tuple(row.work for row in records.own_operations(session))


def add(session: Session, typed: Typed, *, now: datetime) -> OwnWork:
    """Add an operation; from then on it can be logged, built and learned from like one of the book.

    Raises:
        BadInput: a name that is taken, a stage or unit nobody knows, times that cannot be.
    """
    return records.add(session, typed.work(shop_book(session), stage_names()), now=now).work


def remove(session: Session, code: str) -> OwnWork:
    """Let go of one that nothing speaks of.

    Raises:
        MissingReference: the shop has no such operation of its own.
        Conflict: something was logged, tapped, noted or built of it.
    """
    known = {one.code: one for one in listed(session)}
    if code not in known:
        raise MissingReference("operation of your own", code, tuple(known))
    if not records.remove(session, code):
        raise Conflict(known[code].name, "it stays, as work was logged, noted or built of it")
    return known[code]
