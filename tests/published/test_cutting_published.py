"""Cutting plans and bounds against published optima; the table's first line names its sources."""

import csv
from fractions import Fraction
from itertools import groupby
from math import ceil
from pathlib import Path

import pytest
from journal import cutting
from journal.cutting.problem import Blank, BoardProblem, SawRules, Search, StockLength
from journal.units import NM_PER_MM, inches

DATA = Path(__file__).parent / "data" / "cutting_one_dimension.csv"
NO_WASTE = SawRules(kerf_crosscut=0, kerf_rip=0, end_trim=0, segment_extra=0, edge_allowance=0)


def instances():
    lines = [line for line in DATA.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    return [list(rows) for _, rows in groupby(csv.DictReader(lines), key=lambda row: row["instance"])]


def name(rows):
    return rows[0]["instance"]


def halves(text):
    return int(2 * Fraction(text))  # one table has half units


def by_crosscuts(rows):
    """The widths as crosscuts of a board one strip wide; a roll costs one cent."""
    stock = StockLength("roll", "paper", 1, 1, halves(rows[0]["stock_width"]), price_cents=1)
    blanks = [Blank(row["item_width"], None, 1, 1, halves(row["item_width"]), int(row["demand"])) for row in rows]
    return BoardProblem((stock,), tuple(blanks), NO_WASTE)


def by_rips(rows):
    """The same widths as strips of a board one segment long."""
    stock = StockLength("roll", "paper", 1, halves(rows[0]["stock_width"]), 1, price_cents=1)
    blanks = [Blank(row["item_width"], None, 1, halves(row["item_width"]), 1, int(row["demand"])) for row in rows]
    return BoardProblem((stock,), tuple(blanks), NO_WASTE)


@pytest.mark.parametrize("way", [by_crosscuts, by_rips])
@pytest.mark.parametrize("rows", instances(), ids=name)
def test_the_published_optimum_lies_between_bound_and_plan(rows, way):
    result = cutting.plan(way(rows))
    optimum = int(rows[0]["optimum"])
    assert result.bound_cents <= ceil(Fraction(rows[0]["lp"])) <= optimum <= result.cost_cents
    assert result.gap == (result.cost_cents - result.bound_cents) / result.cost_cents
    assert (result.status == "optimal") == (result.gap == 0)


@pytest.mark.parametrize("rows", instances(), ids=name)
def test_the_bound_is_no_weaker_than_the_material_alone(rows):
    material = sum(Fraction(row["item_width"]) * int(row["demand"]) for row in rows) / Fraction(rows[0]["stock_width"])
    assert cutting.plan(by_crosscuts(rows)).bound_cents >= ceil(material)


@pytest.mark.parametrize("way", [by_crosscuts, by_rips])
@pytest.mark.parametrize("rows", instances(), ids=name)
def test_the_search_reaches_the_published_optimum_and_proves_it(rows, way):
    result = cutting.plan(way(rows), Search(seconds=20))
    assert (result.cost_cents, result.status) == (int(rows[0]["optimum"]), "optimal")


def test_the_roll_example_total_is_the_published_one():
    # Same source: 407,160 mm in all, at least 72.7 rolls.
    rows = next(rows for rows in instances() if name(rows) == "rolls5600")
    total = sum(int(row["item_width"]) * int(row["demand"]) for row in rows)
    assert total == 407_160
    assert round(total / 5600, 1) == 72.7


@pytest.mark.parametrize(("length", "boards"), [("31 7/8", 1), ("32", 2)])
def test_kerf_rule(length, boards):
    # n pieces with kerf k fit L when Σ + (n − 1) k ≤ L (exact): 3 × 31⅞ + 2 × ⅛ = 95⅞ in fit 96 in, 3 × 32 + ¼ do not.
    kerf = inches("1/8")
    job = BoardProblem(
        (StockLength("eight", "fir", inches(1), inches(2), inches(96), price_cents=100),),
        (Blank("piece", None, inches(1), inches(2), inches(length), 3),),
        SawRules(kerf_crosscut=kerf, kerf_rip=kerf, end_trim=0, segment_extra=0, edge_allowance=0),
    )
    assert len(cutting.plan(job).plan.boards) == boards


def test_rolls_in_nanometres_give_the_same_plan_cost_as_in_their_own_unit():
    # The app's own unit against the unit of the published table.
    rows = next(rows for rows in instances() if name(rows) == "rolls5600")
    plain = by_crosscuts(rows)
    scaled = BoardProblem(
        tuple(StockLength("roll", "paper", 1, 1, one.length * NM_PER_MM // 2, price_cents=1) for one in plain.stock),
        tuple(Blank(one.id, None, 1, 1, one.length * NM_PER_MM // 2, one.quantity) for one in plain.blanks),
        NO_WASTE,
    )
    assert cutting.plan(scaled).cost_cents == cutting.plan(plain).cost_cents
