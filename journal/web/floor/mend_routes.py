"""Mending: the last change taken back, a refused tap that somebody has seen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import flash, url_for

from journal.desk import acts
from journal.desk import bench as desk
from journal.web import state
from journal.web.back import go_back
from journal.web.floor.blueprint import bp

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue


@bp.post("/undo/<int:act_id>")
def undo(act_id: int) -> ResponseReturnValue:
    """Take back the last change."""
    with state.writing() as session:
        said = acts.undo(session, act_id, zone=state.zone(), now=state.now())
    flash(f"Taken back: {said[:1].lower()}{said[1:]}.", "good")
    return go_back(url_for("today.index"))


@bp.post("/seen/<int:refused_id>")
def seen(refused_id: int) -> ResponseReturnValue:
    """A refused tap was seen; it stays in the journal."""
    with state.writing() as session:
        desk.see_refused(session, refused_id, now=state.now())
    return go_back(url_for("today.index"))
