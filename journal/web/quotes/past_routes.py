"""Looking back at quotes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import render_template

from journal.desk import quotes_past
from journal.web import state
from journal.web.quotes.blueprint import bp
from journal.web.quotes.pages import PastPage

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue


@bp.get("/quotes")
def index() -> ResponseReturnValue:
    """How many were accepted, at which margin; what was promised and what was delivered."""
    with state.reading() as session:
        found = quotes_past.past(session)
    return render_template("quotes/past.html", page=PastPage(found))
