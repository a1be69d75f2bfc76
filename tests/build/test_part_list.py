"""Part lists as people keep them: what is understood, and every refusal with its place."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal import units
from journal.build.part_list import (
    LARGEST_BYTES,
    MOST_COLUMNS,
    MOST_ROWS,
    likely_along,
    parse_along,
    parse_strips,
    read,
)
from journal.build.parts import Along, Faces, Feature
from journal.errors import BadInput, BadRows
from journal.units import System
from tests.build.benches import part
from tests.strategies import typed_text

PLAIN = "label,qty,thickness,width,length\nleg,4,1 1/2,3,30\n"


def only(text, **options):
    (found,) = read(text, **options).taken()
    return found


def refused(text, **options):
    reading = read(text, **options)
    assert reading.problems
    with pytest.raises(BadRows):
        reading.taken()
    return [(problem.line, problem.column) for problem in reading.problems]


def test_a_plain_list_is_taken_whole():
    leg = only(PLAIN)
    assert (leg.label, leg.quantity) == ("leg", 4)
    sizes = [units.inches(size) for size in ("1 1/2", "3", "30")]
    assert [leg.thickness_nm, leg.width_nm, leg.length_nm] == sizes
    assert (leg.strips, leg.along, leg.faces, leg.features, leg.stock) == (1, Along.NONE, Faces(), (), "")


@pytest.mark.parametrize(
    ("column", "headings"),
    {
        "label": ("Part", "NAME", "piece", "Item", "Description"),
        "qty": ("Qty", "Qty.", "Quantity", "count", "Pieces", "Pcs", "#", "How many"),
        "thickness": ("Thick", "T", "thk", "Thickness (in)", "thickness_in", "Thickness [inches]"),
        "width": ("Wide", "W", "wd.", 'Width "', "Width in"),
        "length": ("Long", "L", "len", "Length (inches)"),
        "stock": ("Material", "Wood", "Made from", "Species", "lumber"),
        "faces": ("Faces finished", "finish", "Sides"),
        "note": ("Notes", "Remark", "comment"),
    }.items(),
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_headings_in_people_s_own_words(column, headings):
    cells = {"label": "rail", "qty": "2", "thickness": "1", "width": "3", "length": "40"}
    cells |= {column: cells.get(column, {"stock": "2x8", "faces": "top", "note": "left"}.get(column))}
    usual = only(f"{','.join(cells)}\n{','.join(cells.values())}")
    for heading in headings:
        renamed = [f'"{heading.replace(chr(34), chr(34) * 2)}"' if name == column else name for name in cells]
        assert only(f"{','.join(renamed)}\n{','.join(cells.values())}") == usual


@pytest.mark.parametrize(
    ("heading", "inches"),
    [
        ("length", 50),
        ("length (in)", 50),
        ("length (mm)", 50 / 25.4),
        ("length_mm", 50 / 25.4),
        ("length mm", 50 / 25.4),
        ("length (cm)", 500 / 25.4),
        ("length (m)", 50_000 / 25.4),
        ("length (ft)", None),
        ("length'", None),
        ("length in feet", None),
    ],
)
def test_a_unit_in_a_heading_holds_for_the_bare_numbers_under_it(heading, inches):
    if inches is None:
        text, inches = "5", 60
    elif heading.endswith("(m)"):
        text, inches = "5", 5000 / 25.4
    else:
        text = "50"
    found = only(f"label,t,w,{heading}\nrail,1,3,{text}")
    assert found.length_nm == pytest.approx(inches * units.NM_PER_INCH, abs=1)


def test_a_unit_in_a_cell_overrules_its_heading():
    assert only("label,t,w,length (ft)\nrail,1,3,40 in").length_nm == units.inches(40)
    assert only('label,t,w,length (ft)\nrail,1,3,"5\' 6"""').length_nm == units.inches(66)
    assert only("label,t (mm),w,l\nrail,1 in,3,40").thickness_nm == units.inches(1)


def test_units_may_be_mixed_in_one_list():
    found = only("label;t;w;l\nrail;20 mm;3 1/2;1,943 m")
    assert (found.thickness_nm, found.width_nm, found.length_nm) == (
        units.mm(20),
        units.inches("3 1/2"),
        units.mm(1943),
    )


