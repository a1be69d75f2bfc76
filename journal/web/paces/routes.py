"""The paces of this shop."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import render_template, request

from journal.desk import paces as desk
from journal.desk import quantities
from journal.desk.doubt import newest_doubts
from journal.desk.level import level
from journal.desk.ratios import lines, read_ratios
from journal.desk.shop import read_shop
from journal.web.paces import bars
from journal.web.paces.blueprint import bp
from journal.web.paces.level_page import level_view
from journal.web.paces.pages import paces_page
from journal.web.paces.ratio_page import ratio_view
from journal.web.state import journal, reading

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

__all__ = ["bp"]


@bp.get("")
def index() -> ResponseReturnValue:
    """What the logs have taught, operation by operation; and beside the paces."""
    today = journal().today()
    with reading() as session:
        taught = desk.learn(session, today)
        doubt = newest_doubts(session, today, taught=taught)
        ratios = lines(read_ratios(session, read_shop(session, today), today, taught=taught))
        levels = level(session, today) if taught.evidence.rows else ()
        wanted = quantities.wanted(session)
    asked = {(one.project_code, one.operation) for one in wanted}
    page = paces_page(taught, bars.WIDTH, doubt, asked, by_doubt=request.args.get("sort") == "doubt")
    return render_template(
        "paces/index.html", page=page, level=level_view(levels), ratios=ratio_view(ratios), wanted=len(wanted)
    )
