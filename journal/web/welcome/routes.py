"""The questions, their answers, and where to go from there."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from flask import flash, redirect, render_template, request, url_for

from journal.desk import welcome
from journal.errors import BadInput
from journal.web import forms
from journal.web.state import journal, read_amounts_in, reading, writing
from journal.web.welcome.blueprint import bp
from journal.web.welcome.forms import WelcomeForm

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue


@dataclass(frozen=True, slots=True)
class WelcomePage:
    """What welcome/index.html receives: the six questions."""

    form: WelcomeForm


def is_new() -> bool:
    """Whether the questions are still to be asked; a server without a journal has nobody to ask."""
    if journal().engine is None:
        return False
    with reading() as session:
        return welcome.is_new(session)


@bp.get("/welcome")
def index() -> ResponseReturnValue:
    """Six questions; who has answered them is led to what can be changed."""
    if not is_new():
        return redirect(url_for("welcome.begin"))
    return render_template("welcome/index.html", page=WelcomePage(WelcomeForm.showing(welcome.starting())))


@bp.post("/welcome")
def answer() -> ResponseReturnValue:
    """Keep the answers; the wage is typed in the money chosen beside it."""
    read_amounts_in(request.form.get("currency", ""))
    form = WelcomeForm.showing(welcome.starting())
    if form.validate_on_submit() and _keep(form):
        flash("Saved. All of it can be changed under Shop.", "good")
        return redirect(url_for("welcome.begin"))
    return render_template("welcome/index.html", page=WelcomePage(form)), 422


@bp.post("/welcome/skip")
def skip() -> ResponseReturnValue:
    """Begin with the starting values."""
    with writing() as session:
        welcome.skip(session)
    return redirect(url_for("welcome.begin"))


@bp.get("/welcome/begin")
def begin() -> ResponseReturnValue:
    """The ways to begin."""
    return render_template("welcome/begin.html")


def _keep(form: WelcomeForm) -> bool:
    try:
        with writing() as session:
            welcome.keep(session, form.answers())
    except BadInput as refused:
        forms.attach(form, refused)
        return False
    return True
