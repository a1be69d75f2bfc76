"""Rows that are written once: the mark, and the refusal of any change or removal through a session."""

from typing import Any

from sqlalchemy import Connection, event
from sqlalchemy.orm import Mapper, ORMExecuteState, Session

from journal.errors import JournalError


class Frozen:
    """Marks a table whose rows are never changed once they are written."""


class FrozenRow(JournalError):  # noqa: N818 - an error's name says what happened, as in errors.py
    """Something tried to change what was promised."""

    def __init__(self, table: str) -> None:
        super().__init__(f"{table}: a stored row is never changed or removed; add a new one")


@event.listens_for(Frozen, "before_update", propagate=True)
@event.listens_for(Frozen, "before_delete", propagate=True)
def _refuse_row(mapper: Mapper[Any], connection: Connection, target: object) -> None:  # noqa: ARG001
    raise FrozenRow(mapper.local_table.name)  # type: ignore[attr-defined]


@event.listens_for(Session, "do_orm_execute")
def _refuse_statement(state: ORMExecuteState) -> None:
    """Updates and deletes written as statements do not pass through the rows, so they are refused here."""
    if not (state.is_update or state.is_delete) or state.bind_mapper is None:
        return
    if issubclass(state.bind_mapper.class_, Frozen):
        raise FrozenRow(state.bind_mapper.local_table.name)  # type: ignore[attr-defined]
