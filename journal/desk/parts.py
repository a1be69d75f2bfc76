"""A project's part list: read, kept, changed, undone. Every change makes a new version of the plan; none is lost."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from journal.build.milling import mill
from journal.build.part_list import Reading, read
from journal.build.parts import Along, Feature, Part, parse_faces
from journal.desk.edited_work import edits_of, with_edits
from journal.desk.remembered import Remembered
from journal.desk.shop import Work, read_shop
from journal.errors import BadInput, JournalError
from journal.quote.takeoff import take_off
from journal.records.queries import plans
from journal.records.queries import projects as project_records
from journal.records.queries.plans import FeatureRow, OperationRow, PartRow
from journal.records.queries.shop import shop_day
from journal.records.words import LaminatedAlong

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from journal.build.stock import StockBook
    from journal.desk.shop import ShopView
    from journal.quote.takeoff import ShopRules, Takeoff
    from journal.records.queries.plans import PlanHead, PlanRow


# Versions of the plan in which no part changed say so; going back to other parts passes them over.
STEPS_CHANGED = "steps changed"


@dataclass(frozen=True, slots=True)
class Kept:
    """What was kept: the plan version, and why no operations could be worked out from it, if so."""

    plan: PlanRow
    trouble: str = ""


# As errors.MissingReference says it.
_NO_STOCK = re.compile(r"no stock called “([^”]+)”")
_SHEET_WORDS = frozenset(
    {"plywood", "ply", "mdf", "hardboard", "particleboard", "fibreboard", "fiberboard", "strand", "sheet"}
)


@dataclass(frozen=True, slots=True)
class Trouble:
    """Why parts cannot be made yet, and what would do; no labels when no part is to blame."""

    labels: tuple[str, ...]
    why: str

    @property
    def wanted(self) -> tuple[str, str] | None:
        """The stock that the shop does not buy, as sheet or lumber and by its name; None where the trouble is another."""
        found = _NO_STOCK.search(self.why)
        if not found:
            return None
        name = found[1]
        return ("sheet" if _SHEET_WORDS & set(name.casefold().split()) else "lumber"), name


@dataclass(frozen=True, slots=True)
class PartPage:
    """A project's parts as a page shows them."""

    parts: tuple[Part, ...]
    version: int
    history: tuple[PlanHead, ...]


def current(session: Session, project_id: int) -> tuple[Part, ...]:
    """A project's parts, in their order."""
    return from_rows(plans.parts(session, project_id))


def from_rows(rows: Sequence[PartRow]) -> tuple[Part, ...]:
    """Kept parts as the build room knows them."""
    return tuple(_part(row) for row in rows)


def page(session: Session, project_id: int) -> PartPage:
    """A project's parts, and the versions they can go back to."""
    history = plans.plan_history(session, project_id)
    return PartPage(current(session, project_id), history[0].version if history else 0, history)


def keep(
    session: Session,
    project_id: int,
    listed: Sequence[Part],
    *,
    reason: str,
    now: datetime,
    read_version: int | None = None,
) -> Kept:
    """Keep a part list as the next version of the plan, with the operations that follow from it.

    A list that cannot be built yet (a stock without a price, a part too thick) is kept all the same, and says why.

    Raises:
        BadInput: two parts with one label.
        Conflict: somebody else changed the list since `read_version`.
    """
    _refuse_same_labels(listed)
    operations, trouble = _operations(session, project_id, listed, now)
    rows = [to_row(part) for part in listed]
    plan = plans.save_parts(session, project_id, rows, operations, reason=reason, now=now, read_version=read_version)
    return Kept(plan, trouble)


def take_list(
    session: Session,
    project_id: int,
    content: bytes | str,
    *,
    source: str,
    now: datetime,
    add: bool = False,
    read_version: int | None = None,
) -> tuple[Kept, Reading]:
    """Take a pasted or uploaded part list whole, in place of the parts there or added to them.

    A part with the label of one that is there keeps that one's identity, so its history goes on.

    Raises:
        BadRows: naming every bad cell; nothing is taken.
    """
    system = read_shop(session, shop_day(session, now)).system
    reading = read(content, source=source, system=system)
    taken = reading.taken()
    there = {part.label.casefold(): part for part in current(session, project_id)}
    named = [replace(p, uid=there[p.label.casefold()].uid) if p.label.casefold() in there else p for p in taken]
    if add:
        new = {part.label.casefold() for part in named}
        named = [*(part for label, part in there.items() if label not in new), *named]
    reason = f"{'added from' if add else 'taken from'} {source}"
    return keep(session, project_id, named, reason=reason, now=now, read_version=read_version), reading


def undo(session: Session, project_id: int, *, now: datetime) -> PlanRow:
    """Go back to the version before the newest; that is a change too, and can be undone.

    Raises:
        BadInput: there is nothing to go back to.
    """
    history = [head for head in plans.plan_history(session, project_id) if not head.reason.startswith(STEPS_CHANGED)]
    if len(history) < 2:
        raise BadInput("undo", "", "an earlier version of the part list; there is none")
    return restore(session, project_id, history[1].version, now=now)


