"""Words as they are looked for: folded, read, found and marked, whatever anybody types."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.desk.note_words import LONGEST_WORDS, MOST_WORDS, begins_with_all, fold, has_all, passage, read_words

WRITTEN = "Sanded the 1½ in slab  — 8 % moist, naïve café; unclamped at 3/4\nwith “two words” 🪵 عَرَبِيّ"


@pytest.mark.parametrize(
    ("typed", "there"),
    [
        ("SLAB", True),
        ("cafe naive", True),
        ("café", True),
        ("1 1/2", True),
        ("1½", True),
        ("½", True),
        ("3/4", True),
        ("clamp", True),
        ("🪵", True),
        ("عربي", True),
        ('"two words"', True),
        ("“two words”", True),
        ('"words two"', False),
        ("words two", True),
        ("moist,”naïve", False),
        ("slab vise", False),
        ("sand*", True),
        ("-slab", True),
        ("NEAR(slab)", False),
        ("OR", True),  # within words: no operator
        ('"', True),
        ("' ; --", True),
        ("", True),
    ],
)
def test_what_is_typed_is_found_as_it_is_meant(typed, there):
    assert has_all(fold(WRITTEN), read_words(typed)) is there


def test_a_word_inside_another_is_found_but_is_no_beginning():
    folded = fold("unclamped")
    assert has_all(folded, ("clamp",))
    assert not begins_with_all(folded, ("clamp",))
    assert begins_with_all(fold("un-clamped"), ("clamp",))


def test_accents_of_either_spelling_are_one():
    assert fold("cafe\u0301") == fold("café") == fold("CAFÉ") == "cafe"
    assert fold("Straße Łódź Ørsted") == "strasse lodz orsted"


def test_quotes_of_either_shape_are_one():
    assert has_all(fold("a 3/4”×2 strip"), read_words("3/4»x2"))


def test_no_more_than_some_words_are_read():
    typed = " ".join(f"w{number}" for number in range(50))
    assert read_words(typed) == tuple(f"w{number}" for number in range(MOST_WORDS))
    assert len(read_words("x" * 10_000)[0]) == LONGEST_WORDS


def said(pieces):
    return "".join(piece.text for piece in pieces)


def marked(text, typed, **most):
    return [piece.text for piece in passage(text, read_words(typed), **most) if piece.found]


def test_what_is_found_is_marked_as_it_was_written():
    assert marked(WRITTEN, "slab cafe 1½") == ["1½", "slab", "café"]
    assert marked("cafe\u0301 noir", "cafe") == ["cafe\u0301"]
    assert marked("clamps, unclamped", "clamp") == ["clamp"]
    assert marked("unclamped", "clamp") == ["clamp"]
    assert marked("glue gluing", "glu gluing") == ["glu", "gluing"]


def test_a_long_text_is_cut_around_the_first_word_between_words():
    text = f"{'before it ' * 60}the needle lies here {'and after ' * 60}"
    pieces = passage(text, read_words("needle"), most=120)
    assert marked(text, "needle", most=120) == ["needle"]
    assert said(pieces).startswith("… ")
    assert said(pieces).endswith(" …")
    inner = said(pieces).strip("… ")
    assert len(inner) <= 120
    assert f" {inner} " in f" {' '.join(text.split())} "


def test_without_words_the_passage_is_the_beginning():
    assert said(passage("one two", ())) == "one two"
    assert said(passage("one " * 500, ())).startswith("one one")
    assert passage("", ("x",)) == ()


@given(st.text(), st.text())
def test_nothing_typed_and_nothing_written_is_an_error(text, typed):
    words = read_words(typed)
    has_all(fold(text), words)
    assert said(passage(text, words)).strip("… ") in " ".join(text.split())


@given(st.lists(st.text(min_size=1, max_size=12), min_size=1, max_size=40).map(" ".join), st.data())
def test_every_word_of_a_text_finds_and_marks_it(text, data):
    parts = text.split()
    word = data.draw(st.sampled_from(parts)) if parts else ""
    words = read_words(word)
    assert has_all(fold(text), words)
    if words and len(words) == 1:
        assert all(words[0] in fold(text) for _ in words)
        assert [piece for piece in passage(text, words) if piece.found]
        assert all(fold(piece.text) for piece in passage(text, words) if piece.found)


@given(st.text())
def test_folding_twice_changes_nothing(text):
    assert fold(fold(text)) == fold(text)


@given(st.text(max_size=300), st.text(max_size=30))
def test_a_passage_never_loses_or_adds_a_letter(text, typed):
    whole = " ".join(text.split())
    assert said(passage(text, read_words(typed), most=1_000)) == whole
