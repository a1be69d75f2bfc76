"""The estimate: lines that add up to the price, the same for the same seed, honest about what it rests on."""

import math
import re
from dataclasses import replace
from datetime import timedelta

import pytest
from journal import reference, units
from journal.build.parts import Feature
from journal.pace.model import Row, fit
from journal.quote.costing import Supplies
from journal.quote.estimate import chances
from journal.quote.risk import Range
from journal.working import Basis
from tests.build.benches import part
from tests.quote.commissions import BENCH, CERTAIN, PACES, RATES, SUPPLIES, TODAY, make, takeoff

MADE = make()


def by_name(made):
    return {line.name: line for line in made.lines}


def logged(ratio, projects=6):
    """A shop that took so many times the book at every stage of several projects."""
    rows = []
    for project in range(projects):
        for code, entry in PACES.items():
            baseline = 120.0
            rows.append(
                Row(
                    project=f"P{project}",
                    on=TODAY - timedelta(days=30 * (projects - project)),
                    stage=entry.stage,
                    shares=((code, 1.0),),
                    minutes=baseline * ratio,
                    baseline_minutes=baseline,
                )
            )
    return fit(tuple(rows), PACES, today=TODAY)


@pytest.mark.parametrize("rounding", [1, 100, 500])
@pytest.mark.parametrize("confidence", [0.5, 0.8, 0.99])
@pytest.mark.parametrize("currency", ["USD", "JPY"])
def test_the_cost_lines_with_contingency_and_margin_are_the_price_to_the_cent(rounding, confidence, currency):
    rates = replace(RATES, rounding_cents=rounding, confidence=confidence, currency=units.currency(currency))
    made = make(rates=rates)
    assert sum(line.value for line in made.costs) == made.price_cents
    assert made.expected_cents + made.contingency_cents + made.margin_cents == made.price_cents
    assert all(isinstance(line.value, int) for root in made.costs for line in root.walk())
    assert made.price_cents % rounding == 0
    assert [line.name for line in made.costs] == [
        "Materials", "Wage", "Overhead", "Machines", "Contingency", "Margin"
    ]  # fmt: skip


def test_parts_of_a_line_in_its_unit_sum_to_it():
    compared = 0
    for line in MADE.lines:
        if line.parts and all(part.unit == line.unit for part in line.parts):
            compared += 1
            assert sum(part.value for part in line.parts) == pytest.approx(line.value, abs=0.011)
    assert compared >= 12


def test_every_line_has_a_working_and_a_place_its_numbers_come_from():
    for line in MADE.lines:
        assert line.working.strip()
        assert line.basis is Basis.WORKED or line.source.strip()


def test_workings_count_in_plain_words_and_leave_out_what_comes_to_nothing():
    workings = [line.working for line in MADE.lines]
    assert sum("min by the book" in working for working in workings) > 10
    for working in workings:
        assert not re.search(r"\b0 × | × 0 min", working), working
        assert not re.search(r"(?<![\d.,])\d+\.0 (?!h\b)[a-z]", working), working
        assert not re.search(r"(?<![\d.,])[2-9] (board|cut|joint|hole|blank|clamp|glue-up|end|pass|day)\b", working), (
            working
        )


