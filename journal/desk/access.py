"""Letting browsers in from the shop's network: by the passphrase, or a phone by an invitation shown as a QR code."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from journal.errors import BadInput
from journal.records.base import checksum
from journal.records.passphrase import is_passphrase
from journal.records.queries import access as records

if TYPE_CHECKING:
    from datetime import datetime
    from pathlib import Path

    from sqlalchemy.orm import Session

    from journal.records.queries.access import VisitorRow

LONGEST = timedelta(days=30)  # after that a browser comes in anew, however often it was seen (OWASP ASVS V3.3.2)
SIGNED_IN = timedelta(days=14)  # since it was last seen, where it came in by the passphrase
INVITED = timedelta(minutes=10)
_NOTED_AFTER = timedelta(hours=1)  # so that not every page writes that it was seen
_TOKEN_BYTES = 32
_LONGEST_LABEL = 60


@dataclass(frozen=True, slots=True)
class LetIn:
    """A browser that was just let in: its number in the list, and the token it shows from now on."""

    visitor_id: int
    token: str


def sign_in(session: Session, folder: Path, phrase: str, label: str, *, now: datetime) -> LetIn:
    """Let a browser in that knows the passphrase.

    Raises:
        BadInput: it does not know it.
    """
    if not is_passphrase(folder, phrase):
        raise BadInput("passphrase", "", "the one that was set on the computer this journal runs on")
    return _let_in(session, label, paired=False, now=now)


def invite(session: Session, *, now: datetime) -> str:
    """A token that lets one browser in, once, within ten minutes."""
    token = secrets.token_urlsafe(_TOKEN_BYTES)
    records.invite(session, checksum(token), until=now + INVITED, now=now)
    return token


def pair(session: Session, invitation: str, label: str, *, now: datetime) -> LetIn:
    """Let a browser in that brings an invitation.

    Raises:
        BadInput: there is no such invitation any more.
    """
    if not records.use_invitation(session, checksum(invitation), now=now):
        minutes = int(INVITED.total_seconds() // 60)
        raise BadInput(
            "code", "one that was used or is too old", f"a new one; each lets one phone in, for {minutes} minutes"
        )
    return _let_in(session, label, paired=True, now=now)


def who(session: Session, token: str, *, now: datetime) -> VisitorRow | None:
    """The browser that a token belongs to; None when it may not come in."""
    return records.visitor(session, checksum(token), now=now) if token else None


def is_stale(visitor: VisitorRow, now: datetime) -> bool:
    """Whether it is worth noting that a browser was seen."""
    return now - visitor.seen_at > _NOTED_AFTER


def note_seen(session: Session, visitor: VisitorRow, *, now: datetime) -> None:
    """It may come again for as long as it did from the start, from now on; but never longer than any may."""
    until = _until(visitor.let_in_at, now, paired=visitor.paired)
    records.seen(session, visitor.id, until=until, now=now)


def _until(let_in_at: datetime, seen_at: datetime, *, paired: bool) -> datetime:
    last = let_in_at + LONGEST
    return last if paired else min(last, seen_at + SIGNED_IN)


def _let_in(session: Session, label: str, *, paired: bool, now: datetime) -> LetIn:
    token = secrets.token_urlsafe(_TOKEN_BYTES)
    name = label.strip()[:_LONGEST_LABEL] or "a browser"
    row = records.let_in(session, name, checksum(token), paired=paired, until=_until(now, now, paired=paired), now=now)
    return LetIn(row.id, token)
