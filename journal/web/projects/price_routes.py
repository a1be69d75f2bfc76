"""The Price tab: the estimate, what a typed price would mean, and the estimates that were kept."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from flask import flash, redirect, render_template, request, url_for

from journal import units
from journal.desk import agreed_parts, parts, projects
from journal.desk import estimate as desk
from journal.errors import Conflict, JournalError, MissingReference
from journal.records.words import ProjectState
from journal.web import state
from journal.web.discount import Discount
from journal.web.filters import tight
from journal.web.projects import kept_view, price_view
from journal.web.projects.blueprint import bp
from journal.web.projects.price_forms import AtPriceForm, KeepForm

if TYPE_CHECKING:
    from datetime import datetime

    from flask.typing import ResponseReturnValue

    from journal.desk.agreed_parts import Differing
    from journal.desk.estimate import Kept, ProjectEstimate
    from journal.desk.parts import Trouble
    from journal.records.queries.projects import ProjectRow
    from journal.web.projects.price_view import Priced


_BEFORE_AGREED = (ProjectState.ENQUIRY, ProjectState.QUOTED, ProjectState.DECLINED, ProjectState.LAPSED)


@dataclass(frozen=True, slots=True)
class KeptHead:
    """One line of the list of kept estimates; the price in the money of its day, '' when it is damaged."""

    id: int
    made_at: datetime
    reason: str
    plan_version: int
    price: str


@dataclass(frozen=True, slots=True)
class PricePage:
    """What projects/price.html receives.

    Attributes:
        project: what is priced.
        priced: the estimate, laid out; None when there is none.
        troubles: why there is none; empty then means that there are no parts.
        at_price: the price to try.
        keep: keep this estimate.
        kept: those kept before, newest first.
        differing: what was changed since the agreement and is in no extra.
    """

    project: ProjectRow
    priced: Priced | None
    troubles: tuple[Trouble, ...]
    at_price: AtPriceForm
    keep: KeepForm
    kept: tuple[KeptHead, ...]
    differing: Differing | None = None

    @property
    def tried(self) -> dict[str, str]:
        """Price and discount as they stand in the boxes, to be brought along to the quote."""
        boxes = {"price": self.at_price.price, "discount": self.at_price.discount}
        return {name: text for name, box in boxes.items() if (text := box._value())}  # noqa: SLF001 - as the box shows it

    @property
    def quotable(self) -> bool:
        """Whether a quote can still be filled in."""
        return self.project.state in _BEFORE_AGREED


bp.add_app_template_filter(price_view.whole_money)
bp.add_app_template_filter(lambda share: tight(price_view.chance(share)), "chance")
bp.add_app_template_filter(price_view.minutes_range)
bp.add_app_template_filter(price_view.whole)


@bp.get("/<int:project_id>/price")
def price(project_id: int) -> ResponseReturnValue:
    """What to ask, how sure that is, and why."""
    form = AtPriceForm(formdata=request.args)
    good = not {"price", "discount"} & set(request.args) or form.validate()
    return _show(project_id, form), 200 if good else 422


@bp.post("/<int:project_id>/price/keep")
def price_keep(project_id: int) -> ResponseReturnValue:
    """Keep the estimate that the page showed."""
    form = KeepForm()
    if not form.validate_on_submit():
        return _show(project_id, AtPriceForm(formdata=None), form), 422
    with state.writing() as session:
        found = desk.estimate_project(session, project_id, state.journal().today())
        _refuse_another_price(found, form.price_cents.data)
        kept = desk.keep_estimate(session, found, reason=form.reason.data or "kept by hand", now=state.now())
    flash("Kept as it stands; this page will never change.", "good")
    return redirect(url_for("projects.price_kept", project_id=project_id, estimate_id=kept.id))


@bp.get("/<int:project_id>/price/kept/<int:estimate_id>")
def price_kept(project_id: int, estimate_id: int) -> ResponseReturnValue:
    """A kept estimate, as it was."""
    with state.reading() as session:
        project = projects.one(session, project_id)
        kept = desk.kept_estimate(session, estimate_id)
    if kept["project_id"] != project_id:
        raise MissingReference("estimate of this project", str(estimate_id), [])
    return render_template("projects/kept.html", page=kept_view.lay_out(project, kept))


def _refuse_another_price(found: ProjectEstimate, shown_cents: int) -> None:
    """What is kept is what was seen: parts or prices may have changed since."""
    if found.made.price_cents != shown_cents:
        now = state.in_marks(units.format_money(found.made.price_cents, state.display().currency))
        raise Conflict("what the price rests on", f"it is {now} now; look at it again and keep that")


def _show(project_id: int, form: AtPriceForm, keep: KeepForm | None = None) -> str:
    today = state.journal().today()
    with state.reading() as session:
        project = projects.one(session, project_id)
        kept = tuple(_head(one) for one in desk.kept_estimates(session, project_id))
        differing = agreed_parts.differing(session, project, today)
        try:
            found = desk.estimate_project(session, project_id, today)
        except JournalError as refused:
            troubles = _why_not(parts.troubles(session, project_id, today), parts.current(session, project_id), refused)
            page = PricePage(project, None, troubles, form, keep or KeepForm(formdata=None), kept, differing)
            return render_template("projects/price.html", page=page)
    priced = price_view.lay_out(found, *((None, Discount()) if form.errors else (form.price.data, form.given)))
    if not form.price.raw_data:
        form.price.data = priced.price_cents
    asked = keep or KeepForm(formdata=None)
    asked.price_cents.data = priced.price_cents
    page = PricePage(project, priced, (), form, asked, kept, differing)
    return render_template("projects/price.html", page=page)


def _head(kept: Kept) -> KeptHead:
    damaged = kept.price_cents is None
    text = "" if damaged else state.in_marks(units.format_money(kept.price_cents, units.currency(kept.currency)))
    return KeptHead(kept.id, kept.made_at, kept.reason, kept.plan_version, text)


def _why_not(found: tuple[Trouble, ...], listed: tuple[object, ...], refused: JournalError) -> tuple[Trouble, ...]:
    """What stands in the way; the refusal itself where no part is to blame."""
    return found or ((parts.Trouble((), str(refused)),) if listed else ())
