"""A value as a cell of text, and back."""

import csv
import io
from datetime import UTC, date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.errors import BadInput
from journal.records.base import UtcDateTime
from journal.records.keeping.cells import as_text, from_text
from journal.records.words import ProjectState
from sqlalchemy import JSON, Boolean, Column, Date, Double, Integer, LargeBinary, MetaData, String, Table, Text

TABLE = Table(
    "things",
    MetaData(),
    Column("text", Text()),
    Column("word", String(60)),
    Column("number", Integer()),
    Column("amount", Double()),
    Column("flag", Boolean()),
    Column("day", Date()),
    Column("moment", UtcDateTime()),
    Column("bytes", LargeBinary()),
    Column("json", JSON()),
)
JSONS = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
    lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner),
    max_leaves=5,
)
VALUES = st.one_of(
    st.tuples(st.just("text"), st.text()),
    st.tuples(st.just("number"), st.integers(-(2**63), 2**63 - 1)),
    st.tuples(st.just("amount"), st.floats(allow_nan=False)),
    st.tuples(st.just("flag"), st.booleans()),
    st.tuples(st.just("day"), st.dates()),
    st.tuples(st.just("moment"), st.datetimes(timezones=st.just(UTC))),
    st.tuples(st.just("bytes"), st.binary(min_size=1)),
    st.tuples(st.just("json"), st.dictionaries(st.text(), JSONS) | st.lists(JSONS)),
    st.tuples(st.sampled_from(["text", "number", "json", "moment"]), st.none()),
)


@given(VALUES)
def test_every_value_comes_back_as_it_was_through_a_csv_file(pair):
    name, value = pair
    file = io.StringIO(newline="")
    csv.writer(file).writerow([as_text(value), "next"])
    file.seek(0)
    (cell, _), *more = csv.reader(file)
    assert more == []
    assert from_text(cell, TABLE.c[name]) == value


@given(st.text())
def test_no_text_can_run_as_a_formula_in_a_spreadsheet(text):
    """OWASP, CSV injection: a cell is risky when it begins with = + - @, a tab or a line break."""
    assert not as_text(text).startswith(("=", "+", "-", "@", "\t", "\r", "\n"))


def test_a_negative_number_stays_a_number():
    assert as_text(-3.5) == "-3.5"
    assert as_text(-12) == "-12"


def test_a_word_of_a_list_is_written_as_the_database_keeps_it():
    assert as_text(ProjectState.IN_BUILD) == "in_build"


def test_nothing_and_an_empty_text_are_told_apart():
    assert from_text(as_text(None), TABLE.c.text) is None
    assert from_text(as_text(""), TABLE.c.text) == ""


@pytest.mark.parametrize(
    ("column", "cell"),
    [("number", "two"), ("amount", "1,5"), ("flag", "true"), ("day", "3/4/2026"), ("bytes", "%%"), ("json", "{")],
)
def test_a_cell_that_cannot_be_read_names_its_column(column, cell):
    with pytest.raises(BadInput, match=f"things.{column}"):
        from_text(cell, TABLE.c[column])


def test_a_moment_is_written_in_utc():
    assert as_text(datetime(2026, 3, 1, 12, tzinfo=UTC)) == "2026-03-01T12:00:00+00:00"
    assert as_text(date(2026, 3, 1)) == "2026-03-01"
