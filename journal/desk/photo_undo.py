"""The way back of what was done with photos; `acts` calls it by the word in a step."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from journal.errors import Conflict
from journal.records.queries import photos

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable
    from datetime import datetime, tzinfo

    from sqlalchemy.orm import Session

Step = dict[str, Any]
_DO = "photo"


def place_step(place_id: int, *, removed: bool) -> Step:
    """The step that takes a photo down, or hangs it where it was."""
    return {"do": _DO, "id": place_id, "removed": removed}


def places_of(steps: Iterable[Step]) -> frozenset[int]:
    """The places that a thing that was done was about; none when it was about anything else as well."""
    listed = list(steps)
    return frozenset(step["id"] for step in listed) if all(step["do"] == _DO for step in listed) else frozenset()


def _photo(session: Session, step: Step, _zone: tzinfo, now: datetime) -> None:
    if photos.get_hung(session, step["id"]).removed == step["removed"]:
        raise Conflict("this photo", "it was taken down or put back since")
    photos.set_removed(session, step["id"], now if step["removed"] else None)


BACK: dict[str, Callable[[Session, Step, tzinfo, datetime], None]] = {_DO: _photo}
