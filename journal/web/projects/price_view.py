"""An estimate as the Price tab shows it: figures in one line, a picture, tables, and what a price would mean."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from journal import reference, units
from journal.build.stock import Rough, Sheet
from journal.quote.risk import Range, markup_of
from journal.web.pictures import Histogram, Mark, range_figure
from journal.web.projects.asked import try_price
from journal.web.state import display, in_marks
from journal.working import chance_text, counted

if TYPE_CHECKING:
    from journal.desk.estimate import ProjectEstimate
    from journal.quote.estimate import Estimate
    from journal.quote.forecast import OperationForecast
    from journal.quote.risk import Distribution
    from journal.quote.takeoff import StockBill
    from journal.web.discount import Discount
    from journal.web.pictures import RangeFigure
    from journal.web.projects.asked import Asked
    from journal.working import Line, Spread

_DOUBTS = 3  # operations named as what the range hangs on
_FAR = 0.6  # a typed price further from the heap than this share of its width would squash the picture


@dataclass(frozen=True, slots=True)
class BoardRow:
    """One thing to buy: boards of one length, sheets, or board feet in random widths."""

    stock: str
    size: str
    amount: str
    spares: int
    cents: int


@dataclass(frozen=True, slots=True)
class StageWork:
    """A stage with its operations.

    Attributes:
        line: the stage's minutes with the workings under it.
        rows: the operations, each with its line; own: the lines of the maker's own steps.
        share: part of the doubt about the total hours that the stage brings.
    """

    line: Line
    rows: tuple[tuple[OperationForecast, Line], ...]
    own: tuple[Line, ...]
    share: float


@dataclass(frozen=True, slots=True)
class Priced:
    """An estimate, laid out.

    Attributes:
        price_cents: what to ask; benches: for how many benches.
        hours, cost: their ranges, eight times in ten between.
        weight_kg: of all benches; moisture_pct: at which.
        to_buy: how many boards and sheets, spares included.
        confidence: chance that the price covers the cost, before the margin.
        picture: how far the cost may go; None where it cannot go anywhere.
        asked: what the price asked or typed means.
        margin, markup: the shop's, of the price and as the same on the cost.
        costs: cost lines with their workings; quantities: what it takes.
        stages: the work; unplanned and total: the last two lines under it.
        doubts: (operation, share) of what the range of hours hangs on most.
        bought: boards and sheets to buy; bought_cents: their sum.
        missing: what has no price and is left out.
        cautions: what to know before trusting the price.
        notes: what the maker should know about single parts.
        learnt: what the paces rest on, in words.
    """

    price_cents: int
    benches: int
    hours: str
    cost: str
    weight_kg: float
    moisture_pct: float
    to_buy: str
    confidence: float
    picture: RangeFigure | None
    asked: Asked
    margin: float
    markup: float
    costs: tuple[Line, ...]
    quantities: tuple[Line, ...]
    stages: tuple[StageWork, ...]
    unplanned: Line
    total: Line
    doubts: tuple[tuple[str, float], ...]
    bought: tuple[BoardRow, ...]
    bought_cents: int
    missing: tuple[str, ...]
    cautions: tuple[str, ...]
    notes: tuple[str, ...]
    learnt: str


def lay_out(found: ProjectEstimate, typed_cents: int | None, discount: Discount) -> Priced:
    """An estimate as the page shows it, and what the price typed there (or the one to ask) means."""
    made = found.made
    bills = made.takeoff.bills
    asked = try_price(made, found.shop.row, typed_cents, discount)
    total = made.quantities[-1]
    return Priced(
        price_cents=made.price_cents,
        benches=made.takeoff.benches,
        hours=hours_text(made.hours.at(0.1), made.hours.at(0.9)),
        cost=cost_text(made.cost.at(0.1), made.cost.at(0.9)),
        weight_kg=made.takeoff.weight_kg,
        moisture_pct=made.takeoff.moisture_pct,
        to_buy=to_buy_text(
            sum(bill.sawing.boards for bill in bills if not isinstance(bill.stock, Sheet)),
            sum(bill.sawing.boards for bill in bills if isinstance(bill.stock, Sheet)),
        ),
        confidence=made.rates.confidence,
        picture=picture(made, asked.sums.net_cents),
        asked=asked,
        margin=made.rates.margin,
        markup=markup_of(made.rates.margin),
        costs=made.costs,
        quantities=made.quantities[:-1],
        stages=_stages(total, made.operations),
        unplanned=total.parts[-1],
        total=total,
        doubts=_doubts(made.operations),
        bought=tuple(row for bill in bills for row in _board_rows(bill)),
        bought_cents=sum(bill.cents for bill in bills),
        missing=made.missing,
        cautions=made.cautions,
        notes=made.takeoff.notes,
        learnt=learnt(found.calibration.rows, found.calibration.projects),
    )


def picture(made: Estimate, tried_cents: int) -> RangeFigure | None:
    """How far the cost may go, with the price to ask and the one tried; None where the cost is certain."""
    histogram = _histogram(made.cost)
    if histogram is None:
        return None
    cost = Range.of(made.cost)
    marks = [
        Mark("1 in 10 cheaper than", cost.p10, "The cost stays under this one time in ten"),
        Mark("half cheaper than", cost.p50, "The cost stays under this as often as not"),
        Mark("8 in 10 cheaper than", cost.p80, "The cost stays under this eight times in ten"),
        Mark("9 in 10 cheaper than", cost.p90, "The cost stays under this nine times in ten"),
        Mark("price", made.price_cents, "The price to ask", kind="price"),
    ]
    if tried_cents != made.price_cents and _near(tried_cents, histogram):
        marks.append(Mark("yours", tried_cents, "The price you typed, less its discount", kind="price"))
    return range_figure("cost", "What it may cost the shop", histogram, marks, whole_money)


def whole_money(minor: float, currency: units.Currency | None = None) -> str:
    """An amount without its cents: on a guess they would only be noise. In the shop's money unless another is named."""
    currency = currency or display().currency
    step = 10**currency.decimals
    text = units.format_money(units.round_half_up(minor / step) * step, currency)
    return in_marks(text.removesuffix("." + "0" * currency.decimals))


