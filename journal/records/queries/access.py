"""Browsers let in from the network, and the invitations that let one in."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select, update

from journal.errors import MissingReference
from journal.records.queries.values import to_value
from journal.records.tables import Invitation, Visitor

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy.orm import Session


@dataclass(frozen=True, slots=True)
class VisitorRow:
    """A browser that was let in."""

    id: int
    label: str
    paired: bool
    let_in_at: datetime
    seen_at: datetime
    until: datetime
    shut_out_at: datetime | None


def let_in(session: Session, label: str, digest: str, *, paired: bool, until: datetime, now: datetime) -> VisitorRow:
    """Let a browser in."""
    row = Visitor(label=label, token_sha256=digest, paired=paired, let_in_at=now, seen_at=now, until=until)
    session.add(row)
    session.flush()
    return to_value(VisitorRow, row)


def visitor(session: Session, digest: str, *, now: datetime) -> VisitorRow | None:
    """The browser whose token has this digest; None when there is none, its time is over or it was shut out."""
    query = select(Visitor).where(Visitor.token_sha256 == digest, Visitor.until > now, Visitor.shut_out_at.is_(None))
    row = session.scalar(query)
    return to_value(VisitorRow, row) if row else None


def seen(session: Session, visitor_id: int, *, until: datetime, now: datetime) -> None:
    """Note that a browser was here, and how long it may come again."""
    session.execute(update(Visitor).where(Visitor.id == visitor_id).values(seen_at=now, until=until))


def visitors(session: Session, *, now: datetime) -> tuple[VisitorRow, ...]:
    """The browsers that may come in now, the last seen first."""
    query = select(Visitor).where(Visitor.until > now, Visitor.shut_out_at.is_(None))
    return tuple(to_value(VisitorRow, row) for row in session.scalars(query.order_by(Visitor.seen_at.desc())))


def shut_out(session: Session, visitor_id: int, *, now: datetime) -> None:
    """Let a browser in no more; MissingReference when there is none."""
    row = session.get(Visitor, visitor_id)
    if row is None:
        raise MissingReference("browser", str(visitor_id), [])
    row.shut_out_at = row.shut_out_at or now


def shut_out_all(session: Session, *, now: datetime) -> None:
    """Let in no browser that was let in before."""
    session.execute(update(Visitor).where(Visitor.shut_out_at.is_(None)).values(shut_out_at=now))


def invite(session: Session, digest: str, *, until: datetime, now: datetime) -> None:
    """Keep an invitation."""
    session.add(Invitation(token_sha256=digest, made_at=now, until=until))


def use_invitation(session: Session, digest: str, *, now: datetime) -> bool:
    """Use an invitation up; False when there is none, it was used, or its time is over."""
    fresh = Invitation.token_sha256 == digest, Invitation.used_at.is_(None), Invitation.until > now
    return session.execute(update(Invitation).where(*fresh).values(used_at=now)).rowcount == 1
