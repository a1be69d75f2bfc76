import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal import units
from journal.errors import BadInput
from tests.strategies import typed_text

METRIC = units.System.METRIC


@pytest.mark.parametrize(
    ("text", "ml"),
    [
        ("250 ml", 250),
        ("250ml", 250),
        ("250 ML", 250),
        ("2,5 dl", 250),
        ("25 cl", 250),
        ("1 L", 1000),
        ("1 l", 1000),
        ("1,250 L", 1250),
        ("0.5 litres", 500),
        ("1 liter", 1000),
        ("8 fl oz", 8 * units.ML_PER_FLUID_OUNCE),
        ("8 fl. oz.", 8 * units.ML_PER_FLUID_OUNCE),
        ("8 fluid ounces", 8 * units.ML_PER_FLUID_OUNCE),
        ("1 pt", units.ML_PER_QUART / 2),
        ("1 qt", units.ML_PER_QUART),
        ("1 1/2 qt.", 1.5 * units.ML_PER_QUART),
        ("0.5 gal", units.ML_PER_GALLON / 2),
        ("1/2 gal", units.ML_PER_GALLON / 2),
        ("½ gallon", units.ML_PER_GALLON / 2),
        ("0 ml", 0),
    ],
)
def test_reads_a_volume_with_its_unit(text, ml):
    assert units.parse_liquid(text) == pytest.approx(ml)


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("", "nothing"),
        ("250", "with its unit"),
        ("8 oz", "may be a weight"),
        ("8 ounces", "may be a weight"),
        ("-1 L", "with its unit"),
        ("1/0 L", "divide by zero"),
        ("1,250 ml", "1250 (thousands) or 1.25"),
        ("5 kg", "with its unit"),
        ("1 qt 8 fl oz", "with its unit"),
        ("1001 L", "at most 1000 L"),
        ("nan ml", "with its unit"),
        ("1e3 ml", "with its unit"),
    ],
)
def test_refuses_a_volume_that_could_be_another(text, hint):
    with pytest.raises(BadInput, match="glue") as refusal:
        units.parse_liquid(text, "glue")
    assert hint in str(refusal.value)


@given(typed_text())
def test_any_text_gives_a_volume_or_a_refusal(text):
    try:
        liquid_ml = units.parse_liquid(text)
    except BadInput:
        return
    assert 0 <= liquid_ml <= 1_000_000


@pytest.mark.parametrize(
    ("ml", "inch", "metric"),
    [
        (0, "0 fl oz", "0 ml"),
        (5, "0.17 fl oz", "5 ml"),
        (250, "8.5 fl oz", "250 ml"),
        (1250, "1.32 qt", "1.25 L"),
        (units.ML_PER_QUART, "1 qt", "946 ml"),
        (units.ML_PER_GALLON, "1 gal", "3.79 L"),
        (units.ML_PER_GALLON * 2.5, "2.5 gal", "9.46 L"),
        (-250, "−8.5 fl oz", "−250 ml"),
    ],
)
def test_a_volume_is_shown_in_the_container_it_comes_in(ml, inch, metric):
    assert units.format_liquid(ml) == inch
    assert units.format_liquid(ml, METRIC) == metric


HALF_A_STEP = {"fl oz": 0.05, "qt": 0.005, "gal": 0.005, "ml": 0.5, "L": 0.005}


@given(st.floats(1, 100_000))
def test_a_shown_volume_is_within_half_a_step_of_the_true_one(ml):
    for system in units.System:
        shown = units.format_liquid(ml, system).replace(",", "")
        half_a_step_ml = units.parse_liquid(f"{HALF_A_STEP[shown.split(' ', 1)[1]]} {shown.split(' ', 1)[1]}")
        assert units.parse_liquid(shown) > 0
        assert abs(units.parse_liquid(shown) - ml) <= half_a_step_ml * (1 + 1e-9)


@pytest.mark.parametrize(
    ("kg", "inch", "metric"),
    [(100, "220 lb", "100 kg"), (4.5, "9.9 lb", "4.5 kg"), (1000, "2,205 lb", "1,000 kg"), (9.96, "22 lb", "10 kg")],
)
def test_a_mass_is_shown_to_what_a_lifter_needs(kg, inch, metric):
    assert units.format_mass(kg) == inch
    assert units.format_mass(kg, METRIC) == metric


def test_areas_and_volumes_are_shown_in_the_units_of_the_yard():
    assert units.format_area(units.inches(24) * units.inches(96)) == "16 ft²"
    assert units.format_area(units.mm(600) * units.mm(2400), METRIC) == "1.44 m²"
    assert units.format_board_feet(units.inches(2) * units.inches(6) * units.feet(8)) == "8 bd ft"


@pytest.mark.parametrize("show", [units.format_mass, units.format_liquid, units.format_area, units.format_board_feet])
@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_refuses_to_show_what_is_no_number(show, value):
    with pytest.raises(BadInput):
        show(value)


def test_a_cubic_metre_is_a_metre_each_way():
    assert units.cubic_metres(units.mm(1000) ** 3) == 1.0
