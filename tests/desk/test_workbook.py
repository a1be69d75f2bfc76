"""Workbooks as sheets of text; a file made to harm is refused before it is opened."""

import io
import zipfile
from datetime import date, datetime, time, timedelta

import pytest
from journal.desk import workbook
from journal.desk.workbook import is_workbook, read_workbook
from journal.errors import BadInput
from openpyxl import Workbook
from openpyxl.styles import Font

DAY = datetime(2020, 5, 1)  # noqa: DTZ001 - a spreadsheet knows no zones


def packed(rows, **others):
    book = Workbook()
    book.active.title = "Jobs"
    for row in rows:
        book.active.append(row)
    for title, listed in others.items():
        sheet = book.create_sheet(title)
        for row in listed:
            sheet.append(row)
    return _bytes(book)


def _bytes(book):
    into = io.BytesIO()
    book.save(into)
    return into.getvalue()


def test_cells_come_as_a_person_would_type_them():
    content = packed(
        [
            ["job", "date", "qty", "hours", "long", "clock", "again", "note"],
            ["A", DAY, 12.5, 2.0, timedelta(hours=30, minutes=5), time(1, 30), True, None],
            ["B", date(2020, 5, 2), 1 / 3, 40, None, None, False, " wet "],
        ]
    )
    assert is_workbook(content)
    found = read_workbook(content, "old.xlsx")
    assert found.heads == ("job", "date", "qty", "hours", "long", "clock", "again", "note")
    assert found.rows == (
        ("A", "2020-05-01", "12.5", "2", "30:05:00", "01:30:00", "yes", ""),
        ("B", "2020-05-02", "0.333333333333", "40", "", "", "no", "wet"),
    )
    assert found.lines == (2, 3)


def test_blank_rows_keep_the_lines_of_the_sheet():
    found = read_workbook(packed([[], ["job", "date"], [], ["A", "2020-05-01"]]), "old.xlsx")
    assert (found.heads, found.lines) == (("job", "date"), (4,))


def test_the_first_sheet_that_holds_anything_is_read_and_the_others_are_named():
    content = packed([], Past=[["job", "date"], ["A", "x"]], Prices=[["board", "price"]])
    found = read_workbook(content, "old.xlsx")
    assert found.rows == (("A", "x"),)
    assert found.notes == ("only the sheet “Past” was read, not Prices",)


def test_a_hidden_sheet_is_not_read():
    book = Workbook()
    book.active.append(["secret", "x"])
    book.active.sheet_state = "hidden"
    shown = book.create_sheet("Shown")
    shown.append(["job", "date"])
    shown.append(["A", "x"])
    assert read_workbook(_bytes(book), "old.xlsx").heads == ("job", "date")


def test_an_empty_workbook_is_refused():
    with pytest.raises(BadInput, match="a sheet with a row of headings"):
        read_workbook(packed([]), "old.xlsx")


def test_an_old_or_locked_workbook_is_refused_with_the_way_out():
    with pytest.raises(BadInput, match=r"saved as \.xlsx.*without a password"):
        read_workbook(b"\xd0\xcf\x11\xe0" + b"\0" * 600, "old.xls")


def test_a_damaged_one_is_refused():
    content = packed([["job", "date"], ["A", "x"]])
    for broken in (content[:200], content[: len(content) // 2], b"PK\x03\x04" + b"\0" * 50):
        with pytest.raises(BadInput, match="cannot be read"):
            read_workbook(broken, "old.xlsx")


def test_an_archive_that_is_no_workbook_is_refused():
    into = io.BytesIO()
    with zipfile.ZipFile(into, "w") as archive:
        archive.writestr("hello.txt", "hello")
    with pytest.raises(BadInput, match="cannot be read"):
        read_workbook(into.getvalue(), "old.xlsx")


def test_one_that_unpacks_to_far_more_is_refused_before_it_is_opened(monkeypatch):
    monkeypatch.setattr(workbook, "_read", lambda *_: pytest.fail("it was opened"))
    into = io.BytesIO()
    with zipfile.ZipFile(into, "w", zipfile.ZIP_DEFLATED) as archive:
        for number in range(4):
            archive.writestr(f"xl/{number}.xml", b"0" * (workbook.MOST_UNPACKED // 4 + 1))
    content = into.getvalue()
    assert len(content) < workbook.LARGEST_BYTES
    with pytest.raises(BadInput, match="bytes unpacked"):
        read_workbook(content, "old.xlsx")


def test_one_of_very_many_files_is_refused():
    into = io.BytesIO()
    with zipfile.ZipFile(into, "w") as archive:
        for number in range(workbook.MOST_FILES + 1):
            archive.writestr(f"{number}", "")
    with pytest.raises(BadInput, match="files of"):
        read_workbook(into.getvalue(), "old.xlsx")


def test_too_large_a_file_is_refused():
    with pytest.raises(BadInput, match="split it by year"):
        read_workbook(b"PK\x03\x04" + b"\0" * workbook.LARGEST_BYTES, "old.xlsx")


def test_entities_that_multiply_are_refused():
    bomb = "".join(f'<!ENTITY e{n} "{f"&e{n - 1};" * 10 if n else "ha" * 10}">' for n in range(10))
    into = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(packed([["job", "date"], ["A", "x"]]))) as whole,
        zipfile.ZipFile(into, "w") as made,
    ):
        for file in whole.infolist():
            content = whole.read(file)
            if file.filename == "xl/worksheets/sheet1.xml":
                content = f'<?xml version="1.0"?><!DOCTYPE worksheet [{bomb}]><worksheet>&e9;</worksheet>'.encode()
            made.writestr(file.filename, content)
    with pytest.raises(BadInput):
        read_workbook(into.getvalue(), "old.xlsx")


def test_a_cell_far_to_the_right_is_too_wide():
    book = Workbook()
    book.active.append(["job", "date"])
    book.active.cell(2, 16_000, "far")
    with pytest.raises(BadInput, match="cells under 2 headings"):
        read_workbook(_bytes(book), "old.xlsx")


def test_rows_coloured_to_the_end_do_no_harm_but_not_without_end():
    def coloured(rows):
        book = Workbook()
        book.active.append(["job", "date"])
        for row in range(2, 2 + rows):
            book.active.cell(row, 1, "A")
            book.active.cell(row, workbook.MOST_COLUMNS + 5).font = Font(bold=True)
        return _bytes(book)

    assert len(read_workbook(coloured(3), "old.xlsx").rows) == 3
    with pytest.raises(BadInput, match="65 columns"):
        read_workbook(coloured(workbook._MOST_WIDE + 2), "old.xlsx")
