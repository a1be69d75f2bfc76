"""What a client is asked for: everything adds up, whoever checks it."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.errors import BadInput
from journal.quote.terms import (
    Due,
    Item,
    Stage,
    TaxRounding,
    Terms,
    add_up,
    margin,
    markup,
    split,
    tax_by_line,
    tax_on_change,
)

CENTS = st.integers(0, 10**9)
RATES = st.integers(0, 999_999).map(lambda ppm: Fraction(ppm, 1_000_000))


@st.composite
def terms(draw):
    items = tuple(Item(f"line {n}", draw(CENTS)) for n in range(draw(st.integers(1, 6))))
    listed = sum(item.cents for item in items)
    shares = draw(st.lists(st.integers(0, 10_000), min_size=1, max_size=4).filter(lambda bp: sum(bp) <= 10_000))
    first, *rest = (Fraction(bp, 10_000) for bp in shares)
    return Terms(
        items,
        draw(st.integers(0, listed)),
        draw(RATES),
        draw(st.sampled_from(TaxRounding)),
        first,
        tuple(Stage(f"stage {n}", share) for n, share in enumerate(rest)),
    )


@given(terms())
def test_lines_add_up_to_the_sums_and_dues_to_the_total(asked):
    sums = add_up(asked)
    assert sums.list_cents == sum(item.cents for item in asked.items)
    assert sum(line.discount_cents for line in sums.lines) == sums.discount_cents == asked.discount_cents
    assert sum(line.net_cents for line in sums.lines) == sums.net_cents == sums.list_cents - sums.discount_cents
    assert sum(line.tax_cents for line in sums.lines) == sums.tax_cents
    assert sums.total_cents == sums.net_cents + sums.tax_cents
    assert sum(due.cents for due in sums.dues) == sums.total_cents
    assert all(0 <= line.discount_cents <= line.cents for line in sums.lines)
    assert all(line.net_cents >= 0 and line.tax_cents >= 0 for line in sums.lines)
    assert all(due.cents > 0 for due in sums.dues)


@given(terms())
def test_every_due_is_within_a_cent_of_its_share(asked):
    sums = add_up(asked)
    shares = {"Deposit": asked.deposit} | {stage.when: stage.share for stage in asked.stages}
    found = {due.when: due.cents for due in sums.dues}
    for when, share in shares.items():
        assert abs(found.get(when, 0) - sums.total_cents * share) < 1


@given(terms())
def test_tax_is_off_by_half_a_cent_at_most_for_each_time_it_is_rounded(asked):
    sums = add_up(asked)
    times = len(asked.items) if asked.rounding is TaxRounding.LINE else 1
    assert abs(sums.tax_cents - sums.net_cents * asked.tax_rate) <= Fraction(times, 2)


@given(CENTS, st.lists(st.integers(-(10**6), 10**6), max_size=6), RATES)
def test_by_invoice_extras_bear_the_tax_on_the_whole(agreed, changes, rate):
    tax = tax_by_line([agreed], rate, TaxRounding.INVOICE)[0]
    net = agreed
    for change in changes:
        tax += tax_on_change(net, change, rate, TaxRounding.INVOICE)
        net += change
    assert tax == (tax_by_line([net], rate, TaxRounding.LINE)[0])


@given(CENTS, st.integers(0, 10**6), RATES, st.sampled_from(TaxRounding))
def test_what_is_added_and_taken_away_again_leaves_no_tax(agreed, change, rate, rounding):
    added = tax_on_change(agreed, change, rate, rounding)
    assert added + tax_on_change(agreed + change, -change, rate, rounding) == 0


def test_a_quote_worked_out_by_hand():
    # 5,000.00 and 325.00, 125.00 off; 8.25%; half first, a quarter on the way. By hand:
    # 5,200.00 × 8.25% = 429.00; 5,629.00 in 2,814.50 + 1,407.25 + 1,407.25.
    asked = Terms(
        (Item("Bench", 500_000), Item("Delivery", 32_500)),
        12_500,
        Fraction("0.0825"),
        deposit=Fraction(1, 2),
        stages=(Stage("top glued up", Fraction(1, 4)),),
    )
    sums = add_up(asked)
    assert (sums.net_cents, sums.tax_cents, sums.total_cents) == (520_000, 42_900, 562_900)
    assert sums.dues == (Due("Deposit", 281_450), Due("top glued up", 140_725), Due("Balance", 140_725))
    assert [line.discount_cents for line in sums.lines] == [11_737, 763]  # 11,737.09 and 762.91 exactly


def test_a_price_without_cents_is_shared_without_them():
    sums = add_up(Terms((Item("Bench", 1001),), deposit=Fraction(1, 2)))
    assert [due.cents for due in sums.dues] == [501, 500]


def test_all_first_or_all_at_the_end_is_one_payment():
    assert [due.when for due in add_up(Terms((Item("Bench", 100),))).dues] == ["Balance"]
    assert [due.when for due in add_up(Terms((Item("Bench", 100),), deposit=Fraction(1))).dues] == ["Deposit"]
    assert add_up(Terms((Item("A favour", 100),), discount_cents=100)).dues == ()


def test_margin_and_markup_are_told_apart():
    # Common practice of the trade: 25% on the cost is 20% of the price.
    assert margin(12_500, 10_000) == Fraction(1, 5)
    assert markup(12_500, 10_000) == Fraction(1, 4)
    assert margin(0, 10_000) is None
    assert markup(10_000, 0) is None


@given(st.integers(0, 10**9), st.integers(0, 10**9), st.integers(0, 10**9))
def test_a_split_price_adds_up_and_has_no_empty_line(price, goods, work):
    items = split(price, (("Materials", goods), ("Work", work)))
    assert sum(item.cents for item in items) == price
    assert len(items) == max((goods > 0) + (work > 0), 1)


@pytest.mark.parametrize(
    ("field", "given"),
    [
        ("lines", {"items": ()}),
        ("lines", {"items": (Item("x", 1),) * 201}),
        ("discount", {"discount_cents": 101}),
        ("discount", {"discount_cents": -1}),
        ("tax", {"tax_rate": Fraction(1)}),
        ("tax", {"tax_rate": Fraction(-1, 100)}),
        ("deposit", {"deposit": Fraction(3, 2)}),
        ("deposit", {"deposit": Fraction(3, 4), "stages": (Stage("half way", Fraction(1, 2)),)}),
    ],
)
def test_what_cannot_be_asked_is_refused(field, given):
    with pytest.raises(BadInput) as refused:
        Terms(**{"items": (Item("Bench", 100),)} | given)
    assert refused.value.field == field


def test_a_line_needs_words_and_a_price_that_is_none_below_nothing():
    for text, cents in ((" ", 1), ("Bench", -1), ("Bench", 10**13)):
        with pytest.raises(BadInput):
            Item(text, cents)
    for when, share in ((" ", Fraction(1, 2)), ("later", Fraction(2))):
        with pytest.raises(BadInput):
            Stage(when, share)
