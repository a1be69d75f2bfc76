"""What the templates of the Quotes section receive, and how its figures read."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal import units
from journal.desk import life
from journal.records.words import ProjectState
from journal.web import figures
from journal.web.state import display, in_marks
from journal.working import counted

if TYPE_CHECKING:
    from datetime import date

    from journal.desk.agreed_parts import Differing
    from journal.desk.closing import LooseEnd
    from journal.desk.life import Step
    from journal.desk.parts import Trouble
    from journal.desk.payments import Money
    from journal.desk.promises import Agreed, Life
    from journal.desk.quotes_past import Band, Past
    from journal.paper.quote import QuotePaper
    from journal.quote.terms import Sums
    from journal.records.queries.moves import MoveRow
    from journal.records.queries.projects import ProjectRow
    from journal.records.queries.quotes import QuoteHead
    from journal.web.quotes.forms import ExtraForm, MoveForm, PaymentForm, QuoteForm, VersionForm
    from journal.web.quotes.kept_view import Kept

MOST_SHOWN = 40


@dataclass(frozen=True, slots=True)
class QuoteLine:
    """A quote in a list: its total in the money of its day, and how it stands."""

    quote: QuoteHead
    total: str
    standing: str
    kind: str


@dataclass(frozen=True, slots=True)
class TabPage:
    """What quotes/show.html receives.

    Attributes:
        life: the project with its moves, what is agreed, its quotes.
        lines: the quotes, newest first.
        form: a quote to fill in; None once it is agreed, or where there is no estimate.
        sums: what the form as it stands comes to; None where it is wrong.
        estimate_cents: the price to ask by today's estimate.
        missing: what has no price and is left out of it.
        troubles: why there is no estimate; empty without one means that there are no parts.
        drawing: whether there is one to show.
        described: what the parts say, where the description says something else.
        doubts: what a client would stumble over in the form as it stands.
        extra: an extra to agree.
        differing: what was changed since the agreement and is in no extra.
        conflict: the estimate is not the one that was shown.
    """

    life: Life
    lines: tuple[QuoteLine, ...]
    form: QuoteForm | None = None
    sums: Sums | None = None
    estimate_cents: int = 0
    missing: tuple[str, ...] = ()
    troubles: tuple[Trouble, ...] = ()
    drawing: bool = False
    described: str = ""
    doubts: tuple[str, ...] = ()
    extra: ExtraForm | None = None
    differing: Differing | None = None
    conflict: bool = False

    @property
    def project(self) -> ProjectRow:
        return self.life.project

    @property
    def agreed(self) -> Agreed | None:
        return self.life.agreed


@dataclass(frozen=True, slots=True)
class KeptPage:
    """What quotes/kept.html and quotes/client.html receive; no paper where the text is damaged."""

    project: ProjectRow
    line: QuoteLine
    paper: QuotePaper | None
    kept: Kept | None
    faults: tuple[str, ...]
    newer: QuoteHead | None


@dataclass(frozen=True, slots=True)
class Offer:
    """A move that may be made, with its boxes; `open`: shown unfolded."""

    step: Step
    form: MoveForm
    open: bool


@dataclass(frozen=True, slots=True)
class LifePage:
    """What quotes/life.html receives.

    Attributes:
        life: the project with its moves.
        offers: what may come next.
        version: of the project, for every form.
        open: the quote that may be accepted, or None.
        loose: of a project in build: what is not done or not written down yet.
        back: the button that takes the last move back, or None.
        conflict: what another tab did meanwhile, and what was asked here; '' without.
        wrong: why nothing was taken back.
    """

    life: Life
    offers: tuple[Offer, ...]
    version: VersionForm
    back: VersionForm | None
    open: QuoteLine | None
    loose: tuple[LooseEnd, ...] = ()
    conflict: str = ""
    wrong: str = ""

    @property
    def project(self) -> ProjectRow:
        return self.life.project

    @property
    def moves(self) -> tuple[MoveRow, ...]:
        return tuple(reversed(self.life.moves))


@dataclass(frozen=True, slots=True)
class MoneyPage:
    """What quotes/money.html receives; `over`: the amount typed is more than is owed, and whether it is meant is asked."""

    money: Money
    form: PaymentForm
    conflict: bool = False
    over: bool = False

    @property
    def project(self) -> ProjectRow:
        return self.money.life.project


@dataclass(frozen=True, slots=True)
class PromisePage:
    """What quotes/promise.html receives: the caution in words, '' for none."""

    project: ProjectRow
    said: str


@dataclass(frozen=True, slots=True)
class PastPage:
    """What quotes/past.html receives; of long lists the newest."""

    past: Past

    @property
    def shown(self) -> int:
        return MOST_SHOWN


def quote_lines(found: Life, today: date) -> tuple[QuoteLine, ...]:
    """The quotes of a project as a list shows them."""
    return tuple(_line(quote, found, today) for quote in found.quotes)


def _line(quote: QuoteHead, found: Life, today: date) -> QuoteLine:
    total = in_marks(units.format_money(quote.total_cents, units.currency(quote.currency)))
    return QuoteLine(quote, total, *_standing(quote, found, today))


def _standing(quote: QuoteHead, found: Life, today: date) -> tuple[str, str]:
    """How a quote stands by what happened since, and which sign goes with it."""
    if found.agreed and found.agreed.quote and found.agreed.quote.id == quote.id:
        return "accepted", "good"
    if found.open and found.open.id != quote.id:
        return f"replaced by {_next(quote, found).number}", ""
    if found.project.state in (ProjectState.DECLINED, ProjectState.LAPSED):
        return found.project.state.value, ""
    if quote.valid_until < today:
        return "past its date", "care"
    return "open", "care"


def _next(quote: QuoteHead, found: Life) -> QuoteHead:
    return next(other for other in reversed(found.quotes) if other.id > quote.id)


def usual_step(state: ProjectState) -> Step | None:
    """What mostly comes next, for the button at the head of a project; None where that depends on its past."""
    steps = life.steps_from(state)
    first = steps[0] if steps and steps[0].usual else None
    return None if state is ProjectState.ON_HOLD else first


def signed_money(minor: int) -> str:
    """An amount with its sign: “+$20.00”, “−$4.00”, “$0.00”."""
    return ("+" if minor > 0 else "") + in_marks(units.format_money(minor, display().currency))


def signed_days(days: int | None) -> str:
    """“3 days late”, “2 days early”, “on the day”, “–”."""
    if days is None:
        return "–"
    if days == 0:
        return "on the day"
    return f"{counted(abs(days), 'day')} {'late' if days > 0 else 'early'}"


def more_days(days: int) -> str:
    """What an extra does to the date: “+3 days”, “−1 day”, “–”."""
    if days == 0:
        return "–"
    return ("+" if days > 0 else "−") + counted(abs(days), "day")


def band_text(band: Band) -> str:
    """“under 10 %”, “10 to 20 %”, “30 % and more”."""
    low, high = (None if end is None else figures.number(float(end * 100)) for end in (band.low, band.high))
    if low is None:
        return f"under {high} %"
    return f"{low} % and more" if high is None else f"{low} to {high} %"
