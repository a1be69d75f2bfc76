"""`journal paces`: what a log teaches, and what a plan would take."""

import json
from datetime import date, timedelta

import pytest
from click.testing import CliRunner
from journal import reference
from journal.cli import main

HEAD = "project,date,operation,quantity,minutes,setups,rework\n"


def log_of(factor, projects=8):
    """A shop whose boring takes `factor` times the book, and whose milling is logged by the stage, at the book."""
    book = reference.operations()
    rows = []
    for number in range(projects):
        day = f"2025-{number + 1:02d}-10"
        for code, quantity in (("bore_large", 20), ("counterbore_pilot", 40), ("drive_screw", 40)):
            entry = book[code]
            minutes = factor * (entry.setup_minutes + quantity * entry.minutes_per_unit)
            rows.append(f"job {number},{day},{code},{quantity},{minutes:.1f},1,")
        milling = 0.0
        for code, quantity in (("joint_face", 300), ("plane_thickness", 500)):
            milling += book[code].setup_minutes + quantity * book[code].minutes_per_unit
            rows.append(f"job {number},{day},{code},{quantity},,1,")
        rows.append(f"job {number},{day},milling,,{milling:.1f},,")
    return HEAD + "\n".join(rows) + "\n"


@pytest.fixture
def run(tmp_path, monkeypatch):
    monkeypatch.setenv("JOURNAL_DATA", str(tmp_path / "data"))

    def call(*options, log=None, plan=None):
        words = list(options)
        for flag, content in (("--from", log), ("--predict", plan)):
            if content is not None:
                path = tmp_path / f"{flag.strip('-')}.csv"
                path.write_text(content)
                words += [flag, str(path)]
        return CliRunner().invoke(main, ["paces", *words])

    return call


def ratio(found, code):
    own = next(operation for operation in found["operations"] if operation["code"] == code)
    return own["minutes_per_unit"]["p50"] / reference.operations()[code].minutes_per_unit


def test_without_logs_the_book_is_the_middle(run):
    found = json.loads(run("--json").stdout)
    assert found["version"] == 1
    assert len(found["operations"]) == len(reference.operations())
    assert ratio(found, "bore_large") == pytest.approx(1, abs=0.02)


def test_a_log_moves_the_paces_it_speaks_of(run):
    found = json.loads(run("--json", log=log_of(2.0)).stdout)
    assert ratio(found, "bore_large") == pytest.approx(2, rel=0.15)
    assert ratio(found, "joint_face") == pytest.approx(1, rel=0.15)
    logs = {operation["code"]: operation["logs"] for operation in found["operations"]}
    assert (logs["bore_large"], logs["joint_face"]) == (8, 0)
    assert set(found["spread"]) == {"drift", "stage", "operation", "project", "entry"}


def test_more_time_in_the_log_means_more_time_in_the_forecast(run):
    plan = "operation,quantity\nbore_large,20\nplane_thickness,400\n"
    totals = [json.loads(run("--json", log=log_of(f), plan=plan).stdout)["total_minutes"] for f in (1.0, 2.0)]
    for total in totals:
        assert list(total) == ["p05", "p10", "p25", "p50", "p75", "p80", "p90", "p95"]
        assert list(total.values()) == sorted(total.values())
    assert totals[1]["p50"] > totals[0]["p50"] * 1.3


def test_only_the_named_log_counts(run):
    assert json.loads(run("--json", log=log_of(1.5)).stdout)["projects"] == 8


def test_a_table_for_people(run):
    result = run(log=log_of(1.5), plan="operation,quantity\nbore_large,20\n")
    assert result.exit_code == 0, result.output
    assert "Minutes a unit, from 32 entries of 8 projects" in result.output
    assert "The plan: eight times in ten between" in result.output


@pytest.mark.parametrize(
    ("log", "says"),
    [
        ("", "heading"),
        (HEAD, "row"),
        (HEAD + "a,2025-01-10,bore_large,20,-5,1,\n", "minutes"),
        (HEAD + "a,2025-01-10,juggling,20,5,1,\n", "juggling"),
        (HEAD + "a,10/01/25,bore_large,20,50,1,\n", "date"),
        (HEAD + "a,2125-01-10,bore_large,20,50,1,\n", "2125"),
        (HEAD + "a,2025-01-10,milling,,50,,\n", "share"),
        (HEAD + "a,2025-01-10,bore_large,=2*10,50,1,\n", "quantity"),
    ],
)
def test_a_bad_log_is_refused_in_words(run, log, says):
    result = run(log=log)
    assert result.exit_code == 2
    assert says in result.stderr
    assert not result.stdout


def test_a_log_that_runs_a_little_ahead_of_today_is_taken_with_a_note(run):
    ahead = (date.today() + timedelta(days=30)).isoformat()  # noqa: DTZ011 - the command's own clock
    result = run("--json", log=HEAD + f"a,{ahead},bore_large,20,120,1,\n")
    assert result.exit_code == 0
    assert "after today" in result.stderr
