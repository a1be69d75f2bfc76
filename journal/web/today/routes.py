"""The floor now; what is ahead of it; a clock that was forgotten."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from flask import render_template, request, url_for
from werkzeug.utils import redirect

from journal import units
from journal.desk import ahead as ahead_desk
from journal.desk import days, forgotten
from journal.desk import today as desk
from journal.desk.taps import name_of
from journal.errors import BadInput
from journal.web import forms, state
from journal.web.today.blueprint import bp
from journal.web.who import who_of

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime

    from flask.typing import ResponseReturnValue

    from journal.desk.ahead import Due
    from journal.desk.today import Today

bp.add_app_template_filter(lambda task: name_of(task, state.book()), "work_name")

_ANSWERS = {"right": forgotten.believe, "nothing": forgotten.drop}


@dataclass(frozen=True, slots=True)
class Refusal:
    """What was typed about a forgotten clock, and why it was not taken."""

    tap_id: int
    typed: str
    error: str


@dataclass(frozen=True, slots=True)
class TodayPage:
    """What today/index.html receives.

    Attributes:
        floor: everything about now.
        who: the ids of those whose clock this browser taps.
        refusal: an answer about a forgotten clock that could not be taken.
    """

    floor: Today
    who: tuple[int, ...]
    refusal: Refusal | None = None


@dataclass(frozen=True, slots=True)
class AheadPage:
    """What today/ahead.html receives.

    Attributes:
        dues: the projects in build.
        kept: of those whose days are known already, the chance to keep the promised day, by project.
    """

    dues: tuple[Due, ...]
    kept: Mapping[int, float]

    def day_kind(self, due: Due) -> str:
        """The sign beside a promised day: as Days has it; before that is known only whether the hours alone forbid it."""
        kept = self.kept.get(due.project.id)
        if kept is None:
            return "bad" if due.day_in_doubt else ""
        return "bad" if 1 - kept > ahead_desk.LATE else "good"


@bp.app_template_filter()
def day_there(moment: datetime) -> str:
    """The shop's day of a moment, as one speaks of it."""
    day, today = moment.astimezone(state.zone()).date(), state.journal().today()
    near = {0: "today", 1: "tomorrow", -1: "yesterday"}
    return near.get((day - today).days) or units.format_weekday(day, state.display().day_form, short=True)


@bp.app_template_filter()
def lower_first(text: str) -> str:
    """A name within a sentence."""
    return text[:1].lower() + text[1:]


@bp.get("/today")
def index() -> ResponseReturnValue:
    """The floor now."""
    return _show()


@bp.get("/today/ahead")
def ahead() -> ResponseReturnValue:
    """Dates at risk, and what takes two; Today fetches it once it stands."""
    with state.reading() as session:
        today = state.journal().today()
        dues = ahead_desk.ahead(session, today)
        known = [days.known_days(session, due.project.id, today) for due in dues]
    kept = {one.project.id: one.promised_chance for one in known if one and one.promised_chance is not None}
    return render_template("today/ahead.html", page=AheadPage(dues, kept))


@bp.post("/today/forgotten/<int:tap_id>")
def answer(tap_id: int) -> ResponseReturnValue:
    """When it ended; or that it is right; or that nothing of it was work."""
    do, typed = request.form.get("do", ""), request.form.get("ended", "")
    try:
        with state.writing() as session:
            if do in _ANSWERS:
                _ANSWERS[do](session, tap_id, sent=state.sending())
            else:
                forgotten.ended_at(session, tap_id, typed, sent=state.sending())
    except BadInput as refusal:
        return _show(Refusal(tap_id, typed, forms.explain(refusal))), 422
    return redirect(url_for("today.index"), code=303)


def _show(refusal: Refusal | None = None) -> str:
    with state.reading() as session:
        floor = desk.today(session, state.journal().today(), zone=state.zone(), now=state.now())
    return render_template("today/index.html", page=TodayPage(floor, who_of(floor.workers), refusal))
