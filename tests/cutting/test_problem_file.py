import json

import pytest
from journal import cutting
from journal.cutting.problem_file import read_problem
from journal.errors import BadInput
from journal.units import inches

DATA = {
    "kerf": 8,
    "end_trim": 32,
    "rough_len_extra": 192,
    "width_extra": 8,
    "edge_allow": 8,
    "thick_allow": 16,
    "stock": [
        {"id": "2x8-8", "section": "2x8", "T": 96, "W": 464, "L": 6144, "price": 828, "avail": None},
        {"id": "rack", "T": 96, "W": 464, "L": 6144, "price": 0, "avail": 1, "onhand": True},
    ],
    "parts": [{"id": "leg", "T": 80, "W": 216, "L": 5888, "qty": 4}],
}


def changed(**changes):
    return json.dumps(DATA | changes)


def test_sizes_become_nanometres_with_the_allowances_in_the_blank():
    job = read_problem(json.dumps(DATA))
    leg, (bought, rack) = job.blanks[0], job.stock
    assert (leg.thickness, leg.width, leg.length) == (inches("1 1/2"), inches("3 1/2"), inches("92"))
    assert (bought.family, bought.available, bought.on_hand) == ("2x8", None, False)
    assert (rack.family, rack.available, rack.on_hand) == ("", 1, True)
    assert (job.rules.kerf_rip, job.rules.segment_extra) == (inches("1/8"), inches("3"))


def test_a_part_may_come_from_any_section():
    result = cutting.plan(read_problem(json.dumps(DATA)))
    assert (result.from_rack, result.shopping, result.cost_cents) == ((("rack", 1),), (("2x8-8", 1),), 828)


@pytest.mark.parametrize(
    ("text", "field"),
    [
        ("{", "problem file"),
        ("[]", "problem file"),
        (changed(kerf=-1), "kerf"),
        (changed(kerf=1.5), "kerf"),
        (changed(stock={}), "stock"),
        (changed(parts=[1]), "parts"),
        (changed(parts=[{"id": 3, "T": 1, "W": 1, "L": 1, "qty": 1}]), "id"),
        (changed(parts=[{"id": "leg", "T": 1, "W": 1, "L": 1}]), "qty"),
        (changed(parts=[]), "blanks"),
    ],
)
def test_a_file_that_cannot_be_used_names_the_key(text, field):
    with pytest.raises(BadInput) as refused:
        read_problem(text)
    assert refused.value.field == field