def restore(session: Session, project_id: int, version: int, *, now: datetime) -> PlanRow:
    """Go back to any version; changes of the steps hold on."""
    restored = plans.restore_plan(session, project_id, version, now=now)
    return keep_steps(session, project_id, "for these parts", now=now) if edits_of(session, project_id) else restored


def keep_steps(session: Session, project_id: int, what: str, *, now: datetime) -> PlanRow:
    """Keep the operations that the changed steps leave as the next version of the plan, the parts as they are."""
    listed = current(session, project_id)
    return keep(session, project_id, listed, reason=f"{STEPS_CHANGED}: {what}", now=now).plan


def troubles(session: Session, project_id: int, today: date) -> tuple[Trouble, ...]:
    """What stands in the way of building the parts as they stand, each reason once; nothing for no parts."""
    listed = current(session, project_id)
    if not listed:
        return ()
    project = project_records.get_project(session, project_id)
    shop = read_shop(session, today)
    work = Work(project.adhesive or "", project.finish or "", project.coats)
    try:
        found = cannot_be_milled(listed, shop.book(), shop.rules(work), project.benches)
        if not found:
            taken_off(listed, shop, work, project.benches)
    except JournalError as refused:
        return (Trouble((), str(refused)),)
    return tuple(Trouble(tuple(labels), why) for why, labels in found.items())


_taken_off: Remembered[Takeoff] = Remembered(24)


def taken_off(listed: Sequence[Part], shop: ShopView, work: Work, benches: int) -> Takeoff:
    """What the parts ask for by the shop's settings; the same parts, kept and then shown, are worked out once.

    Raises:
        JournalError: when a part cannot be made.
    """
    return taken_by(listed, shop.book(), shop.rules(work), benches)


def taken_by(listed: Sequence[Part], book: StockBook, rules: ShopRules, benches: int) -> Takeoff:
    """What the parts ask for by some rules; a change of steps or of what was learned plans no board anew.

    Raises:
        JournalError: when a part cannot be made.
    """
    rests_on = (tuple(listed), book, rules, benches)
    return _taken_off.get(rests_on, lambda: take_off(listed, book, rules, benches=benches))


def cannot_be_milled(listed: Sequence[Part], book: StockBook, rules: ShopRules, benches: int) -> dict[str, list[str]]:
    """The labels of the parts that cannot be milled, by the reason."""
    found: dict[str, list[str]] = {}
    for part in listed:
        try:
            mill(part, book, rules.milling, benches=benches)
        except JournalError as refused:
            found.setdefault(str(refused).removeprefix(f"{part.label}: "), []).append(part.label)
    return found


def _refuse_same_labels(listed: Sequence[Part]) -> None:
    seen: set[str] = set()
    for part in listed:
        if part.label.casefold() in seen:
            raise BadInput("label", part.label, "a label no other part has; raise its qty instead")
        seen.add(part.label.casefold())


def _operations(
    session: Session, project_id: int, listed: Sequence[Part], now: datetime
) -> tuple[list[OperationRow], str]:
    if not listed:
        return [], ""
    project = project_records.get_project(session, project_id)
    shop = read_shop(session, shop_day(session, now))
    work = Work(project.adhesive or "", project.finish or "", project.coats)
    try:
        taken = taken_off(listed, shop, work, project.benches)
        takeoff = with_edits(taken, shop, work, edits_of(session, project_id))
    except JournalError as trouble:
        return [], str(trouble)
    return [OperationRow(task.code, round(task.quantity, 6), task.setups) for task in takeoff.tasks], ""


def _part(row: PartRow) -> Part:
    return Part(
        label=row.label,
        quantity=row.quantity,
        thickness_nm=row.thickness_nm,
        width_nm=row.width_nm,
        length_nm=row.length_nm,
        stock=row.stock_code,
        strips=row.strips,
        along=Along(row.laminated_along.value),
        faces=parse_faces(", ".join(row.faces)),
        features=tuple(Feature(f.feature, f.count or 0, f.length_nm or 0) for f in row.features),
        uid=row.uid,
        note=row.note,
    )


def to_row(part: Part) -> PartRow:
    """A part as it is kept."""
    return PartRow(
        label=part.label,
        quantity=part.quantity,
        thickness_nm=part.thickness_nm,
        width_nm=part.width_nm,
        length_nm=part.length_nm,
        stock_code=part.stock,
        strips=part.strips,
        laminated_along=LaminatedAlong(part.along.value),
        faces=tuple(word.strip() for word in str(part.faces).split(",")),
        note=part.note,
        features=tuple(FeatureRow(f.word, f.count or None, f.length_nm or None) for f in part.features),
        uid=part.uid,
    )
