"""The lines of what a commission costs, all means, and the two that make a price of their sum."""

from __future__ import annotations

from typing import TYPE_CHECKING

from journal import reference, units
from journal.quote.costing import total
from journal.quote.risk import markup_of
from journal.quote.wages import STARTING_VALUE
from journal.working import Basis, Line, counted, reads_right

if TYPE_CHECKING:
    from collections.abc import Sequence

    from journal.quote.costing import Materials, Rates
    from journal.quote.forecast import OperationForecast
    from journal.quote.risk import Uncertainty


def cost_lines(
    bought: Materials,
    operations: Sequence[OperationForecast],
    planned_minutes: float,
    rates: Rates,
    uncertainty: Uncertainty,
) -> tuple[Line, ...]:
    """Materials, wage, overhead and machines, in cents; planned_minutes are of one person."""
    planned = planned_minutes / 60
    hours = planned * (1 + uncertainty.unplanned_mean)
    first, more, taken = reads_right(planned, uncertainty.unplanned_mean, hours, lambda a, share: a * (1 + share))
    shown = f"{first} h planned × (1 + {more} nobody planned) = {taken} h"
    return (
        total("Materials", bought.lines),
        Line(
            "Wage",
            units.round_half_up(hours * rates.wage_cents_per_hour),
            "cents",
            f"{shown} × {rates.money(rates.wage_cents_per_hour)} an hour",
            Basis.SETTING if rates.wage_said else Basis.BOOK,
            f"{rates.wage_source}; hours from the paces",
        ),
        Line(
            "Overhead",
            units.round_half_up(hours * rates.overhead_cents_per_hour),
            "cents",
            f"{taken} h × {rates.money(rates.overhead_cents_per_hour)} an hour",
            Basis.SETTING if rates.overhead_said else Basis.BOOK,
            "setting: overhead an hour" if rates.overhead_said else STARTING_VALUE,
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
            f"{counted(round(minutes / 60, 1), 'running hour')} × {rates.money(rate)}",
            Basis.SETTING,
            "setting: machine, an hour; running share from the starting book",
        )
        for machine, minutes in running.items()
        if (rate := rates.machine_cents_per_hour.get(machine, 0))
    ]


def price_lines(
    expected: int, contingency: int, price: int, rates: Rates, uncertainty: Uncertainty
) -> tuple[Line, ...]:
    """Contingency and margin, in cents: what lifts the sum of the cost lines to the price."""
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
