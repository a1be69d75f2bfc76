from __future__ import annotations

from datetime import date

import pytest
from journal.errors import BadInput, BadRows
from journal.pace.log_file import read_log_file, read_log_lines, read_plan_file
from tests.pace.test_evidence import BOOK

HEAD = "project,date,operation,quantity,minutes,setups,rework\n"


@pytest.fixture
def write(tmp_path):
    def put(text, name="log.csv"):
        path = tmp_path / name
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return path

    return put


def problems(path, **more):
    with pytest.raises(BadRows) as caught:
        read_log_file(path, BOOK, **more)
    return caught.value.problems


def test_a_log_becomes_evidence(write):
    text = HEAD + (
        "Oak bench,2026-03-04,joint_face,120,,1,\n"
        "Oak bench,2026-03-04,plane,200,,,\n"
        "Oak bench,2026-03-05,milling,,60,,\n"
        "\n"
        "Oak bench,2026-03-06,spread_glue,10.5,12.25,2,no\n"
        "Oak bench,2026-03-07,spread_glue,2,9,1,yes\n"
    )
    evidence = read_log_file(write(text), BOOK)
    single, staged = evidence.rows
    assert (single.minutes, single.on) == (12.25, date(2026, 3, 6))
    assert single.baseline_minutes == pytest.approx(2 * 4 + 10.5 * 0.4)
    assert (staged.baseline_minutes, staged.minutes) == (pytest.approx(40), 60)
    assert evidence.rework.minutes == 9


@pytest.mark.parametrize(
    "head",
    [
        "project\tdate\toperation\tquantity\tminutes\n",
        "Job;Day;Task;Qty;Mins\n",
        "# my log\n\nPROJECT , Date,Operation, Quantity ,Minutes,weather\n",
        "minutes,quantity,operation,date,project\n",
    ],
)
def test_headings_are_matched_loosely_and_in_any_order(write, head):
    mark = "\t" if "\t" in head else ";" if ";" in head else ","
    cells = ["P1", "2026-03-04", "plane", "10", "5"]
    if head.startswith("minutes"):
        cells.reverse()
    evidence = read_log_file(write(head + mark.join(cells) + "\n"), BOOK)
    assert (evidence.rows[0].project, evidence.rows[0].minutes) == ("P1", 5)


def test_hours_are_sixty_minutes(write):
    evidence = read_log_file(write("project,date,operation,quantity,hours\nP1,2026-03-04,plane,10,1.5\n"), BOOK)
    assert evidence.rows[0].minutes == 90


def test_a_decimal_comma_is_read_where_commas_do_not_part_cells(write):
    evidence = read_log_file(write("project;date;operation;quantity;minutes\nP1;2026-03-04;plane;10,5;7,5\n"), BOOK)
    assert evidence.rows[0].minutes == 7.5


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_spreadsheet_encodings_are_read(write, encoding):
    text = HEAD + "Bänk №1,2026-03-04,plane,10,5,,\r\n"
    assert read_log_file(write(text.encode(encoding)), BOOK).rows[0].project == "Bänk №1"


def test_every_bad_place_is_named_at_once(write):
    text = HEAD + (
        "P1,2026-03-04,plane,10,5,,\n"
        "P1,4.3.2026,plane,10,5,,\n"
        "P1,2026-02-30,plane,10,5,,\n"
        ",2026-03-04,plane,10,5,,\n"
        "P1,2026-03-04,,10,5,,\n"
        "P1,2026-03-04,plane,ten,5,,\n"
        "P1,2026-03-04,plane,10,1h,many,\n"
        "P1,2026-03-04,plane,10,5,,perhaps\n"
        "P1,2026-03-04,plain,10,5,,\n"
        "P1,2026-03-04,plane,10,-5,,\n"
        "P1,2026-03-04,plane,,5,,\n"
        "P1,2026-03-04,plane,10,5,,no,extra,cells\n"
        "P1,2026-03-04,=cmd(),10,5,,\n"
        "P1,2026-03-04,plane,+10,5,,\n"
        "P1,2027-03-04,plane,10,5,,\n"
        "P9,2026-03-04,milling,,60,,\n"
    )
    found = problems(write(text), today=date(2026, 6, 30))
    places = {(problem.line, problem.column) for problem in found}
    assert places >= {
        (3, "date"), (4, "date"), (5, "project"), (6, "operation"), (7, "quantity"), (8, "minutes"), (8, "setups"),
        (9, "rework"), (10, "operation"), (11, "minutes"), (12, "quantity"), (13, ""), (14, "operation"),
        (15, "quantity"), (16, "date"), (17, "operation"),
    }  # fmt: skip
    assert {line for line, _ in places} == set(range(3, 18))
    said = "\n".join(map(str, found))
    assert "as 2026-03-31" in said
    assert "run this as a formula" in said
    assert "near it: plane" in said
    assert "9 cells under 7 headings" in said


def test_lines_are_counted_through_cells_that_hold_line_ends(write):
    text = HEAD + '"P1\nlate",2026-03-04,plane,10,5,,\nP1,2026-03-04,plane,ten,5,,\n'
    assert problems(write(text))[0].line == 4


def test_a_quote_left_open_is_named(write):
    text = HEAD + 'P1,2026-03-04,plane,10,5,,\n"P1,2026-03-04,plane,10,5,,\n' + "P1,2026-03-04,plane,10,5,,\n" * 9000
    (problem,) = problems(write(text))
    assert problem.line == 3
    assert "double quote" in problem.message


