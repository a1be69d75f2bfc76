"""Coats as they went on: kept, corrected, taken out; what the plan expects; when the next coat may follow."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime, time, timedelta
from typing import TYPE_CHECKING

from journal import reference
from journal.build.finishing import surface_of
from journal.build.waits import recoat_hours
from journal.desk.coat_use import finish_use
from journal.desk.estimate import estimate_project
from journal.desk.floor_undo import change_step
from journal.desk.glue_clock import NM2_PER_MM2, to_celsius, to_fahrenheit
from journal.errors import BadInput, Conflict, JournalError, MissingReference, NoSolution
from journal.records.base import canonical, checksum
from journal.records.queries import acts, floor
from journal.records.queries import projects as project_records
from journal.records.queries import shop as shop_records
from journal.records.queries.floor import CoatRow

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from sqlalchemy.orm import Session

    from journal.desk.coat_use import FinishUse
    from journal.desk.estimate import ProjectEstimate
    from journal.desk.sending import Sending
    from journal.records.queries.projects import ProjectRow

MOST_COATS = 20


@dataclass(frozen=True, slots=True)
class PartArea:
    """The surface of one part that gets finish, all its pieces together."""

    label: str
    area_nm2: int


@dataclass(frozen=True, slots=True)
class CoatsPage:
    """A project's coats and what the plan expects.

    Attributes:
        project: which.
        coats: those that count, the newest first.
        finish: the class that the plan names.
        planned: how many coats.
        parts: surface by part; empty without a plan.
        use: what was used beside what the plan expects; None without a plan, or where it has no finish.
    """

    project: ProjectRow
    coats: tuple[CoatRow, ...]
    finish: str
    planned: int
    parts: tuple[PartArea, ...]
    use: FinishUse | None = None

    @property
    def next_coat(self) -> int:
        return max((one.coat for one in self.coats), default=0) + 1

    @property
    def area_nm2(self) -> int:
        """All of it."""
        return sum(part.area_nm2 for part in self.parts)


@dataclass(frozen=True, slots=True)
class Wanted:
    """A coat as somebody tells it.

    Attributes:
        finish: its class.
        coat: 1 is the first.
        parts: labels; none: all of it, or `area_mm2`.
        area_mm2: the area when it is typed; None: that of the parts.
        amount_ml: used; None when the container was measured before and after.
        before_ml, after_ml: in the container.
        on_date, at: the day, and the time of day it was on; None when nobody knows.
        temperature_c, humidity_pct: of the air.
        note: whatever else.
    """

    finish: str
    coat: int
    on_date: date
    parts: tuple[str, ...] = ()
    area_mm2: int | None = None
    amount_ml: float | None = None
    before_ml: float | None = None
    after_ml: float | None = None
    at: time | None = None
    temperature_c: float | None = None
    humidity_pct: float | None = None
    note: str = ""

    def __post_init__(self) -> None:
        if self.finish not in reference.finishes():
            raise BadInput("finish", self.finish, ", ".join(reference.finishes()))
        if not 1 <= self.coat <= MOST_COATS:
            raise BadInput("coat", self.coat, f"1 to {MOST_COATS}")
        if self.temperature_c is not None:
            to_fahrenheit(self.temperature_c)
        if self.humidity_pct is not None and not 0 <= self.humidity_pct <= 100:
            raise BadInput("humidity", self.humidity_pct, "0 to 100 %")

    @property
    def used_ml(self) -> float:
        """What went on.

        Raises:
            BadInput: neither the amount nor both levels, both ways, or no less in the container than before.
        """
        levels = (self.before_ml, self.after_ml)
        if self.amount_ml is not None:
            if levels != (None, None):
                raise BadInput("amount_used", "an amount and levels", "one of the two")
            return self.amount_ml
        if self.before_ml is None:
            raise BadInput("amount_used", "", "the amount, or the container before and after")
        if self.after_ml is None:
            raise BadInput("level_after", "", "what is left in the container")
        if self.after_ml >= self.before_ml:
            raise BadInput("level_after", f"{self.after_ml:g} ml", f"less than the {self.before_ml:g} ml before")
        return self.before_ml - self.after_ml


def page(session: Session, project_id: int, today: date) -> CoatsPage:
    """A project's coats, and what the plan expects of them."""
    project = project_records.get_project(session, project_id)
    coats = tuple(reversed(floor.coats(session, project_id=project_id)))
    finish = project.finish or shop_records.get_shop(session).default_finish
    planned = reference.finishes()[finish].coats if project.coats is None else project.coats
    found = _estimate(session, project_id, today)
    use = finish_use(found, coats) if found else None
    return CoatsPage(project, coats, finish, planned, _parts(found), use)


def put(session: Session, project_id: int, wanted: Wanted, *, sent: Sending) -> str:
    """Keep a coat. Answers what was done.

    Raises:
        BadInput: nothing used, no area, a part the plan does not have, or tomorrow.
    """
    if before := sent.before(session):
        return before
    row = floor.add_coat(session, _row(session, project_id, wanted, sent))
    said = f"Coat {row.coat} is noted"
    acts.add_act(session, sent.key, said, [{"do": "no_coat", "id": row.id}], now=sent.now)
    return said


def stamp(row: CoatRow) -> str:
    """Tells whether a coat is still as it was: every field that can be put right."""
    return checksum(canonical({name: str(getattr(row, name)) for name in _TOLD}))


