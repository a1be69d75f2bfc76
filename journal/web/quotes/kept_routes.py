"""An issued quote: the shop's copy with every working, the client's page, the paper and its drawing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import make_response, render_template

from journal.desk import estimate, promises, quoting
from journal.errors import JournalError, MissingReference
from journal.paper.quote import quote_paper
from journal.web import state
from journal.web.quotes import kept_view, pages
from journal.web.quotes.blueprint import bp
from journal.web.quotes.draft_routes import pdf_response
from journal.web.quotes.pages import KeptPage

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

    from journal.desk.estimate import ProjectEstimate


@bp.get("/projects/<int:project_id>/quote/<int:quote_id>")
def show_kept(project_id: int, quote_id: int) -> ResponseReturnValue:
    """The shop's copy: the paper, what it rested on, today's estimate beside it."""
    return render_template("quotes/kept.html", page=_page(project_id, quote_id, workings=True))


@bp.get("/projects/<int:project_id>/quote/<int:quote_id>/client")
def show_client(project_id: int, quote_id: int) -> ResponseReturnValue:
    """What the client reads, as a page to print; no workings."""
    return render_template("quotes/client.html", page=_page(project_id, quote_id, workings=False))


@bp.get("/projects/<int:project_id>/quote/<int:quote_id>.pdf")
def show_paper(project_id: int, quote_id: int) -> ResponseReturnValue:
    """The paper, to the byte as it was issued."""
    with state.reading() as session:
        paper = quoting.paper_of(session, project_id, quote_id)
    return pdf_response(paper.pdf, f"quote-{paper.number}")


@bp.get("/projects/<int:project_id>/quote/<int:quote_id>/drawing.svg")
def show_drawing(project_id: int, quote_id: int) -> ResponseReturnValue:
    """The drawing on it."""
    with state.reading() as session:
        found = quoting.shown(session, project_id, quote_id)
    if found.content is None or not found.content["drawing"]:
        raise MissingReference("drawing of this quote", found.row.number, [])
    response = make_response(found.content["drawing"]["svg"])
    response.headers["Content-Type"] = "image/svg+xml"
    return response


def _page(project_id: int, quote_id: int, *, workings: bool) -> KeptPage:
    today = state.journal().today()
    with state.reading() as session:
        life = promises.life_of(session, project_id)
        found = quoting.shown(session, project_id, quote_id)
        now, trouble = None, ""
        if workings and found.content is not None:
            try:
                now = estimate.estimate_project(session, project_id, today)
            except JournalError as refused:
                trouble = str(refused)
    line = next(line for line in pages.quote_lines(life, today) if line.quote.id == quote_id)
    return KeptPage(
        project=life.project,
        line=line,
        paper=quote_paper(found.content) if found.content else None,
        kept=_kept(found, now, trouble) if workings else None,
        faults=found.faults,
        newer=found.newer,
    )


def _kept(found: quoting.Shown, now: ProjectEstimate | None, trouble: str) -> kept_view.Kept | None:
    if found.content is None:
        return None
    return kept_view.lay_out(found.content, found.row.tool_version, found.row.plan_version, now, trouble)