def test_bare_numbers_are_millimetres_in_a_metric_shop():
    assert only("label,t,w,l\nrail,20,80,900", system=System.METRIC).length_nm == units.mm(900)


@pytest.mark.parametrize("delimiter", [",", "\t", ";", "|"])
@pytest.mark.parametrize("newline", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le-mark"])
def test_delimiters_newlines_and_encodings_of_every_system(delimiter, newline, encoding):
    text = PLAIN.replace("1 1/2", "1½").replace(",", delimiter).replace("\n", newline)
    content = b"\xff\xfe" + text.encode("utf-16-le") if encoding == "utf-16-le-mark" else text.encode(encoding)
    assert only(content) == only(PLAIN)


def test_a_mark_at_the_start_of_pasted_text_is_not_part_of_the_first_heading():
    assert only("\ufeff" + PLAIN) == only(PLAIN)


def test_quotes_hold_separators_newlines_and_quotes():
    found = only('label,t,w,l,note\n"leg, left",1,3,30,"a ""good"" one\nand long"')
    assert found.label == "leg, left"
    assert found.note == 'a "good" one\nand long'


def test_a_problem_names_the_line_a_row_starts_on():
    text = 'label,t,w,l,note\nleg,1,3,30,"two\nlines"\n\nrail,x,3,30,"three\nmore\nlines"\n'
    assert refused(text) == [(5, "t")]


def test_blank_rows_and_blank_columns_are_passed_over():
    assert only("\n\nlabel,,t,w,l,\n,,,,,\nleg,,1,3,30,\n\n") == only("label,t,w,l\nleg,1,3,30")


def test_every_bad_cell_is_named_by_line_and_column_and_nothing_is_taken():
    text = (
        "Part,Qty,Thick,Wide,Long,Strips,Along,Faces,Features\n"
        "leg,4,1,3,30,,,,\n"
        ",1,1,3,30,,,,\n"
        "a,two,1,3,30,,,,\n"
        "b,1,1/0,3,30,,,,\n"
        "c,1,1,-3,30,,,,\n"
        "d,1,1,3,,,,,\n"
        "e,1,1,3,30,many,,,\n"
        "f,1,1,3,30,3,up,,\n"
        "g,1,1,3,30,,,back,\n"
        "h,1,1,3,30,,,,3 rivets\n"
        "i,0,1,3,30,,,,\n"
        "j,1,1,3,50 ft,,,,\n"
        "k,x,x,x,x,,,,\n"
    )
    assert refused(text) == [
        (3, "label"), (4, "Qty"), (5, "Thick"), (6, "Wide"), (7, "length"), (8, "Strips"), (9, "Along"), (10, "Faces"),
        (11, "Features"), (12, "qty"), (13, "length"), (14, "Qty"), (14, "Thick"), (14, "Wide"), (14, "Long"),
    ]  # fmt: skip
    with pytest.raises(BadRows, match=r"line 5, Thick: .*1/0"):
        read(text).taken()


def test_two_parts_of_one_name_are_refused_whatever_their_letters():
    text = "label,t,w,l\nleg,1,3,30\nrail,1,3,40\nLEG,1,3,31"
    assert refused(text) == [(4, "label")]
    assert "line 2" in read(text).problems[0].message


@pytest.mark.parametrize("cell", ["=1+1", "+2", "@SUM(A1)", "-A1", "=cmd|' /C calc'!A0"])
def test_a_cell_that_a_spreadsheet_would_run_is_refused_once(cell):
    assert refused(f'label,thk,w,l\nleg,"{cell}",3,30') == [(2, "thk")]
    assert refused(f'label,t,w,l\n"{cell}",1,3,30') == [(2, "label")]


def test_a_lone_dash_is_no_formula():
    assert only("label,t,w,l,faces,note\nleg,1,3,30,-,-").faces == Faces(0, 0, 0)


def test_more_cells_than_headings_are_refused_with_the_way_out():
    assert refused("label,t,w,l\nleg,1,3,30,oak, white") == [(2, "")]
    assert "quotes" in read("label,t,w,l\nleg,1,3,30,oak, white").problems[0].message


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("label,t,w\nleg,1,3", (1, "length")),
        ("label,t,w,l,colour\nleg,1,3,30,red", (1, "colour")),
        ("label,part,t,w,l\nleg,leg,1,3,30", (1, "label")),
        ("label,t,w,l\n", (1, "")),
        ("label\nleg", (1, "")),
        ("leg 1 3 30", (1, "")),
        ("", (1, "")),
        (" \n\n", (1, "")),
        ("\ufeff", (1, "")),
        (b"\xef\xbb\xbf\xef\xbb\xbf", (1, "")),
        (",,,\n,,", (1, "")),
        (b"\xff\xfe\x00", (1, "")),
        (b"label,t,w,l\nl\xe9g,1,3,30", (1, "")),
        (b"PK\x03\x04\x00\x00label,t", (1, "")),
        ("label,t,w,l\nleg,1,3," + "9" * 200_000, (1, "")),
        ("x," * (MOST_COLUMNS + 1), (1, "")),
        ("label,t,w,l\n" + "leg,1,3,30\n" * (MOST_ROWS + 1), (1, "")),
    ],
)
def test_what_is_no_part_list_is_refused_at_its_first_line(text, place):
    assert place in refused(text)


