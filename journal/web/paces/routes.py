"""The paces of this shop."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import render_template

from journal.desk import paces as desk
from journal.web.paces import bars
from journal.web.paces.blueprint import bp
from journal.web.paces.pages import paces_page
from journal.web.state import journal, reading

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

__all__ = ["bp"]


@bp.get("")
def index() -> ResponseReturnValue:
    """What the logs have taught, operation by operation."""
    with reading() as session:
        taught = desk.learn(session, journal().today())
    return render_template("paces/index.html", page=paces_page(taught, bars.WIDTH))
