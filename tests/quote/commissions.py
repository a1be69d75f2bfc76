"""Prices, rates and a shop without logs, which the quote tests share."""

from datetime import date
from types import MappingProxyType

from journal import reference, units
from journal.build.stock import StockBook
from journal.pace.model import BookPace, fit
from journal.quote.costing import Rates, Supplies, Supply
from journal.quote.estimate import estimate
from journal.quote.risk import Uncertainty
from journal.quote.takeoff import take_off
from journal.quote.throws import throw
from tests.build.benches import BOOK, RULES, bench

TODAY = date(2026, 3, 2)
PACES = MappingProxyType(
    {
        code: BookPace(code, entry.stage, entry.setup_minutes, entry.minutes_per_unit, entry.name, entry.unit)
        for code, entry in reference.operations().items()
    }
)
NO_LOGS = fit((), PACES, today=TODAY)
SUPPLIES = Supplies(
    glue=Supply("wood glue, gallon", 2600, 3785.0, date(2026, 2, 1)),
    finish=Supply("oil, quart", 3200, 946.0),
    hardware=MappingProxyType({"vise": Supply("vise", 12_900, on=date(2026, 1, 5)), "bolt": Supply("bolt", 350)}),
)
RATES = Rates(
    wage_cents_per_hour=3500,
    overhead_cents_per_hour=1500,
    machine_cents_per_hour=MappingProxyType(
        {kind: one.cost_cents_per_hour for kind, one in reference.machines().items()}
    ),
    consumables_share=0.03,
    margin=0.15,
    confidence=0.8,
    currency=units.currency("USD"),
    rounding_cents=500,
)
UNCERTAINTY = Uncertainty(price=0.08, yield_=0.10, glue=0.20, finish=0.25, unplanned_mean=0.05, unplanned_sd=0.05)
CERTAIN = Uncertainty(price=0, yield_=0, glue=0, finish=0, unplanned_mean=0, unplanned_sd=0)


def takeoff(parts=None, book: StockBook = BOOK, rules=RULES, benches=1):
    return take_off(parts or bench(), book, rules, benches=benches)


BENCH = takeoff()


def make(
    taken=BENCH, *, supplies=SUPPLIES, rates=RATES, uncertainty=UNCERTAINTY, calibration=NO_LOGS, seed=7, draws=2000
):
    return estimate(taken, supplies, rates, uncertainty, throw(calibration, seed=seed, draws=draws))