def test_the_price_by_hand_from_its_parts():
    covered = MADE.cost.at(0.8)
    assert MADE.price_cents == -(-covered / 0.85 // 500) * 500
    assert MADE.contingency_cents == units.round_half_up(covered) - MADE.expected_cents
    assert MADE.margin_cents >= 0.15 * MADE.price_cents - 1


def test_wage_overhead_and_machines_by_hand():
    lines = by_name(MADE)
    hours = sum(operation.mean_minutes for operation in MADE.operations) / 60 * 1.05
    assert lines["Wage"].value == round(hours * 3500)
    assert lines["Overhead"].value == round(hours * 1500)
    book = reference.operations()
    planer = sum(
        operation.mean_minutes * book[operation.code].machine_share
        for operation in MADE.operations
        if book[operation.code].machine == "thickness planer"
    )
    assert lines["thickness planer"].value == round(
        planer / 60 * reference.machines()["thickness planer"].cost_cents_per_hour
    )


def test_lines_are_the_means_of_the_draws():
    assert MADE.cost.mean == pytest.approx(MADE.expected_cents, rel=0.005)
    wage = by_name(MADE)["Wage"].value
    assert MADE.outlay.mean == pytest.approx(MADE.expected_cents - wage, rel=0.005)
    assert MADE.hours.mean == pytest.approx(by_name(MADE)["Hours"].value / 60, rel=0.005)


def test_work_nobody_planned_is_a_line_of_its_own():
    lines = by_name(MADE)
    planned = sum(operation.mean_minutes for operation in MADE.operations)
    assert lines["Work nobody planned"].value == pytest.approx(0.05 * planned, abs=0.01)
    assert lines["Hours"].value == pytest.approx(1.05 * planned, abs=0.2)


def test_hours_show_the_range_they_were_drawn_with():
    spread, drawn = by_name(MADE)["Hours"].spread, Range.of(MADE.hours)
    assert (spread.p10, spread.p50, spread.p90) == pytest.approx((drawn.p10 * 60, drawn.p50 * 60, drawn.p90 * 60))
    assert spread.p10 < spread.p50 < spread.p90


def test_the_same_seed_is_the_same_estimate_and_another_is_not():
    assert make(seed=7) == MADE
    assert make(seed=8).price_cents != MADE.price_cents
    assert (MADE.seed, MADE.draws) == (7, 2000)


def test_two_options_are_compared_on_the_same_luck():
    # Dearer finish costs more in every quantile, because nothing was drawn anew.
    cheaper = make(takeoff(), supplies=SUPPLIES)
    dearer = make(takeoff(), supplies=replace(SUPPLIES, finish=replace(SUPPLIES.finish, price_cents=6400)))
    assert all(a < b for a, b in zip(cheaper.cost.quantiles, dearer.cost.quantiles, strict=True))


def test_every_task_is_forecast_with_its_own_quantity():
    assert [(o.code, o.quantity, o.setups) for o in MADE.operations] == [
        (task.code, task.quantity, task.setups) for task in BENCH.tasks
    ]
    for operation, task in zip(MADE.operations, BENCH.tasks, strict=True):
        assert operation.book_minutes == pytest.approx(task.baseline_minutes)
        assert operation.minutes.p10 < operation.minutes.p50 < operation.minutes.p90
    assert sum(operation.share for operation in MADE.operations) == pytest.approx(1)


def test_without_logs_the_starting_book_is_what_it_says_it_rests_on():
    lines = by_name(MADE)
    sanding = lines["Sand"]
    assert sanding.basis is Basis.BOOK
    assert sanding.source.startswith("starting book: book ")
    assert sanding.source.endswith("no log yet")
    assert all(operation.logs == operation.stage_logs == 0 for operation in MADE.operations)


def test_with_logs_it_says_so_is_surer_and_follows_them():
    slow, quick = make(calibration=logged(1.5)), make(calibration=logged(0.8))
    assert by_name(slow)["Sand"].basis is Basis.LOGS
    assert "; 6 logs, newest " in by_name(slow)["Sand"].source
    planned = sum(task.baseline_minutes for task in BENCH.tasks) / 60 * 1.05
    assert slow.hours.at(0.5) == pytest.approx(1.5 * planned, rel=0.1)
    assert quick.hours.at(0.5) == pytest.approx(0.8 * planned, rel=0.1)

    def width(made):
        return made.hours.at(0.9) / made.hours.at(0.1)

    assert width(slow) < width(MADE) / 1.5
    assert slow.price_cents > quick.price_cents


def test_a_missing_price_is_named_and_its_line_says_that_it_is_left_out():
    made = make(supplies=Supplies(None, SUPPLIES.finish, SUPPLIES.hardware))
    assert [missing.split(":")[0] for missing in made.missing] == ["glue"]
    assert made.expected_cents < MADE.expected_cents
    (line,) = [line for line in made.lines if line.name == "Glue" and line.unit == "cents"]
    assert "left out" in line.working


def test_certain_materials_and_no_unplanned_work_leave_only_the_paces_to_chance():
    made = make(uncertainty=CERTAIN)
    planned = sum(operation.mean_minutes for operation in made.operations) / 60
    assert made.hours.mean == pytest.approx(planned)
    assert made.cost.mean == pytest.approx(made.expected_cents, abs=20)


def test_a_currency_without_cents_is_whole_units_in_every_working():
    made = make(rates=replace(RATES, currency=units.currency("JPY"), rounding_cents=1))
    assert "¥" in by_name(made)["Wage"].working
    assert "¥3,500 an hour" in by_name(made)["Wage"].working
    assert "$" not in "".join(line.working for line in made.lines)


def test_higher_confidence_never_lowers_the_price():
    prices = [make(rates=replace(RATES, confidence=sure / 100)).price_cents for sure in range(50, 100, 7)]
    assert prices == sorted(prices)
    assert prices[0] < prices[-1]


def test_a_higher_margin_raises_the_price_and_not_the_cost():
    low, high = make(rates=replace(RATES, margin=0.0)), make(rates=replace(RATES, margin=0.4))
    assert low.cost == high.cost
    assert low.price_cents < high.price_cents


def test_more_of_anything_never_costs_less():
    expected = MADE.expected_cents
    assert make(rates=replace(RATES, wage_cents_per_hour=3600)).expected_cents > expected
    assert make(rates=replace(RATES, overhead_cents_per_hour=1600)).expected_cents > expected
    assert make(takeoff(benches=2)).expected_cents > expected
    assert make(takeoff(benches=2)).expected_cents < 2 * expected  # set-ups, the trip and the drawings are shared


@pytest.mark.parametrize("cents", [1, 100_000, 300_000, 500_000, 1_000_000])
def test_a_higher_price_never_raises_the_chance_of_loss(cents):
    one, more = chances(MADE, cents), chances(MADE, cents + 20_000)
    assert more.below_wage <= one.below_wage
    assert more.out_of_pocket <= one.out_of_pocket
    assert more.earned_cents_per_hour > one.earned_cents_per_hour
    assert more.margin > one.margin


def test_chances_at_a_price_by_hand():
    at = chances(MADE, MADE.price_cents)
    assert at.below_wage < 0.2  # the price covers the cost eight times in ten, and the margin stands on top
    assert at.margin == pytest.approx((MADE.price_cents - MADE.expected_cents) / MADE.price_cents)
    assert at.markup == pytest.approx((MADE.price_cents - MADE.expected_cents) / MADE.expected_cents)
    by_hand = (MADE.price_cents - MADE.outlay.at(0.5)) / MADE.hours.at(0.5)
    assert at.earned_cents_per_hour == round(by_hand)
    assert chances(MADE, round(MADE.cost.at(0.8))).below_wage == pytest.approx(0.2, abs=1e-3)


def test_out_of_pocket_counts_everything_but_the_wage():
    assert chances(MADE, round(MADE.outlay.at(0.8))).out_of_pocket == pytest.approx(0.2, abs=1e-3)
    assert chances(MADE, round(MADE.outlay.at(0.8))).below_wage > 0.85


UNPAID = replace(
    RATES, wage_cents_per_hour=0, overhead_cents_per_hour=0, machine_cents_per_hour={}, consumables_share=0.0
)


@pytest.mark.parametrize(
    ("name", "line"),
    [
        ("price", "Boards and sheets"),
        ("yield_", "Boards and sheets"),
        ("glue", "Glue: wood glue, gallon"),
        ("finish", "Finish: oil, quart"),
    ],
)
def test_each_uncertainty_moves_the_cost_of_what_it_is_about(name, line):
    # With nobody paid and all else certain, the cost is its mean but for one line that is drawn: ln-normal of sd 0.2.
    made = make(rates=UNPAID, uncertainty=replace(CERTAIN, **{name: 0.2}), draws=5000)
    varying = by_name(made)[line].value
    rest = made.expected_cents - varying
    assert made.cost.mean == pytest.approx(made.expected_cents)
    assert made.cost.at(0.9) - rest == pytest.approx(varying * math.exp(1.2816 * 0.2 - 0.02), rel=0.02)
    assert made.cost != make(rates=UNPAID, uncertainty=replace(CERTAIN, **{name: 0.2}), draws=5000, seed=8).cost


def test_prices_of_hardware_move_with_those_of_boards():
    jaw = takeoff((part("jaw", features=(Feature("vise", 1),)),))
    made = make(jaw, rates=UNPAID, uncertainty=replace(CERTAIN, price=0.2), draws=5000)
    varying = by_name(made)["Boards and sheets"].value + by_name(made)["Hardware"].value
    assert by_name(made)["Hardware"].value > by_name(made)["Boards and sheets"].value > 0
    rest = made.expected_cents - varying
    assert made.cost.at(0.9) - rest == pytest.approx(varying * math.exp(1.2816 * 0.2 - 0.02), rel=0.02)


def test_nothing_asked_is_all_lost():
    free = chances(MADE, 0)
    assert (free.below_wage, free.out_of_pocket, free.margin, free.markup) == (1, 1, 0, -1)


def test_a_free_shop_with_sure_costs_charges_its_materials():
    rates = replace(RATES, wage_cents_per_hour=0, overhead_cents_per_hour=0, machine_cents_per_hour={}, margin=0.0)
    made = make(rates=replace(rates, rounding_cents=1), uncertainty=CERTAIN)
    assert made.price_cents == by_name(made)["Materials"].value
    assert made.contingency_cents == made.margin_cents == 0


def test_quantities_stand_beside_the_costs():
    lines = by_name(MADE)
    assert lines["Lumber to buy"].value == pytest.approx(sum(bill.board_feet for bill in BENCH.bills), abs=0.005)
    assert lines["Glue"].value == pytest.approx(BENCH.glue.ml, abs=0.05)
    assert lines["Finish"].value == pytest.approx(BENCH.finish_ml, abs=0.05)
    assert lines["Weight"].value == pytest.approx(BENCH.weight_kg, abs=0.005)
    blanks = {part.name: part for part in lines["Lumber to buy"].parts}
    assert "20 strips" in blanks["top"].working
    weights = lines["Weight"].parts
    assert sum(part.value for part in weights) == pytest.approx(BENCH.weight_kg, abs=0.005 * len(weights))


def test_without_a_log_the_price_says_what_not_knowing_costs():
    (caution,) = MADE.cautions
    assert "No job has been logged yet" in caution
    assert RATES.money(MADE.contingency_cents) in caution


def test_with_logs_there_is_nothing_to_warn_of():
    assert make(calibration=logged(1.2)).cautions == ()


def test_a_single_stick_can_be_priced():
    made = make(takeoff((part(),)))
    assert made.price_cents > 0
    assert made.missing == ()
