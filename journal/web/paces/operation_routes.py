"""One operation: what its pace was learned from; an entry set aside, or learned from again."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import flash, redirect, render_template, request, url_for

from journal.desk import behind as desk
from journal.errors import BadInput
from journal.web import forms
from journal.web.paces.blueprint import bp
from journal.web.paces.forms import ReasonForm
from journal.web.paces.operation_page import operation_page
from journal.web.state import journal, now, reading, writing

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue


@bp.get("/<code>")
def operation(code: str) -> ResponseReturnValue:
    """Everything behind the pace of one operation."""
    return _show(code)


@bp.post("/<code>/entries/<int:entry_id>/aside")
def operation_aside(code: str, entry_id: int) -> ResponseReturnValue:
    """Keep an entry out of learning."""
    form = ReasonForm()
    if not form.validate_on_submit():
        return _show(code, {entry_id: form}), 422
    try:
        with writing() as session:
            desk.set_aside(session, entry_id, form.reason.data, now=now())
    except BadInput as refusal:
        forms.attach(form, refusal)
        return _show(code, {entry_id: form}), 422
    flash("Set aside. Its hours still count; the paces no longer learn from it.", "good")
    return redirect(url_for("paces.operation", code=code, show=_shown(), _anchor=f"entry-{entry_id}"))


@bp.post("/<code>/entries/<int:entry_id>/restore")
def operation_restore(code: str, entry_id: int) -> ResponseReturnValue:
    """Learn from an entry again."""
    with writing() as session:
        desk.restore(session, entry_id, now=now())
    flash("Learned from again.", "good")
    return redirect(url_for("paces.operation", code=code, show=_shown(), _anchor=f"entry-{entry_id}"))


def _shown() -> str | None:
    """Whether all projects were on the page the form came from; kept on the way back."""
    return "all" if request.args.get("show") == "all" else None


def _show(code: str, refused: dict[int, ReasonForm] | None = None) -> str:
    with reading() as session:
        found = desk.behind(session, code, journal().today())
    whole = request.args.get("show") == "all"
    page = operation_page(found, journal().today(), ReasonForm(formdata=None), whole=whole, refused=refused or {})
    return render_template("paces/operation.html", page=page, whole=whole)
