"""The shelf of designs; a design tried out, and what becomes of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import flash, redirect, render_template, request, url_for

from journal.desk import designs as desk
from journal.desk import projects
from journal.errors import BadInput, MissingReference
from journal.records.words import ProjectState
from journal.web import state
from journal.web.designs.blueprint import bp
from journal.web.designs.forms import NEW, BeginForm, FileForm, SizeForm, as_sent, size_form
from journal.web.designs.pages import DesignPage, LivePage, Result, ShelfPage, card, result
from journal.web.forms import SelectField

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue
    from sqlalchemy.orm import Session
    from werkzeug.datastructures import MultiDict
    from wtforms import Field

    from journal.desk.designs import Bearings, Entry
    from journal.errors import Problem

# Parts of a finished job are its history; they are not replaced from here.
_OPEN = (
    ProjectState.ENQUIRY,
    ProjectState.QUOTED,
    ProjectState.ACCEPTED,
    ProjectState.IN_BUILD,
    ProjectState.ON_HOLD,
)


@bp.get("/designs")
def index() -> ResponseReturnValue:
    """Every design."""
    return show_shelf(FileForm())


def show_shelf(form: FileForm, faults: tuple[Problem, ...] = ()) -> str:
    """The shelf, with what was wrong with a file that was to be taken in."""
    with state.reading() as session:
        shelf, away = desk.shelf(session), desk.shelf(session, archived=True)
    own = tuple(card(entry) for entry in shelf if entry.own)
    shipped = tuple(card(entry) for entry in shelf if not entry.own)
    return render_template("designs/index.html", page=ShelfPage(own, shipped, away, form, faults))


@bp.get("/designs/<word>")
def show(word: str) -> ResponseReturnValue:
    """A design to try out; the address carries what is chosen."""
    now = bearings()
    with state.reading() as session:
        entry = desk.find(session, word)
        form = _form(entry, now, request.args if "sized" in request.args else None)
        begin = _begin_form(session, entry)
    found = _tried(entry, form, now)
    page = DesignPage(entry, form, found, begin, form.benches.data or 1)
    return render_template("designs/show.html", page=page), 422 if found.wrong else 200


@bp.get("/designs/<word>/live")
def live(word: str) -> ResponseReturnValue:
    """What the choices come to, as the pieces of the page that change with them."""
    now = bearings()
    with state.reading() as session:
        entry = desk.find(session, word)
    found = _tried(entry, _form(entry, now, request.args), now)
    return render_template("designs/live.html", page=LivePage(found))


@bp.get("/designs/of/<int:project_id>")
def of(project_id: int) -> ResponseReturnValue:
    """The design a project came from, with what was chosen then, to choose anew."""
    with state.reading() as session:
        project = projects.one(session, project_id)
        entry = desk.find(session, project.design_word or "")
    sent = as_sent(desk.ready(entry), project.design_values or {})
    return redirect(url_for("designs.show", word=entry.word, project=project_id, **sent))


@bp.post("/designs/<word>/begin")
def begin(word: str) -> ResponseReturnValue:
    """Begin a project from what is chosen, or put it into one that is there."""
    now = bearings()
    with state.reading() as session:
        entry = desk.find(session, word)
        sizes, form = _form(entry, now, request.form), _begin_form(session, entry)
    found = _tried(entry, sizes, now)
    good = form.validate_on_submit()
    if found.wrong or found.parts == () or not good:
        page = DesignPage(entry, sizes, found, form, sizes.benches.data or 1)
        return render_template("designs/show.html", page=page), 422
    if form.project.data:
        return _put_into(int(form.project.data), entry, sizes)
    asked = projects.Asked(title=form.title.data, benches=sizes.benches.data)
    with state.writing() as session:
        begun, kept = desk.begin(session, word, sizes.given(), asked, now=state.now())
    flash(f"{begun.code} is begun from the design “{entry.title}”.", "good")
    return redirect(url_for("projects.parts" if kept.trouble else "projects.price", project_id=begun.id))


def bearings() -> Bearings:
    """What prices stand on at this moment."""
    return desk.bearings_of(state.engine(), state.journal().today())


def _put_into(project_id: int, entry: Entry, sizes: SizeForm) -> ResponseReturnValue:
    with state.writing() as session:
        kept = desk.apply(session, project_id, entry.word, sizes.given(), now=state.now())
    flash(f"Its parts are those of “{entry.title}” now; the list before is kept in the history.", "good")
    return redirect(url_for("projects.parts" if kept.trouble else "projects.price", project_id=project_id))


def _form(entry: Entry, now: Bearings, sent: MultiDict[str, str] | None) -> SizeForm:
    """The form of a design's parameters: as sent, and checked; at their defaults where nothing was sent."""
    design = desk.ready(entry)
    form = size_form(design, desk.woods(now.shop), now.shop.row.default_species)(formdata=sent)
    if sent is not None:
        form.validate()
    return form


def _begin_form(session: Session, entry: Entry) -> BeginForm:
    form = BeginForm(title=entry.title, project=request.args.get("project", NEW))
    listed = projects.listed(session, _OPEN)
    form.offer([(project.id, f"{project.code} {project.title}: replace its parts") for project in listed])
    return form


def _tried(entry: Entry, form: SizeForm, now: Bearings) -> Result:
    """What the choices come to; what is wrong with them where they cannot be read."""
    if form.errors:
        wrong = [(field.label.text, error) for field in form for error in field.errors]
        return Result(None, wrong=tuple(wrong))
    benches = form.benches.data or 1
    try:
        tried = desk.try_out(desk.ready(entry), form.given(), now, benches=benches)
    except (BadInput, MissingReference) as refused:
        return Result(None, wrong=(("", str(refused)),))
    return result(tried, entry.title, benches, _sent(form))


def _sent(form: SizeForm) -> tuple[tuple[str, str], ...]:
    """The boxes as a browser would send them, to go along with what begins a project."""
    boxes = [field for field in form if field.type != "BooleanField" or field.data]
    return tuple((field.name, "y" if field.type == "BooleanField" else _text(field)) for field in boxes)


def _text(field: Field) -> str:
    return str(field.data if isinstance(field, SelectField) else field._value())  # noqa: SLF001 - as its box shows it
