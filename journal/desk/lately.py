"""What was done last in all sections, newest first, each with its way back: the section's own, or why there is none."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from journal import units
from journal.desk import in_the_way
from journal.desk.parts import STEPS_CHANGED
from journal.desk.steps import say
from journal.records.queries import lately as records
from journal.records.queries.moves import standing
from journal.working import counted

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from journal.records.queries.acts import ActRow
    from journal.records.queries.building import EditRow
    from journal.records.queries.lately import ProjectName, Promised, RackDone, Reading, Subject, Version
    from journal.records.queries.moves import MoveRow

MOST = 50

_STEP_ON_IT = "a later step stands on it: take that back first"
_EXTRAS_ON_IT = "extras were agreed on it since: cancel the project instead"
_BOARD_ON_IT = "something was done later with a board of it: take that back first"
_NEWER_LIST = "a newer list stands on it: the part list goes back to any version"
_FIRST_LIST = "it is the first list: there is none to go back to"
_NO_WAY_BACK = {
    "quote": "it may have gone out: a newer quote takes its place",
    "extra": "it is agreed: an extra of the opposite amount takes it back",
    "payment": "its receipt stands: a refund puts it right",
    "refund": "its receipt stands: a payment puts it right",
}
_PROMISED = {
    "quote": "Quote {} issued, {}",
    "extra": "Extra {}, {}",
    "payment": "{} came in, {}",
    "refund": "{} given back, {}",
}


class Place(StrEnum):
    """Where something was done."""

    LOG = "log"
    COATS = "coats"
    GLUING = "glue-ups"
    NOTES = "notes"
    RACK = "rack"
    LIFE = "steps"
    PARTS = "parts"
    PLAN = "plan"
    QUOTE = "quote"
    PAST_JOBS = "past jobs"


class Back(StrEnum):
    """Whose way back it is."""

    ACT = "act"
    RACK = "rack"
    MOVE = "move"
    PARTS = "parts"
    EDIT = "edit"
    READING = "reading"
    IMPORT = "import"


@dataclass(frozen=True, slots=True)
class Way:
    """The way back: whose, of what, and for those that ask for it the version that was seen."""

    back: Back
    id: int
    version: int = 0


@dataclass(frozen=True, slots=True)
class Done:
    """One thing done.

    Attributes:
        at: when.
        said: what, in the journal's words; typed: what somebody wrote with it.
        place: the section; project: of which, if of one.
        who: whose work it is about, as far as the journal knows.
        way: what takes it back; None where nothing does.
        gone: it is taken back already.
        why_not: why nothing takes it back; '' where something does.
    """

    at: datetime
    said: str
    place: Place
    project: ProjectName | None = None
    typed: str = ""
    who: tuple[str, ...] = ()
    way: Way | None = None
    gone: bool = False
    why_not: str = ""


def lately(session: Session, currency: units.Currency, *, most: int = MOST) -> tuple[Done, ...]:
    """The newest things done, newest first; `currency` is the shop's. A constant number of statements."""
    acts = records.acts(session, most)
    rack = records.rack_acts(session, most)
    moves = records.moves(session, most)
    versions = records.versions(session, most, besides=STEPS_CHANGED)
    rest = _Rest(session, most)
    subjects = in_the_way.subjects_of(session, acts)
    projects = {subject.project_id for subject in subjects.values()}
    projects |= {step["project"] for act in acts for step in act.steps if "project" in step}
    projects |= {row.project_id for rows in (rack, moves, versions, rest.rows) for row in rows}
    names = records.names(session, {one for one in projects if one is not None})
    return tuple(
        sorted(
            (
                *_of_log(acts, subjects, names, records.people(session)),
                *_of_rack(session, rack, names),
                *_of_moves(session, moves, _begun_by(acts), names),
                *_of_parts(session, versions, names),
                *rest.told(names, currency),
            ),
            key=lambda one: one.at,
            reverse=True,
        )[:most]
    )


def _of_log(
    acts: Sequence[ActRow],
    subjects: Mapping[tuple[str, int], Subject],
    names: Mapping[int, ProjectName],
    people: Mapping[int, str],
) -> Iterator[Done]:
    why_not = in_the_way.reasons(acts, subjects)
    for act in acts:
        about = [subjects[key] for key in map(in_the_way.key_of, act.steps) if key in subjects]
        projects = {one.project_id for one in about if one.project_id is not None}
        projects |= {step["project"] for step in act.steps if "project" in step}
        who = dict.fromkeys(people[one.worker_id] for one in about if one.worker_id in people)
        refusal, gone = why_not.get(act.id, ""), act.undone_at is not None
        yield Done(
            act.at,
            act.said,
            _place_of(act, about),
            names.get(min(projects)) if len(projects) == 1 else None,
            who=tuple(who),
            way=None if refusal or gone else Way(Back.ACT, act.id),
            gone=gone,
            why_not=refusal,
        )


