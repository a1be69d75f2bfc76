"""Parts with their features, the versions of a plan, and the quantities as built.

A plan version is a snapshot of the parts and the operations worked out from them. Saving parts makes the next version;
going back to an old version makes a new one that equals it. Nothing of the log is touched by either.
"""

from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from datetime import datetime
from uuid import uuid4

from sqlalchemy import select
from sqlalchemy.orm import Session, selectinload

from journal.errors import BadInput, Conflict, JournalError, MissingReference
from journal.records.base import canonical, checksum
from journal.records.queries.projects import stored
from journal.records.queries.values import require_from, require_text, to_value
from journal.records.tables import Built, Part, PartFeature, Plan
from journal.records.words import LaminatedAlong


@dataclass(frozen=True, slots=True)
class FeatureRow:
    """What each piece of a part carries: a feature word with a count or a length."""

    feature: str
    count: int | None = None
    length_nm: int | None = None

    def __post_init__(self) -> None:
        require_text("feature", self.feature, "a feature word")
        require_from(self.feature, self.count, 1, "a whole number from 1")
        require_from(self.feature, self.length_nm, 1, "a length over 0")


@dataclass(frozen=True, slots=True, kw_only=True)
class PartRow:
    """A part as listed. An empty uid is a new part; a uid that is kept keeps the part's history."""

    label: str
    quantity: int
    thickness_nm: int
    width_nm: int
    length_nm: int
    stock_code: str
    strips: int = 1
    laminated_along: LaminatedAlong = LaminatedAlong.NONE
    faces: tuple[str, ...] = ()
    note: str = ""
    features: tuple[FeatureRow, ...] = ()
    uid: str = ""

    def __post_init__(self) -> None:
        require_text("part", self.label, "a label")
        require_from(f"quantity of {self.label}", self.quantity, 1, "a whole number from 1")
        require_from(f"strips of {self.label}", self.strips, 0, "a whole number; 0: as many as it takes")
        for field in ("thickness_nm", "width_nm", "length_nm"):
            require_from(f"{field} of {self.label}", getattr(self, field), 1, "a length over 0")


@dataclass(frozen=True, slots=True)
class OperationRow:
    """How much of an operation a plan holds."""

    code: str
    quantity: float
    setups: int = 1

    def __post_init__(self) -> None:
        require_from(self.code, self.quantity, 0, "a quantity, 0 or more")
        require_from(self.code, self.setups, 0, "a number of set-ups, 0 or more")


@dataclass(frozen=True, slots=True)
class PlanHead:
    """One line of a plan's history."""

    version: int
    made_at: datetime
    reason: str


@dataclass(frozen=True, slots=True)
class PlanRow:
    """One version of a plan. `damaged`: its contents no longer match the checksum they were stored with."""

    version: int
    made_at: datetime
    reason: str
    parts: tuple[PartRow, ...]
    operations: tuple[OperationRow, ...]
    sha256: str
    damaged: bool


@dataclass(frozen=True, slots=True)
class BuiltRow:
    """How much of an operation was really done."""

    operation: str
    quantity: float
    setups: int = 1
    note: str = ""

    def __post_init__(self) -> None:
        require_text("operation", self.operation, "an operation's code")
        require_from(self.operation, self.quantity, 0, "a quantity, 0 or more")
        require_from(self.operation, self.setups, 0, "a number of set-ups, 0 or more")


def parts(session: Session, project_id: int) -> tuple[PartRow, ...]:
    """The present parts in their order, with their features. Two statements."""
    return tuple(_part_value(row) for row in _present(session, project_id))


def latest_plan(session: Session, project_id: int) -> PlanRow | None:
    """The newest version of a project's plan; None when there is none yet."""
    row = _latest(session, project_id)
    return _plan_value(row) if row else None


def get_plan(session: Session, project_id: int, version: int) -> PlanRow:
    """One version of a project's plan; MissingReference lists the versions there are."""
    row = session.scalar(select(Plan).where(Plan.project_id == project_id, Plan.version == version))
    if row is None:
        known = [str(head.version) for head in plan_history(session, project_id)]
        raise MissingReference("plan version", str(version), known)
    return _plan_value(row)


def plan_history(session: Session, project_id: int) -> tuple[PlanHead, ...]:
    """All versions, newest first, without their contents."""
    columns = Plan.version, Plan.made_at, Plan.reason
    query = select(*columns).where(Plan.project_id == project_id).order_by(Plan.version.desc())
    return tuple(PlanHead(*row) for row in session.execute(query))


def save_parts(
    session: Session,
    project_id: int,
    listed: Sequence[PartRow],
    operations: Sequence[OperationRow],
    *,
    reason: str,
    now: datetime,
    read_version: int | None = None,
) -> PlanRow:
    """Keep a part list and the operations worked out from it as the next plan version.

    A part is recognised by its uid; parts no longer listed are marked as removed. Saving what is already the newest
    version adds nothing and answers with that version.

    Args:
        session: a writing session.
        project_id: the project.
        listed: the parts in their order.
        operations: what the parts come to.
        reason: why, for the history.
        now: the moment, with its zone.
        read_version: the plan version the list was made from (0: none); checked when given.

    Raises:
        Conflict: a newer version was saved since.
        BadInput: two parts carry the same uid.
    """
    project = stored(session, project_id, lock=True)
    latest = _latest(session, project_id)
    if read_version is not None and read_version != (latest.version if latest else 0):
        raise Conflict(f"the part list of project {project.code}", "open it again and repeat the change")
    named = _with_uids(listed)
    contents = {"parts": [_part_json(part) for part in named], "operations": [asdict(line) for line in operations]}
    digest = checksum(canonical(contents))
    if latest is not None and latest.sha256 == digest:
        return _plan_value(latest)
    _store_parts(session, project_id, named, now)
    version = latest.version + 1 if latest else 1
    row = Plan(project_id=project_id, version=version, made_at=now, reason=reason, sha256=digest, **contents)
    project.updated_at = now
    session.add(row)
    session.flush()
    return _plan_value(row)