def chance(share: float) -> str:
    """A chance in whole per cent, never quite 0 or 100: no draw can promise that."""
    return chance_text(share)


def hours_text(low_hours: float, high_hours: float) -> str:
    """A range of hours: “41 – 58 h”."""
    return in_marks(f"{low_hours:,.0f} – {high_hours:,.0f} h")


def cost_text(low_minor: float, high_minor: float, currency: units.Currency | None = None) -> str:
    """A range of amounts: “$3,100 – $4,700”."""
    return f"{whole_money(low_minor, currency)} – {whole_money(high_minor, currency)}"


def to_buy_text(boards: int, sheets: int) -> str:
    """“21 boards”, “1 sheet”, “21 boards + 1 sheet”."""
    counts = ((boards, "board"), (sheets, "sheet"))
    return " + ".join(counted(count, word) for count, word in counts if count) or "nothing"


def whole(minutes: float) -> str:
    """Whole minutes, without the unit: “1,240”."""
    return in_marks(f"{minutes:,.0f}")


def minutes_range(minutes: Spread) -> str:
    """Both ends of a range of whole minutes, without the unit: “41 – 58”."""
    return f"{whole(minutes.p10)} – {whole(minutes.p90)}"


def _histogram(cost: Distribution) -> Histogram | None:
    bins = cost.bins()
    edges = np.array([bins[0][0], *(high for _, high, _ in bins)])
    counts = np.array([share for _, _, share in bins])
    return Histogram(edges, counts) if np.all(np.diff(edges) > 0) and counts.any() else None


def _near(cents: int, histogram: Histogram) -> bool:
    low, high = float(histogram.edges[0]), float(histogram.edges[-1])
    room = _FAR * (high - low)
    return low - room <= cents <= high + room


def _stages(total: Line, operations: tuple[OperationForecast, ...]) -> tuple[StageWork, ...]:
    names = {stage.name: code for code, stage in reference.stages().items()}
    return tuple(_stage(line, names[line.name], operations) for line in total.parts[:-1])


def _stage(line: Line, code: str, operations: tuple[OperationForecast, ...]) -> StageWork:
    mine = tuple(operation for operation in operations if operation.stage == code)
    by_pace, own = line.parts[: len(mine)], line.parts[len(mine) :]
    return StageWork(line, tuple(zip(mine, by_pace, strict=True)), own, sum(operation.share for operation in mine))


def _doubts(operations: tuple[OperationForecast, ...]) -> tuple[tuple[str, float], ...]:
    most = sorted(operations, key=lambda operation: -operation.share)[:_DOUBTS]
    return tuple((operation.name, operation.share) for operation in most if operation.share > 0)


def _board_rows(bill: StockBill) -> list[BoardRow]:
    if isinstance(bill.stock, Rough):
        amount = f"{units.format_board_feet(units.round_half_up(bill.board_feet * units.NM3_PER_BOARD_FOOT))}"
        return [BoardRow(bill.stock.code, "random widths", amount, 0, bill.cents)]
    kind = "sheet" if isinstance(bill.stock, Sheet) else "board"
    return [
        BoardRow(
            bill.stock.code,
            _size(bill, purchase.offer.length_nm),
            f"{purchase.count} {kind}{'' if purchase.count == 1 else 's'}",
            purchase.spares,
            purchase.cents,
        )
        for purchase in bill.purchases
    ]


def _size(bill: StockBill, length_nm: int) -> str:
    system = display().system
    stock = bill.stock
    if isinstance(stock, Sheet):
        across, along = (
            in_marks(units.format_length(nm, system, feet=True)) for nm in (stock.width_nm, stock.length_nm)
        )
        return f"{across} × {along}"
    return in_marks(units.format_length(length_nm, system, feet=True))


def learnt(entries: int, projects: int) -> str:
    """What the paces rest on, in words."""
    if not entries:
        return "the starting book alone; no finished job is logged yet"
    return f"{entries:,} entries of {projects:,} finished {'job' if projects == 1 else 'jobs'}"
