"""Operations of the shop's own: kept, listed, and gone with the sheet that brought them."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import delete, select, update
from sqlalchemy.orm import Session

from journal.errors import Conflict
from journal.pace.own import OwnWork
from journal.records.tables import Built, OwnOperation, Tap, TimeEntry

_QUIET = {"synchronize_session": False}


@dataclass(frozen=True, slots=True)
class OwnRow:
    """An operation of the shop's own as it is kept; `import_id`: the sheet it came with."""

    id: int
    work: OwnWork
    import_id: int | None


def own_operations(session: Session) -> tuple[OwnRow, ...]:
    """All of them, the oldest first. One statement."""
    return tuple(_value(row) for row in session.scalars(select(OwnOperation).order_by(OwnOperation.id)))


def add(session: Session, work: OwnWork, *, now: datetime, import_id: int | None = None) -> OwnRow:
    """Keep an operation.

    Raises:
        Conflict: there is one with its code.
    """
    if session.scalar(select(OwnOperation.id).where(OwnOperation.code == work.code)) is not None:
        raise Conflict(work.name, "it is there already; open the page again")
    row = OwnOperation(
        code=work.code,
        stage=work.stage,
        name=work.name,
        driver=work.driver,
        unit=work.unit,
        setup_minutes=work.setup_minutes,
        minutes_per_unit=work.pace_minutes,
        created_at=now,
        import_id=import_id,
    )
    session.add(row)
    session.flush()
    return _value(row)


def remove(session: Session, code: str) -> bool:
    """Let go of an operation nothing was logged, tapped or built of; False where something was."""
    if code in _used(session):
        return False
    session.execute(delete(OwnOperation).where(OwnOperation.code == code), execution_options=_QUIET)
    return True


def leave_with(session: Session, import_id: int) -> None:
    """Let go of what came with a sheet whose rows are gone; what other work uses meanwhile stays as the shop's."""
    came = OwnOperation.import_id == import_id
    session.execute(
        delete(OwnOperation).where(came, OwnOperation.code.not_in(_used(session))), execution_options=_QUIET
    )
    session.execute(update(OwnOperation).where(came).values(import_id=None), execution_options=_QUIET)


def _used(session: Session) -> set[str]:
    """Codes of the shop's own operations that something speaks of."""
    columns = (TimeEntry.operation, Built.operation, Tap.operation)
    own = select(OwnOperation.code)
    return {
        code for column in columns for code in session.scalars(select(column).where(column.in_(own)).distinct()) if code
    }


def _value(row: OwnOperation) -> OwnRow:
    work = OwnWork(row.code, row.stage, row.name, row.driver, row.unit, row.setup_minutes, row.minutes_per_unit)
    return OwnRow(row.id, work, row.import_id)