def restore_plan(session: Session, project_id: int, version: int, *, now: datetime) -> PlanRow:
    """Go back to an old version: its parts and operations become the next version."""
    old = get_plan(session, project_id, version)
    if old.damaged:
        raise JournalError(f"plan version {version} is damaged and cannot be restored; restore a backup of the journal")
    reason = f"version {version} restored"
    return save_parts(session, project_id, old.parts, old.operations, reason=reason, now=now)


def built(session: Session, project_id: int) -> tuple[BuiltRow, ...]:
    """The quantities that differed from the plan, by operation."""
    query = select(Built).where(Built.project_id == project_id).order_by(Built.operation)
    return tuple(to_value(BuiltRow, row) for row in session.scalars(query))


def put_built(session: Session, project_id: int, rows: Sequence[BuiltRow]) -> None:
    """Keep as-built quantities, new or again; operations not named stay as they are."""
    stored(session, project_id, lock=True)
    known = {row.operation: row for row in session.scalars(select(Built).where(Built.project_id == project_id))}
    for value in rows:
        row = known.get(value.operation) or Built(project_id=project_id)
        if row.id is not None and to_value(BuiltRow, row) == value:
            continue
        row.import_id = None  # no longer as it was imported
        for name, content in asdict(value).items():
            setattr(row, name, content)
        known[value.operation] = row
        session.add(row)
    session.flush()


def drop_built(session: Session, project_id: int, operation: str) -> None:
    """The plan's quantity holds again."""
    stored(session, project_id, lock=True)
    row = session.scalar(select(Built).where(Built.project_id == project_id, Built.operation == operation))
    if row is not None:
        session.delete(row)
        session.flush()


def part_from_json(kept: dict[str, object]) -> PartRow:
    """A part as a plan keeps it."""
    features = tuple(FeatureRow(**feature) for feature in kept["features"])  # type: ignore[attr-defined]
    along = LaminatedAlong(str(kept["laminated_along"]))
    faces = tuple(str(face) for face in kept["faces"])  # type: ignore[attr-defined]
    return PartRow(**{**kept, "features": features, "faces": faces, "laminated_along": along})  # type: ignore[arg-type]


def _part_json(part: PartRow) -> dict[str, object]:
    return {**asdict(part), "faces": list(part.faces), "features": [asdict(feature) for feature in part.features]}


def _latest(session: Session, project_id: int) -> Plan | None:
    query = select(Plan).where(Plan.project_id == project_id).order_by(Plan.version.desc()).limit(1)
    return session.scalar(query)


def _plan_value(row: Plan) -> PlanRow:
    contents = {"parts": row.parts, "operations": row.operations}
    return PlanRow(
        version=row.version,
        made_at=row.made_at,
        reason=row.reason,
        parts=tuple(part_from_json(part) for part in row.parts),
        operations=tuple(OperationRow(**line) for line in row.operations),
        sha256=row.sha256,
        damaged=checksum(canonical(contents)) != row.sha256,
    )


def _present(session: Session, project_id: int) -> list[Part]:
    query = select(Part).where(Part.project_id == project_id, Part.removed_at.is_(None))
    return list(session.scalars(query.options(selectinload(Part.features)).order_by(Part.position, Part.id)))


def _part_value(row: Part) -> PartRow:
    features = tuple(to_value(FeatureRow, feature) for feature in row.features)
    return to_value(PartRow, row, features=features, faces=tuple(row.faces.split()))


def _with_uids(listed: Sequence[PartRow]) -> list[PartRow]:
    named = [part if part.uid else replace(part, uid=uuid4().hex) for part in listed]
    seen: set[str] = set()
    for part in named:
        if part.uid in seen:
            raise BadInput("parts", part.label, "each part once; leave the uid of a copy empty")
        seen.add(part.uid)
    return named


def _store_parts(session: Session, project_id: int, named: Sequence[PartRow], now: datetime) -> None:
    query = select(Part).where(Part.project_id == project_id).options(selectinload(Part.features))
    known = {row.uid: row for row in session.scalars(query)}
    for position, part in enumerate(named):
        row = known.pop(part.uid, None) or Part(project_id=project_id, uid=part.uid, features=[])
        _fill(row, part, position)
        session.add(row)
    for row in known.values():
        row.removed_at = row.removed_at or now
    session.flush()


def _fill(row: Part, part: PartRow, position: int) -> None:
    row.position = position
    row.removed_at = None
    row.faces = " ".join(part.faces)
    for name in ("label", "quantity", "thickness_nm", "width_nm", "length_nm", "stock_code", "strips", "note"):
        setattr(row, name, getattr(part, name))
    row.laminated_along = part.laminated_along
    kept = tuple(to_value(FeatureRow, feature) for feature in row.features)
    if kept != part.features:
        row.features = [PartFeature(**asdict(feature)) for feature in part.features]
