"""How what is bored, cut or fitted in a part is read from a cell."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal import reference, units
from journal.build.features import LONGEST_TEXT, parse_features
from journal.build.parts import Feature
from journal.errors import BadInput, JournalError, MissingReference
from tests.build.benches import FT
from tests.strategies import typed_text


@pytest.mark.parametrize(
    ("text", "counts"),
    [
        ("12 holes", {"hole": 12}),
        ("holes 12", {"hole": 12}),
        ("holes: 12", {"hole": 12}),
        ("holes = 12", {"hole": 12}),
        ("12x holes", {"hole": 12}),
        ("12 × holes", {"hole": 12}),
        ("holes x12", {"hole": 12}),
        ("12 of dog holes", {"hole": 12}),
        ("12 dog  holes", {"hole": 12}),
        ("Dog-hole 3", {"hole": 3}),
        ("vise", {"vise": 1}),
        ("hole 4.0", {"hole": 4}),
        ("12 holes; screws 8", {"hole": 12, "screw": 8}),
        ("12 holes, 8 screws", {"hole": 12, "screw": 8}),
        ("12 holes,8 screws", {"hole": 12, "screw": 8}),
        ("holes 12, screws 8", {"hole": 12, "screw": 8}),
        ("holes 12,screws 8", {"hole": 12, "screw": 8}),
        ("12 holes\n8 screws", {"hole": 12, "screw": 8}),
        ("12 holes | 8 screws", {"hole": 12, "screw": 8}),
        ("4 holes; 5 dog holes", {"hole": 9}),
        ("2 half laps", {"lap": 2}),
        ("1 front vise", {"vise": 1}),
        ("a strong vise", {"vise": 1}),
        ("12 x 3/4 in holes", {"hole": 12}),
        ('12 × 3/4" holes', {"hole": 12}),
        ("4 casters", {"hardware piece": 4}),
        (" ; , ", {}),
        ("", {}),
    ],
)
def test_counted_features(text, counts):
    assert parse_features(text) == [Feature(word, count) for word, count in counts.items()]


@pytest.mark.parametrize(
    ("text", "length_nm"),
    [
        ("groove 8 ft", 8 * FT),
        ("8 ft groove", 8 * FT),
        ("8ft of groove", 8 * FT),
        ("dado: 2 ft 6 in", 2 * FT + 6 * units.NM_PER_INCH),
        ("groove 2,5 m", units.mm(2500)),
        ("groove 4 ft; slot 4 ft", 8 * FT),
        ("rabbet 96 in", 8 * FT),
    ],
)
def test_features_by_length(text, length_nm):
    assert parse_features(text) == [Feature("groove", length_nm=length_nm)]


@pytest.mark.parametrize("system", list(units.System))
def test_a_bare_run_may_be_feet_or_inches_so_its_unit_is_asked_for(system):
    with pytest.raises(BadInput, match="8 ft or 8 in"):
        parse_features("groove 8", system=system)


@pytest.mark.parametrize("text", ["0 holes", "holes 1.5", "holes -2", "123456 holes", "groove", "groove x"])
def test_a_wrong_number_is_refused(text):
    with pytest.raises(BadInput):
        parse_features(text)


@pytest.mark.parametrize("text", ["12 rivets", "12", "rivets; 12 holes", "12 hole s", "??"])
def test_an_unknown_word_is_refused_with_the_known_ones(text):
    with pytest.raises(JournalError) as refused:
        parse_features(text)
    if isinstance(refused.value, MissingReference):
        assert "hole" in refused.value.known


def test_nothing_of_a_long_cell_is_cut_off_in_silence():
    with pytest.raises(BadInput, match="at most"):
        parse_features("hole;" * (LONGEST_TEXT // 5 + 1))


@pytest.mark.parametrize("word", sorted(reference.features()))
def test_every_feature_is_known_by_all_its_names(word):
    known = reference.features()[word]
    for name in (known.word, known.plural, *known.aliases):
        amount = "3 ft" if known.counted_by == "length" else "3"
        assert [found.word for found in parse_features(f"{name} {amount}")] == [word]
        assert [found.word for found in parse_features(f"{amount} {name}")] == [word]


@given(typed_text())
def test_any_text_is_read_or_refused(text):
    try:
        found = parse_features(text)
    except JournalError:
        return
    assert all(feature.count > 0 or feature.length_nm > 0 for feature in found)


@given(
    st.dictionaries(st.sampled_from(["hole", "screw", "mortise", "plug", "laminated joint"]), st.integers(1, 99_999))
)
def test_written_counts_are_read_back(counts):
    text = "; ".join(f"{count} {reference.features()[word].plural}" for word, count in counts.items())
    assert parse_features(text) == [Feature(word, count) for word, count in counts.items()]
