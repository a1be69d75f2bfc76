"""Enquiries and what becomes of them: a project begun, a project changed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from journal import reference
from journal.desk import parts
from journal.errors import BadInput, MissingReference
from journal.records.queries import projects as project_records
from journal.records.queries.projects import ProjectDraft
from journal.records.queries.shop import get_shop, shop_day

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from journal.records.queries.projects import ProjectCounts, ProjectRow
    from journal.records.queries.shop import ShopRow
    from journal.records.words import ProjectState

LONGEST_NOTE = 10_000
LONGEST_TITLE = 200
PAGE = 40  # projects shown at once of a group


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked about a project; an empty glue or finish means the shop's habit."""

    title: str
    client_kind: str = ""
    benches: int = 1
    adhesive: str = ""
    finish: str = ""
    coats: int | None = None
    note: str = ""

    def __post_init__(self) -> None:
        if not self.title.strip() or len(self.title) > LONGEST_TITLE:
            raise BadInput("title", self.title, f"a few words, at most {LONGEST_TITLE} characters")
        if not 1 <= self.benches <= 1000:
            raise BadInput("benches", self.benches, "a whole number from 1 to 1000")
        if self.coats is not None and not 0 <= self.coats <= 20:
            raise BadInput("coats", self.coats, "0 to 20")
        if len(self.client_kind) > 60:
            raise BadInput("for whom", self.client_kind, "a few words, at most 60 characters")
        if len(self.note) > LONGEST_NOTE:
            raise BadInput("note", self.note, f"at most {LONGEST_NOTE:,} characters")
        if self.adhesive and self.adhesive not in reference.adhesives():
            raise MissingReference("glue", self.adhesive, tuple(reference.adhesives()))
        if self.finish and self.finish not in reference.finishes():
            raise MissingReference("finish", self.finish, tuple(reference.finishes()))


@dataclass(frozen=True, slots=True)
class Leaf:
    """A page of a list: what is on it, how many there are in all, which page of how many."""

    projects: tuple[ProjectCounts, ...]
    total: int
    page: int
    pages: int


def listed(session: Session, states: Sequence[ProjectState] = ()) -> tuple[ProjectRow, ...]:
    """All projects, or those in some states, the newest first."""
    return project_records.all_projects(session, states)


def leaf(session: Session, states: Sequence[ProjectState], *, words: str = "", page: int = 1) -> Leaf:
    """Some states' projects, a page of them; a page past the last is the last.

    Args:
        session: to read from.
        states: which.
        words: each must stand somewhere in the number, title, client or note; upper or lower case is the same.
        page: from 1.
    """
    counts = project_records.count_by_state(session, words=words)
    total = sum(counts.get(found, 0) for found in states)
    pages = max(-(-total // PAGE), 1)
    here = min(max(page, 1), pages)
    shown = project_records.list_projects(session, states, words=words, most=PAGE, after=PAGE * (here - 1))
    return Leaf(shown, total, here, pages)


def any_at_all(session: Session) -> bool:
    """Whether the journal holds a project."""
    return bool(project_records.count_by_state(session))


def one(session: Session, project_id: int) -> ProjectRow:
    """One project.

    Raises:
        MissingReference: there is none with this id.
    """
    return project_records.get_project(session, project_id)


def habits(session: Session) -> ShopRow:
    """The shop's habits, which hold where a project says nothing else."""
    return get_shop(session)


def begin(session: Session, asked: Asked, *, now: datetime) -> ProjectRow:
    """Begin a project from an enquiry; it gets the next number of the year."""
    today = shop_day(session, now)
    draft = ProjectDraft(
        code=project_records.next_code(session, today.year),
        enquired_on=today,
        **_columns(session, asked),
    )
    return project_records.add_project(session, draft, now)


def change(session: Session, project_id: int, asked: Asked, *, read_version: int, now: datetime) -> ProjectRow:
    """Change what is known of a project; its plan follows (more benches, other coats).

    Raises:
        Conflict: somebody else changed it since `read_version`.
    """
    before = project_records.get_project(session, project_id)
    after = project_records.change_project(
        session, project_id, before.draft(**_columns(session, asked)), read_version=read_version, now=now
    )
    if _makes_other_work(before, after):
        reason = f"{after.benches} benches, {after.coats} coats"
        parts.keep(session, project_id, parts.current(session, project_id), reason=reason, now=now)
    return after


def asked_of(project: ProjectRow) -> Asked:
    """A project as it is asked about, for filling in a form."""
    return Asked(
        title=project.title,
        client_kind=project.client_kind,
        benches=project.benches,
        adhesive=project.adhesive or "",
        finish=project.finish or "",
        coats=project.coats,
        note=project.note,
    )


def _makes_other_work(before: ProjectRow, after: ProjectRow) -> bool:
    return (before.benches, before.finish, before.coats) != (after.benches, after.finish, after.coats)


def _columns(session: Session, asked: Asked) -> dict[str, Any]:
    finish = asked.finish or get_shop(session).default_finish
    return {
        "title": asked.title.strip(),
        "client_kind": asked.client_kind.strip(),
        "benches": asked.benches,
        "adhesive": asked.adhesive or None,
        "finish": asked.finish or None,
        "coats": reference.finishes()[finish].coats if asked.coats is None else asked.coats,
        "note": asked.note.strip(),
    }
