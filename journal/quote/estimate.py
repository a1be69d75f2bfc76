"""The estimate of a commission: what it takes, what it costs, how sure that is, and the price that follows.

Lines show means. One contingency line lifts their sum to the cost that is not passed with the chosen confidence
(percentiles do not add), and the margin stands on top: price = cost at that confidence ÷ (1 − margin).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from journal import reference, units
from journal.build.stock import Sheet
from journal.build.wood import part_density_kg_m3, weight_kg
from journal.pace.explain import sentence
from journal.quote.costing import Materials, Rates, Supplies, materials, total
from journal.quote.risk import (
    Distribution,
    Multipliers,
    Range,
    Uncertainty,
    markup_of,
    multipliers,
    price_for,
    spread_share,
)
from journal.working import Basis, Line, Spread, counted

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from journal.build.milling import Milled
    from journal.build.step_work import OwnWork
    from journal.build.steps import Task
    from journal.quote.footing import Ground
    from journal.quote.takeoff import Takeoff
    from journal.quote.throws import Throws

    Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class OperationForecast:
    """What one operation is expected to take.

    Attributes:
        code, name, stage, unit: of the operation.
        quantity, setups: from the parts.
        minutes: range of person-minutes in this project.
        mean_minutes: their mean.
        book_minutes: by the starting book.
        logs: log lines of this operation with minutes of its own; stage_logs: logged within its stage.
        share: part of the variance of the total hours that it brings.
        working: where the quantity came from.
        moved: what moved the minutes: the book, this shop, its logs.
    """

    code: str
    name: str
    stage: str
    unit: str
    quantity: float
    setups: int
    minutes: Spread
    mean_minutes: float
    book_minutes: float
    logs: int
    stage_logs: int
    share: float
    working: str
    moved: str = ""


@dataclass(frozen=True, slots=True)
class Estimate:
    """Everything a promise rests on.

    Attributes:
        takeoff: what it takes.
        operations: the work, in the order of the starting book.
        hours: how many hours it may take, work nobody planned included.
        cost: how much it may cost, wage and overhead included, in cents.
        outlay: the same without the owner's wage: what leaves the shop's pocket, in cents.
        expected_cents: sum of the cost lines, all means.
        contingency_cents: what lifts it to the chosen confidence.
        margin_cents: price less both.
        price_cents: what to ask.
        quantities, costs: the lines with their workings.
        missing: what has no price and is left out.
        draws, seed: of the random draws.
        cost_draws: the cost in each of them, for comparing options draw by draw; shape (draws,).
    """

    takeoff: Takeoff
    rates: Rates
    operations: tuple[OperationForecast, ...]
    hours: Distribution
    cost: Distribution
    outlay: Distribution
    expected_cents: int
    contingency_cents: int
    margin_cents: int
    price_cents: int
    quantities: tuple[Line, ...]
    costs: tuple[Line, ...]
    missing: tuple[str, ...]
    draws: int
    seed: int
    cost_draws: Floats = field(compare=False, repr=False)

    @property
    def cautions(self) -> tuple[str, ...]:
        """What to know before trusting the price."""
        if any(operation.logs or operation.stage_logs for operation in self.operations):
            return ()
        contingency = self.rates.money(self.contingency_cents)
        return (
            f"No job has been logged yet. The paces are the starting book’s and may be off by half either way, so {contingency} of contingency is in the price; the first jobs logged make it smaller.",
        )

    @property
    def by_doubt(self) -> tuple[OperationForecast, ...]:
        """The work, what brings most doubt about the hours first."""
        return tuple(sorted(self.operations, key=lambda operation: operation.share, reverse=True))

    @property
    def lines(self) -> tuple[Line, ...]:
        """Every line, top down."""
        return tuple(line for root in (*self.quantities, *self.costs) for line in root.walk())


@dataclass(frozen=True, slots=True)
class Chances:
    """What a typed price means.

    Attributes:
        below_wage: chance that the shop earns less than its own wage.
        out_of_pocket: chance that the price does not cover what leaves the pocket.
        earned_cents_per_hour: likely earning for an hour of anybody's work, (price − outlay) ÷ hours at their medians;
            what hired hands are paid is part of it.
        margin: (price − expected cost) ÷ price; markup: the same over the expected cost.
    """

    price_cents: int
    below_wage: float
    out_of_pocket: float
    earned_cents_per_hour: int
    margin: float
    markup: float


def estimate(takeoff: Takeoff, supplies: Supplies, rates: Rates, uncertainty: Uncertainty, throws: Throws) -> Estimate:
    """Put a price on what a commission takes. The same inputs and throws give the same estimate."""
    minutes = throws.minutes(takeoff.tasks)
    factors = multipliers(uncertainty, draws=throws.draws, seed=throws.seed)
    bought = materials(takeoff, supplies, rates)
    operations = _forecasts(takeoff.tasks, minutes, throws, rates)
    hours = (minutes.sum(axis=1) + takeoff.own_minutes) / 60 * factors.unplanned
    machine = _machine_cents(takeoff.tasks, minutes, rates)
    stuff = _material_cents(bought, factors)
    outlay = stuff + machine + hours * (rates.overhead_cents_per_hour + rates.hired_cents_per_hour)
    drawn = outlay + hours * (rates.wage_cents_per_hour - rates.hired_cents_per_hour)
    cost = Distribution.of(drawn)
    planned = sum(operation.mean_minutes for operation in operations) + takeoff.own_minutes
    costs = _cost_lines(bought, operations, planned, rates, uncertainty)
    expected = int(sum(line.value for line in costs))
    covered = cost.at(rates.confidence)
    price = max(price_for(covered, rates.margin, rates.rounding_cents), 0)
    contingency = units.round_half_up(covered) - expected
    worked = _price_lines(expected, contingency, price, rates, uncertainty)
    return Estimate(
        takeoff=takeoff,
        rates=rates,
        operations=operations,
        hours=Distribution.of(hours),
        cost=cost,
        outlay=Distribution.of(outlay),
        expected_cents=expected,
        contingency_cents=contingency,
        margin_cents=price - expected - contingency,
        price_cents=price,
        quantities=_quantity_lines(takeoff, operations, Distribution.of(hours), uncertainty, rates.shown),
        costs=(*costs, *worked),
        missing=bought.missing,
        draws=throws.draws,
        seed=throws.seed,
        cost_draws=drawn,
    )


def chances(made: Estimate, price_cents: int) -> Chances:
    """What a price means for this estimate: how likely it loses, what an hour likely earns."""
    likely = made.hours.at(0.5)
    earned = made.rates.hired_cents_per_hour + (price_cents - made.outlay.at(0.5)) / likely if likely else 0.0
    profit = price_cents - made.expected_cents
    return Chances(
        price_cents=price_cents,
        below_wage=made.cost.chance_above(price_cents),
        out_of_pocket=made.outlay.chance_above(price_cents),
        earned_cents_per_hour=units.round_half_up(earned),
        margin=profit / price_cents if price_cents else 0.0,
        markup=profit / made.expected_cents if made.expected_cents else 0.0,
    )


def _forecasts(tasks: Sequence[Task], minutes: Floats, throws: Throws, rates: Rates) -> tuple[OperationForecast, ...]:
    book = reference.operations()
    quantiles = np.quantile(minutes, (0.1, 0.5, 0.9), axis=0)
    shares = spread_share(list(minutes.T))
    found = []
    for column, task in enumerate(tasks):
        belief = throws.beliefs[task.code]
        operation = book[task.code]
        found.append(
            OperationForecast(
                code=task.code,
                name=operation.name,
                stage=operation.stage,
                unit=operation.unit,
                quantity=task.quantity,
                setups=task.setups,
                minutes=Spread(*(float(q) for q in quantiles[:, column])),
                mean_minutes=float(minutes[:, column].mean()),
                book_minutes=task.baseline_minutes,
                logs=belief.logs,
                stage_logs=belief.stage_logs,
                share=shares[column],
                working=task.working,
                moved=sentence(belief, throws.calibration.book[task.code], throws.calibration.today, shown=rates.shown),
            )
        )
    return tuple(found)


def _machine_cents(tasks: Sequence[Task], minutes: Floats, rates: Rates) -> Floats:
    book = reference.operations()
    cents_per_minute = np.array(
        [
            book[task.code].machine_share * rates.machine_cents_per_hour.get(book[task.code].machine, 0) / 60
            for task in tasks
        ]
    )
    return np.asarray(minutes @ cents_per_minute)


def _material_cents(bought: Materials, factors: Multipliers) -> Floats:
    varying = (
        bought.boards.value * factors.price * factors.yield_
        + bought.glue.value * factors.glue
        + bought.finish.value * factors.finish
        + bought.hardware.value * factors.price
    )
    return np.asarray(varying + bought.consumables.value)


def _cost_lines(
    bought: Materials,
    operations: Sequence[OperationForecast],
    planned_minutes: float,
    rates: Rates,
    uncertainty: Uncertainty,
) -> tuple[Line, ...]:
    planned = planned_minutes / 60
    hours = planned * (1 + uncertainty.unplanned_mean)
    shown = f"{planned:.1f} h planned × (1 + {uncertainty.unplanned_mean:.0%} nobody planned) = {hours:.1f} h"
    return (
        total("Materials", bought.lines),
        Line(
            "Wage",
            units.round_half_up(hours * rates.wage_cents_per_hour),
            "cents",
            f"{shown} × {rates.money(rates.wage_cents_per_hour)} an hour",
            Basis.SETTING,
            f"{rates.wage_source}; hours from the paces",
        ),
        Line(
            "Overhead",
            units.round_half_up(hours * rates.overhead_cents_per_hour),
            "cents",
            f"{hours:.1f} h × {rates.money(rates.overhead_cents_per_hour)} an hour",
            Basis.SETTING,
            "setting: overhead an hour",
        ),
        total("Machines", _machine_lines(operations, rates)),
    )


def _machine_lines(operations: Sequence[OperationForecast], rates: Rates) -> list[Line]:
    book = reference.operations()
    running: dict[str, float] = {}
    for operation in operations:
        entry = book[operation.code]
        if entry.machine:
            running[entry.machine] = running.get(entry.machine, 0.0) + operation.mean_minutes * entry.machine_share
    return [
        Line(
            machine,
            units.round_half_up(minutes / 60 * rate),
            "cents",
            f"{minutes / 60:.1f} running hours × {rates.money(rate)}",
            Basis.SETTING,
            "setting: machine, an hour; running share from the starting book",
        )
        for machine, minutes in running.items()
        if (rate := rates.machine_cents_per_hour.get(machine, 0))
    ]


def _price_lines(
    expected: int, contingency: int, price: int, rates: Rates, uncertainty: Uncertainty
) -> tuple[Line, ...]:
    covered = expected + contingency
    sure = f"{rates.confidence:.0%}"
    doubt = uncertainty.footing.doubt
    return (
        Line(
            "Contingency",
            contingency,
            "cents",
            f"cost not passed {sure} of the time, {rates.money(covered)}, less the lines’ sum, {rates.money(expected)}",
            Basis.WORKED,
            f"setting: confidence {sure}" + (f"; {doubt}" if doubt else ""),
        ),
        Line(
            "Margin",
            price - covered,
            "cents",
            f"{rates.money(covered)} ÷ (1 − {rates.margin:.0%}) − {rates.money(covered)}, rounded up to {rates.money(rates.rounding_cents)}; as a markup {markup_of(rates.margin):.1%}",
            Basis.SETTING,
            f"setting: margin {rates.margin:.0%} of the price",
        ),
    )


def _quantity_lines(
    takeoff: Takeoff,
    operations: Sequence[OperationForecast],
    hours: Distribution,
    uncertainty: Uncertainty,
    shown: units.Shown,
) -> tuple[Line, ...]:
    return (
        _lumber_line(takeoff, uncertainty.footing.rejects, shown),
        _glue_line(takeoff, uncertainty.footing.glue, shown),
        _finish_line(takeoff, uncertainty.footing.finish, shown),
        _weight_line(takeoff, shown),
        _hours_line(operations, takeoff.own, hours, uncertainty, shown),
    )


def _lumber_line(takeoff: Takeoff, ground: Ground, shown: units.Shown) -> Line:
    parts = tuple(
        Line(
            milled.part.label,
            milled.blanks,
            "blanks",
            _blank_working(milled, shown),
            Basis.SETTING,
            "settings: allowances; " + milled.stock.code,
        )
        for milled in takeoff.milled
    )
    board_feet = sum(bill.board_feet for bill in takeoff.bills)
    return Line(
        "Lumber to buy",
        round(board_feet, 2),
        "bd ft",
        "nominal size for softwood, rough for hardwood; sheets not counted",
        Basis.WORKED,
        ground.source,
        parts=parts,
    )


def _blank_working(milled: Milled, shown: units.Shown) -> str:
    size = f"{shown.thickness(milled.rough_thickness_nm)} × {shown.length(milled.blank_width_nm)} × {shown.length(milled.blank_length_nm, feet=True)}"
    strips = f"{milled.strips} strips of {shown.thickness(milled.milled_thickness_nm)} × " if milled.strips > 1 else ""
    extra = "" if isinstance(milled.stock, Sheet) else ", and what a segment is cut longer for snipe and squaring"
    return f"{strips}{counted(milled.pieces, 'piece')} → {counted(milled.blanks, 'blank')} of {size} from {milled.stock.code}{extra}"


def _glue_line(takeoff: Takeoff, ground: Ground, shown: units.Shown) -> Line:
    parts = tuple(
        Line(
            up.label,
            up.times,
            "glue-ups",
            f"{counted(up.lines, 'line')} × {shown.length(up.line_width_nm)} × {shown.length(up.length_nm, feet=True)}, {up.clamps} clamps",
            Basis.WORKED,
        )
        for up in takeoff.ups
    )
    area_nm2 = takeoff.glue.area_nm2
    working = f"{shown.area(area_nm2)} of glue line and joints × {shown.spread(takeoff.glue.ml, area_nm2)}, spread and waste together"
    return Line("Glue", round(takeoff.glue.ml, 1), "ml", working, ground.basis, ground.source, parts=parts)


def _finish_line(takeoff: Takeoff, ground: Ground, shown: units.Shown) -> Line:
    faces_nm2, ends_nm2 = takeoff.surface.face_nm2, takeoff.surface.end_nm2
    spread = shown.spread(takeoff.finish_ml, faces_nm2 + ends_nm2)
    return Line(
        "Finish",
        round(takeoff.finish_ml, 1),
        "ml",
        f"{shown.area(faces_nm2)} of faces and edges, {shown.area(ends_nm2)} of end grain, "
        f"{counted(_coats(takeoff), 'coat')}: {spread} in all, end grain and waste included",
        ground.basis,
        ground.source,
    )


def _coats(takeoff: Takeoff) -> int:
    return sum(task.setups for task in takeoff.tasks if task.code == "apply_coat")


def _weight_line(takeoff: Takeoff, shown: units.Shown) -> Line:
    parts = tuple(
        Line(
            milled.part.label,
            round(weight_kg(milled), 2),
            "kg",
            f"{milled.pieces} × {shown.volume(milled.part.volume_nm3)} × {shown.density(part_density_kg_m3(milled))}",
            Basis.PUBLISHED,
            f"shared table: {'sheet goods' if isinstance(milled.stock, Sheet) else 'species, at 12% moisture'}",
        )
        for milled in takeoff.milled
    )
    working = f"finished parts of {counted(takeoff.benches, 'bench', 'benches')}; hardware not weighed"
    return Line("Weight", round(takeoff.weight_kg, 2), "kg", working, Basis.WORKED, parts=parts)


def _hours_line(
    operations: Sequence[OperationForecast],
    own: Sequence[OwnWork],
    hours: Distribution,
    uncertainty: Uncertainty,
    shown: units.Shown,
) -> Line:
    stages = reference.stages()
    parts = []
    for code, stage in stages.items():
        by_pace = [_operation_line(operation, shown) for operation in operations if operation.stage == code]
        lines = (*by_pace, *(_own_line(work) for work in own if work.stage == code))
        if lines:
            parts.append(
                Line(
                    stage.name,
                    round(sum(line.value for line in lines), 2),
                    "min",
                    f"sum of {counted(len(by_pace), 'operation')}" + _and_own(len(lines) - len(by_pace)),
                    Basis.WORKED,
                    parts=lines,
                )
            )
    planned = sum(part.value for part in parts)
    unplanned = Line(
        "Work nobody planned",
        round(planned * uncertainty.unplanned_mean, 2),
        "min",
        f"{uncertainty.unplanned_mean:.0%} of {planned / 60:.1f} h",
        uncertainty.footing.unplanned.basis,
        uncertainty.footing.unplanned.source,
    )
    found = Range.of(hours)
    return Line(
        "Hours",
        round(planned + unplanned.value, 2),
        "min",
        f"person-minutes; eight times in ten between {found.p10:.0f} and {found.p90:.0f} hours",
        Basis.WORKED,
        spread=Spread(found.p10 * 60, found.p50 * 60, found.p90 * 60),
        parts=(*parts, unplanned),
    )


def _and_own(count: int) -> str:
    return f" and {counted(count, 'step')} of the maker’s own" if count else ""


def _own_line(work: OwnWork) -> Line:
    return Line(work.title, work.minutes, "min", "as typed in the plan; no pace is put on it", Basis.TYPED)


def _here(operation: OperationForecast) -> str:
    """What the shop's logs make of the book's minutes; without logs, why the mean lies above them all the same."""
    if operation.logs or operation.stage_logs:
        return f", × {operation.mean_minutes / operation.book_minutes:.2f} in this shop"
    return "; the mean lies above it, as a pace not logged yet may well be slower and cannot be much faster"


def _operation_line(operation: OperationForecast, shown: units.Shown) -> Line:
    book = reference.operations()[operation.code]
    here, unit = shown.units_of(operation.unit), shown.counted_in(operation.unit)
    working = (
        f"{operation.setups} × {book.setup_minutes:g} min + {operation.quantity * here:.1f} {unit} × {book.minutes_per_unit / here:.4g} min "
        f"= {operation.book_minutes:.0f} min by the book{_here(operation)}. {operation.working}"
    )
    logged = operation.logs or operation.stage_logs
    source = operation.moved if logged else f"starting book: {operation.moved}"
    return Line(
        operation.name,
        round(operation.mean_minutes, 2),
        "min",
        working,
        Basis.LOGS if logged else Basis.BOOK,
        source,
        operation.minutes,
    )
