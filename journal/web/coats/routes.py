"""A project's coats: the list, a new one, one put right, one taken out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from flask import abort, render_template, url_for
from werkzeug.utils import redirect

from journal import reference
from journal.desk import acts, bench
from journal.desk import coating as desk
from journal.desk.today import settings_now
from journal.errors import BadInput, Conflict
from journal.records.queries import floor
from journal.web import clash, late, state
from journal.web import forms as fields
from journal.web.coats.blueprint import bp
from journal.web.coats.forms import CoatForm

if TYPE_CHECKING:
    from datetime import datetime

    from flask.typing import ResponseReturnValue
    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from journal.desk.coating import CoatsPage
    from journal.desk.sending import Sending
    from journal.records.queries.acts import ActRow
    from journal.records.queries.floor import CoatRow
    from journal.records.queries.taps import RefusedRow
    from journal.reference import Caution
    from journal.web.late import Fields


@dataclass(frozen=True, slots=True)
class CoatLine:
    """A coat with its finish's name, and when the next may follow: at the quickest, to be sure."""

    coat: CoatRow
    finish: str
    following: tuple[datetime, datetime] | None

    @property
    def area_nm2(self) -> int:
        return self.coat.area_mm2 * desk.NM2_PER_MM2


@dataclass(frozen=True, slots=True)
class Page:
    """What coats/index.html receives.

    Attributes:
        found: the project with its plan of coats.
        lines: the coats, newest first.
        form: a new coat.
        waits: (quick, slow) hours of the planned finish in the shop's air.
        rags: the caution on oily rags, wherever a drying oil is planned or was used; else None.
        last: what was last done.
        refused: what could not be taken.
        adding: the form was refused.
    """

    found: CoatsPage
    lines: tuple[CoatLine, ...]
    form: CoatForm
    waits: tuple[float, float]
    rags: Caution | None
    last: ActRow | None
    refused: tuple[RefusedRow, ...]
    adding: bool = False


@dataclass(frozen=True, slots=True)
class OnePage:
    """What coats/one.html receives: a coat to put right."""

    found: CoatsPage
    coat: CoatRow
    form: CoatForm


@bp.get("/<int:project_id>/coats")
def index(project_id: int) -> ResponseReturnValue:
    """The coats so far, and a new one."""
    return _show(project_id)


@bp.post("/<int:project_id>/coats")
def add(project_id: int) -> ResponseReturnValue:
    """A new coat."""
    form = _offered(project_id)
    if not form.validate_on_submit():
        return _show(project_id, form=form), 422
    try:
        with state.writing() as session:
            desk.put(session, project_id, form.wanted(), sent=state.sending())
    except BadInput as refusal:
        fields.attach(form, refusal)
        return _show(project_id, form=form), 422
    return _back(project_id)


@late.waits("coat")
def add_late(session: Session, fields: Fields, sent: Sending) -> str:
    """A new coat, told without signal."""
    project_id = late.whole(fields, "project")
    found = desk.page(session, project_id, sent.today)
    form = CoatForm(formdata=fields, meta={"csrf": False}).offer(_labels(found))
    late.require(form)
    return desk.put(session, project_id, form.wanted(), sent=sent)


@bp.get("/<int:project_id>/coats/<int:coat_id>")
def one(project_id: int, coat_id: int) -> ResponseReturnValue:
    """A coat to put right."""
    return _show_one(project_id, coat_id)


@bp.post("/<int:project_id>/coats/<int:coat_id>")
def correct(project_id: int, coat_id: int) -> ResponseReturnValue:
    """Put a coat right."""
    with state.reading() as session:
        _found(session, project_id, coat_id)
    form = _offered(project_id, coat_id)
    if not form.validate_on_submit():
        return _show_one(project_id, coat_id, form=form), 422
    try:
        with state.writing() as session:
            desk.correct(session, coat_id, form.wanted(), seen=form.seen.data, sent=state.sending())
    except Conflict:
        kept = CoatForm(formdata=None)
        with state.reading() as session:
            kept.fill(_found(session, project_id, coat_id), state.zone())
        clash.show_both(form, kept, mark="seen")
        return _show_one(project_id, coat_id, form=form), 409
    except BadInput as refusal:
        fields.attach(form, refusal)
        return _show_one(project_id, coat_id, form=form), 422
    return _back(project_id)


@bp.post("/<int:project_id>/coats/<int:coat_id>/remove")
def remove(project_id: int, coat_id: int) -> ResponseReturnValue:
    """Take a coat out."""
    with state.writing() as session:
        _found(session, project_id, coat_id)
        desk.remove(session, coat_id, sent=state.sending())
    return _back(project_id)


def _back(project_id: int) -> Response:
    return redirect(url_for("coats.index", project_id=project_id), code=303)


def _found(session: Session, project_id: int, coat_id: int) -> CoatRow:
    """The coat, if it is of this project and counts: an address with two jobs in it leads nowhere."""
    row = floor.get_coat(session, coat_id)
    if row.project_id != project_id or row.removed_at is not None:
        abort(404)
    return row


def _offered(project_id: int, coat_id: int = 0) -> CoatForm:
    with state.reading() as session:
        found = desk.page(session, project_id, state.journal().today())
    return CoatForm().offer(_labels(found, coat_id))


def _labels(found: CoatsPage, coat_id: int = 0) -> tuple[str, ...]:
    """The plan's parts, and those of the coat that is put right, which the plan may have lost."""
    kept = [label for row in found.coats if row.id == coat_id and row.parts for label in row.parts.split("\n")]
    return tuple(dict.fromkeys([*(part.label for part in found.parts), *kept]))


def _show(project_id: int, *, form: CoatForm | None = None) -> str:
    with state.reading() as session:
        found = desk.page(session, project_id, state.journal().today())
        shop, last = settings_now(session), acts.newest(session, state.now())
        refused = bench.refused(session)
    adding = form is not None
    if form is None:
        form = CoatForm(formdata=None).offer(_labels(found))
        local = state.now().astimezone(state.zone())
        form.finish.data, form.coat.data, form.on_date.data = found.finish, found.next_coat, state.journal().today()
        form.at.data = local.time().replace(second=0, microsecond=0)
        form.temperature.data = desk.shop_celsius(shop)
    finishes = reference.finishes()
    lines = tuple(CoatLine(row, finishes[row.finish].name, desk.next_from(row, shop)) for row in found.coats)
    oily = any(finishes[key].drying_oil for key in (found.finish, *(row.finish for row in found.coats)))
    page = Page(
        found=found,
        lines=lines,
        form=form,
        waits=desk.wait_hours(found.finish, None, None, shop),
        rags=reference.cautions()["rags"] if oily else None,
        last=last,
        refused=refused,
        adding=adding,
    )
    return render_template("coats/index.html", page=page)


def _show_one(project_id: int, coat_id: int, *, form: CoatForm | None = None) -> str:
    with state.reading() as session:
        row = _found(session, project_id, coat_id)
        found = desk.page(session, project_id, state.journal().today())
    if form is None:
        form = CoatForm(formdata=None).offer(_labels(found, coat_id))
        form.fill(row, state.zone())
    return render_template("coats/one.html", page=OnePage(found, row, form))
