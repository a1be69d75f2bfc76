"""What was agreed and what came of it: a project's moves from state to state.

Dates, agreed price, minutes and quoted cost of a project follow from its moves. A move remembers what it changed, so
that the last one that stands can be taken back.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from journal.desk import estimate, life, quote_content
from journal.errors import BadInput, JournalError, NoSolution
from journal.records.queries import money as money_records
from journal.records.queries import moves as move_records
from journal.records.queries import projects as project_records
from journal.records.queries import quotes as quote_records
from journal.records.queries.moves import MoveDraft
from journal.records.queries.shop import get_shop
from journal.records.queries.values import require_version
from journal.records.words import ProjectState
from journal.units import percent_of
from journal.units.money import MAX_MINOR

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy.orm import Session

    from journal.desk.life import Step
    from journal.records.queries.money import ExtraRow
    from journal.records.queries.moves import MoveRow
    from journal.records.queries.projects import ProjectRow
    from journal.records.queries.quotes import QuoteHead
    from journal.records.words import DepositFate

LONGEST_TEXT = 10_000
LONGEST_PROMISE = timedelta(days=3652)  # ten years; longer is a slip of the keyboard
MILLIONTHS = 1_000_000
_DAY_COLUMNS = ("agreed_on", "started_on", "delivered_on", "promised_on")


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What is said with a move.

    Attributes:
        on: the day it happened.
        reason: why, where that is asked for.
        quote_id: the quote that was accepted; None when the price was agreed by word.
        price_cents: that price, before tax.
        promised_on: the day of delivery that was agreed; None: reckoned from the quote's weeks.
        deposit: what becomes of it.
    """

    on: date
    reason: str = ""
    quote_id: int | None = None
    price_cents: int | None = None
    promised_on: date | None = None
    deposit: DepositFate | None = None

    def __post_init__(self) -> None:
        if len(self.reason) > LONGEST_TEXT:
            raise BadInput("why", self.reason, f"at most {LONGEST_TEXT:,} characters")
        if self.price_cents is not None and not 0 <= self.price_cents <= MAX_MINOR:
            raise BadInput("agreed price", self.price_cents, "an amount, 0 or more")
        if self.promised_on and not self.on <= self.promised_on <= self.on + LONGEST_PROMISE:
            raise BadInput("promised for", self.promised_on.isoformat(), "a day from the agreement to ten years after")


@dataclass(frozen=True, slots=True)
class Agreed:
    """What stands agreed, in minor units before tax unless it says otherwise.

    Attributes:
        on: the day; None where a project came in without one.
        net_cents, tax_cents: as first agreed.
        quote: the quote that was accepted; None when it was agreed by word.
        extras: since then.
        entered_at: when the journal was told; None where it never was.
    """

    on: date | None
    net_cents: int
    tax_cents: int
    quote: QuoteHead | None
    extras: tuple[ExtraRow, ...]
    entered_at: datetime | None = None

    @property
    def extras_net_cents(self) -> int:
        """What the extras come to."""
        return sum(extra.net_cents for extra in self.extras)

    @property
    def now_net_cents(self) -> int:
        """With the extras."""
        return self.net_cents + self.extras_net_cents

    @property
    def now_tax_cents(self) -> int:
        """With the extras."""
        return self.tax_cents + sum(extra.tax_cents for extra in self.extras)

    @property
    def total_cents(self) -> int:
        """With extras and tax."""
        return self.now_net_cents + self.now_tax_cents


@dataclass(frozen=True, slots=True)
class Life:
    """A project with its moves.

    Attributes:
        moves: all of them, oldest first; standing: those no later one took back.
        steps: what may come next, the usual one first.
        agreed: what stands agreed, or None.
        quotes: newest first; open: the one that may be accepted, or None.
    """

    project: ProjectRow
    moves: tuple[MoveRow, ...]
    standing: tuple[MoveRow, ...]
    steps: tuple[Step, ...]
    agreed: Agreed | None
    quotes: tuple[QuoteHead, ...]

    @property
    def open(self) -> QuoteHead | None:
        """The newest quote: the only one that may be accepted."""
        return self.quotes[0] if self.quotes else None

    def proposed_day(self, on: date) -> date | None:
        """When the open quote's promise would fall due if it were accepted on that day."""
        if self.open is None or self.open.promised_days is None:
            return None
        return on + timedelta(days=self.open.promised_days)


def life_of(session: Session, project_id: int) -> Life:
    """A project's moves, what may come next, and what is agreed. A constant number of queries."""
    project = project_records.get_project(session, project_id)
    rows = move_records.moves(session, project_id)
    standing = move_records.standing(rows)
    quotes = quote_records.quotes(session, project_id)
    steps = life.steps_from(project.state, _held_from(standing))
    extras = money_records.extras(session, project_id)
    return Life(project, rows, standing, steps, _agreed(project, standing, quotes, extras), quotes)


