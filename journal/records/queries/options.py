"""Options of a project."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from journal.errors import BadInput, MissingReference
from journal.records.queries.projects import stored
from journal.records.queries.values import require_text, require_version, to_value
from journal.records.tables import Option

MOST = 5  # more cannot be looked at side by side


@dataclass(frozen=True, slots=True)
class OptionRow:
    """An option: its name and, as plain values, what would be other than the project is; version counts changes."""

    id: int
    project_id: int
    name: str
    changes: dict[str, Any]
    version: int


def options(session: Session, project_id: int) -> tuple[OptionRow, ...]:
    """The options of a project, oldest first. One statement."""
    query = select(Option).where(Option.project_id == project_id).order_by(Option.id)
    return tuple(to_value(OptionRow, row) for row in session.scalars(query))


def add_option(session: Session, project_id: int, name: str, changes: dict[str, Any], *, now: datetime) -> OptionRow:
    """Keep a new option.

    Raises:
        BadInput: there are five, or one has this name.
    """
    stored(session, project_id, lock=True)  # two tabs adding the fifth at once: one waits
    _require_free(session, project_id, 0, name)
    query = select(func.count(Option.id)).where(Option.project_id == project_id)
    if (session.scalar(query) or 0) >= MOST:
        raise BadInput("options", MOST + 1, f"at most {MOST}; remove one first")
    row = Option(project_id=project_id, name=name, changes=changes, created_at=now, updated_at=now)
    session.add(row)
    session.flush()
    return to_value(OptionRow, row)


def change_option(
    session: Session, option: OptionRow, name: str, changes: dict[str, Any], *, now: datetime
) -> OptionRow:
    """Keep a changed option; refuses when it changed since `option` was read.

    Raises:
        BadInput: another has this name.
        Conflict: somebody else was quicker.
    """
    row = _stored(session, option.project_id, option.id)
    require_version(f"the option “{row.name}”", row.version, option.version)
    _require_free(session, row.project_id, row.id, name)
    if (row.name, row.changes) != (name, changes):
        row.name, row.changes, row.updated_at = name, changes, now
    session.flush()
    return to_value(OptionRow, row)


def get_option(session: Session, project_id: int, option_id: int) -> OptionRow:
    """One option of a project; MissingReference when it has no such option."""
    return to_value(OptionRow, _stored(session, project_id, option_id))


def remove_option(session: Session, project_id: int, option_id: int) -> OptionRow:
    """Take an option away; answers with what it was."""
    row = _stored(session, project_id, option_id)
    gone = to_value(OptionRow, row)
    session.delete(row)
    session.flush()
    return gone


def _require_free(session: Session, project_id: int, option_id: int, name: str) -> None:
    require_text("name", name, "a few words for what is other")
    same = func.lower(Option.name) == name.lower()
    query = select(Option.id).where(Option.project_id == project_id, Option.id != option_id, same)
    if session.scalar(query) is not None:
        raise BadInput("name", name, "a name no other option of this project has")


def _stored(session: Session, project_id: int, option_id: int) -> Option:
    row = session.get(Option, option_id)
    if row is None or row.project_id != project_id:
        raise MissingReference("option", str(option_id), [known.name for known in options(session, project_id)])
    return row
