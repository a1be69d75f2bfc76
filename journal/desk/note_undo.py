"""The way back of what was done to notes; `acts` calls these by the word in a step."""

from __future__ import annotations

from datetime import date, datetime
from typing import TYPE_CHECKING, Any

from journal.errors import Conflict
from journal.records.queries import notes

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from datetime import tzinfo

    from sqlalchemy.orm import Session

    from journal.records.queries.notes import NoteRow

Step = dict[str, Any]


def change_step(before: NoteRow, after: NoteRow, names: Mapping[str, object]) -> Step | None:
    """The step that takes a change of a note back; None when nothing differs."""
    moved = [name for name in names if getattr(before, name) != getattr(after, name)]
    if not moved:
        return None
    back, here = ({name: _plain(getattr(row, name)) for name in moved} for row in (before, after))
    return {"do": "note", "id": before.id, "to": back, "from": here}


def _note(session: Session, step: Step, _zone: tzinfo, now: datetime) -> None:
    row = notes.get_note(session, step["id"])
    if any(_plain(getattr(row, name)) != value for name, value in step["from"].items()):
        raise Conflict("this note", "it was changed since; change it by hand")
    notes.change_note(session, row.id, {name: _read(name, value) for name, value in step["to"].items()}, now=now)


def _no_note(session: Session, step: Step, _zone: tzinfo, now: datetime) -> None:
    notes.change_note(session, step["id"], {"removed_at": now}, now=now)


BACK: dict[str, Callable[[Session, Step, tzinfo, datetime], None]] = {"note": _note, "no_note": _no_note}


def _plain(value: object) -> object:
    return value.isoformat() if isinstance(value, date) else value


def _read(name: str, value: Any) -> object:  # noqa: ANN401 - as JSON keeps it
    if name == "day":
        return date.fromisoformat(value)
    return datetime.fromisoformat(value) if name == "removed_at" and value else value