def _place_of(act: ActRow, about: Sequence[Subject]) -> Place:
    if any(one.values.get("purchase_id") for one in about):  # a photo of a receipt
        return Place.RACK
    kinds = {in_the_way.key_of(step)[0] for step in act.steps}
    if "coat" in kinds:
        return Place.COATS
    if kinds & {"glue_up", "glue_clock", "glue_tick"}:
        return Place.GLUING
    return Place.NOTES if kinds & {"note", "photo"} else Place.LOG


def _begun_by(acts: Sequence[ActRow]) -> frozenset[int]:
    """Steps of projects that were made by the work of an act, and go back with it."""
    return frozenset(step["move"] for act in acts for step in act.steps if step["do"] == "not_begun")


def _of_rack(session: Session, rows: Sequence[RackDone], names: Mapping[int, ProjectName]) -> Iterator[Done]:
    moved_on = records.moved_on(session, {row.id for row in rows if not row.undone})
    for row in rows:
        refusal = _BOARD_ON_IT if row.id in moved_on else ""
        way = None if refusal or row.undone else Way(Back.RACK, row.id)
        said = f"{row.said[:1].upper()}{row.said[1:]}"
        project = names.get(row.project_id) if row.project_id else None
        yield Done(row.at, said, Place.RACK, project, way=way, gone=row.undone, why_not=refusal)


def _of_moves(
    session: Session, rows: Sequence[MoveRow], with_work: frozenset[int], names: Mapping[int, ProjectName]
) -> Iterator[Done]:
    ids = {row.project_id for row in rows}
    left = {project: standing(moves) for project, moves in records.moves_of(session, ids).items()}
    extras = records.with_extras(session, ids)
    for row in rows:
        if row.undoes_id is not None or row.id in with_work:
            continue
        stands = left[row.project_id]
        gone = row.id not in {one.id for one in stands}
        refusal = "" if gone or row.id == stands[-1].id else _STEP_ON_IT
        if not gone and not refusal and row.net_cents is not None and row.project_id in extras:
            refusal = _EXTRAS_ON_IT
        project = names[row.project_id]
        yield Done(
            row.at,
            f"From {_plain(row.from_state)} to {_plain(row.to_state)}",
            Place.LIFE,
            project,
            typed=row.reason,
            way=None if refusal or gone else Way(Back.MOVE, project.id, project.version),
            gone=gone,
            why_not=refusal,
        )


def _of_parts(session: Session, rows: Sequence[Version], names: Mapping[int, ProjectName]) -> Iterator[Done]:
    known = records.versions_of(session, {row.project_id for row in rows})
    for row in rows:
        lists = [one.version for one in known[row.project_id] if not one.reason.startswith(STEPS_CHANGED)]
        refusal = "" if row.version == lists[-1] else _NEWER_LIST
        if row.version == lists[0]:
            refusal = _FIRST_LIST if len(lists) == 1 else _NEWER_LIST
        way = None if refusal else Way(Back.PARTS, row.project_id, known[row.project_id][-1].version)
        project = names[row.project_id]
        yield Done(row.made_at, "Part list", Place.PARTS, project, typed=row.reason, way=way, why_not=refusal)


class _Rest:
    """What has a way back of its own for each thing, or none at all."""

    def __init__(self, session: Session, most: int) -> None:
        self.edits = records.edits(session, most)
        self.readings = records.readings(session, most)
        self.promised = records.promised(session, most)
        self.imports = records.imports(session, most)

    @property
    def rows(self) -> tuple[EditRow | Reading | Promised, ...]:
        """Those of a project."""
        return (*self.edits, *self.readings, *self.promised)

    def told(self, names: Mapping[int, ProjectName], currency: units.Currency) -> Iterator[Done]:
        """Each with its way back."""
        for edit in self.edits:
            gone = edit.taken_back_at is not None
            way = None if gone else Way(Back.EDIT, edit.id)
            yield Done(edit.made_at, "Step", Place.PLAN, names[edit.project_id], say(edit), way=way, gone=gone)
        for read in self.readings:
            way = None if read.taken_back else Way(Back.READING, read.id)
            said = f"Moisture of {read.moisture_pct:g} % noted"
            project = names[read.project_id]
            yield Done(read.at, said, Place.PLAN, project, read.place, way=way, gone=read.taken_back)
        for row in self.promised:
            amount = units.format_money(row.cents, units.currency(row.currency) if row.currency else currency)
            yield Done(
                row.at,
                _PROMISED[row.what].format(row.number, amount),
                Place.QUOTE,
                names[row.project_id],
                why_not=_NO_WAY_BACK[row.what],
            )
        for taken in self.imports:
            said = f"Spreadsheet taken in, {counted(taken.projects, 'project')}"
            yield Done(taken.at, said, Place.PAST_JOBS, typed=taken.source, way=Way(Back.IMPORT, taken.id))


def _plain(word: str) -> str:
    return word.replace("_", " ")
