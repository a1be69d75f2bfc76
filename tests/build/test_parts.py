"""What a part may be, and what is refused before anything is worked out from it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal import units
from journal.build.parts import LONGEST_NM, MOST_OF_A_KIND, MOST_STRIPS, SMALLEST_NM, Along, Faces, Feature, parse_faces
from journal.errors import BadInput
from tests.build.benches import IN, part


def test_a_solid_part_is_one_strip_and_knows_its_volume():
    leg = part("leg", "2", "3", 30)
    assert not leg.laminated
    assert leg.volume_nm3 == 2 * 3 * 30 * IN**3


def test_a_part_counts_one_feature_wherever_it_is_listed():
    leg = part(features=(Feature("hole", count=3), Feature("screw", count=5), Feature("hole", count=4)))
    assert leg.count("hole") == 7
    assert leg.count("screw") == 5
    assert leg.count("mortise") == 0


@pytest.mark.parametrize("strips", [0, 2, MOST_STRIPS])
def test_a_laminated_part_says_along_which_dimension(strips):
    assert part(strips=strips, along=Along.WIDTH).laminated


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"label": "  "}, "label"),
        ({"quantity": 0}, "qty"),
        ({"quantity": -1}, "qty"),
        ({"quantity": MOST_OF_A_KIND + 1}, "qty"),
        ({"thickness": "1/32"}, "thickness"),
        ({"width": "1/64"}, "width"),
        ({"length": 481}, "length"),
        ({"strips": -1, "along": Along.WIDTH}, "strips"),
        ({"strips": MOST_STRIPS + 1, "along": Along.WIDTH}, "strips"),
        ({"strips": 3}, "strips"),
        ({"strips": 0}, "strips"),
        ({"strips": 1, "along": Along.THICKNESS}, "strips"),
    ],
)
def test_refuses_a_part_no_bench_has_and_names_the_field(fields, field):
    with pytest.raises(BadInput) as refused:
        part(**fields)
    assert refused.value.field == field


def test_the_smallest_and_the_longest_part_are_allowed():
    assert part(thickness="1/16", length=480)
    assert units.inches("1/16") == SMALLEST_NM
    assert units.feet(40) == LONGEST_NM


@pytest.mark.parametrize(("thickness", "shown"), [("1/32", "1/32 in"), ("0.001", "0.001 in")])
def test_a_refused_size_is_shown_as_it_is_and_not_as_nothing(thickness, shown):
    with pytest.raises(BadInput, match=shown):
        part(thickness=thickness)


@pytest.mark.parametrize(("count", "length_nm"), [(0, 0), (1, IN), (-1, 0), (0, -IN)])
def test_a_feature_is_a_count_or_a_length(count, length_nm):
    with pytest.raises(BadInput):
        Feature("groove", count, length_nm)


@pytest.mark.parametrize(
    ("text", "faces"),
    [
        ("", Faces(2, 2, 2)),
        ("all", Faces(2, 2, 2)),
        ("ALL ", Faces(2, 2, 2)),
        ("none", Faces(0, 0, 0)),
        ("-", Faces(0, 0, 0)),
        ("top", Faces(1, 0, 0)),
        ("faces", Faces(2, 0, 0)),
        ("top, edges, ends", Faces(1, 2, 2)),
        ("top and edges", Faces(1, 2, 0)),
        ("face + edge", Faces(1, 1, 0)),
        ("face & end", Faces(1, 0, 1)),
        ("top top top", Faces(2, 0, 0)),
        ("0", Faces(0, 0, 0)),
        ("1", Faces(1, 0, 0)),
        ("2", Faces(2, 0, 0)),
        ("3", Faces(1, 2, 0)),
        ("4", Faces(2, 2, 0)),
        ("5", Faces(1, 2, 2)),
        ("6", Faces(2, 2, 2)),
    ],
)
def test_sides_to_finish_are_read_as_people_write_them(text, faces):
    assert parse_faces(text) == faces


@pytest.mark.parametrize("sides", range(7))
def test_so_many_sides_are_so_many(sides):
    faces = parse_faces(str(sides))
    assert faces.wide + faces.edges + faces.ends == sides


@pytest.mark.parametrize("text", ["7", "10", "bottom", "top, sides", "²", "1.5", "all of it"])
def test_other_words_for_sides_are_refused_with_the_words_that_do(text):
    with pytest.raises(BadInput, match="top, faces, edges, ends"):
        parse_faces(text)


@given(st.builds(Faces, *[st.integers(0, 2)] * 3))
def test_sides_read_back_as_they_are_written(faces):
    assert parse_faces(str(faces)) == faces


@pytest.mark.parametrize("counts", [(3, 0, 0), (0, -1, 0), (0, 0, 3)])
def test_no_pair_of_sides_has_three(counts):
    with pytest.raises(BadInput):
        Faces(*counts)
