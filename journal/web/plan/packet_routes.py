"""The packet for the shop floor, on paper."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import get_template_attribute, make_response

from journal.desk import buying
from journal.desk import plan as desk
from journal.paper.packet import PRINTED, PacketPaper, packet_pdf
from journal.web import state
from journal.web.plan.blueprint import bp
from journal.web.plan.pages import bench_drawing
from journal.web.plan.routes import bench_of

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue


@bp.get("/<int:project_id>/plan/packet.pdf")
def show_packet(project_id: int) -> ResponseReturnValue:
    """Drawing, cut list, glue-ups, steps and cautions, to take to the bench."""
    today = state.journal().today()
    with state.reading() as session:
        plan = desk.build_plan(session, project_id, today)
        drawn = bench_of(session, plan)
        paper = buying.paper(session)
    svg = told = ""
    if drawn and not drawn.changed:
        figure = bench_drawing(drawn)
        sheet = get_template_attribute("macros/drawings.html", "bench_sheet")
        svg, told = str(sheet(figure, figure.wide, "print", PRINTED)), figure.description
    response = make_response(
        packet_pdf(
            PacketPaper(plan, today, paper, state.display().denominator, svg.strip(), told, state.display().mark)
        )
    )
    response.headers["Content-Type"] = "application/pdf"
    code = "".join(letter if letter.isascii() and letter.isalnum() else "-" for letter in plan.found.project.code)
    response.headers["Content-Disposition"] = f'inline; filename="shop-packet-{code}.pdf"'
    return response
