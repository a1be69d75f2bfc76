"""The list of glue-ups, the clock of one, and everything it is told."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from flask import render_template, request, url_for
from werkzeug.datastructures import MultiDict
from werkzeug.utils import redirect

from journal.desk import acts, bench, glue_told
from journal.desk import glue_clock as desk
from journal.desk.tap_body import read_moment
from journal.desk.today import gluing_of, settings_now
from journal.errors import BadInput, Conflict, NoSolution
from journal.web import clash, late, state
from journal.web import forms as fields
from journal.web.gluing import face
from journal.web.gluing.blueprint import bp
from journal.web.gluing.forms import BeginForm, ToldForm
from journal.web.measures import whole_temperature
from journal.web.who import who_of

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from datetime import datetime

    from flask.typing import ResponseReturnValue
    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from journal.desk.glue_clock import Choice, Ready, Running
    from journal.desk.sending import Sending
    from journal.desk.today import Gluing
    from journal.records.queries.acts import ActRow
    from journal.records.queries.devices import WorkerRow
    from journal.records.queries.taps import RefusedRow
    from journal.web.gluing.face import Face
    from journal.web.late import Fields

bp.add_app_template_filter(whole_temperature, "celsius")


@dataclass(frozen=True, slots=True)
class ListPage:
    """What gluing/index.html receives; `running`: those that run, by their label."""

    choice: Choice
    running: Mapping[str, Gluing]
    last: ActRow | None


@dataclass(frozen=True, slots=True)
class BeginPage:
    """What gluing/begin.html receives.

    Attributes:
        ready: the glue-up at the temperature; None when it is too cold, which `trouble` says.
        label, project_id: which.
        form: the temperature.
        workers: everybody at the bench; who: those whose time it is.
        last: what was last done.
        refused: what could not be taken.
        again: a clock of this glue-up that ran before; None when there was none.
    """

    ready: Ready | None
    label: str
    project_id: int
    form: BeginForm
    workers: tuple[WorkerRow, ...]
    who: tuple[int, ...]
    last: ActRow | None
    refused: tuple[RefusedRow, ...]
    trouble: str = ""
    again: Running | None = None

    @property
    def face(self) -> Face | None:
        return face.to_begin(self.ready) if self.ready else None


@dataclass(frozen=True, slots=True)
class ClockPage:
    """What gluing/clock.html receives: the clock now, the form about what it was, the last change, what was refused."""

    run: Running
    now: datetime
    form: ToldForm
    last: ActRow | None
    refused: tuple[RefusedRow, ...]

    @property
    def face(self) -> Face | None:
        return None if self.run.clock.clamped_at else face.of(self.run)

    @property
    def late_minutes(self) -> float:
        return self.run.late_seconds(self.now) / 60


@bp.get("/<int:project_id>/glue")
def index(project_id: int) -> ResponseReturnValue:
    """Every glue-up of the plan, and those done."""
    with state.reading() as session:
        choice = desk.choices(session, project_id, state.journal().today())
        last = acts.newest(session, state.now())
    named = choice.project.code, choice.project.title
    running = {one.label: gluing_of(one, named, state.now()) for one in choice.running}
    return render_template("gluing/index.html", page=ListPage(choice, running, last))


@bp.get("/<int:project_id>/glue/<path:label>")
def clock(project_id: int, label: str) -> ResponseReturnValue:
    """The clock of one glue-up: running, or ready to begin."""
    with state.reading() as session:
        run = desk.newest(session, project_id, label, settings_now(session))
    if run and (run.clock.clamped_at is None or "again" not in request.args):
        return _show(run.clock.id)
    return _begin(project_id, label, again=run)


@bp.post("/<int:project_id>/glue/<path:label>")
def begin(project_id: int, label: str) -> ResponseReturnValue:
    """The first glue; or, with “look”, what this temperature allows."""
    form = BeginForm()
    if not form.validate_on_submit():
        return _begin(project_id, label, form=form), 422
    if request.form.get("do") == "look":
        return _begin(project_id, label, form=form)
    try:
        with state.writing() as session:
            who = list(who_of(bench.places(session))) or [bench.first_place(session).id]
            desk.begin(session, project_id, label, form.temperature.data, who, sent=state.sending())
    except NoSolution:
        return _begin(project_id, label, form=form), 422
    return redirect(url_for("gluing.clock", project_id=project_id, label=label), code=303)


@bp.post("/glue-clock/<int:clock_id>/<any(strip, strips, clamped):what>")
def told(clock_id: int, what: str) -> ResponseReturnValue:
    """A strip is on; all are; the last clamp is."""
    with state.writing() as session:
        _ERRANDS[what](session, clock_id, sent=state.sending())
        run = desk.running(session, clock_id, settings_now(session))
    return _back(run)


@late.waits("glue-begin")
def begin_late(session: Session, fields: Fields, sent: Sending) -> int:
    """The first glue, told without signal."""
    form = BeginForm(formdata=fields, meta={"csrf": False})
    late.require(form)
    who = [late.whole(MultiDict({"who": one}), "who") for one in fields.getlist("who")]
    at_bench = who or [bench.first_place(session).id]
    return desk.begin(
        session, late.whole(fields, "project"), fields.get("label", ""), form.temperature.data, at_bench, sent=sent
    )


def _told_late(errand: Callable[..., str]) -> Callable[[Session, Fields, Sending], str]:
    def told(session: Session, fields: Fields, sent: Sending) -> str:
        if fields.get("clock"):
            return errand(session, late.whole(fields, "clock"), sent=sent)
        moment = read_moment(fields.get("begun"))
        clock_id = desk.begun_at(session, late.whole(fields, "project"), fields.get("label", ""), moment)
        return errand(session, clock_id, sent=sent)

    return told


_ERRANDS: dict[str, Callable[..., str]] = {"strip": desk.lay, "strips": desk.all_on, "clamped": desk.clamped}
for _what, _errand in _ERRANDS.items():
    late.waits(f"glue-{_what}")(_told_late(_errand))


@bp.post("/glue-clock/<int:clock_id>")
def correct(clock_id: int) -> ResponseReturnValue:
    """What it really was."""
    form = ToldForm()
    if not form.validate_on_submit():
        return _show(clock_id, form=form), 422
    try:
        with state.writing() as session:
            glue_told.tell(session, clock_id, form.told(), seen=form.seen.data or "", sent=state.sending())
            run = desk.running(session, clock_id, settings_now(session))
    except Conflict:
        with state.reading() as session:
            kept = desk.running(session, clock_id, settings_now(session)).glue_up
        if kept is None or kept.removed_at is not None:
            raise
        clash.show_both(form, ToldForm.of(kept), mark="seen")
        return _show(clock_id, form=form), clash.CONFLICT
    except BadInput as refusal:
        fields.attach(form, refusal)
        return _show(clock_id, form=form), 422
    return _back(run)


def _back(run: Running) -> Response:
    return redirect(url_for("gluing.clock", project_id=run.project.id, label=run.clock.label), code=303)


def _begin(project_id: int, label: str, *, form: BeginForm | None = None, again: Running | None = None) -> str:
    trouble, found = "", None
    with state.reading() as session:
        workers, last = bench.places(session), acts.newest(session, state.now())
        refused = bench.refused(session)
        shown = form or BeginForm(formdata=None)
        typed = shown.temperature.data if form and not form.temperature.errors else None
        try:
            found = desk.ready(session, project_id, label, state.journal().today(), typed)
        except NoSolution as refusal:
            trouble = str(refusal)
        if form is None:
            shown.temperature.data = found.temperature_c if found else _shop_celsius(session)
    page = BeginPage(found, label, project_id, shown, workers, who_of(workers), last, refused, trouble, again)
    return render_template("gluing/begin.html", page=page)


def _shop_celsius(session: Session) -> float:
    return desk.to_celsius(settings_now(session)["shop_temp"])


def _show(clock_id: int, *, form: ToldForm | None = None) -> str:
    with state.reading() as session:
        run = desk.running(session, clock_id, settings_now(session))
        last, refused = acts.newest(session, state.now()), bench.refused(session)
    if form is None:
        form = ToldForm.of(run.glue_up) if run.glue_up else ToldForm(formdata=None)
    return render_template("gluing/clock.html", page=ClockPage(run, state.now(), form, last, refused))
