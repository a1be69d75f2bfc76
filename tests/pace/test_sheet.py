"""A table of text as spreadsheets send it."""

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.errors import BadInput
from journal.pace import sheet
from journal.pace.sheet import Sheet, read_text

cells = st.text(st.characters(codec="utf-8", exclude_categories=("C", "Z")), min_size=1, max_size=8).filter(
    lambda text: not text.startswith(("#", "\ufeff"))
)
tables = st.integers(2, 5).flatmap(
    lambda width: st.lists(st.lists(cells, min_size=width, max_size=width), min_size=2, max_size=6)
)


@given(tables, st.sampled_from(",\t;|"))
def test_what_a_spreadsheet_writes_is_read_back(rows, delimiter):
    written = io.StringIO()
    csv.writer(written, delimiter=delimiter, quoting=csv.QUOTE_ALL).writerows(rows)
    if max(",\t;|", key=written.getvalue().splitlines()[0].count) != delimiter:
        return  # a heading holds more of another sign than there are columns
    found = read_text(written.getvalue().encode(), "old.csv")
    assert found.heads == tuple(rows[0])
    assert found.rows == tuple(map(tuple, rows[1:]))


def test_lines_are_those_of_the_file_whatever_lies_between():
    text = '# made by hand\n\njob,day\n\nA,"two\nlines"\n\nB,x\n'
    assert read_text(text, "old.csv") == Sheet("old.csv", ("job", "day"), (5, 8), (("A", "two\nlines"), ("B", "x")), ())


def test_short_rows_are_filled_and_a_missing_heading_is_called_by_its_place():
    found = read_text("job,,hours\nA\n", "old.csv")
    assert found.heads == ("job", "column 2", "hours")
    assert found.rows == (("A", "", ""),)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_encodings_of_today_are_read_without_a_word(encoding):
    found = read_text("job,day\nÉtabli,1\n".encode(encoding), "old.csv")
    assert found.rows == (("Établi", "1"),)
    assert found.notes == ()


def test_text_of_older_programs_is_read_and_said():
    found = read_text("job,day\nÉtabli,1\n".encode("cp1252"), "old.csv")
    assert found.rows == (("Établi", "1"),)
    assert "older Windows programs" in found.notes[0]


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "nothing"),
        (b" \n\n", "nothing"),
        (b"# only a remark\n", "nothing but remarks"),
        (b"job,day\n", "nothing under the headings"),
        (b"job\nA\n", "columns with commas"),
        (b"job,day\nA,1,2\n", "3 cells under 2 headings"),
        (b"job,day\n\x00\x01,1\n", "no text"),
        (b"job,day\n" + b"x" * (sheet.LONGEST_CELL + 1) + b",1\n", "a cell of"),
        (",".join("abcdefgh" * 8).encode() + b"\n1\n", "64 columns"),
    ],
)
def test_what_is_no_table_is_refused_in_words(content, said):
    with pytest.raises(BadInput, match=said):
        read_text(content, "old.csv")


def test_more_rows_than_can_be_held_are_refused():
    rows = ((line, ["A", "1"]) for line in range(1, sheet.MOST_ROWS + 3))
    with pytest.raises(BadInput, match="split it by year"):
        sheet.make_sheet("old.csv", rows)


def test_as_many_rows_as_can_be_held_are_read():
    rows = ((line, ["A", "1"]) for line in range(1, sheet.MOST_ROWS + 2))
    assert len(sheet.make_sheet("old.csv", rows).rows) == sheet.MOST_ROWS
