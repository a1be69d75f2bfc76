"""The shop's own designs: copied, written, taken in from a file, passed on, put away."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import flash, make_response, redirect, render_template, request, url_for

from journal.build.design_file import GUIDE, read_design
from journal.desk import designs as desk
from journal.errors import BadInput, BadRows, Conflict
from journal.web import forms, state
from journal.web.designs.blueprint import bp
from journal.web.designs.forms import FileForm, TextForm
from journal.web.designs.pages import EditPage, LivePage, Result, result
from journal.web.designs.routes import bearings, show_shelf

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

    from journal.desk.designs import Entry
    from journal.errors import Problem

_START = """\
format = "bench design 1"
word = "our-bench"
title = "Our bench"
about = ""
units = "UNITS"

[parameters]
wood = { label = "Wood", kind = "wood" }
length = { label = "Length", default = "72 in", low = "48 in", high = "96 in" }
depth = { label = "Depth", default = "24 in", low = "18 in", high = "36 in" }
height = { label = "Height", default = "34 in", low = "28 in", high = "42 in" }

[worked]
top = "inch(3)"
leg = "inch(3 1/2)"

[outer]
length = "length"
depth = "depth"
height = "height"

[[parts]]
label = "Top"
qty = 1
thickness = "top"
width = "depth"
length = "length"
stock = "{wood}"
along = "width"
at = { x = "0", y = "0", z = "height - top", as = "length width thickness" }

[[parts]]
label = "Legs"
qty = 4
thickness = "leg"
width = "leg"
length = "height - top"
stock = "{wood}"
along = "thickness"
features = { tenon = "1" }
at = { x = "0 | length - leg", y = "0 | depth - leg", z = "0", as = "width thickness length" }
"""


@bp.post("/designs/<word>/copy")
def copy(word: str) -> ResponseReturnValue:
    """Copy a design; the copy is the shop's own and opens to be changed."""
    with state.writing() as session:
        made = desk.copy(session, word, now=state.now())
    flash(f"“{made.title}” is yours to change.", "good")
    return redirect(url_for("designs.edit", word=made.word))


@bp.get("/designs/new")
def new() -> ResponseReturnValue:
    """A design to write, from a plain one to start with."""
    form = TextForm(text=_START.replace("UNITS", state.display().system.value))
    return _show(None, form)


@bp.post("/designs/new")
def new_add() -> ResponseReturnValue:
    """Keep a new design; or work it out without keeping it."""
    form = TextForm()
    if request.form.get("do") == "check":
        return _show(None, form)
    if not form.validate_on_submit():
        return _show(None, form), 422
    try:
        with state.writing() as session:
            made = desk.add(session, form.text.data, now=state.now())
    except BadInput as refusal:
        return _refused(None, form, refusal), 422
    flash(f"“{made.title}” is kept.", "good")
    return redirect(url_for("designs.show", word=made.word))


@bp.get("/designs/<word>/edit")
def edit(word: str) -> ResponseReturnValue:
    """One of the shop's own designs, to be changed."""
    entry = _own(word)
    return _show(entry, TextForm(text=entry.text, version=entry.version))


@bp.post("/designs/<word>/edit")
def edit_keep(word: str) -> ResponseReturnValue:
    """Keep the changed text; or work it out without keeping it."""
    entry, form = _own(word), TextForm()
    if request.form.get("do") == "check":
        return _show(entry, form)
    if not form.validate_on_submit():
        return _show(entry, form), 422
    try:
        with state.writing() as session:
            kept = desk.change(session, word, form.text.data, read_version=form.version.data, now=state.now())
    except Conflict:
        form.version.data = _own(word).version
        return _show(_own(word), form, conflict=True), 409
    except BadInput as refusal:
        return _refused(entry, form, refusal), 422
    flash("Kept. Projects begun from it stay as they are.", "good")
    return redirect(url_for("designs.show", word=kept.word))


@bp.post("/designs/check")
def check() -> ResponseReturnValue:
    """What a text comes to while it is written, as the pieces of the page that change with it."""
    found, faults = _worked_out(TextForm().text.data or "")
    return render_template("designs/live.html", page=LivePage(found, faults, writing=True))


@bp.get("/designs/<word>/file")
def file(word: str) -> ResponseReturnValue:
    """A design as a file, to be passed on."""
    with state.reading() as session:
        entry = desk.find(session, word)
    response = make_response(desk.as_file(entry))
    response.mimetype = "text/plain"
    response.headers["Content-Disposition"] = f'attachment; filename="{entry.word}.toml"'
    return response


@bp.post("/designs/take")
def take() -> ResponseReturnValue:
    """Take in a design from a file."""
    form = FileForm()
    if not form.validate_on_submit():
        return show_shelf(form), 422
    try:
        with state.writing() as session:
            made = desk.take(session, form.file.data.read(), source="the file", now=state.now())
    except BadRows as refusal:
        return show_shelf(form, refusal.problems), 422
    except BadInput as refusal:
        forms.attach(form, refusal)
        return show_shelf(form), 422
    flash(f"“{made.title}” is taken in as {made.word}.", "good")
    return redirect(url_for("designs.show", word=made.word))


@bp.post("/designs/<word>/put-away")
def put_away(word: str) -> ResponseReturnValue:
    """Put one of the shop's own designs away, or take it out again."""
    back = request.form.get("back") == "1"
    with state.writing() as session:
        entry = desk.put_away(session, word, archived=not back, now=state.now())
    flash(
        f"“{entry.title}” is {'back on the shelf' if back else 'put away; it stands at the end of this page'}.", "good"
    )
    return redirect(url_for("designs.index"))


def _own(word: str) -> Entry:
    with state.reading() as session:
        entry = desk.find(session, word)
    if not entry.own:
        raise BadInput("design", entry.title, "one of the shop's own; copy this one and change the copy")
    return entry


def _worked_out(text: str) -> tuple[Result, tuple[Problem, ...]]:
    """What a text comes to by default; the places that keep it from it."""
    try:
        design = read_design(text)
    except BadRows as refused:
        return Result(None), refused.problems
    tried = desk.try_out(design, {}, bearings())
    return result(tried, design.title), tried.problems


def _refused(entry: Entry | None, form: TextForm, refusal: BadInput) -> str:
    if not isinstance(refusal, BadRows):
        form.text.errors = [str(refusal)]
    return _show(entry, form)


def _show(entry: Entry | None, form: TextForm, *, conflict: bool = False) -> str:
    found, faults = _worked_out(form.text.data or "")
    return render_template("designs/edit.html", page=EditPage(entry, form, found, faults, GUIDE, conflict))
