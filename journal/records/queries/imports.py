"""Spreadsheets of past jobs: taken in whole, and taken back whole while nothing that came with one was edited."""

from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass, fields
from datetime import date, datetime

from sqlalchemy import ColumnElement, ForeignKey, Select, Table, and_, delete, func, insert, or_, select
from sqlalchemy.orm import Session

from journal.errors import Conflict, MissingReference
from journal.pace.own import OwnWork
from journal.records.base import Base
from journal.records.queries import own_work
from journal.records.queries.log import EntryDraft
from journal.records.queries.plans import BuiltRow
from journal.records.queries.projects import ProjectDraft
from journal.records.queries.values import require_from, require_text, to_value
from journal.records.tables import Built, Import, Project, TimeEntry

_OWN = (Project.__table__, Built.__table__, TimeEntry.__table__)
_FIRST_VERSION = 1  # of a project nobody has changed


@dataclass(frozen=True, slots=True)
class PastJob:
    """A project to take in: what is known of it, how much was done, and its hours (their project is this one)."""

    project: ProjectDraft
    built: tuple[BuiltRow, ...]
    entries: tuple[EntryDraft, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportDraft:
    """What an import says of itself."""

    source: str
    sha256: str
    first_on: date
    last_on: date
    rework_told: bool

    def __post_init__(self) -> None:
        require_text("source", self.source, "the name of the file, or that it was pasted")


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportRow(ImportDraft):
    """An import that was taken, with how much came with it."""

    id: int
    at: datetime
    projects: int
    entries: int
    quantities: int
    seconds: int

    def __post_init__(self) -> None:
        require_from("projects", self.projects, 1, "at least one project")


@dataclass(frozen=True, slots=True)
class Edited:
    """What stands in the way of taking an import back: rows of a table, in a project of it."""

    project_id: int
    project_code: str
    table: str
    rows: int


class EditedSince(Conflict):
    """An import cannot be taken back: something of it was edited, or something was added to it."""

    def __init__(self, source: str, edited: tuple[Edited, ...]) -> None:
        self.edited = edited
        codes = ", ".join(dict.fromkeys(one.project_code for one in edited))
        super().__init__(f"what came with {source}", f"it stays; edited: {codes[:200]}")


def imports(session: Session) -> tuple[ImportRow, ...]:
    """All imports, the newest first."""
    query = select(Import).order_by(Import.at.desc(), Import.id.desc())
    return tuple(to_value(ImportRow, row) for row in session.scalars(query))


def known_codes(session: Session) -> dict[str, int | None]:
    """Every project's number in lower case → the import it came with, None for the journal's own. One statement."""
    found = session.execute(select(Project.code, Project.import_id))
    return {code.casefold(): import_id for code, import_id in found}


def take(
    session: Session, head: ImportDraft, jobs: Sequence[PastJob], *, now: datetime, own: Sequence[OwnWork] = ()
) -> ImportRow:
    """Keep past jobs with all that is known of them, and the operations the book did not know.

    Raises:
        Conflict: a project has taken one of their numbers meanwhile, or an operation is there already.
    """
    entries = [entry for job in jobs for entry in job.entries]
    row = Import(
        **asdict(head),
        at=now,
        projects=len(jobs),
        entries=len(entries),
        quantities=sum(len(job.built) for job in jobs),
        seconds=sum(entry.seconds * entry.people for entry in entries),
    )
    session.add(row)
    session.flush()
    for work in own:
        own_work.add(session, work, now=now, import_id=row.id)
    ids = _add_projects(session, jobs, row.id, now)
    built = [
        {**_shallow(line), "project_id": project_id, "import_id": row.id}
        for project_id, job in zip(ids, jobs, strict=True)
        for line in job.built
    ]
    hours = [
        {**_shallow(entry), "project_id": project_id, "import_id": row.id, "created_at": now}
        for project_id, job in zip(ids, jobs, strict=True)
        for entry in job.entries
    ]
    for table, rows in ((Built.__table__, built), (TimeEntry.__table__, hours)):
        if rows:  # by the table: a row at a time would be sent where the rows differ in what they leave empty
            session.execute(insert(table), rows)
    return to_value(ImportRow, row)


def edited_since(session: Session, import_id: int) -> tuple[Edited, ...]:
    """What of an import was edited or added to since it was taken, by project. As many statements as tables point to it.

    Looked for in the tables as they are declared, so that a table added later cannot be forgotten.
    """
    changed = select(Project.id, Project.code, func.count(Project.id)).where(
        Project.import_id == import_id, Project.version != _FIRST_VERSION
    )
    found = list(_edited(session, "projects", changed.group_by(Project.id, Project.code)))
    for table, key in _pointing():
        found += _edited(session, table.name, _rows_of_others(table, key, import_id))
    return tuple(sorted(found, key=lambda one: (one.project_code, one.table)))


def undo(session: Session, import_id: int) -> ImportRow:
    """Take an import back: its projects, quantities, entries, operations nobody else uses, and the import itself.

    Raises:
        MissingReference: there is no such import, or it was taken back already.
        EditedSince: naming what was edited; nothing is taken back.
    """
    row = session.get(Import, import_id, with_for_update=True)
    if row is None:
        raise MissingReference("import", str(import_id), [one.source for one in imports(session)])
    edited = edited_since(session, import_id)
    if edited:
        raise EditedSince(row.source, edited)
    taken = to_value(ImportRow, row)
    for table in (TimeEntry, Built, Project):
        session.execute(
            delete(table).where(table.import_id == import_id), execution_options={"synchronize_session": False}
        )
    own_work.leave_with(session, import_id)
    session.delete(row)
    session.flush()
    return taken


def silent_about_rework(session: Session) -> frozenset[int]:
    """Projects from spreadsheets that never said what was done again: their having none tells nothing."""
    query = select(Project.id).join(Import, Import.id == Project.import_id).where(Import.rework_told.is_(False))
    return frozenset(session.scalars(query))


def _add_projects(session: Session, jobs: Sequence[PastJob], import_id: int, now: datetime) -> list[int]:
    """Their ids, in the order of the jobs."""
    added = {"import_id": import_id, "created_at": now, "updated_at": now, "version": _FIRST_VERSION}
    session.execute(insert(Project.__table__), [{**asdict(job.project), **added} for job in jobs])
    query = select(Project.code, Project.id).where(Project.import_id == import_id)
    ids = dict(session.execute(query).all())
    return [ids[job.project.code] for job in jobs]


def _shallow(draft: BuiltRow | EntryDraft) -> dict[str, object]:
    """As `asdict`, without copying what cannot change: a hundred thousand copies take seconds."""
    return {field.name: getattr(draft, field.name) for field in fields(draft)}


def _pointing() -> Iterator[tuple[Table, ForeignKey]]:
    """Every table's keys to what an import brings."""
    for table in Base.metadata.sorted_tables:
        for key in table.foreign_keys:
            if key.column.table in _OWN:
                yield table, key


def _rows_of_others(table: Table, key: ForeignKey, import_id: int) -> Select[int, str, int]:
    """Rows pointing to what an import brought that did not come with it (or are no longer as they came), by project."""
    parent = key.column.table
    holds = (
        Project.__table__ if parent is Project.__table__ else parent.join(Project, Project.id == parent.c.project_id)
    )
    query = select(Project.id, Project.code, func.count()).select_from(holds).join(table, key.parent == key.column)
    return query.where(parent.c.import_id == import_id, _foreign(table, import_id)).group_by(Project.id, Project.code)


def _foreign(table: Table, import_id: int) -> ColumnElement[bool]:
    if table not in _OWN:
        return and_(True)
    return or_(table.c.import_id.is_(None), table.c.import_id != import_id)


def _edited(session: Session, table: str, query: Select[int, str, int]) -> Iterator[Edited]:
    for project_id, code, rows in session.execute(query):
        yield Edited(project_id, code, table, rows)