def correct(session: Session, coat_id: int, wanted: Wanted, *, seen: str, sent: Sending) -> str:
    """Put a coat right. Answers what was done.

    Args:
        session: writing.
        coat_id: which.
        wanted: as it was.
        seen: the stamp of the coat on the page that was filled in.
        sent: which sending of the form this is.

    Raises:
        BadInput: as for `put`.
        Conflict: it was taken out, or put right by somebody else since.
    """
    if before := sent.before(session):
        return before
    row = _live(session, coat_id)
    if stamp(row) != seen:
        raise Conflict("this coat", "open it again and repeat the change")
    after = _row(session, row.project_id, _as_kept(wanted, row), sent)
    changes = {name: getattr(after, name) for name in _TOLD}
    step = change_step("coat", row, changes)
    floor.change_coat(session, coat_id, changes)
    said = f"Coat {after.coat} is corrected" if step else "Nothing was changed"
    if step:
        acts.add_act(session, sent.key, said, [step], now=sent.now)
    return said


def remove(session: Session, coat_id: int, *, sent: Sending) -> str:
    """Take a coat out of every sum; undo counts it again. Answers what was done."""
    if before := sent.before(session):
        return before
    row = _live(session, coat_id)
    changes: Mapping[str, object] = {"removed_at": sent.now}
    step = change_step("coat", row, changes)
    floor.change_coat(session, coat_id, changes)
    said = f"Coat {row.coat} is taken out"
    acts.add_act(session, sent.key, said, [step] if step else [], now=sent.now)
    return said


def next_from(row: CoatRow, shop: Mapping[str, float]) -> tuple[datetime, datetime] | None:
    """(at the quickest, to be sure): when the next coat may follow; None when nobody knows when this one was on.

    A rule of thumb: the finish's usual waits, longer when the air was cold or humid; the shop's own air where none was
    noted.
    """
    if row.at is None:
        return None
    quick, slow = wait_hours(row.finish, row.temperature_c, row.humidity_pct, shop)
    return row.at + timedelta(hours=quick), row.at + timedelta(hours=slow)


def shop_celsius(shop: Mapping[str, float]) -> float:
    """The temperature that the shop has set, in °C."""
    return to_celsius(shop["shop_temp"])


def wait_hours(
    finish: str, temperature_c: float | None, humidity_pct: float | None, shop: Mapping[str, float]
) -> tuple[float, float]:
    """(quick, slow) hours between coats in this air, or in the shop's where none was noted."""
    found = reference.finishes()[finish]
    temp_f = shop["shop_temp"] if temperature_c is None else to_fahrenheit(temperature_c)
    humidity = shop["shop_humidity_pct"] if humidity_pct is None else humidity_pct
    try:
        return recoat_hours(found, temp_f, humidity)
    except NoSolution:  # coated all the same: what the finish usually takes, which is what is known
        return found.recoat_low_hours, found.recoat_high_hours


_TOLD = (
    "finish",
    "coat",
    "area_mm2",
    "amount_ml",
    "on_date",
    "temperature_c",
    "humidity_pct",
    "note",
    "parts",
    "at",
)


def _estimate(session: Session, project_id: int, today: date) -> ProjectEstimate | None:
    """Today's estimate; None while the plan cannot be made."""
    try:
        return estimate_project(session, project_id, today)
    except JournalError:
        return None


def _parts(found: ProjectEstimate | None) -> tuple[PartArea, ...]:
    """The surface of each part; nothing while the plan cannot be made, and then an area is typed."""
    if found is None:
        return ()
    areas = [PartArea(one.part.label, one.pieces * surface_of(one.part).area_nm2) for one in found.made.takeoff.milled]
    return tuple(one for one in areas if one.area_nm2)


def _as_kept(wanted: Wanted, row: CoatRow) -> Wanted:
    """Parts left as they were keep their area, whatever the plan says now."""
    same = "\n".join(wanted.parts) == (row.parts or "")
    return replace(wanted, area_mm2=row.area_mm2) if same and wanted.area_mm2 is None else wanted


def _row(session: Session, project_id: int, wanted: Wanted, sent: Sending) -> CoatRow:
    if wanted.on_date > sent.today:
        raise BadInput("on_date", wanted.on_date.isoformat(), "a day that has been")
    at = None
    if wanted.at is not None:
        at = datetime.combine(wanted.on_date, wanted.at, sent.zone).astimezone(UTC)
        if at > sent.now:
            raise BadInput("at", f"{wanted.at:%H:%M}", "a time that has been")
    return CoatRow(
        project_id=project_id,
        finish=wanted.finish,
        coat=wanted.coat,
        area_mm2=_area(session, project_id, wanted, sent.today),
        amount_ml=wanted.used_ml,
        on_date=wanted.on_date,
        temperature_c=wanted.temperature_c,
        humidity_pct=wanted.humidity_pct,
        note=wanted.note,
        parts="\n".join(wanted.parts) or None,
        at=at,
    )


def _area(session: Session, project_id: int, wanted: Wanted, today: date) -> int:
    if wanted.area_mm2 is not None:
        return wanted.area_mm2
    known = {one.label: one.area_nm2 for one in _parts(_estimate(session, project_id, today))}
    unknown = [label for label in wanted.parts if label not in known]
    if unknown:
        raise MissingReference("part", unknown[0], tuple(known))
    chosen = [known[label] for label in wanted.parts] if wanted.parts else list(known.values())
    if not chosen:
        raise BadInput("area", "", "how much was coated; there is no plan to take it from")
    return max(1, round(sum(chosen) / NM2_PER_MM2))


def _live(session: Session, coat_id: int) -> CoatRow:
    row = floor.get_coat(session, coat_id)
    if row.removed_at is not None:
        raise Conflict("this coat", "it was taken out; undo that first")
    return row
