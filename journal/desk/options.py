"""Options of an enquiry: kept, estimated on the same throws, set side by side, and one of them made the project."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from journal import reference
from journal.build.design_parts import make_parts
from journal.desk import designs, estimate, option_changes, parts
from journal.desk.shop import read_shop
from journal.errors import BadInput, BadRows, Conflict, JournalError, MissingReference
from journal.quote.options import ComparedLine, Dearer, changed_parts, compare, dearer
from journal.records.queries import options as records
from journal.records.queries import projects as project_records
from journal.records.queries.shop import shop_day
from journal.records.words import ProjectState

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from journal.build.design import Design
    from journal.build.parts import Part
    from journal.desk.estimate import Inputs, ProjectEstimate
    from journal.quote.estimate import Estimate
    from journal.quote.options import Changes
    from journal.records.queries.options import OptionRow
    from journal.records.queries.projects import ProjectRow

MOST = records.MOST
# What is agreed is changed by extras, and what is built is history.
OPEN = (ProjectState.ENQUIRY, ProjectState.QUOTED, ProjectState.ON_HOLD)


@dataclass(frozen=True, slots=True)
class Ground:
    """What an option of a project can change.

    Attributes:
        project: as it is.
        adhesive, finish: what it is made with, the shop's habit where it says nothing.
        listed: its parts; plan_version: of their list.
        stock_codes: what the shop can take instead; woods: those it has prices for.
        design: the one it came from, where that can still be read; given: what was chosen of it.
        by_hand: its parts are no longer those the design makes, so that other dimensions would lose what was changed.
    """

    project: ProjectRow
    adhesive: str
    finish: str
    listed: tuple[Part, ...]
    plan_version: int
    stock_codes: tuple[str, ...]
    woods: tuple[str, ...]
    design: Design | None
    given: dict[str, object]
    by_hand: bool

    @property
    def stocks(self) -> tuple[str, ...]:
        """What the parts are made of, as they name it; each once."""
        return tuple(dict.fromkeys(part.stock for part in self.listed))


@dataclass(frozen=True, slots=True)
class Variant:
    """An option, estimated.

    Attributes:
        row: as kept; changes: what it makes other; said: in words.
        made: the estimate; None where it cannot be built, and why is the trouble.
        dearer: how far its cost lies over the project's.
        is_project: it is what the project is now.
    """

    row: OptionRow
    changes: Changes
    said: tuple[str, ...]
    made: Estimate | None
    dearer: Dearer | None
    is_project: bool
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class Comparison:
    """A project and its options side by side."""

    found: ProjectEstimate
    variants: tuple[Variant, ...]
    lines: tuple[ComparedLine, ...]
    plan_version: int

    @property
    def open(self) -> bool:
        """Whether an option may still become the project."""
        return self.found.project.state in OPEN


def ground(session: Session, project_id: int, today: date) -> Ground:
    """What an option of this project can change."""
    project = project_records.get_project(session, project_id)
    page = parts.page(session, project_id)
    shop = read_shop(session, today)
    design = _design(session, project)
    given = dict(project.design_values or {}) if design else {}
    return Ground(
        project=project,
        adhesive=project.adhesive or shop.row.default_adhesive,
        finish=project.finish or shop.row.default_finish,
        listed=page.parts,
        plan_version=page.version,
        stock_codes=shop.book().codes,
        woods=designs.woods(shop),
        design=design,
        given=given,
        by_hand=design is not None and _by_hand(design, given, page.parts),
    )


def side_by_side(session: Session, project_id: int, today: date) -> Comparison:
    """The project and its options, on the same throws.

    Raises:
        JournalError: the project itself has no estimate: no parts, or one that cannot be made.
    """
    found = estimate.estimate_project(session, project_id, today)
    design = _design(session, found.project)
    variants = tuple(_variant(row, found, design) for row in records.options(session, project_id))
    lines = compare(found.made, [variant.made for variant in variants])
    return Comparison(found, variants, lines, parts.page(session, project_id).version)


def one(session: Session, project_id: int, option_id: int) -> tuple[OptionRow, Changes]:
    """An option and what it makes other.

    Raises:
        MissingReference: the project has no such option.
    """
    row = records.get_option(session, project_id, option_id)
    return row, option_changes.from_kept(row.changes)


def add(session: Session, project_id: int, name: str, changes: Changes, *, now: datetime) -> OptionRow:
    """Keep a new option.

    Raises:
        BadInput: it changes nothing, its name is taken, there are five, or what it names does not exist.
    """
    _check(session, project_id, changes, shop_day(session, now))
    return records.add_option(session, project_id, name, option_changes.as_kept(changes), now=now)


def change(
    session: Session, project_id: int, option_id: int, name: str, changes: Changes, *, read_version: int, now: datetime
) -> OptionRow:
    """Keep a changed option.

    Raises:
        BadInput: as `add`.
        MissingReference: the project has no such option.
        Conflict: somebody else changed it since `read_version`.
    """
    _check(session, project_id, changes, shop_day(session, now))
    row = replace(records.get_option(session, project_id, option_id), version=read_version)
    return records.change_option(session, row, name, option_changes.as_kept(changes), now=now)


def remove(session: Session, project_id: int, option_id: int) -> OptionRow:
    """Take an option away.

    Raises:
        MissingReference: the project has no such option.
    """
    return records.remove_option(session, project_id, option_id)


def take(
    session: Session, project_id: int, option_id: int, *, read_version: int, plan_version: int, now: datetime
) -> Variant:
    """Make an option the project: its particulars, and its parts as the next version of the plan.

    The option stays, and so does the version before, which Undo under Parts goes back to.

    Raises:
        JournalError: it cannot be built.
        BadInput: the project is agreed or done.
        Conflict: the option or the parts changed since they were shown.
    """
    found = estimate.estimate_project(session, project_id, now.date())
    project = found.project
    if project.state not in OPEN:
        raise BadInput("project", project.state.value.replace("_", " "), "one that nothing is agreed for yet")
    row = records.get_option(session, project_id, option_id)
    if row.version != read_version:
        raise Conflict(f"the option “{row.name}”", "look at it again and take that")
    design = _design(session, project)
    variant = _variant(row, found, design)
    if variant.made is None:
        raise JournalError(f"“{row.name}” cannot be built: {variant.trouble}")
    inputs = _inputs(variant.changes, found, design)
    _keep_particulars(session, project, variant.changes, inputs, now)
    reason = f"option “{row.name}” taken"
    parts.keep(session, project_id, inputs.listed, reason=reason, now=now, read_version=plan_version)
    return variant


def _keep_particulars(session: Session, project: ProjectRow, changes: Changes, inputs: Inputs, now: datetime) -> None:
    values = {**(project.design_values or {}), **changes.design} or None
    draft = project.draft(
        benches=inputs.benches,
        adhesive=inputs.work.adhesive or None,
        finish=inputs.work.finish or None,
        coats=inputs.work.coats,
        design_values=values,
    )
    if draft != project.draft():
        project_records.change_project(session, project.id, draft, read_version=project.version, now=now)


def _variant(row: OptionRow, found: ProjectEstimate, design: Design | None) -> Variant:
    changes = option_changes.from_kept(row.changes)
    words = option_changes.said(changes, found.inputs.listed, design, found.shop.system)
    try:
        inputs = _inputs(changes, found, design)
        made = estimate.estimate_of(inputs)
    except JournalError as refused:
        return Variant(row, changes, words, None, None, is_project=False, trouble=_why(refused))
    return Variant(row, changes, words, made, dearer(found.made, made), is_project=inputs.same_as(found.inputs))


def _inputs(changes: Changes, found: ProjectEstimate, design: Design | None) -> Inputs:
    """What the option's estimate is worked out from: the project's own, with the changes."""
    work, inputs = found.work, found.inputs
    finish = changes.finish or work.finish
    usual = reference.finishes()[finish].coats if changes.finish and changes.finish != work.finish else work.coats
    return replace(
        inputs,
        listed=changed_parts(_made_anew(changes, found, design), changes),
        benches=inputs.benches if changes.benches is None else changes.benches,
        work=replace(
            work,
            adhesive=changes.adhesive or work.adhesive,
            finish=finish,
            coats=usual if changes.coats is None else changes.coats,
        ),
    )


def _made_anew(changes: Changes, found: ProjectEstimate, design: Design | None) -> tuple[Part, ...]:
    """The parts in the option's dimensions; one with the label of a part that is there keeps that one's identity."""
    listed, given = found.inputs.listed, found.project.design_values or {}
    asked = {**given, **changes.design}
    if design is None or asked == given:
        return listed
    there = {part.label.casefold(): part.uid for part in listed}
    return tuple(replace(part, uid=there.get(part.label.casefold(), "")) for part in make_parts(design, asked))


def _design(session: Session, project: ProjectRow) -> Design | None:
    """The design a project came from; None where there is none, or none that can be read any more."""
    if not project.design_word or project.design_values is None:
        return None
    try:
        return designs.find(session, project.design_word).design
    except MissingReference:
        return None


def _by_hand(design: Design, given: dict[str, object], listed: Sequence[Part]) -> bool:
    try:
        made = make_parts(design, given)  # type: ignore[arg-type]
    except JournalError:  # the design was changed since, so that the choices of then make no bench
        return True
    return tuple(replace(part, uid="") for part in listed) != made


def _check(session: Session, project_id: int, changes: Changes, today: date) -> None:
    """Refuse what would never be an option, whatever it costs."""
    if changes.nothing:
        raise BadInput("option", "", "something that is other than in the project")
    if changes.adhesive and changes.adhesive not in reference.adhesives():
        raise MissingReference("glue", changes.adhesive, tuple(reference.adhesives()))
    if changes.finish and changes.finish not in reference.finishes():
        raise MissingReference("finish", changes.finish, tuple(reference.finishes()))
    on = ground(session, project_id, today)
    taken = {part.label.casefold() for part in on.listed if part.uid not in changes.left_out}
    for part in changes.added:
        if part.label.casefold() in taken:
            raise BadInput("parts added", part.label, "a label no part of the project has")
    changed_parts(on.listed, changes)


def _why(refused: JournalError) -> str:
    """A refusal in one line."""
    if isinstance(refused, BadRows):
        return "; ".join(problem.message for problem in refused.problems[:3])
    return str(refused)
