"""Plans that cannot be: each says which row, cell or part it is about, and what would make it possible."""

from dataclasses import replace

import pytest
from journal import units
from journal.build.design_file import read_design
from journal.build.design_parts import make
from journal.build.part_list import read
from journal.desk.glue_pace import GluePace
from journal.desk.shop import Work, start_shop
from journal.desk.what_if import Change, changed
from journal.errors import BadInput, BadRows
from journal.quote.takeoff import take_off
from tests.build.designs import STOOL, stool

LIST = "label,qty,thickness,width,length,stock,strips,faces,features\n{row}\n"
TOP = "Top,1,3 1/4,24,96,2x8 fir,auto along width,all,"


def line_of(text, of):
    return 1 + of[: of.index(text)].count("\n")


def told(act):
    with pytest.raises(BadRows) as refused:
        act()
    (problem,) = refused.value.problems
    return problem


def taken(rows, shop):
    return take_off(read(LIST.format(row=rows), source="a paste").taken(), shop.book(), shop.rules(Work()))


def test_a_circle_of_formulas_names_its_way_round():
    text = STOOL.replace('thick = "2"', 'thick = "height - leg"')
    problem = told(lambda: read_design(text))
    assert problem.line == line_of("thick =", text)
    assert "thick" in problem.message
    assert "leg" in problem.message


def test_a_division_by_nought_names_its_cell_and_the_choice_that_would_do():
    design = stool(('width = "10"', 'width = "10 / legs"'), ('qty = "legs"', 'qty = "2"'))
    problem = told(lambda: make(design, {"legs": 0}))
    assert problem.column == "Legs, width"
    assert "Legs" in problem.message.split(";")[-1]  # the parameter of that label, with a value that works


def test_a_negative_length_names_its_cell_and_the_nearest_size_that_would_do():
    design = stool(('width = "12"', 'width = "length - 30"'))
    problem = told(lambda: make(design, {"length": units.inches(20)}))
    assert problem.column == "Top, width"
    assert "comes to −10" in problem.message
    assert "Length" in problem.message.split(";")[-1]


def test_a_choice_outside_its_limits_is_told_with_the_limits():
    with pytest.raises(BadInput, match=r"Length.*20 in to 96 in"):
        make(stool(), {"length": units.inches(400)})


def test_ten_thousand_strips_are_told_by_line_and_column():
    row = TOP.replace("auto", "10000")
    problem = told(lambda: read(LIST.format(row=row), source="a paste").taken())
    assert (problem.line, problem.column) == (2, "strips")
    assert "to 400, or 0 to have it worked out" in problem.message


def test_no_clamps_is_told_by_part_with_how_many_would_do():
    shop = changed(start_shop(), Change(clamps=-500))
    (trouble,) = taken(TOP, shop).gluing.troubles
    assert trouble.startswith("Top: 8 ft")
    assert "there are 0" in trouble
    assert "more clamps would do" in trouble


def test_a_face_that_skins_over_before_it_is_closed_is_told_by_part_with_what_would_do():
    """Eight feet of boards face to face, spread at three minutes a square foot, by a glue that stays open for five."""
    slow = replace(start_shop(), glue_pace=replace(GluePace.of_the_book(), spread_minutes_ft2=3.0))
    (trouble,) = taken("Post,1,3,6,96,2x8 fir,3 along thickness,all,", slow).gluing.troubles
    assert trouble.startswith("Post: spreading one face of 8 ft takes ")
    assert "stays open for 5 min" in trouble
    assert "people spreading, a slower glue or a cooler shop would do" in trouble
