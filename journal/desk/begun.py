"""The first work on an accepted project: it is in build from that day on, and is not once that work is taken back."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from journal.desk import promises
from journal.floor.clock import day_of
from journal.records.queries import moves as move_records
from journal.records.queries import projects as project_records
from journal.records.queries.floor import worked_since

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date, datetime, tzinfo

    from sqlalchemy.orm import Session

Step = dict[str, Any]
_DO = "not_begun"


def begin(session: Session, project_id: int | None, on: date, now: datetime) -> list[Step]:
    """Say that work was done on a project that day; the steps that take that back, none where it was in build already.

    They stand before those of the work itself, so that the work is gone when they are taken.
    """
    move = promises.begun(session, project_id, on=on, now=now) if project_id is not None else None
    if move is None:
        return []
    code = project_records.get_project(session, move.project_id).code
    return [{"do": _DO, "project": move.project_id, "move": move.id, "code": code}]


def told(said: str, steps: Iterable[Step]) -> str:
    """What was done, and that it put a project in build."""
    codes = [step["code"] for step in steps if step["do"] == _DO]
    return f"{said}, which put {' and '.join(codes)} in build" if codes else said


def take_back(session: Session, step: Step, zone: tzinfo, now: datetime) -> None:
    """The project is accepted again, unless it went on since or other work stands on it."""
    standing = move_records.standing(move_records.moves(session, step["project"]))
    if not standing or standing[-1].id != step["move"]:
        return
    if worked_since(session, step["project"], standing[-1].at):
        return
    version = project_records.get_project(session, step["project"]).version
    promises.undo(session, step["project"], read_version=version, today=day_of(now, zone), now=now)
