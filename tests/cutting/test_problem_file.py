import json

import pytest
from journal import cutting
from journal.cutting.problem_file import read_problem
from journal.cutting.result_file import as_json
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


def test_what_may_be_left_out_is_read_when_it_is_there():
    stock = DATA["stock"][0] | {"breaks": [[9, 700]], "cut_outs": [[64, 128]]}
    part = DATA["parts"][0] | {"sections": ["2x8"], "spare": 2, "may_turn": True}
    job = read_problem(changed(kerf_rip=4, longest=7680, stock=[stock], parts=[part]))
    assert (job.rules.kerf_crosscut, job.rules.kerf_rip) == (inches("1/8"), inches("1/16"))
    assert job.longest == inches(120)
    assert (job.stock[0].breaks, job.stock[0].cut_outs) == (((9, 700),), ((inches(1), inches(2)),))
    assert (job.blanks[0].families, job.blanks[0].spare, job.blanks[0].may_turn) == (frozenset({"2x8"}), 2, True)


@pytest.mark.parametrize(
    ("row", "field"),
    [
        ({"breaks": [[9]]}, "breaks"),
        ({"breaks": 9}, "breaks"),
        ({"cut_outs": [[1, -2]]}, "cut_outs"),
        ({"either_way": 1}, "either_way"),
        ({"price": 10**10}, "price of stock 2x8-8"),
        ({"breaks": [[1, 700]]}, "price break of stock 2x8-8"),
        ({"cut_outs": [[64, 64]]}, "end of a cut-out of stock 2x8-8"),
        ({"cut_outs": [[6000, 7000]]}, "cut-outs of stock 2x8-8"),
    ],
)
def test_stock_that_cannot_be_read_names_the_key(row, field):
    with pytest.raises(BadInput) as refused:
        read_problem(changed(stock=[DATA["stock"][0] | row]))
    assert refused.value.field == field


def test_a_plan_is_written_with_its_cuts_in_sixty_fourths():
    job = read_problem(json.dumps(DATA))
    written = as_json(job, cutting.plan(job), seconds=0.5)
    assert json.loads(json.dumps(written)) == written
    assert [board["stock"] for board in written["plan"]] == ["2x8-8", "rack"]
    # By hand: ½ in trim, ⅛ in edge; 92 + 3 in long; the second strip 3½ + ⅛ in on.
    assert written["plan"][0]["segments"] == [{"length": 95 * 64, "stretch": 0, "strips": ["leg", "leg"], "turned": []}]
    assert [(cut["at"], cut["across"]) for cut in written["plan"][0]["cuts"]] == [(32, 8), (32, 8 + 232)]
    assert written["cost"] == written["bound"] == 828
    parts = [value for name, value in written["balance"].items() if name != "board"]
    assert sum(parts) == written["balance"]["board"]
