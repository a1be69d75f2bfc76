"""Operations of the shop's own: what is taken, what is refused, and what they change in a book (nothing)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.errors import BadInput
from journal.pace import own
from journal.pace.model import BookPace
from journal.pace.own import OwnWork, Typed, with_own

BOOK = {
    "sand": BookPace("sand", "finishing", 10, 1.2, "Sand", "ft2·grit"),
    "bore": BookPace("bore", "joinery", 15, 4.5, "Drill dog holes", "hole"),
}
STAGES = {"finishing": "Finishing", "joinery": "Joinery"}
MARK = Typed("Burn in the mark", "finishing", "marks burnt", "mark", 5, 3)


def work(**changed):
    return Typed(**{name: getattr(MARK, name) for name in MARK.__dataclass_fields__} | changed).work(BOOK, STAGES)


def test_it_gets_a_code_of_its_own_and_keeps_what_was_typed():
    assert work() == OwnWork("own_burn_in_the_mark", "finishing", "Burn in the mark", "marks burnt", "mark", 5, 3)


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"name": "  "}, "name"),
        ({"name": "SAND"}, "name"),
        ({"name": "drill-dog holes"}, "name"),
        ({"name": "Finishing"}, "name"),
        ({"name": "x" * 61}, "name"),
        ({"stage": "painting"}, "stage"),
        ({"driver": ""}, "driver"),
        ({"unit": ""}, "unit"),
        ({"unit": "3 marks"}, "unit"),
        ({"unit": "m" * 21}, "unit"),
        ({"unit": "=SUM(A1)"}, "unit"),
        ({"pace_minutes": 0.0}, "pace"),
        ({"pace_minutes": float("nan")}, "pace"),
        ({"pace_minutes": 3601.0}, "pace"),
        ({"setup_minutes": -1.0}, "setup"),
        ({"setup_minutes": float("inf")}, "setup"),
    ],
)
def test_what_cannot_be_taken_is_refused_by_its_box(changed, field):
    with pytest.raises(BadInput) as refused:
        work(**changed)
    assert refused.value.field == field


def test_the_same_work_in_another_unit_is_told_what_it_is_counted_in():
    book = with_own(BOOK, [work()])
    with pytest.raises(BadInput, match="there already, counted in mark"):
        Typed("burn in  the Mark", "finishing", "length burnt", "ft", 0, 1).work(book, STAGES)


def test_two_names_that_make_one_code_are_one_operation():
    book = with_own(BOOK, [work(name="Inlay, fine")])
    with pytest.raises(BadInput, match="there already"):
        Typed("Inlay (fine)", "joinery", "inlays", "inlay", 0, 9).work(book, STAGES)


def test_a_name_in_any_script_has_a_code():
    codes = {work(name=name).code for name in ("Ψαλίδι", "面取り", "Entgraten")}
    assert len(codes) == 3
    assert all(code.isascii() and code.startswith("own_") for code in codes)


@pytest.mark.parametrize(("typed", "kept"), [("m", "ft"), ("mm", "ft"), ("m²", "ft2"), ("min", "h"), ("feet", "ft")])
def test_a_known_unit_is_brought_to_the_books_and_the_pace_with_it(typed, kept):
    """So many of the typed unit take as long, whichever of the two units they are told in."""
    found = work(unit=typed)
    factor = own.read_unit(typed, kept).factor
    assert found.unit == kept
    assert found.pace_minutes * (12 * factor) == pytest.approx(12 * MARK.pace_minutes)


def test_several_of_a_unit_are_one_of_it():
    assert [work(unit=unit).unit for unit in ("Marks", "brass", "glue spots")] == ["mark", "brass", "glue spot"]


names = st.text(min_size=1, max_size=40).filter(str.strip)


@given(name=names, driver=names, setup=st.floats(0, 3600), pace=st.floats(0.01, 3600))
def test_whatever_is_taken_stands_after_the_book_and_comes_back_from_its_values(name, driver, setup, pace):
    try:
        taken = Typed(name, "joinery", driver, "piece", setup, pace).work(BOOK, STAGES)
    except BadInput:
        return  # a name of the book's, or too long once it is written out
    book = with_own(BOOK, [taken])
    assert list(book)[:2] == list(BOOK)
    assert all(book[code] is BOOK[code] for code in BOOK)
    assert book[taken.code].own
    assert book[taken.code].baseline_minutes(1, 2) == pytest.approx(setup + 2 * pace)
    assert own.from_values(own.as_values(taken)) == taken


def test_a_later_book_keeps_its_own_operation():
    mine = OwnWork("sand", "finishing", "Our sanding", "faces", "face", 0, 9)
    assert with_own(BOOK, [mine])["sand"] is BOOK["sand"]
