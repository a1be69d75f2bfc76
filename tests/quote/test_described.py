"""What a client is told they get: written from the parts, and of the hardware only what is in the price."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from journal import units
from journal.build.parts import Faces, Feature, Part
from journal.quote.described import describe, hardware_in, speaks_against
from tests.quote.commissions import SUPPLIES, takeoff

IN = units.NM_PER_INCH
SHOWN = units.Shown()
TOP = Part("Top", 1, 3 * IN, 6 * IN, 48 * IN, "2x8 fir", faces=Faces(), features=(Feature("hole", count=4),))
LEGS = Part("Legs", 4, IN, 3 * IN, 30 * IN, "2x6 fir", features=(Feature("bolt", count=2),))
JAW = Part("Jaw", 1, IN, 5 * IN, 14 * IN, "2x6 fir", features=(Feature("vise", count=1),))


def solid(part):
    """The part as one strip of what the shop's book sells."""
    return replace(part, thickness_nm=IN)


LISTED = tuple(solid(part) for part in (TOP, LEGS, JAW))


def told(listed=LISTED, priced=SUPPLIES.hardware, benches=1, **how):
    return describe(takeoff(listed, benches=benches), priced, SHOWN, **how).splitlines()


def test_a_bench_by_hand():
    said = told(what="Low bench", sizes_nm=(48 * IN, 6 * IN, 33 * IN), finish="Oil", coats=2)
    assert said[0] == "Low bench, 48 in long, 6 in deep, 33 in high."
    assert said[2:] == [
        "Top: 1 × 6 × 48 in, 4 dog holes.",
        "Legs, 4: 1 × 3 × 30 in.",
        "Jaw: 1 × 5 × 14 in.",
        "Oil, 2 coats.",
        "Hardware: 8 bolts, 1 vise.",
    ]


def test_parts_alone_begin_with_their_wood_and_bare_wood_is_said_to_be_bare():
    said = told()
    assert said[0].startswith("Wood: ")
    assert "Left bare, without a finish." in said


def test_hardware_without_a_price_is_not_promised():
    assert told(priced={})[-1] == "Left bare, without a finish."
    assert told(priced={"vise": SUPPLIES.hardware["vise"]})[-1] == "Hardware: 1 vise."


@given(benches=st.integers(1, 5))
@settings(max_examples=5)
def test_it_is_of_one_bench_however_many_are_made(benches):
    assert told(benches=benches)[:-1] == told()[:-1]
    assert told(benches=benches)[-1].endswith(": 8 bolts, 1 vise.")
    assert hardware_in(takeoff(LISTED, benches=benches), SUPPLIES.hardware) == (("bolt", 8), ("vise", 1))


def test_what_gets_no_finish_is_inside_and_not_told():
    inside = replace(solid(LEGS), label="Blocks", faces=Faces(0, 0, 0), features=())
    assert not [line for line in told((*LISTED, inside)) if line.startswith("Blocks")]


def test_of_a_long_list_the_largest_are_told_and_the_others_counted():
    many = tuple(replace(LISTED[2], label=f"Piece {n}", length_nm=(10 + n) * IN, features=()) for n in range(20))
    said = told((*LISTED, *many))
    assert len([line for line in said if line.startswith("Piece")]) == 12
    assert "Piece 19: 1 × 5 × 29 in." in said
    assert "And 9 smaller kinds of part." in said


@pytest.mark.parametrize(
    ("line", "hit"),
    [
        ("Vises and other hardware not named above.", True),
        ("the LEG VISE", True),
        ("Hardware that is not named above.", False),
        ("Advises nobody.", False),
        ("", False),
    ],
)
def test_what_is_out_and_in_at_once_is_found_by_any_of_its_names(line, hit):
    assert speaks_against(f"Carrying.\n{line}", ["vise"]) == ((line,) if hit else ())
    assert speaks_against(line, []) == ()
