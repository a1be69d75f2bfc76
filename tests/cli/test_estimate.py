"""`journal estimate`: a table for people, JSON for programs, exit code 2 and a plain sentence for what cannot be used."""

import json

import pytest
from click.testing import CliRunner
from journal.cli import main

GOOD = """label,qty,thickness,width,length,stock,strips,faces,features
Top,1,3 1/4,22,72,2x8 fir,auto along width,all,12 holes
Leg,4,3 1/2,5,31,2x6 fir,3 along thickness,all,2 laminated joints
Shelf,1,3/4,16,48,3/4 plywood,1,top,
"""


@pytest.fixture
def run(tmp_path, monkeypatch):
    monkeypatch.setenv("JOURNAL_DATA", str(tmp_path / "data"))

    def call(content, *options):
        path = tmp_path / "parts.csv"
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        return CliRunner().invoke(main, ["estimate", str(path), *options])

    return call


def test_a_part_list_gives_a_price_with_its_workings(run):
    result = run(GOOD)
    assert result.exit_code == 0, result.output
    for expected in (
        "Boards and sheets to buy",
        "2x8 fir",
        "Contingency",
        "eight times in ten",
        "chance of earning less",
        "logs 7+20: 7 entries of the operation itself and 20 of its whole stage",
        "of losing money, your own hours unpaid",
    ):
        assert expected in " ".join(result.output.split())


def test_a_chance_is_never_said_to_be_none(run):
    said = " ".join(run(GOOD, "--price", "900000").output.split())
    assert "under 1 % chance of earning less than the wage, under 1 % of losing money" in said


def test_screws_are_said_to_be_in_the_consumables(run):
    said = " ".join(run(GOOD.replace("12 holes", "24 screws")).output.split())
    assert "of materials; 24 screws among them" in said
    assert "screws among them" not in run(GOOD).output


def test_json_has_the_documented_form(run):
    found = json.loads(run(GOOD, "--json").stdout)
    assert found["version"] == 1
    assert found["currency"] == "USD"
    assert set(found["boards"]) == {"count", "cents", "board_feet"}
    for ranges in (found["hours"], found["cost_cents"]):
        assert list(ranges) == ["p10", "p50", "p80", "p90"]
        assert list(ranges.values()) == sorted(ranges.values())
    for operation in found["operations"]:
        assert {"code", "quantity", "unit", "minutes", "logs"} <= set(operation)
        assert set(operation["minutes"]) == {"p10", "p50", "p90"}
    for line in found["lines"]:
        assert {"name", "value", "unit", "working", "basis"} <= set(line)
        assert line["working"]
    assert isinstance(found["price_cents"], int)
    assert found["weight_kg"] > 50


def test_the_same_list_gives_the_same_answer(run):
    assert run(GOOD, "--json").stdout == run(GOOD, "--json").stdout


def test_asking_does_not_make_a_journal(run, tmp_path):
    run(GOOD)
    assert not list((tmp_path / "data").glob("*.db"))


def test_two_benches_weigh_twice_as_much_and_cost_less_than_twice(run):
    one, two = (json.loads(run(GOOD, "--json", "--benches", n).stdout) for n in ("1", "2"))
    assert two["weight_kg"] == pytest.approx(2 * one["weight_kg"], abs=0.02)
    assert one["hours"]["p50"] < two["hours"]["p50"] < 2 * one["hours"]["p50"]


@pytest.mark.parametrize(
    ("content", "says"),
    [
        ("", "empty"),
        ("label qty thickness\nTop 1 3", "separated by commas"),
        (b"\x00\xff" * 5_000_000, "under 2,000,000 bytes"),
        (GOOD.replace("3 1/4", "-3"), "thickness"),
        (GOOD.replace("3 1/4", "0"), "thickness"),
        (GOOD.replace("3 1/4", "0.001 in"), "1/16"),
        (GOOD.replace(",72,", ",900 ft,"), "40 ft"),
        (GOOD.replace("2x8 fir", "unobtainium"), "unobtainium"),
        (GOOD.replace("12 holes", "=1+1"), "formula"),
        (GOOD.replace(",72,", ",1 m 3 in,"), "length"),
        (GOOD.replace("2x6 fir,3 along thickness", "2x6 fir,1"), "cannot be milled"),
        (GOOD.replace("Leg", "Top"), "line 2"),
    ],
)
def test_bad_input_is_refused_in_words_with_exit_code_2(run, content, says):
    result = run(content)
    assert result.exit_code == 2
    assert says in result.stderr
    assert "Traceback" not in result.output + result.stderr
    assert not result.stdout


def test_every_bad_row_is_named_at_once(run):
    bad = GOOD.replace("3 1/4", "thick").replace(",31,", ",long,").replace("3/4,16", "3/4,-16")
    result = run(bad)
    assert all(f"line {line}" in result.stderr for line in (2, 3, 4))


def test_a_file_that_is_not_there():
    result = CliRunner().invoke(main, ["estimate", "nowhere.csv"])
    assert result.exit_code == 2
    assert "nowhere.csv" in result.stderr


def test_a_price_is_judged(run):
    assert "over 99 % chance of earning less than the wage" in run(GOOD, "--price", "100").output