def agreed(session: Session, project_id: int) -> Agreed | None:
    """What stands agreed with the client; None before that, and again once the agreement was taken back."""
    return life_of(session, project_id).agreed


def move(
    session: Session,
    project_id: int,
    end: ProjectState,
    told: Told,
    *,
    read_version: int,
    today: date,
    now: datetime,
) -> MoveRow:
    """Bring a project to another state.

    Raises:
        Conflict: it changed since `read_version` was read, by another tab or another person.
        BadInput: no such move from where it is, or something said with it makes no sense.
    """
    found = life_of(session, project_id)
    require_version(f"project {found.project.code}", found.project.version, read_version)
    step = life.step_to(found.project.state, end, _held_from(found.standing))
    refuse_day(found, told.on, today)
    _refuse_missing(step, told, found)
    settled = _settled(session, found, step, told, today, now)
    return _make(session, found.project, end, told, settled, now)


def quoted(session: Session, project_id: int, *, on: date, number: str, now: datetime) -> None:
    """A quote was issued: the project is quoted from now on.

    Raises:
        BadInput: it is agreed already, or further; what comes then is an extra.
    """
    found = life_of(session, project_id)
    project = found.project
    if project.state not in life.MAY_QUOTE or found.agreed:
        raise BadInput("quote", project.state.replace("_", " "), "a project not agreed yet; add an extra instead")
    if project.state is not ProjectState.QUOTED:
        told = Told(on=on, reason=f"quote {number}")
        _make(session, project, ProjectState.QUOTED, told, _Settled({}), now)


def begun(session: Session, project_id: int, *, on: date, now: datetime) -> MoveRow | None:
    """Work was done on it: what was accepted is in build from that day on; None where it is anything but accepted.

    A day before the agreement counts as the agreement's: moves stand in the order of their days.
    """
    if project_records.get_project(session, project_id).state is not ProjectState.ACCEPTED:
        return None
    found = life_of(session, project_id)
    step = life.step_to(ProjectState.ACCEPTED, ProjectState.IN_BUILD)
    told = Told(on=max([on, *(one.on_date for one in found.standing[-1:])]), reason="work began on the floor")
    return _make(session, found.project, step.end, told, _settled(session, found, step, told, told.on, now), now)


def undo(session: Session, project_id: int, *, read_version: int, today: date, now: datetime) -> MoveRow:
    """Take back the last move that stands; the project says again what it said before it.

    Raises:
        Conflict: the project changed since.
        NoSolution: nothing to take back, or extras stand on it.
    """
    found = life_of(session, project_id)
    project = found.project
    require_version(f"project {project.code}", project.version, read_version)
    if not found.standing:
        raise NoSolution("take back a move", "none is kept of this project")
    last = found.standing[-1]
    if last.net_cents is not None and found.agreed and found.agreed.extras:
        raise NoSolution("take back the agreement", "extras were agreed on it since", "cancel the project instead")
    restored = {name: _from_plain(name, value) for name, value in last.before.items()}
    draft = project.draft(state=last.from_state, **restored)
    project_records.change_project(session, project_id, draft, read_version=read_version, now=now)
    back = MoveDraft(on_date=today, from_state=last.to_state, to_state=last.from_state, before={}, undoes_id=last.id)
    return move_records.add_move(session, project_id, back, now)


def refuse_day(found: Life, on: date, today: date) -> None:
    """Refuse a day to come, or one before what came last.

    Raises:
        BadInput: naming the day it may not be before.
    """
    if on > today:
        raise BadInput("on", on.isoformat(), "today or a day before; what is to come is no move yet")
    earlier = found.standing[-1].on_date if found.standing else found.project.enquired_on
    if earlier and on < earlier:
        raise BadInput("on", on.isoformat(), f"not before {earlier.isoformat()}, the day of what came before")


@dataclass(frozen=True, slots=True)
class _Settled:
    """What follows from a move: columns of the project that change, and the agreement it makes."""

    columns: dict[str, Any]
    quote_id: int | None = None
    net_cents: int | None = None
    tax_cents: int | None = None


def _make(
    session: Session, project: ProjectRow, end: ProjectState, told: Told, settled: _Settled, now: datetime
) -> MoveRow:
    before = {name: _plain(getattr(project, name)) for name in settled.columns}
    after = project.draft(state=end, **settled.columns)
    project_records.change_project(session, project.id, after, read_version=project.version, now=now)
    draft = MoveDraft(
        on_date=told.on,
        from_state=project.state,
        to_state=end,
        reason=told.reason.strip(),
        quote_id=settled.quote_id,
        net_cents=settled.net_cents,
        tax_cents=settled.tax_cents,
        deposit=told.deposit,
        before=before,
    )
    return move_records.add_move(session, project.id, draft, now)


