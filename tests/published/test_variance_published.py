"""Standard-cost variances and earned value against printed examples.

Sources: exercises of managerial-accounting texts with printed answers, read in question-and-answer pages that quote them
(qammunity 7172416 and 7250791, transtutors 1384640, quesba 487982, a cost-accounting quiz); E6 from memory of an open
textbook (Managerial Accounting), verify. Earned value: forecasting poster at wikislate.com (CPI, SPI, EAC and TCPI printed,
planned value inferred from its SPI); CPI 0.857 and TCPI 1.077 printed at ceboardexamgenerator.com, its budget inferred.
"""

from fractions import Fraction

import pytest
from journal.quote.earned import Earned
from journal.quote.review import Cause, Side, Used, bridge
from journal.quote.variance import price_variance, quantity_variance

# example: standard quantity, standard price, bought, used, actual price -> printed price and quantity variance, + is over
EXAMPLES = {
    "E1 material lb": (1140, "3.1", 2200, 2200, "3.3", 440, 3286),
    "E1 labour h": (760, "10", 770, 770, "9.9", -77, 100),
    "E2 material lb": (110_000, "3.6", 125_000, 108_000, "3.8", 25_000, -7_200),
    "E2 labour h": (27_500, "12", 28_000, 28_000, "12.3", 8_400, 6_000),
    "E3 labour h": (15_000, "8", 14_800, 14_800, "8.2", 2_960, -1_600),
    "E4 material lb": (48_000, "2.5", 49_000, 49_000, "127500/49000", 5_000, 2_500),
    "E4 labour h": (72_000, "3", 70_000, 70_000, "214000/70000", 4_000, -6_000),
    "E5 material oz": (6_656_000, "0.046", 6_420_000, 6_420_000, "0.047", 6_420, -10_856),
    "E6 material lb": (420_000, "1", 440_000, 440_000, "1.2", 88_000, 20_000),
    "E6 labour h": (21_000, "13", 18_900, 18_900, "15", 37_800, -27_300),
}


def exact(text):
    over, _, under = text.partition("/")
    return Fraction(over) / Fraction(under or 1)


@pytest.mark.parametrize("name", EXAMPLES)
def test_printed_variances(name):
    allowed, standard, bought, used, price, printed_price, printed_quantity = EXAMPLES[name]
    assert price_variance(exact(standard), exact(price), bought) == printed_price
    assert quantity_variance(allowed, used, exact(standard)) == printed_quantity


def test_a_rate_variance_without_a_standard_quantity():
    """E5, labour: 2,000 h paid 12.50 against 12.00, printed 1,000 unfavourable."""
    assert price_variance(12, exact("12.5"), 2_000) == 1_000


def test_price_and_quantity_are_all_of_it_only_where_what_was_bought_was_used():
    for name, (allowed, standard, bought, used, price, *_) in EXAMPLES.items():
        both = price_variance(exact(standard), exact(price), bought) + quantity_variance(allowed, used, exact(standard))
        whole = used * exact(price) - allowed * exact(standard)
        assert (both == whole) is (bought == used), name


def test_the_bridge_reproduces_a_printed_exercise_line_by_line():
    """E1: 190 units, allowed 1,140 lb at 3.10 and 760 h at 10.00; 2,200 lb cost 7,260, 770 h cost 7,623.

    Printed: material price 440 U, quantity 3,286 U, together 3,726 U; labour rate 77 F, efficiency 100 U, together 23 U.
    """
    material = Used("lb", quoted_cents=353_400, at_quoted_prices_cents=2_200 * 310, cents=726_000)
    found = bridge(Side(0, 760 * 60.0, 760_000, 0, 0), Side(0, 770 * 60.0, 762_300, 0, 0), [material])
    said = {cause: found.of(cause) / 100 for cause in (Cause.PRICE, Cause.QUANTITY, Cause.RATE, Cause.HOURS)}
    assert said == {Cause.PRICE: -440, Cause.QUANTITY: -3286, Cause.RATE: 77, Cause.HOURS: -100}
    assert found.made_cents - found.expected_cents == -(372_600 + 2_300)


def test_printed_earned_value():
    """Printed: CPI 0.89, SPI 0.80, EAC 112.5, ETC 67.5, VAC −12.5, EAC with both indices about 129, TCPI 1.09."""
    found = Earned(whole=100, done=40, spent=45, planned=50)
    assert round(found.cost_index, 2) == 0.89
    assert round(found.day_index, 2) == 0.80
    assert found.at_this_rate == pytest.approx(112.5)
    assert found.to_come == pytest.approx(67.5)
    assert found.left_over == pytest.approx(-12.5)
    assert found.late_and_dear == pytest.approx(129, abs=0.5)
    assert round(found.needed_index, 2) == 1.09


def test_printed_indices_of_a_second_example():
    found = Earned(whole=10_000_000, done=3_000_000, spent=3_500_000)
    assert round(found.cost_index, 3) == 0.857
    assert round(found.needed_index, 3) == 1.077
    assert round(found.at_this_rate) == 11_666_667


def test_figures_of_an_exam_question():
    """ceboardexamgenerator.com, inputs read: budget 5,000,000, earned 1,500,000, spent 1,800,000; results recomputed."""
    found = Earned(whole=5_000_000, done=1_500_000, spent=1_800_000)
    assert round(found.cost_index, 4) == 0.8333
    assert found.at_this_rate == pytest.approx(6_000_000)
    assert found.as_planned_from_here == 5_300_000
    assert found.left_over == pytest.approx(-1_000_000)
    assert round(found.needed_index, 4) == 1.0938
