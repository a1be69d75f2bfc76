"""Whose clock this browser taps, as last chosen on it; kept in the cookie, which no script can read."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import session

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from journal.records.queries.devices import WorkerRow

_KEY = "who"  # ids with spaces between
_LONGEST_ID = 9


def who_of(workers: Sequence[WorkerRow]) -> tuple[int, ...]:
    """Those chosen, as far as they are still at the bench; the first of them while nobody was chosen."""
    known = [worker.id for worker in workers]
    chosen = [int(one) for one in str(session.get(_KEY, "")).split() if one.isdecimal() and len(one) <= _LONGEST_ID]
    return tuple(one for one in chosen if one in known) or tuple(known[:1])


def choose_who(worker_ids: Iterable[int]) -> None:
    """Remember them in this browser."""
    session[_KEY] = " ".join(str(one) for one in worker_ids)
