"""The Quote tab: a quote to fill in, seen as it would be, issued; extras once it is agreed."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from flask import flash, make_response, redirect, render_template, request, url_for

from journal.desk import agreed_parts, extras, promises, quoting
from journal.desk.promises import MILLIONTHS
from journal.errors import BadInput, Conflict
from journal.paper.quote import extra_paper
from journal.paper.quote_print import extra_pdf
from journal.quote.terms import Item, Terms, add_up
from journal.web import forms, state
from journal.web.quotes import pages
from journal.web.quotes.blueprint import bp
from journal.web.quotes.forms import ExtraForm, QuoteForm, TriedForm
from journal.web.quotes.pages import TabPage
from journal.web.quotes.press import Press
from journal.web.quotes.promise_routes import short_of_weeks

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

    from journal.desk.agreed_parts import Differing
    from journal.desk.quote_content import Asked
    from journal.quote.terms import Sums

for each in (pages.signed_money, pages.signed_days, pages.more_days, pages.band_text):
    bp.add_app_template_filter(each)
bp.add_app_template_global(pages.usual_step)


@bp.get("/projects/<int:project_id>/quote")
def show(project_id: int) -> ResponseReturnValue:
    """A quote to fill in, at a price tried under Price where `?price=` brings one; what was agreed, once it was."""
    tried = TriedForm(request.args)
    return _show(project_id, tried=tried if "price" in request.args and tried.validate() else None)


@bp.post("/projects/<int:project_id>/quote")
def show_issue(project_id: int) -> ResponseReturnValue:
    """Issue it for good."""
    form = QuoteForm()
    asked = _asked(form)
    if asked is None or (not form.sure.data and _doubted(project_id, asked)):
        return _show(project_id, form), 422
    short = short_of_weeks(project_id, asked.weeks)
    try:
        with state.writing() as session:
            today = state.journal().today()
            seen = form.seen.data or ""
            row = quoting.issue(session, project_id, asked, Press(), seen=seen, today=today, now=state.now())
            if form.keep_texts.data:
                quoting.keep_texts(session, asked)
    except Conflict:
        return _show(project_id, form, conflict=True), 409
    except BadInput as refusal:
        forms.attach(form, refusal)
        return _show(project_id, form), 422
    flash(f"{row.number} is issued; it will never change. Its paper is ready to send.", "good")
    if short:
        flash(short, "care")
    return redirect(url_for("quotes.show_kept", project_id=project_id, quote_id=row.id))


@bp.post("/projects/<int:project_id>/quote/preview")
def show_preview(project_id: int) -> ResponseReturnValue:
    """The paper as it would be, marked as a draft; nothing is kept."""
    form = QuoteForm()
    asked = _asked(form)
    if asked is None:
        return _show(project_id, form), 422
    try:
        with state.reading() as session:
            paper = quoting.preview(session, project_id, asked, Press(), today=state.journal().today())
    except BadInput as refusal:
        forms.attach(form, refusal)
        return _show(project_id, form), 422
    return pdf_response(paper, "quote-draft")


@bp.post("/projects/<int:project_id>/extras")
def show_extra(project_id: int) -> ResponseReturnValue:
    """Agree an extra."""
    form, today = ExtraForm(), state.journal().today()
    if not form.validate_on_submit():
        return _show(project_id, extra=form), 422
    try:
        with state.writing() as session:
            extras.add_extra(
                session,
                project_id,
                form.asked(today),
                lambda content: extra_pdf(extra_paper(content)),
                read_version=form.version.data,
                today=today,
                now=state.now(),
            )
    except Conflict:
        form.version.data = None
        return _show(project_id, extra=form, conflict=True), 409
    except BadInput as refusal:
        forms.attach(form, refusal)
        return _show(project_id, extra=form), 422
    flash("Agreed, and kept as it is. Taking it back is an extra of its own.", "good")
    return redirect(url_for("quotes.show", project_id=project_id, _anchor="extras"))


@bp.get("/projects/<int:project_id>/extras/<int:extra_id>.pdf")
def show_extra_paper(project_id: int, extra_id: int) -> ResponseReturnValue:
    """The paper of an extra, to the byte as it was agreed."""
    with state.reading() as session:
        paper = extras.paper_of(session, project_id, extra_id)
    return pdf_response(paper.pdf, f"extra-{paper.number}")


def pdf_response(pdf: bytes, name: str) -> ResponseReturnValue:
    """A PDF to look at, with a name to save it under."""
    response = make_response(pdf)
    response.headers["Content-Type"] = "application/pdf"
    response.headers["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return response


def _asked(form: QuoteForm) -> Asked | None:
    """What was filled in; None, and the form says why, where it cannot be promised."""
    if not form.validate_on_submit():
        return None
    try:
        asked = form.asked()
        asked.check_days(state.journal().today())
    except BadInput as refusal:
        forms.attach(form, refusal)
        return None
    return asked


def _doubted(project_id: int, asked: Asked) -> bool:
    with state.reading() as session:
        return quoting.doubted(session, project_id, asked, state.journal().today())


def _show(
    project_id: int,
    form: QuoteForm | None = None,
    *,
    tried: TriedForm | None = None,
    extra: ExtraForm | None = None,
    conflict: bool = False,
) -> str:
    today = state.journal().today()
    with state.reading() as session:
        life = promises.life_of(session, project_id)
        if life.agreed:
            differing = agreed_parts.differing(session, life.project, today, life)
            return _show_agreed(life, extra, differing, conflict=conflict)
        draft = quoting.begin(session, project_id, today)
    if draft.asked is None or draft.found is None:
        page = TabPage(life, pages.quote_lines(life, today), troubles=draft.troubles)
        return render_template("quotes/show.html", page=page)
    if form is None:
        form = QuoteForm.showing(draft.asked, draft.seen)
        if tried:
            form.take(tried)
    elif conflict:
        form.renew(draft.asked, draft.seen)
    form.tax.description = f"The shop’s is {form.tax.show(Fraction(draft.found.shop.row.tax_ppm, MILLIONTHS))} %."
    page = TabPage(
        life=life,
        lines=pages.quote_lines(life, today),
        form=form,
        sums=_sums(form),
        estimate_cents=draft.found.made.price_cents,
        missing=draft.found.made.missing,
        drawing=draft.drawing,
        described=draft.asked.described if form.edited else "",
        doubts=quoting.doubts(form.description.data or "", form.excluded.data or "", draft.found),
        conflict=conflict,
    )
    return render_template("quotes/show.html", page=page)


def _show_agreed(life: promises.Life, extra: ExtraForm | None, differing: Differing | None, *, conflict: bool) -> str:
    today = state.journal().today()
    form = extra or ExtraForm(formdata=None, on=today)
    form.version.data = life.project.version
    page = TabPage(life, pages.quote_lines(life, today), extra=form, differing=differing, conflict=conflict)
    return render_template("quotes/show.html", page=page)


def _sums(form: QuoteForm) -> Sums | None:
    """What the boxes come to; None where they cannot be read."""
    if form.errors or form.price.data is None:
        return None
    try:
        asked = form.asked()
        terms = Terms(
            (Item(asked.title, asked.price_cents),),
            asked.discount_cents,
            asked.tax_rate,
            asked.rounding,
            asked.deposit,
            asked.stages,
        )
    except BadInput:  # the box it is about says so when the form is sent
        return None
    return add_up(terms)
