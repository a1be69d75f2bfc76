"""Designs read from their text, the parts they make, and what is said where they make none."""

import re
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from journal import units
from journal.build.design import Kind, Parameter
from journal.build.design_file import GUIDE, LARGEST, read_design
from journal.build.design_parts import complete, make, make_parts
from journal.build.milling import mill_all
from journal.build.parts import Along
from journal.build.stock import Dimensional, Rough, Sheet
from journal.desk.designs import woods
from journal.desk.shop import Work, start_shop
from journal.errors import BadInput, BadRows
from journal.places import folder
from tests.build.designs import STOOL, at_end, choices, shipped, stool

IN = units.NM_PER_INCH
WORDS = sorted(shipped())


def problems(text):
    with pytest.raises(BadRows) as refused:
        read_design(text)
    return {(problem.line, problem.column): problem.message for problem in refused.value.problems}


def made_problems(design, **given_):
    with pytest.raises(BadRows) as refused:
        make(design, given_)
    return refused.value.problems


def read_or_refused(text):
    try:
        read_design(text)
    except BadRows as refused:
        return refused.problems
    return ()


def line_of(text, of=STOOL):
    return 1 + of[: of.index(text)].count("\n")


class TestParts:
    def test_of_the_stool_by_hand(self):
        top, legs = make_parts(stool(), {})
        assert (top.label, top.quantity, top.stock, top.along, top.strips) == ("Top", 1, "", Along.WIDTH, 0)
        assert (top.thickness_nm, top.width_nm, top.length_nm) == (2 * IN, 12 * IN, 60 * IN)
        assert [(f.word, f.count, f.length_nm) for f in top.features] == [("hole", 3, 0), ("groove", 0, 54 * IN)]
        assert (legs.quantity, legs.thickness_nm, legs.width_nm, legs.length_nm) == (2, IN * 5 // 4, 10 * IN, 28 * IN)
        assert (legs.stock, legs.strips, legs.along) == ("2x12", 1, Along.NONE)

    def test_follow_what_is_chosen(self):
        chosen = {"length": 45 * IN, "height": 20 * IN, "legs": 0, "stretcher": True, "panel": "3/4 MDF", "wood": "ash"}
        top, stretcher = make_parts(stool(), chosen)
        assert (top.stock, top.length_nm) == ("ash", 45 * IN)
        assert (stretcher.label, stretcher.stock, stretcher.length_nm) == ("Stretcher", "3/4 MDF", 15 * IN)

    def test_are_rounded_to_a_sixty_fourth(self):
        *_, stretcher = make_parts(stool(), {"length": 40 * IN, "stretcher": True})
        assert stretcher.length_nm == units.inches("13 21/64")  # 13 1/3 in is 13 21.33/64

    def test_of_a_metric_design_are_rounded_to_a_tenth_of_a_millimetre(self):
        metric = stool(
            ('units = "inch"', 'units = "metric"'),
            ('"60", low = "20", high = "96"', '"1500", low = "500", high = "2400"'),
            ('"30", low = "10", high = "40"', '"750", low = "200", high = "1000"'),
            ('thick = "2"', 'thick = "inch(2)"'),
            ('thickness = "1 1/4"', 'thickness = "32"'),
            ('thickness = "3/4"', 'thickness = "18"'),
            ('across = "3/4"', 'across = "20"'),
        )
        top, _ = make_parts(metric, {"length": units.mm(1000)})
        assert (top.length_nm, top.thickness_nm) == (units.mm(1000), units.mm("50.8"))
        *_, stretcher = make_parts(metric, {"length": units.mm(1000), "stretcher": True})
        assert stretcher.length_nm == units.mm("333.3")

    def test_of_one_strip_are_solid_whichever_way_it_was_to_be_glued(self):
        top, _ = make_parts(stool(('along = "width"', 'along = "width"\nstrips = "1"')), {})
        assert (top.strips, top.along) == (1, Along.NONE)


class TestReading:
    def test_gives_what_the_text_says(self):
        design = stool()
        assert (design.word, design.title, design.system) == ("stool", "Stool", units.System.INCH)
        assert [p.kind for p in design.parameters] == [
            Kind.WOOD,
            Kind.LENGTH,
            Kind.LENGTH,
            Kind.COUNT,
            Kind.YES_NO,
            Kind.CHOICE,
        ]
        assert design.defaults == {
            "wood": "",
            "length": 60 * IN,
            "height": 30 * IN,
            "legs": 2,
            "stretcher": False,
            "panel": "3/4 plywood",
        }

    def test_takes_lines_as_any_system_ends_them(self):
        assert read_design(STOOL.replace("\n", "\r\n")) == stool()

    @pytest.mark.parametrize(
        ("old", "new", "message"),
        [
            ('thickness = "thick"', 'thickness = "thik"', "did you mean thick"),
            ('qty = "legs"', 'qty = "legs +"', "expected a formula"),
            ('along = "width"', 'along = "up"', "side by side"),
            ('stock = "{panel}"', 'stock = "{legs}"', "a wood or a choice: panel, wood"),
            ('label = "Legs"\n', 'label = ""\n', "a label"),
            ('label = "Legs"\n', 'label = "TOP"\n', "already on line"),
            ('width = "4"', 'width = ""', "a number or a formula"),
            ('width = "4"', "width = true", "a formula in quotes"),
            ('length = "length/3"', 'longth = "3"', "not known here"),
            ("hole = ", "holle = ", "no feature called"),
            ('as = "thickness width length"', 'as = "thickness width"', "what runs along x, y and z"),
            ('up = "leg | height"', 'up = "leg"', "from | to"),
            ('view = "front"', 'view = "left"', '"front", "side" or "top"'),
            ('kind = "count"', 'kind = "counts"', "length, count, choice"),
            ('default = "60"', 'default = "600"', "20 in to 96 in"),
            ('default = "60"', 'default = "sixty"', "expected"),
            ('low = "20", high = "96"', 'low = "20"', "a high end"),
            ('low = "20", high = "96"', 'low = "70", high = "20"', "not under it"),
            ('options = ["3/4 plywood", "3/4 MDF"]', 'options = ["one"]', "2 to 30 options"),
            ('thick = "2"', 'length = "2"', "a parameter already"),
            ('thick = "2"', 'n = "2"', "lower-case letters"),
            ('word = "stool"', 'word = "Our Stool"', "lower-case letters"),
            ('word = "stool"', 'word = "new"', "not new or take"),
            ('title = "Stool"', "title = 3", "a text in quotes"),
            ('units = "inch"', 'units = "feet"', "“inch” or “metric”"),
            ("bench design 1", "bench design 2", "not a design of ours"),
            ('qty = 1\nthickness = "3/4"', 'qty = 1\nstrips = "2"\nthickness = "3/4"', "which way they add up"),
        ],
    )
    def test_names_the_bad_cell_and_its_line(self, old, new, message):
        text = STOOL.replace(old, new, 1)
        found = problems(text)
        assert any(re.search(re.escape(message), told) for told in found.values()), found
        changed = 1 + next(
            i for i, (a, b) in enumerate(zip(STOOL.splitlines(), text.splitlines(), strict=False)) if a != b
        )
        assert any(abs(line - changed) <= 2 for line, _ in found), found

    def test_collects_every_bad_cell(self):
        text = STOOL.replace('"thick"', '"thik"').replace('"{wood}"', '"{wod}"').replace("units = ", "unit = ")
        assert len(problems(text)) >= 4

    def test_two_parts_without_a_label_are_each_asked_for_one(self):
        text = STOOL.replace('label = "Legs"\n', "").replace('label = "Top"\n', "")
        asked = [told for told in problems(text).values() if "what the maker calls this piece" in told]
        assert len(asked) == 2

    def test_tells_a_circle_once_by_its_way_round(self):
        text = STOOL.replace('thick = "2"', 'thick = "leg/10"')
        (found,) = problems(text).items()
        assert found[0] == (line_of('thick = "2"'), "worked thick")
        assert "thick → leg → thick" in found[1]

    def test_tells_a_name_that_stands_on_itself(self):
        (message,) = problems(STOOL.replace('thick = "2"', 'thick = "thick + 1"')).values()
        assert "thick → thick" in message

    @pytest.mark.parametrize("text", ["", "[[parts", "format = ", "x" * (LARGEST + 1), "\x00", "a = " + "[" * 3000])
    def test_refuses_what_is_no_design(self, text):
        assert problems(text)

    @given(st.text(alphabet='[]{}="\n abfloruwx|0', max_size=60))
    def test_reads_or_refuses_whatever_is_put_into_it(self, noise):
        found = read_or_refused(STOOL.replace('thick = "2"', f'thick = "2"\n{noise}'))
        assert all(problem.line >= 1 and problem.message for problem in found)


class TestChoices:
    def test_are_completed_with_the_defaults(self):
        assert complete(stool(), {"legs": 3})["length"] == 60 * IN

    @pytest.mark.parametrize(
        ("chosen", "expected"),
        [
            ({"length": 97 * IN}, "20 in to 96 in"),
            ({"length": 19 * IN}, "20 in to 96 in"),
            ({"legs": 5}, "0 to 4"),
            ({"legs": True}, "0 to 4"),
            ({"stretcher": 1}, "yes or no"),
            ({"panel": "oak"}, "3/4 plywood, 3/4 MDF"),
            ({"wood": "<b>"}, "the name of a wood"),
            ({"breadth": 3}, "wood, length, height"),
        ],
    )
    def test_outside_the_limits_are_refused_with_the_limits(self, chosen, expected):
        with pytest.raises(BadInput, match=expected):
            make(stool(), chosen)

    def test_are_told_in_the_units_asked_for(self):
        with pytest.raises(BadInput, match="508 mm to 2438"):
            complete(stool(), {"length": 97 * IN}, units.System.METRIC)

    def test_a_default_outside_its_own_limits_is_refused(self):
        with pytest.raises(BadInput, match="1 to 2"):
            Parameter("legs", "Legs", Kind.COUNT, default=3, low=1, high=2)


class TestWhatCannotBeBuilt:
    def test_a_negative_length_names_its_cell_and_what_would_do(self):
        design = stool(('leg = "height - thick"', 'leg = "height - 15"'))
        (problem,) = made_problems(design, height=14 * IN)
        assert (problem.line, problem.column) == (line_of('length = "leg"'), "Legs, length")
        assert "comes to −1, expected a size from 1/16 to 480 in" in problem.message
        assert "Height 15¼ in would do" in problem.message

    def test_what_it_says_would_do_does(self):
        design = stool(('leg = "height - thick"', 'leg = "height - 15"'))
        assert make_parts(design, {"height": units.inches("15 1/4")})

    def test_a_division_by_nought_names_the_cell_it_stands_in_not_those_that_follow(self):
        design = stool(('thick = "2"', 'thick = "6/legs"'))
        (problem,) = made_problems(design, legs=0)
        assert (problem.line, problem.column) == (line_of('thick = "2"'), "worked thick")
        assert "divide by nought" in problem.message
        assert "Legs 1 would do" in problem.message

    @pytest.mark.parametrize("quantity", ["legs + 1/2", "legs - 3", "legs * 10000"])
    def test_a_quantity_that_is_no_count_is_refused(self, quantity):
        (problem,) = made_problems(stool(('qty = "legs"', f'qty = "{quantity}"')))
        assert problem.column == "Legs, qty"
        assert "a whole number" in problem.message

    def test_where_no_choice_would_do_the_formula_is_to_be_mended(self):
        (problem,) = made_problems(stool(('width = "4"', 'width = "0 - 4"')), stretcher=True)
        assert "mend the formula" in problem.message
        design = stool(('width = "4"', 'width = "0 - length"'))
        assert "no Length within its limits" in made_problems(design, stretcher=True)[0].message

    def test_pieces_without_a_place_are_told(self):
        design = stool(('x = "4 + n*(length - 9.25)"', 'x = "4 | length - 5"'))
        assert make(design, {"legs": 2}).boxes
        (problem,) = made_problems(design, legs=3)
        assert "3 pieces and 2 places" in problem.message

    def test_a_design_of_nothing_is_told(self):
        design = stool(('label = "Top"\nqty = 1', 'label = "Top"\nqty = 0'))
        (problem,) = made_problems(design, legs=0)
        assert "none is built" in problem.message

    def test_every_bad_cell_is_told_at_once(self):
        design = stool(('width = "12"', 'width = "0 - 12"'), ('thickness = "1 1/4"', 'thickness = "0"'))
        assert [problem.column for problem in made_problems(design)] == ["Top, width", "Legs, thickness"]


class TestShipped:
    def test_there_are_at_least_four_each_headed_by_how_it_is_written(self):
        texts = [path.read_text(encoding="utf-8") for path in (folder("shared") / "designs").glob("*.toml")]
        assert len(texts) == len(WORDS) >= 4
        assert all(text.startswith(GUIDE) for text in texts)

    @pytest.mark.parametrize("word", WORDS)
    @pytest.mark.parametrize("end", ["low", "default", "high"])
    @pytest.mark.parametrize("wood", ["", "sugar maple"])
    def test_at_its_ends_reconciles(self, word, end, wood):
        design = shipped()[word]
        check_reconciles(design, {**(at_end(design, end) if end != "default" else {}), "wood": wood})

    @pytest.mark.parametrize("word", WORDS)
    @settings(max_examples=25)
    @given(data=st.data())
    def test_anywhere_between_reconciles(self, word, data):
        design = shipped()[word]
        check_reconciles(design, data.draw(choices(design, ("", *woods(start_shop())))))

    @pytest.mark.parametrize("word", WORDS)
    def test_its_volume_is_that_of_its_pieces_as_boxes(self, word):
        made = make(shipped()[word], {})
        drawn = {box.label for box in made.boxes}
        boxes = sum(units.cubic_metres(box.size_nm[0] * box.size_nm[1] * box.size_nm[2]) for box in made.boxes)
        listed = sum(units.cubic_metres(p.volume_nm3) * p.quantity for p in made.parts if p.label in drawn)
        assert boxes == pytest.approx(listed, rel=1e-12)

    def test_the_slab_bench_by_hand(self):
        """72 × 24 × 34 in, top 3¼, legs 5 × 3½, overhang 9, stretchers 2¼ × 4½, one vise jaw."""
        volume = sum(
            (
                Fraction(13, 4) * 24 * 72,
                4 * Fraction(7, 2) * 5 * (34 - Fraction(13, 4) + 1),
                2 * Fraction(9, 4) * Fraction(9, 2) * (72 - 2 * 9 - 2 * 5 + 5),
                2 * Fraction(9, 4) * Fraction(9, 2) * (24 - Fraction(7, 2)),
                Fraction(3, 4) * (24 - Fraction(7, 2) + Fraction(9, 4)) * (72 - 2 * 9 - 2 * 5),
                Fraction(7, 4) * 6 * 31,
            )
        )
        parts = make_parts(shipped()["slab-bench"], {})
        assert sum(Fraction(p.volume_nm3 * p.quantity, IN**3) for p in parts) == volume
        assert parts[0].count("hole") == 11  # 4 in from the left end, then every 6 in: (72 − 8) ÷ 6, and the first


BOOK = start_shop().book()
RULES = start_shop().rules(Work()).milling


def check_reconciles(design, chosen):
    """Parts from the starting stock, blanks that hold them, mortises for tenons, the whole inside its outer sizes."""
    made = make(design, chosen)
    for milled in mill_all(made.parts, BOOK, RULES):
        part = milled.part
        check_blanks_hold(milled)
        assert milled.pieces == part.quantity
        assert milled.blanks * milled.pieces_per_blank >= part.quantity * milled.strips
    check_joints_meet(made.parts)
    check_inside(made)


def check_blanks_hold(milled):
    """A blank is at least the piece; strips together at least what they add up to; the board at least the blank."""
    part, stock = milled.part, milled.stock
    if isinstance(stock, Sheet):
        assert {milled.blank_width_nm, milled.blank_length_nm} == {part.width_nm, part.length_nm}
        assert milled.blank_width_nm <= stock.width_nm
        assert milled.blank_length_nm <= stock.length_nm
        return
    across = part.width_nm if part.along is Along.WIDTH else part.thickness_nm
    assert milled.strips * milled.strip_across_nm >= across
    assert milled.blank_width_nm >= (part.thickness_nm if part.along is Along.WIDTH else part.width_nm)
    assert milled.blank_length_nm >= part.length_nm * milled.pieces_per_blank
    assert milled.rough_thickness_nm <= stock.thickness_nm
    assert isinstance(stock, Dimensional | Rough)


def check_joints_meet(parts):
    """A tenon for every mortise."""
    tenons, mortises = (sum(p.quantity * p.count(word) for p in parts) for word in ("tenon", "mortise"))
    assert tenons == mortises


def check_inside(made):
    """Every piece inside the stated outer sizes, to the 1/32 in that a rounded place and a rounded size can add up to."""
    slack = units.inches("1/32")
    assert made.boxes
    for box in made.boxes:
        for corner, size, outer in zip(box.corner_nm, box.size_nm, made.outer_nm, strict=True):
            assert corner >= -slack
            assert corner + size <= outer + slack
    for hole in made.holes:
        assert 0 < hole.x_nm < made.outer_nm[0]
        assert 0 < hole.y_nm < made.outer_nm[1]