def test_a_cell_is_complained_about_once(write):
    found = problems(write(HEAD + "P1,2026-03-04,=A1,10,5,,\n"))
    assert [(problem.line, problem.column) for problem in found] == [(2, "operation")]


def test_a_thousand_problems_are_not_all_printed(write):
    found = problems(write(HEAD + "P1,2026-03-04,plane,ten,5,,\n" * 1000))
    assert len(found) == 201
    assert "and 800 more" in found[-1].message


@pytest.mark.parametrize(
    ("content", "says"),
    [
        ("", "a heading line"),
        (" \n\n", "a heading line"),
        ("# only a remark\n", "a heading line"),
        (bytes(range(256)) * 4, "CSV UTF-8"),
        (b"PK\x03\x04\x14\x00\x06\x00", "CSV UTF-8"),
        ("project|date|operation|quantity|minutes\nP1|2026-03-04|plane|10|5\n", "use commas or tabs"),
        ("project,date,operation,minutes\n", "a column quantity"),
        ("project,date,operation,quantity\n", "a column minutes"),
        ("project,job,date,operation,quantity,minutes\n", "one column for project"),
        ("project,date,operation,quantity,minutes,hours\n", "one of the two"),
    ],
)
def test_a_file_that_is_no_log_says_what_would_be_one(write, content, says):
    with pytest.raises(BadInput, match=says):
        read_log_file(write(content), BOOK)


def test_headings_alone_are_not_a_log(write):
    assert "no row under the headings" in str(problems(write(HEAD))[0])


def test_a_missing_file_and_a_folder_are_refused(tmp_path):
    with pytest.raises(BadInput, match="can be read"):
        read_log_file(tmp_path / "none.csv", BOOK)
    with pytest.raises(BadInput, match="folder"):
        read_log_file(tmp_path, BOOK)


def test_a_hundred_thousand_rows_are_read(write):
    body = "".join(f"P{i % 5000},2026-03-04,plane,{i % 90 + 1},{i % 50 + 1},,\n" for i in range(100_000))
    lines, bad, _ = read_log_lines(write(HEAD + body), BOOK)
    assert len(lines) == 100_000
    assert bad == []
    assert lines[-1].line == 100_001


def test_a_plan_is_read(write):
    first, second = read_plan_file(write("Operation,Qty,Set-ups\nplane,200,2\nSpread glue,12.5,\n"), BOOK)
    assert (first.what, first.quantity, first.setups) == ("plane", 200, 2)
    assert (second.quantity, second.setups, second.line) == (12.5, 1, 3)


def test_a_plan_without_set_ups_has_one_each(write):
    assert read_plan_file(write("operation,quantity\nplane,200\n"), BOOK)[0].setups == 1


def test_every_bad_line_of_a_plan_is_named(write):
    text = (
        "operation,quantity,setups\nplane,,1\nmilling,5,1\nnothing,5,1\nplane,-1,1\nplane,1,-1\ndeliver,1,0\n=1,5,1\n"
    )
    with pytest.raises(BadRows) as caught:
        read_plan_file(write(text), BOOK)
    assert [problem.line for problem in caught.value.problems][:6] == [2, 3, 4, 5, 6, 7]
    assert "is a stage" in str(caught.value)
    assert 8 in {problem.line for problem in caught.value.problems}


UNITS = "project,date,operation,quantity,unit,minutes\n"


def test_a_unit_column_brings_quantities_to_the_units_of_the_book(write):
    in_feet = read_log_file(write(HEAD + "P1,2026-03-04,joint_face,10,5,,\n"), BOOK).rows
    for text in ("3.048,m", "120,in", "10,ft", "10,"):
        assert read_log_file(write(UNITS + f"P1,2026-03-04,joint_face,{text},5\n"), BOOK).rows[
            0
        ].baseline_minutes == pytest.approx(in_feet[0].baseline_minutes)


def test_two_units_that_can_be_brought_together_are(write):
    text = UNITS + "P1,2026-03-04,joint_face,10,ft,5\nP2,2026-03-04,joint_face,3.048,m,5\n"
    first, second = read_log_file(write(text), BOOK).rows
    assert first.baseline_minutes == pytest.approx(second.baseline_minutes)


def test_a_unit_that_cannot_be_brought_to_the_books_is_refused_naming_both(write):
    (found,) = problems(write(UNITS + "P1,2026-03-04,joint_face,10,boards,5\n"))
    assert (found.line, found.column) == (2, "unit")
    assert "“boards”" in found.message
    assert "is counted in ft" in found.message


def test_a_blank_unit_beside_another_one_is_refused_naming_both(write):
    text = UNITS + ("P1,2026-03-04,joint_face,10,m,5\nP2,2026-03-04,joint_face,30,,5\nP2,2026-03-04,spread_glue,4,,5\n")
    (found,) = problems(write(text))
    assert found.line == 3
    assert "is counted in ft and other rows are in m" in found.message


def test_the_unit_of_a_stage_is_nobodys_business(write):
    text = UNITS + "P1,2026-03-04,plane,10,ft,\nP1,2026-03-04,milling,,evening,60\n"
    assert len(read_log_file(write(text), BOOK).rows) == 1


def test_a_plan_may_have_units_too(write):
    metric, feet = (
        read_plan_file(write(f"operation,quantity,unit\njoint_face,{text}\n"), BOOK)[0].quantity
        for text in ("3.048,m", "10,ft")
    )
    assert metric == pytest.approx(feet)
    with pytest.raises(BadRows, match="is counted in ft"):
        read_plan_file(write("operation,quantity,unit\njoint_face,3,kg\n"), BOOK)