def test_a_comma_list_read_by_the_separator_its_headings_use():
    # Semicolons in a cell do not make a comma list a semicolon list; headings decide.
    assert only("label,t,w,l,note\nleg,1,3,30,a;b;c;d;e;f;g").note == "a;b;c;d;e;f;g"
    assert refused("label;t;w;l\nleg,1,3,30") == [(2, "thickness"), (2, "width"), (2, "length")]


@pytest.mark.parametrize("noise", [b"\x00\xff" * 5_000_000, b"a,b\n" * 2_500_000, "é" * 5_000_000])
def test_ten_megabytes_of_noise_are_refused_unread(noise):
    (problem,) = read(noise).problems
    assert f"{LARGEST_BYTES:,}" in problem.message


@pytest.mark.parametrize(
    "text",
    [
        "label,t,w,l,features\n" + "\n".join(f"a{row},1,2,3,{'q ' * 450}" for row in range(1000)),
        "label,t,w,l,note\n" + ",,,,x\n" * MOST_ROWS,
        "label,t,w,l,features\nx,1,2,3," + "a " * 990,
    ],
    ids=["long cells", "empty rows", "one endless name"],
)
def test_a_list_made_to_be_slow_is_answered(text):
    # Each of these once took tens of seconds; a hundredth of that is plenty, and the whole run has a limit of its own.
    assert len(read(text).problems) >= 1


def test_features_stand_in_a_column_of_their_own_or_in_one_for_all():
    found = only("label,t,w,l,holes,groove (mm),features\nrail,1,3,30,12,600,8 screws")
    assert set(found.features) == {Feature("hole", 12), Feature("groove", length_nm=units.mm(600)), Feature("screw", 8)}


@pytest.mark.parametrize("nothing", ["0", "-", "–", "none", "No", ""])
def test_no_features_are_said_in_many_ways(nothing):
    assert only(f"label,t,w,l,holes,features\nrail,1,3,30,{nothing},{nothing}").features == ()


@pytest.mark.parametrize(
    ("cell", "strips"),
    [
        ("16", (16, None)),
        ("16.0", (16, None)),
        ("16 along width", (16, Along.WIDTH)),
        ("3 along thickness", (3, Along.THICKNESS)),
        ("3 thickness", (3, Along.THICKNESS)),
        ("auto", (0, None)),
        ("AUTO width", (0, Along.WIDTH)),
        ("1", (1, None)),
        ("0", (1, None)),
    ],
)
def test_strips_are_a_number_perhaps_with_their_direction(cell, strips):
    assert parse_strips(cell) == strips


@pytest.mark.parametrize("cell", ["many", "-3", "3 strips up", "1.5", "16,5", "", "1234567", "3 ??", "2/3"])
def test_other_strips_are_refused(cell):
    with pytest.raises(BadInput) as refused:
        parse_strips(cell)
    assert refused.value.field == ("strips" if not cell.startswith("3 ") else "along")


@pytest.mark.parametrize("text", ["up", "2", "??", "w1de"])
def test_another_word_for_a_direction_is_refused(text):
    with pytest.raises(BadInput, match="side by side"):
        parse_along(text)


