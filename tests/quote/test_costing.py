"""What a commission costs: every line by hand, and what has no price named rather than guessed."""

from dataclasses import replace
from datetime import date
from types import MappingProxyType

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal import units
from journal.build.parts import Feature
from journal.build.stock import Offer, StockBook
from journal.errors import BadInput
from journal.quote.costing import Supplies, Supply, materials, total
from journal.working import Basis, Line
from tests.build.benches import FT, RULES, bench, dimensional, part
from tests.quote.commissions import BENCH, RATES, SUPPLIES, takeoff
from tests.strategies import money

NOTHING = Supplies(None, None, MappingProxyType({}))
VISE_AND_BOLTS = takeoff(
    (part(quantity=2, features=(Feature("bolt", 3),)), part("jaw", features=(Feature("vise", 1),)))
)


def test_boards_cost_what_their_purchases_cost():
    bought = materials(BENCH, SUPPLIES, RATES)
    assert bought.boards.value == sum(bill.cents for bill in BENCH.bills)
    for line, bill in zip(bought.boards.parts, BENCH.bills, strict=True):
        assert line.value == bill.cents == sum(part.value for part in line.parts)
        assert [part.value for part in line.parts] == [p.count * p.offer.price_cents for p in bill.purchases]


def test_glue_and_finish_cost_their_share_of_a_container():
    bought = materials(BENCH, SUPPLIES, RATES)
    assert bought.glue.value == round(BENCH.glue.ml * 2600 / 3785)
    assert bought.finish.value == round(BENCH.finish_ml * 3200 / 946)


def test_hardware_by_the_piece():
    bought = materials(VISE_AND_BOLTS, SUPPLIES, RATES)
    assert {line.name: line.value for line in bought.hardware.parts} == {"bolt": 6 * 350, "vise": 12_900}
    assert bought.hardware.value == 6 * 350 + 12_900


def test_consumables_are_a_share_of_everything_bought():
    bought = materials(VISE_AND_BOLTS, SUPPLIES, RATES)
    rest = bought.boards.value + bought.glue.value + bought.finish.value + bought.hardware.value
    assert bought.consumables.value == units.round_half_up(rest * 3 / 100)
    assert materials(BENCH, SUPPLIES, replace(RATES, consumables_share=0)).consumables.value == 0


def test_what_has_no_price_is_named_and_left_out_never_taken_for_nothing():
    bought = materials(takeoff((*bench(), part("jaw", features=(Feature("vise", 2),)))), NOTHING, RATES)
    assert [missing.split(":")[0] for missing in bought.missing] == ["glue", "finish", "vise"]
    assert "2, no price" in bought.missing[-1]
    assert "left out" in bought.glue.working
    assert bought.glue.value == bought.finish.value == bought.hardware.value == 0
    assert materials(BENCH, SUPPLIES, RATES).missing == ()


def test_a_supply_by_the_piece_is_no_price_for_a_liquid():
    odd = replace(SUPPLIES, glue=Supply("wood glue", 2600))
    assert [missing.split(":")[0] for missing in materials(BENCH, odd, RATES).missing] == ["glue"]


def test_what_is_not_needed_is_not_missing():
    bare = takeoff((part(),), rules=replace(RULES, finish=replace(RULES.finish, coats=0)))
    bought = materials(bare, NOTHING, RATES)
    assert bought.missing == ()
    assert [line.name for line in bought.lines] == ["Boards and sheets", "Abrasives, blades, rags"]


def test_a_price_seen_by_the_shop_and_a_starting_price_are_told_apart():
    bought = materials(BENCH, SUPPLIES, RATES)
    assert (bought.glue.basis, bought.glue.source) == (Basis.PRICES, "price of 2026-02-01")
    assert bought.finish.basis is Basis.BOOK


def test_a_bill_stands_on_its_weakest_price():
    def basis(first, second):
        offers = (Offer(900, first, 8 * FT), Offer(1100, second, 10 * FT))
        parts = (part("short", "1", "5", 90, stock=""), part("long", "1", "5", 114, stock=""))
        taken = takeoff(parts, StockBook((dimensional("2x8", offers=offers),), "Douglas-fir"))
        (line,) = materials(taken, SUPPLIES, RATES).boards.parts
        assert len(line.parts) == 2
        return line.basis, line.source

    seen, later = date(2026, 1, 5), date(2026, 2, 5)
    assert basis(seen, later) == basis(later, seen) == (Basis.PRICES, "price of 2026-01-05")
    assert basis(seen, None)[0] is basis(None, None)[0] is Basis.BOOK


def test_every_line_says_how_it_was_worked_out():
    for root in materials(BENCH, SUPPLIES, RATES).lines:
        for line in root.walk():
            assert line.working
            assert line.unit == "cents"
            assert isinstance(line.value, int)
            assert line.basis is Basis.WORKED or line.source


@given(st.lists(money(), max_size=8))
def test_a_total_is_the_sum_of_its_parts(cents):
    parts = [Line(str(n), value, "cents", "typed", Basis.TYPED) for n, value in enumerate(cents)]
    assert total("all", parts).value == sum(cents)
    assert total("all", parts).parts == tuple(parts)
    assert total("all", []).working == "none"


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"wage_cents_per_hour": -1}, "rate"),
        ({"overhead_cents_per_hour": -1}, "rate"),
        ({"margin": 1.0}, "margin"),
        ({"margin": -0.1}, "margin"),
        ({"confidence": 0.49}, "confidence"),
        ({"confidence": 1.0}, "confidence"),
        ({"rounding_cents": 0}, "rounding"),
    ],
)
def test_rates_that_make_no_sense_are_refused(changes, field):
    with pytest.raises(BadInput) as refused:
        replace(RATES, **changes)
    assert refused.value.field == field


def test_money_is_shown_in_the_currency_of_the_shop():
    assert RATES.money(123_450) == "$1,234.50"
    assert replace(RATES, currency=units.currency("JPY")).money(1234.5) == "¥1,235"
