"""The places at the benches, and the hours each has put into projects."""

from dataclasses import asdict, dataclass
from datetime import date

from sqlalchemy import func, or_, select
from sqlalchemy.orm import Session

from journal.errors import BadInput, MissingReference
from journal.records.queries.values import require_from, require_text, to_value
from journal.records.tables import TimeEntry, Worker


@dataclass(frozen=True, slots=True)
class WorkerRow:
    """A place at a bench, by its role; without a wage of its own the shop's holds. id 0: not saved yet."""

    label: str
    wage_cents_per_hour: int | None = None
    active: bool = True
    id: int = 0

    def __post_init__(self) -> None:
        require_text("place", self.label, "a role, such as bench two or apprentice")
        if len(self.label) > 60:
            raise BadInput("place", self.label, "at most 60 characters")
        require_from("wage", self.wage_cents_per_hour, 0, "an amount an hour, 0 or more")


@dataclass(frozen=True, slots=True)
class WorkedRow:
    """Person-minutes that a place put into projects; no worker for time without a name."""

    worker: WorkerRow | None
    minutes: float


@dataclass(frozen=True, slots=True)
class LoggedRow:
    """Person-minutes on projects between the first and last day of them."""

    minutes: float
    first_on: date
    last_on: date


def workers(session: Session) -> tuple[WorkerRow, ...]:
    """Every place, those put away last."""
    query = select(Worker).order_by(Worker.active.desc(), Worker.label)
    return tuple(to_value(WorkerRow, row) for row in session.scalars(query))


def save_worker(session: Session, worker: WorkerRow) -> WorkerRow:
    """Keep a place, a new one when its id is 0; its label must be free."""
    row = session.get(Worker, worker.id) if worker.id else Worker()
    if row is None:
        raise MissingReference("place", str(worker.id), [known.label for known in workers(session)])
    taken = select(Worker.id).where(func.lower(Worker.label) == worker.label.lower(), Worker.id != worker.id)
    if session.scalar(taken) is not None:
        raise BadInput("place", worker.label, "a name no other place has")
    for name, value in asdict(worker).items():
        if name != "id":
            setattr(row, name, value)
    session.add(row)
    session.flush()
    return to_value(WorkerRow, row)


def worked_since(session: Session, since: date) -> tuple[WorkedRow, ...]:
    """Who put how much into projects since a day, places put away left out. One statement.

    Imported time is left out: a spreadsheet does not say who stood at which bench when.
    """
    query = (
        select(Worker, func.sum(TimeEntry.seconds * TimeEntry.people))
        .select_from(TimeEntry)
        .outerjoin(Worker, Worker.id == TimeEntry.worker_id)
        .where(*_on_projects(since), or_(Worker.id.is_(None), Worker.active))
        .group_by(Worker)
        .order_by(Worker.id)
    )
    return tuple(
        WorkedRow(to_value(WorkerRow, row) if row else None, float(seconds) / 60)
        for row, seconds in session.execute(query)
    )


def logged_since(session: Session, since: date) -> LoggedRow | None:
    """Time on projects since a day, and which days it covers; None without any. One statement."""
    query = select(
        func.sum(TimeEntry.seconds * TimeEntry.people), func.min(TimeEntry.on_date), func.max(TimeEntry.on_date)
    ).where(*_on_projects(since))
    seconds, first_on, last_on = session.execute(query).one()
    return None if seconds is None else LoggedRow(float(seconds) / 60, first_on, last_on)


def _on_projects(since: date) -> tuple[object, ...]:
    return (
        TimeEntry.project_id.is_not(None),
        TimeEntry.removed_at.is_(None),
        TimeEntry.import_id.is_(None),
        TimeEntry.on_date >= since,
    )
