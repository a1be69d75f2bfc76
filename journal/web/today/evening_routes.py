"""A day told in the evening, or a week at once."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from flask import redirect, render_template, request, url_for

from journal import units
from journal.desk import acts, bench
from journal.desk import evening as desk
from journal.errors import BadInput
from journal.web import forms, state
from journal.web.floor.tap_routes import read_count
from journal.web.today import cells
from journal.web.today.blueprint import bp
from journal.web.who import who_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from flask.typing import ResponseReturnValue

    from journal.desk.evening import Evening
    from journal.records.queries.acts import ActRow
    from journal.records.queries.devices import WorkerRow
    from journal.web.today.cells import Read

bp.add_app_template_filter(cells.box_id)

_WEEK = 7
_EARLIEST = date(2000, 1, 1)


@dataclass(frozen=True, slots=True)
class EveningPage:
    """What today/evening.html and today/week.html receive.

    Attributes:
        days: the day, or the seven of the week; before, after: the one to turn to, None past today.
        today: which of them it is.
        workers, worker_id: everybody at the bench, and whose hours these are.
        boxes: hours and quantities.
        beside: how many entries of these days are not told here.
        sums: seconds of each day as the page opened.
        here, added: seconds in all boxes as they stand, and those of them that are new.
        last: the last change, to take back.
        errors: about the whole; refused: it could not be kept.
        others: who is ticked to get the same hours.
    """

    days: tuple[date, ...]
    before: date
    after: date | None
    today: date
    workers: tuple[WorkerRow, ...]
    worker_id: int | None
    boxes: Read
    beside: int
    sums: tuple[int, ...]
    here: int
    added: int
    last: ActRow | None
    errors: tuple[str, ...] = ()
    refused: bool = False
    others: frozenset[int] = frozenset()

    @property
    def unread(self) -> bool:
        """Whether some box holds what is no time."""
        return self.refused and self.boxes.refused

    @property
    def together(self) -> int:
        """Seconds of work of everybody: whoever is ticked gets what is new as well."""
        return self.here + self.added * len(self.others)


@bp.get("/evening")
def evening() -> ResponseReturnValue:
    """A day, ready to be filled in."""
    return _show("today/evening.html", [_day(request.args.get("day", ""))])


@bp.post("/evening")
def evening_keep() -> ResponseReturnValue:
    """Keep a day."""
    day = _day(request.form.get("day", ""))
    return _keep("today/evening.html", [day]) or redirect(
        url_for("today.evening", day=_said(day), who=_who()), code=303
    )


@bp.get("/evening/week")
def week() -> ResponseReturnValue:
    """A week, ready to be filled in."""
    return _show("today/week.html", _week_of(_day(request.args.get("week", ""))))


@bp.post("/evening/week")
def week_keep() -> ResponseReturnValue:
    """Keep a week."""
    days = _week_of(_day(request.form.get("week", "")))
    return _keep("today/week.html", days) or redirect(
        url_for("today.week", week=_said(days[0]), who=request.form.get("who") or None), code=303
    )


def _keep(template: str, days: Sequence[date]) -> ResponseReturnValue | None:
    """None when it was kept; else the page as it was filled in."""
    with state.reading() as session:
        found = desk.evening(session, days, _who())
    boxes = cells.read(found, request.form)
    if boxes.refused:
        return _page(template, found, boxes, refused=True), 422
    try:
        with state.writing() as session:
            told = boxes.told, boxes.built, boxes.notes
            desk.tell(session, *told, worker_id=found.worker_id, others=_others(), sent=state.sending())
    except BadInput as refusal:
        return _page(template, found, boxes, refusal=refusal, refused=True), 422
    return None


def _show(template: str, days: Sequence[date]) -> str:
    with state.reading() as session:
        found = desk.evening(session, days, _who())
    return _page(template, found, cells.shown(found))


def _page(template: str, found: Evening, boxes: Read, *, refusal: BadInput | None = None, refused: bool = False) -> str:
    today, span = state.journal().today(), timedelta(days=len(found.days))
    with state.reading() as session:
        last = acts.newest(session, state.now())
    errors: tuple[str, ...] = ()
    if refusal is not None and refusal.field == "note":
        noted = cells.with_note_error(boxes.projects, forms.explain(refusal), boxes.notes)
        boxes = cells.Read(noted, boxes.shop, boxes.told, boxes.built, boxes.notes)
    elif refusal is not None:
        errors = (f"{str(refusal)[:1].upper()}{str(refusal)[1:]}.",)
    rows = [row for project in boxes.projects for stage in project.stages for row in stage.rows]
    here, added = cells.typed_sums([*rows, boxes.shop])
    page = EveningPage(
        days=found.days,
        before=found.days[0] - span,
        after=found.days[0] + span if found.days[0] + span <= today else None,
        today=today,
        workers=found.workers,
        worker_id=found.worker_id,
        boxes=boxes,
        beside=len(found.beside),
        sums=cells.column_sums([*rows, boxes.shop]),
        here=here,
        added=added,
        last=last,
        errors=errors,
        refused=refused,
        others=frozenset(_others()) - {found.worker_id},
    )
    return render_template(template, page=page)


def _day(text: str) -> date:
    """The day an address names, today without one.

    Raises:
        BadInput: not a day, or one to come.
    """
    today = state.journal().today()
    if not text:
        return today
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise BadInput("day", text, f"a day such as {today.isoformat()}") from None
    if not _EARLIEST <= day <= today:
        raise BadInput("day", text, "today or a day before")
    return day


def _week_of(day: date) -> list[date]:
    first = units.week_begin(day, state.display().week_start)
    return [first + timedelta(days=ahead) for ahead in range(_WEEK)]


def _said(day: date) -> str | None:
    return day.isoformat() if day != state.journal().today() else None


def _others() -> list[int]:
    """Who else gets the same hours: those ticked in the form that was sent."""
    return [read_count(one, "the same for") for one in request.form.getlist("also")]


def _who() -> int | None:
    """Whose hours: as the page names them, else the first that this browser taps for."""
    text = request.values.get("who", "")
    if text.isascii() and text.isdecimal() and len(text) < 10:
        return int(text)
    with state.reading() as session:
        chosen = who_of(bench.places(session))
    return chosen[0] if chosen else None
