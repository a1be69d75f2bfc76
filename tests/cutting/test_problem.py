import dataclasses

import pytest
from journal.cutting.problem import LARGEST, BoardProblem, SawRules
from journal.errors import BadInput
from tests.cutting.problems import NO_WASTE, blank, problem, saw, stock


@pytest.mark.parametrize(
    ("field", "value", "named"),
    [
        ("length", 0, "length of stock 2x8-8"),
        ("width", -1, "width of stock 2x8-8"),
        ("thickness", 1.5, "thickness of stock 2x8-8"),
        ("length", LARGEST + 1, "length of stock 2x8-8"),
        ("price_cents", -1, "price of stock 2x8-8"),
        ("price_cents", True, "price of stock 2x8-8"),
        ("available", -1, "number available of stock 2x8-8"),
        ("id", " ", "stock id"),
    ],
)
def test_stock_that_cannot_be_is_refused_by_name(field, value, named):
    with pytest.raises(BadInput) as refused:
        dataclasses.replace(stock(), **{field: value})
    assert refused.value.field == named


@pytest.mark.parametrize(
    ("field", "value", "named"),
    [
        ("quantity", 0, "quantity of blank strip"),
        ("width", 0, "width of blank strip"),
        ("length", 2.0, "length of blank strip"),
        ("families", frozenset(), "families of blank strip"),
        ("id", "", "blank id"),
    ],
)
def test_a_blank_that_cannot_be_is_refused_by_name(field, value, named):
    with pytest.raises(BadInput) as refused:
        dataclasses.replace(blank(), **{field: value})
    assert refused.value.field == named


def test_a_negative_kerf_is_refused():
    with pytest.raises(BadInput) as refused:
        SawRules(-1, 0, 0, 0, 0)
    assert refused.value.field == "kerf crosscut"


@pytest.mark.parametrize(
    ("stocks", "blanks", "named"),
    [
        ([], [blank()], "stock"),
        ([stock()], [], "blanks"),
        ([stock(), stock()], [blank()], "stock id"),
        ([stock()], [blank(), blank()], "blank id"),
    ],
)
def test_an_empty_list_or_a_name_given_twice_is_refused(stocks, blanks, named):
    with pytest.raises(BadInput) as refused:
        BoardProblem(tuple(stocks), tuple(blanks), NO_WASTE)
    assert refused.value.field == named


def test_a_blank_fits_up_to_its_room_and_no_further():
    rules = saw(trim="1/2", extra="3", edge="1/4")
    just = problem([stock()], [blank(length="92", width="7")], rules)
    assert just.fits(just.blanks[0], just.stock[0])
    for longer in (blank(length="92 1/64"), blank(width="7 1/64"), blank(thickness="1 33/64")):
        assert not just.fits(longer, just.stock[0])


def test_a_blank_of_any_family_fits_every_family_and_others_only_their_own():
    mixed = problem([stock(family="fir")], [blank()])
    assert mixed.fits(blank(families=None), stock(family="pine"))
    assert not mixed.fits(blank(families=frozenset({"fir"})), stock(family="pine"))
