"""A part list as boxes and back: what a box shows is the very same part again."""

from hypothesis import given
from hypothesis import strategies as st
from journal import reference, units
from journal.build.part_list import read
from journal.build.parts import LONGEST_NM, SMALLEST_NM, Along, Faces, Feature, Part
from journal.web.projects import part_cells as cells
from werkzeug.datastructures import MultiDict

systems = st.sampled_from(units.System)
lengths_nm = st.integers(SMALLEST_NM, LONGEST_NM)
words = st.text("abcdefghij klm'&<>½é", min_size=1, max_size=20).map(lambda text: " ".join(f"p{text}".split()))
faces = st.builds(Faces, *[st.integers(0, 2)] * 3)


def features():
    known = reference.features()
    counted = st.sampled_from([w for w, f in known.items() if f.counted_by != "length"])
    along = st.sampled_from([w for w, f in known.items() if f.counted_by == "length"])
    one = st.one_of(
        st.builds(Feature, counted, count=st.integers(1, 999)), st.builds(Feature, along, length_nm=lengths_nm)
    )
    return st.lists(one, max_size=3, unique_by=lambda feature: feature.word).map(tuple)


@st.composite
def parts(draw):
    strips = draw(st.integers(0, 40))
    along = Along.NONE if strips == 1 else draw(st.sampled_from([Along.WIDTH, Along.THICKNESS]))
    sizes = {name: draw(lengths_nm) for name in ("thickness_nm", "width_nm", "length_nm")}
    return Part(
        label=draw(words), quantity=draw(st.integers(1, 10_000)), **sizes, stock=draw(st.sampled_from(["", "2x8 fir"])),
        strips=strips, along=along, faces=draw(faces), features=draw(features()), note=draw(words),
        uid=draw(st.text("0123456789abcdef", min_size=32, max_size=32)),
    )  # fmt: skip


part_lists = st.lists(parts(), min_size=1, max_size=4, unique_by=(lambda p: p.label.casefold(), lambda p: p.uid))


def sent(rows):
    """What a browser sends of rows."""
    pairs = [("row", str(row.number)) for row in rows]
    pairs += [(f"uid-{row.number}", row.uid) for row in rows]
    pairs += [(f"{cell.key}-{row.number}", cell.value) for row in rows for cell in row.cells]
    return MultiDict(pairs)


@given(part_lists, systems)
def test_boxes_sent_again_unchanged_are_the_same_parts(listed, system):
    typed = cells.read_rows(cells.rows_sent(sent(cells.rows_of(listed, system)), system), system)
    assert typed.parts == tuple(listed)
    assert not typed.refused


@given(part_lists, systems)
def test_the_file_reads_back_as_the_same_parts_in_any_shop(listed, system):
    text = cells.as_csv(listed, system)
    for other in units.System:
        taken = read(text, system=other).taken()
        sizes = [(p.label, p.quantity, p.thickness_nm, p.width_nm, p.length_nm, p.strips, p.along) for p in taken]
        assert sizes == [
            (p.label, p.quantity, p.thickness_nm, p.width_nm, p.length_nm, p.strips, p.along) for p in listed
        ]


def test_sizes_are_shown_as_a_shop_writes_them():
    inch, metric = units.System.INCH, units.System.METRIC
    assert cells.size_text(units.inches("3 1/4"), inch) == "3¼"
    assert cells.size_text(units.inches("1 27/64"), inch) == "1 27/64"
    assert cells.size_text(units.mm(45), inch) == "45 mm"
    assert cells.size_text(units.mm(45), metric) == "45"
    assert cells.size_text(units.inches("1/16"), metric) == "1.5875 mm"


def test_each_bad_box_is_named_where_it_stands_and_no_part_is_taken():
    good = cells.rows_of([Part("Leg", 4, *[units.inches(3)] * 3)], units.System.INCH)
    form = sent(good) | {"row": "0"}
    form = MultiDict([*sent(good).items(multi=True), ("row", "1"), ("label-1", "Rail"), ("thickness-1", "thick")])
    typed = cells.read_rows(cells.rows_sent(form, units.System.INCH), units.System.INCH)
    assert typed.refused
    assert typed.parts == ()
    wrong = {cell.key: cell.errors for cell in typed.rows[1].cells if cell.errors}
    assert set(wrong) == {"thickness", "width", "length"}
    assert "“thick”" in wrong["thickness"][0]
    assert not any(cell.errors for cell in typed.rows[0].cells)


def test_a_blank_row_and_a_ticked_one_are_no_parts():
    rows = cells.rows_of(
        [Part("Leg", 4, *[units.inches(3)] * 3), Part("Rail", 2, *[units.inches(2)] * 3)], units.System.INCH
    )
    form = MultiDict([*sent(rows).items(multi=True), ("remove-0", "1"), ("row", "2"), ("label-2", "  ")])
    typed = cells.read_rows(cells.rows_sent(form, units.System.INCH), units.System.INCH)
    assert [part.label for part in typed.parts] == ["Rail"]


def test_an_identity_that_was_tampered_with_is_a_new_part():
    rows = cells.rows_of([Part("Leg", 4, *[units.inches(3)] * 3, uid="' or 1=1")], units.System.INCH)
    assert cells.read_rows(cells.rows_sent(sent(rows), units.System.INCH), units.System.INCH).parts[0].uid == ""


def test_the_history_says_what_changed():
    leg = Part("Leg", 4, *[units.inches(3)] * 3, uid="a" * 32)
    rail = Part("Rail", 2, *[units.inches(2)] * 3, uid="b" * 32)
    longer = Part("Leg", 4, units.inches(3), units.inches(3), units.inches(4), uid="a" * 32)
    shelf = Part("Shelf", 1, *[units.inches(1)] * 3)
    assert cells.what_changed([leg, rail], [longer, shelf]) == "Leg changed; Shelf added; Rail removed"
    assert cells.what_changed([leg, rail], [rail, leg]) == "put in another order"


@given(st.dictionaries(st.sampled_from([f"{key}-0" for key in cells.HEADINGS]), st.text(max_size=30)), systems)
def test_whatever_is_typed_is_taken_or_named_and_stays_as_typed(typed, system):
    rows = cells.rows_sent(MultiDict({"row": "0", **typed}), system)
    found = cells.read_rows(rows, system)
    assert found.refused or len(found.parts) == (0 if rows[0].blank else 1)
    assert [cell.value for row in found.rows for cell in row.cells] == [
        cell.value for row in rows for cell in row.cells
    ]