def _settled(session: Session, found: Life, step: Step, told: Told, today: date, now: datetime) -> _Settled:
    if step.end is ProjectState.ACCEPTED and life.Ask.AGREED in step.asks:
        return _agreement(session, found, told, today, now)
    if life.Ask.PRICE in step.asks and told.price_cents is not None:
        bare = {"agreed_on": told.on, "agreed_price_cents": told.price_cents, "delivered_on": told.on}
        return _Settled(bare, net_cents=told.price_cents, tax_cents=shop_tax(session, told.price_cents))
    if step.end is ProjectState.DELIVERED and step.start is not ProjectState.CLOSED:
        return _Settled({"delivered_on": told.on})
    if step.end is ProjectState.IN_BUILD and found.project.started_on is None:
        return _Settled({"started_on": told.on})
    return _Settled({})


def _agreement(session: Session, found: Life, told: Told, today: date, now: datetime) -> _Settled:
    if told.quote_id is None:
        return _by_word(session, found, told, today, now)
    if found.open is None or told.quote_id != found.open.id:
        newest = found.open.number if found.open else "none"
        raise BadInput("quote", str(told.quote_id), f"the newest one of this project: {newest}")
    row = quote_records.get_quote(session, told.quote_id)
    if row.damaged:
        raise JournalError(f"quote {row.number} is damaged: its checksum does not fit; restore a backup first")
    columns = {
        "agreed_on": told.on,
        "agreed_price_cents": row.net_cents,
        "agreed_minutes": row.minutes,
        "quoted_cost_cents": row.cost_cents,
        "promised_on": told.promised_on or found.proposed_day(told.on),
    }
    return _Settled(columns, row.id, row.net_cents, row.tax_cents)


def _by_word(session: Session, found: Life, told: Told, today: date, now: datetime) -> _Settled:
    if told.price_cents is None:
        raise BadInput("agreed price", "", "a quote to accept, or the price agreed by word")
    minutes, cost = _kept_estimate(session, found.project.id, today, now)
    columns = {
        "agreed_on": told.on,
        "agreed_price_cents": told.price_cents,
        "agreed_minutes": minutes,
        "quoted_cost_cents": cost,
        "promised_on": told.promised_on,
    }
    return _Settled(columns, None, told.price_cents, shop_tax(session, told.price_cents))


def _kept_estimate(session: Session, project_id: int, today: date, now: datetime) -> tuple[float | None, int | None]:
    """Minutes and cost as they are expected today, in an estimate kept so that the promise outlives today's prices.

    Nothing where the parts make no estimate yet.
    """
    try:
        found = estimate.estimate_project(session, project_id, today)
    except JournalError:  # it is agreed all the same; what it was thought to take is then not known
        return None, None
    estimate.keep_estimate(session, found, reason="agreed by word", now=now)
    return quote_content.mean_minutes(found.made), found.made.expected_cents


def shop_tax(session: Session, net_cents: int) -> int:
    """The tax on an amount, at the shop's rate."""
    return percent_of(net_cents, Fraction(get_shop(session).tax_ppm, MILLIONTHS))


def _agreed(
    project: ProjectRow,
    standing: tuple[MoveRow, ...],
    quotes: tuple[QuoteHead, ...],
    extras: tuple[ExtraRow, ...],
) -> Agreed | None:
    by = move_records.agreement(standing)
    if by and by.net_cents is not None:
        quote = next((quote for quote in quotes if quote.id == by.quote_id), None)
        return Agreed(by.on_date, by.net_cents, by.tax_cents or 0, quote, extras, by.at)
    if project.agreed_price_cents is None:
        return None
    # A job from before the journal kept moves: its price is known, its tax is not.
    first = project.agreed_price_cents - sum(extra.net_cents for extra in extras)
    return Agreed(project.agreed_on, first, 0, None, extras)


def _held_from(standing: tuple[MoveRow, ...]) -> ProjectState | None:
    last = standing[-1] if standing else None
    return last.from_state if last and last.to_state is ProjectState.ON_HOLD else None


def _refuse_missing(step: Step, told: Told, found: Life) -> None:
    if life.Ask.WHY in step.asks and not told.reason.strip():
        raise BadInput("why", "", "a few words; they are read again when the next one is quoted")
    if life.Ask.DEPOSIT in step.asks and told.deposit is None and found.agreed:
        raise BadInput("deposit", "", "kept or returned")


def _plain(value: object) -> object:
    return value.isoformat() if isinstance(value, date) else value


def _from_plain(name: str, value: Any) -> Any:  # noqa: ANN401 - a column of the project
    return date.fromisoformat(value) if value and name in _DAY_COLUMNS else value
