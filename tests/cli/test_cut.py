"""`journal cut`: a cutting problem in, a plan out, with how far it may be from the best."""

import json

import pytest
from click.testing import CliRunner
from journal.cli import main

# One 2x8 of 8 ft gives two strips side by side, twice: four legs need one board (common practice: strips of about 3½ in).
PROBLEM = {
    "kerf": 8,
    "end_trim": 32,
    "rough_len_extra": 192,
    "width_extra": 12,
    "edge_allow": 16,
    "thick_allow": 12,
    "stock": [
        {"id": "2x8-8", "section": "2x8", "T": 96, "W": 464, "L": 6144, "price": 900, "avail": None},
        {"id": "2x8-16", "section": "2x8", "T": 96, "W": 464, "L": 12288, "price": 1900, "avail": None},
    ],
    "parts": [{"id": "leg", "T": 80, "W": 208, "L": 2300, "qty": 4}],
}


@pytest.fixture
def run(tmp_path):
    def call(problem, *options):
        path = tmp_path / "problem.json"
        path.write_text(problem if isinstance(problem, str) else json.dumps(problem))
        return CliRunner().invoke(main, ["cut", str(path), *options])

    return call


def test_four_legs_come_from_one_board(run):
    found = json.loads(run(PROBLEM, "--json").stdout)
    assert (found["status"], found["cost"], found["bound"]) == ("optimal", 900, 900)
    (board,) = found["plan"]
    assert board["stock"] == "2x8-8"
    assert [segment["strips"] for segment in board["segments"]] == [["leg", "leg"], ["leg", "leg"]]
    assert all(segment["length"] == 2300 + 192 for segment in board["segments"])
    assert found["shopping"] == {"2x8-8": 1}


def test_a_table_for_people(run):
    result = run(PROBLEM)
    assert result.exit_code == 0, result.output
    assert "1 board, 9.00; proven: no plan costs less" in result.output


def test_with_time_to_look_it_ends_the_same_on_a_small_problem(run):
    assert json.loads(run(PROBLEM, "--seconds", "5", "--json").stdout)["cost"] == 900


@pytest.mark.parametrize(
    ("problem", "says"),
    [
        ("", "JSON"),
        ("[1, 2]", "one JSON object"),
        (json.dumps({**PROBLEM, "kerf": -1}), "kerf"),
        (json.dumps({**PROBLEM, "parts": PROBLEM["parts"] * 2}), "leg"),
        (json.dumps({**PROBLEM, "parts": [{**PROBLEM["parts"][0], "L": 20000}]}), "leg"),
        (json.dumps({**PROBLEM, "stock": [{**PROBLEM["stock"][0], "avail": 0}]}), "leg"),
        (json.dumps({**PROBLEM, "parts": [{**PROBLEM["parts"][0], "qty": 0}]}), "leg"),
    ],
)
def test_what_cannot_be_cut_is_refused_in_words(run, problem, says):
    result = run(problem)
    assert result.exit_code == 2
    assert says in result.stderr
    assert "Traceback" not in result.output + result.stderr
