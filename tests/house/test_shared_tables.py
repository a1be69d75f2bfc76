"""Every file in shared/ says where it comes from, row by row, and names nothing it should not."""

import csv
import re

import pytest
from journal.places import folder
from journal.reference import Mark, heading

TABLES = sorted(folder("shared").glob("*.csv"))
# A path of some machine, a web address, or a mark of ownership.
FOREIGN = re.compile(r"(/home/|/tmp/|[A-Za-z]:\\|https?://|www\.|[®™©])")


def rows(path):
    with path.open(encoding="utf-8", newline="") as file:
        file.readline()
        return list(csv.reader(file))


def test_there_are_tables():
    assert len(TABLES) >= 15


@pytest.mark.parametrize("path", TABLES, ids=lambda path: path.name)
def test_the_first_line_names_title_source_unit_and_date(path):
    first = heading(path)
    assert re.fullmatch(r"\d{4}(-\d\d-\d\d)?", first.date)


@pytest.mark.parametrize("path", TABLES, ids=lambda path: path.name)
def test_every_row_has_a_source_and_a_mark(path):
    names, *body = rows(path)
    assert names[-2:] == ["source", "mark"]
    assert body
    for row in body:
        assert len(row) == len(names)
        assert row[-2].strip()
        assert row[-1] in tuple(Mark)


@pytest.mark.parametrize("path", TABLES, ids=lambda path: path.name)
def test_what_is_from_memory_asks_to_be_verified(path):
    for row in rows(path)[1:]:
        if row[-1] == Mark.MEMORY:
            assert "verify" in row[-2]


@pytest.mark.parametrize("path", TABLES, ids=lambda path: path.name)
def test_no_table_names_a_path_an_address_or_a_registered_name(path):
    assert not FOREIGN.search(path.read_text(encoding="utf-8"))