@pytest.mark.parametrize(
    ("text", "along"),
    [
        ("width", Along.WIDTH),
        ("Side by side", Along.WIDTH),
        ("on edge", Along.WIDTH),
        ("along the width", Along.WIDTH),
        ("thickness", Along.THICKNESS),
        ("face-to-face", Along.THICKNESS),
        ("along the thickness", Along.THICKNESS),
        ("none", None),
        ("-", None),
        ("", None),
    ],
)
def test_along_which_dimension_in_people_s_words(text, along):
    assert parse_along(text) == along


def test_strips_without_a_direction_get_the_likelier_one_and_it_is_said():
    reading = read("label,t,w,l,strips\ntop,3,24,96,18\nleg,3 3/4,3,34,3\n")
    top, leg = reading.taken()
    assert (top.along, leg.along) == (Along.WIDTH, Along.THICKNESS)
    assert [note.split(":")[0] for note in reading.notes] == ["line 2", "line 3"]


def test_a_direction_without_strips_has_them_worked_out():
    assert (only("label,t,w,l,along\ntop,3,24,96,width").strips, only("label,t,w,l\ntop,3,24,96").strips) == (0, 1)


def test_no_direction_gives_a_likely_strip():
    # Common practice: strips of construction lumber end near 1 3/8 in; nothing from 3/8 to 3 in thick is likely here.
    with pytest.raises(BadInput, match="along width"):
        likely_along(part(thickness="1", width="2", length=30), 200)
    assert refused("label,t,w,l,strips\ntop,1,2,96,200") == [(2, "strips")]
    assert likely_along(part(thickness="3", width="24", length=96), 0) is Along.WIDTH
    assert likely_along(part(thickness="4", width="3", length=30), 0) is Along.THICKNESS


@given(st.one_of(st.text(), st.binary(), typed_text()))
def test_anything_whatever_is_read_or_refused(content):
    reading = read(content)
    assert reading.parts or reading.problems


CELLS = st.one_of(typed_text(), st.sampled_from(["1", "3 1/2", "leg", "12 holes", "auto", "=A1", "all", "", "width"]))


@given(st.lists(st.lists(CELLS, min_size=4, max_size=11), min_size=1, max_size=6))
def test_any_cells_under_good_headings_are_read_or_refused_at_their_line(rows):
    heading = "label\tqty\tthickness\twidth\tlength\tstock\tstrips\talong\tfaces\tfeatures\tnote"
    clean = ["\t".join(" ".join(cell.split()).replace('"', "") for cell in row) for row in rows]
    reading = read("\n".join([heading, *clean]))
    assert reading.parts or reading.problems
    assert all(1 <= problem.line <= len(rows) + 1 and problem.message for problem in reading.problems)


@given(
    st.lists(
        st.tuples(st.integers(1, 999), st.integers(4, 300), st.integers(4, 2000), st.integers(4, 6000)),
        min_size=1,
        max_size=20,
    ),
    st.sampled_from([",", "\t", ";"]),
)
def test_a_good_list_is_read_back_exactly(rows, delimiter):
    lines = [["label", "qty", "t", "w", "l"], *([f"part {n}", *map(str, row)] for n, row in enumerate(rows))]
    found = read("\n".join(delimiter.join(line) for line in lines), system=System.METRIC).taken()
    sizes = [(p.quantity, p.thickness_nm, p.width_nm, p.length_nm) for p in found]
    assert sizes == [(qty, units.mm(t), units.mm(w), units.mm(length)) for qty, t, w, length in rows]


def test_a_list_without_headings_is_told_so_once():
    reading = read("Leg,4,3 1/2,5,31,2x6 fir\nTop,1,3,24,72,2x8 fir\n")
    (problem,) = reading.problems
    assert "headings above it" in problem.message


@pytest.mark.parametrize("cell", ["16 strips", "16 boards along width", "16 strips along width", "16"])
def test_strips_may_say_what_they_are(cell):
    head = "label,thickness,width,length,strips\n"
    (part,) = read(head + f"Top,3,22,72,{cell}\n").taken()
    assert (part.strips, part.along) == (16, Along.WIDTH)


def test_a_note_that_mentions_what_nobody_counted_is_pointed_out():
    head = "label,thickness,width,length,features,note\n"
    reading = read(head + "Chop,1,6,24,,1 vise here\nLeg,3,5,31,2 mortises,mortises by hand\n")
    (note,) = reading.notes
    assert "“vise”" in note
