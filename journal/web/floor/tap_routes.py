"""A tap on the page itself: plain forms, which work without a script; who is at the bench; what else may be started."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from flask import flash, render_template, request, url_for

from journal.desk import bench as desk
from journal.desk import taps
from journal.errors import BadInput
from journal.floor.taps import Task, What
from journal.web import state
from journal.web.back import go_back
from journal.web.floor.blueprint import bp
from journal.web.who import choose_who, who_of

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

    from journal.desk.bench import Choice
    from journal.records.queries.devices import WorkerRow

_LONGEST_COUNT = 9


@dataclass(frozen=True, slots=True)
class ChoosePage:
    """What floor/choose.html receives: a project with all that may be started, stage by stage.

    Attributes:
        choice: the work.
        workers: everybody at the bench; who: those whose clock this browser taps.
    """

    choice: Choice
    workers: tuple[WorkerRow, ...]
    who: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class StartPage:
    """What floor/start.html receives: one piece of work to confirm.

    Attributes:
        task, name: the work.
        project: number and title; empty for the shop's own time.
        workers, who: as above.
        since: it runs since then on one of their clocks; '' when it does not.
    """

    task: Task
    name: str
    project: tuple[str, str]
    workers: tuple[WorkerRow, ...]
    who: tuple[int, ...]


@bp.post("/tap")
def tap() -> ResponseReturnValue:
    """Start, stop, pause or resume."""
    task = read_task(request.form.get("project", ""), request.form.get("work", ""), request.form.get("by_stage", ""))
    try:
        what = What(request.form.get("what", ""))
    except ValueError:
        raise BadInput("what", request.form.get("what"), ", ".join(What)) from None
    who = [read_count(one, "who") for one in request.form.getlist("who")]
    with state.writing() as session:
        taps.tap_now(session, who or [desk.first_place(session).id], what, task, sent=state.sending())
    return go_back(url_for("today.index"))


@bp.post("/who")
def who() -> ResponseReturnValue:
    """Choose whose clock this browser taps."""
    with state.reading() as session:
        known = {worker.id for worker in desk.places(session)}
    chosen = [read_count(one, "who") for one in request.form.getlist("who")]
    if not chosen or not known.issuperset(chosen):
        raise BadInput("who", ", ".join(request.form.getlist("who")), "one or several of those at the bench")
    choose_who(chosen)
    return go_back(url_for("today.index"))


@bp.post("/bench")
def bench() -> ResponseReturnValue:
    """Another place at the bench."""
    with state.writing() as session:
        place = desk.add_place(session, request.form.get("label", ""))
    flash(f"{place.label} is at the bench.", "good")
    return go_back(url_for("today.index"))


@bp.get("/choose/<int:project_id>")
def choose(project_id: int) -> ResponseReturnValue:
    """Everything of a project that may be started."""
    with state.reading() as session:
        choice, workers = desk.choices(session, project_id), desk.places(session)
    return render_template("floor/choose.html", page=ChoosePage(choice, workers, who_of(workers)))


@bp.get("/start")
def start() -> ResponseReturnValue:
    """Where a printed code leads: one tap starts it; looking at it starts nothing."""
    task = read_task(request.args.get("project", ""), request.args.get("work", ""), request.args.get("by_stage", ""))
    taps.require_work(task.code, state.book(), by_stage=task.by_stage)
    with state.reading() as session:
        workers, project = desk.places(session), desk.title_of(session, task.project_id)
    page = StartPage(task, taps.name_of(task, state.book()), project, workers, who_of(workers))
    return render_template("floor/start.html", page=page)


def read_task(project: str, work: str, by_stage: str) -> Task:
    """The work a form or an address names."""
    return Task(read_count(project, "project") if project else None, work, by_stage=by_stage == "1")


def read_count(text: str, field: str) -> int:
    """A whole number as our own pages write it."""
    if not (text.isascii() and text.isdecimal() and len(text) <= _LONGEST_COUNT):
        raise BadInput(field, text, "one of those on the page")
    return int(text)
