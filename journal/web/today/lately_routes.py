"""Lately: what was done last, wherever it was done, each with the button of its own section that takes it back."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING

from flask import render_template, url_for

from journal.desk import lately as desk
from journal.desk.lately import Back, Place
from journal.web import state
from journal.web.today.blueprint import bp

if TYPE_CHECKING:
    from datetime import date

    from flask.typing import ResponseReturnValue

    from journal.desk.lately import Done, Way

# Where each kind of thing is seen again.
_SEEN_AT = {
    Place.LOG: "log.show",
    Place.COATS: "coats.index",
    Place.GLUING: "gluing.index",
    Place.NOTES: "notes.index",
    Place.LIFE: "quotes.show_life",
    Place.PARTS: "projects.parts",
    Place.PLAN: "plan.show",
    Place.QUOTE: "quotes.show",
}
_WITHOUT_PROJECT = {Place.RACK: "rack.history", Place.PAST_JOBS: "paces.past_jobs"}


@dataclass(frozen=True, slots=True)
class Shown:
    """One thing done: where it is seen ('' where only its project says), and where its button goes."""

    done: Done
    seen: str
    undo: str


@dataclass(frozen=True, slots=True)
class DayOf:
    """A day of the shop's, with what was done on it, newest first."""

    day: date
    things: tuple[Shown, ...]


@dataclass(frozen=True, slots=True)
class LatelyPage:
    """What today/lately.html receives; `most` is how many things it goes back."""

    days: tuple[DayOf, ...]
    most: int
    full: bool


@bp.get("/today/lately")
def lately() -> ResponseReturnValue:
    """What was done last."""
    with state.reading() as session:
        found = desk.lately(session, state.display().currency)
    zone = state.zone()
    shown = [Shown(one, _seen(one), _undo(one, one.way) if one.way else "") for one in found]
    days = groupby(shown, key=lambda one: one.done.at.astimezone(zone).date())
    page = LatelyPage(tuple(DayOf(day, tuple(things)) for day, things in days), desk.MOST, len(found) == desk.MOST)
    return render_template("today/lately.html", page=page)


def _seen(done: Done) -> str:
    if done.place in _WITHOUT_PROJECT:
        return url_for(_WITHOUT_PROJECT[done.place])
    return url_for(_SEEN_AT[done.place], project_id=done.project.id) if done.project else ""


def _undo(done: Done, way: Way) -> str:
    """The address of the section that has the way back."""
    project_id = done.project.id if done.project else 0
    match way.back:
        case Back.ACT:
            return url_for("floor.undo", act_id=way.id)
        case Back.RACK:
            return url_for("rack.undo", act_id=way.id)
        case Back.MOVE:
            return url_for("quotes.show_undo", project_id=project_id)
        case Back.PARTS:
            return url_for("projects.parts_undo", project_id=project_id)
        case Back.EDIT:
            return url_for("plan.show_edit_back", project_id=project_id, edit_id=way.id)
        case Back.READING:
            return url_for("plan.show_reading_back", project_id=project_id, reading_id=way.id)
        case Back.IMPORT:
            return url_for("paces.past_jobs_undo", import_id=way.id)
