"""The way back of what was done to glue-ups and coats; `acts` calls these by the word in a step."""

from __future__ import annotations

from datetime import date, datetime
from typing import TYPE_CHECKING, Any

from journal.errors import Conflict
from journal.records.queries import floor, gluing

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from datetime import tzinfo

    from sqlalchemy.orm import Session

    from journal.records.queries.floor import CoatRow, GlueUpRow

Step = dict[str, Any]
_MOMENTS = {"at", "removed_at", "clamped_at", "spread_at"}


def change_step(do: str, before: CoatRow | GlueUpRow, changes: Mapping[str, object]) -> Step | None:
    """The step that takes a change of a coat ("coat") or glue-up ("glue_up") back; None when nothing differs."""
    moved = [name for name in changes if getattr(before, name) != changes[name]]
    if not moved:
        return None
    back = {name: _plain(getattr(before, name)) for name in moved}
    return {"do": do, "id": before.id, "to": back, "from": {name: _plain(changes[name]) for name in moved}}


def _coat(session: Session, step: Step, _zone: tzinfo, _now: datetime) -> None:
    _require_unchanged(floor.get_coat(session, step["id"]), step)
    floor.change_coat(session, step["id"], _values(step["to"]))


def _glue_up(session: Session, step: Step, _zone: tzinfo, _now: datetime) -> None:
    _require_unchanged(floor.get_glue_up(session, step["id"]), step)
    floor.change_glue_up(session, step["id"], _values(step["to"]))


def _no_coat(session: Session, step: Step, _zone: tzinfo, now: datetime) -> None:
    floor.change_coat(session, step["id"], {"removed_at": now})


def _no_glue_up(session: Session, step: Step, _zone: tzinfo, now: datetime) -> None:
    floor.change_glue_up(session, step["id"], {"removed_at": now})


def _glue_clock(session: Session, step: Step, _zone: tzinfo, _now: datetime) -> None:
    gluing.change_clock(session, step["id"], _values(step["to"]))


def _no_glue_clock(session: Session, step: Step, _zone: tzinfo, now: datetime) -> None:
    gluing.change_clock(session, step["id"], {"removed_at": now})


def _no_glue_tick(session: Session, step: Step, _zone: tzinfo, now: datetime) -> None:
    gluing.remove_tick(session, step["id"], now)


BACK: dict[str, Callable[[Session, Step, tzinfo, datetime], None]] = {
    "coat": _coat,
    "glue_up": _glue_up,
    "no_coat": _no_coat,
    "no_glue_up": _no_glue_up,
    "glue_clock": _glue_clock,
    "no_glue_clock": _no_glue_clock,
    "no_glue_tick": _no_glue_tick,
}


def _require_unchanged(row: CoatRow | GlueUpRow, step: Step) -> None:
    if any(_plain(getattr(row, name)) != value for name, value in step["from"].items()):
        raise Conflict("this", "it was changed since; correct it by hand")


def _plain(value: object) -> object:
    return value.isoformat() if isinstance(value, date) else value


def _values(plain: Mapping[str, Any]) -> dict[str, object]:
    return {name: _read(name, value) for name, value in plain.items()}


def _read(name: str, value: Any) -> object:  # noqa: ANN401 - as JSON keeps it
    if name == "on_date":
        return date.fromisoformat(value)
    return datetime.fromisoformat(value) if name in _MOMENTS and value else value
