"""The shared fields: what they read, what they say when they cannot, what they show again."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal import units
from journal.errors import BadInput
from journal.web import create_app, forms
from journal.web.state import Display, show_as
from werkzeug.datastructures import MultiDict


class Sample(forms.JournalForm):
    length = forms.LengthField("Length", at_least=units.inches(12), at_most=units.feet(16))
    thickness = forms.QuarterField("Rough thickness", required=False)
    count = forms.CountField("Benches", required=False, at_least=1)
    price = forms.MoneyField("Price", required=False)
    time = forms.DurationField("Time", required=False)
    rest = forms.DurationField("Rest", required=False, allow_long=True)
    oil = forms.LiquidField("Oil", required=False)
    margin = forms.PercentField("Margin", required=False, at_least=Fraction(0))
    moisture = forms.NumberField("Moisture", required=False)
    name = forms.TextField("Name", required=False)


@pytest.fixture(scope="module")
def app():
    made = create_app(testing=True)
    made.config["WTF_CSRF_ENABLED"] = False
    return made


@pytest.fixture
def read(app):
    def reader(**typed):
        with app.test_request_context("/patterns", method="POST"):
            form = Sample(MultiDict({"length": "76 1/2", **typed}))
            form.validate()
            return form

    return reader


@pytest.mark.parametrize(
    ("name", "typed", "value"),
    [
        ("length", "76 1/2", units.inches("76 1/2")),
        ("length", " 1943 mm ", units.mm(1943)),
        ("thickness", "8/4", units.inches(2)),
        ("count", "1,200", 1200),
        ("price", "$1,234.50", 123_450),
        ("time", "1h 30", 5400),
        ("oil", "350 ml", 350.0),
        ("margin", "8.25 %", Fraction(33, 400)),
        ("moisture", "12.5", Decimal("12.5")),
        ("moisture", "−3", Decimal(-3)),
        ("name", "  Riverside ", "Riverside"),
    ],
)
def test_text_becomes_the_value_of_the_field(read, name, typed, value):
    form = read(**{name: typed})
    assert form.errors == {}
    assert form[name].data == value


@pytest.mark.parametrize("name", ["thickness", "count", "price", "time", "oil", "margin", "moisture"])
@pytest.mark.parametrize("typed", ["", "   "])
def test_an_empty_box_that_may_be_empty_is_none(read, name, typed):
    form = read(**{name: typed})
    assert form.errors == {}
    assert form[name].data is None


@pytest.mark.parametrize("typed", ["", "   "])
def test_an_empty_box_that_must_be_filled_is_refused_once(read, typed):
    assert read(length=typed).errors == {"length": ["Fill this in."]}


@pytest.mark.parametrize(
    ("name", "typed"),
    [
        ("length", "about 76"),
        ("thickness", "eight"),
        ("count", "2.5"),
        ("count", "two"),
        ("count", "1,2"),
        ("price", "cheap"),
        ("time", "long"),
        ("oil", "some"),
        ("margin", "nan"),
        ("moisture", "1e9"),
        ("moisture", "٣"),
    ],
)
def test_what_cannot_be_read_is_said_beside_its_box_and_kept(read, name, typed):
    form = read(**{name: typed})
    assert list(form.errors) == [name]
    assert len(form.errors[name]) == 1
    assert form.errors[name][0].startswith(f"Read “{typed}”, expected ")
    assert form[name]._value() == typed


@pytest.mark.parametrize(
    ("name", "typed", "said"),
    [
        ("length", "11 in", "expected 12 in or more"),
        ("length", "20 ft", "expected 192 in or less"),
        ("count", "0", "expected 1 or more"),
        ("margin", "-1", "expected 0 or more"),
    ],
)
def test_a_value_outside_its_ends_is_refused_in_the_units_of_the_user(read, name, typed, said):
    assert said in read(**{name: typed}).errors[name][0]


@given(
    length_nm=st.integers(units.inches(12), units.feet(16))
    | st.integers(800, 12_000).map(lambda n: n * units.inches("1/64")),
    whole=st.integers(3, 32),
    cents=st.integers(0, 10**7),
    seconds=st.integers(0, 24 * 3600),
    basis_points=st.integers(0, 9999),
    metric=st.booleans(),
)
def test_a_field_reads_back_exactly_what_it_shows(app, length_nm, whole, cents, seconds, basis_points, metric):
    values = {
        "length": length_nm,
        "count": whole,
        "price": cents,
        "time": seconds,
        "margin": Fraction(basis_points, 10_000),
        "moisture": Decimal(basis_points) / 100,
        "thickness": whole * units.NM_PER_INCH // 4,
        "oil": seconds / 7,
    }
    system = units.System.METRIC if metric else units.System.INCH
    with app.test_request_context("/patterns"):
        show_as(Display(shop_name="", system=system, currency=units.currency("USD")))
        form = Sample(None, data=values)
        for name, value in values.items():
            assert form[name].parse(form[name]._value()) == value


@pytest.mark.parametrize(
    ("name", "value", "text"),
    [
        ("length", units.inches("1 7/16"), "1 7/16 in"),
        ("length", units.inches("3/64"), "3/64 in"),
        ("length", units.mm(600), "600 mm"),
        ("time", 5400, "1 h 30 min"),
        ("time", 5401, "5401 s"),
        ("oil", units.ML_PER_QUART, "1 qt"),
        ("oil", 400.0, "400 ml"),
    ],
)
def test_a_box_shows_the_usual_unit_unless_that_would_round_what_is_kept(app, name, value, text):
    with app.test_request_context("/patterns"):
        assert Sample(None, data={name: value})[name]._value() == text


def test_only_a_wait_may_be_longer_than_a_day(read):
    assert read(rest="3 days").rest.data == 3 * 24 * 3600
    assert "at most 24 hours" in read(time="3 days").errors["time"][0]


def test_a_refusal_of_a_room_finds_its_box(app):
    with app.test_request_context("/patterns"):
        form = Sample(None)
        forms.attach(form, BadInput("rough thickness", "9/4", "a size that is sold"))
        forms.attach(form, BadInput("moon", "full", "a new one"))
    assert form.errors["thickness"] == ["Read “9/4”, expected a size that is sold."]
    assert form.form_errors == ["moon: read “full”, expected a new one"]


def test_a_box_is_tied_to_its_hint_and_its_error(app):
    with app.test_request_context("/patterns"):
        form = Sample(None)
        assert "aria-describedby" not in forms.box_attributes(form.length, hint=False)
        forms.attach(form, BadInput("length", "9", "more"))
        tied = forms.box_attributes(form.length, hint=True)
    assert tied["aria-describedby"] == "length-hint length-error"
    assert tied["aria-invalid"] == "true"
