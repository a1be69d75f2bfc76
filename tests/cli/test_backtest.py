"""`journal backtest`: tables and words for people, JSON for programs."""

import json

import pytest
from click.testing import CliRunner
from journal.cli import main
from journal.records.engine import open_engine, writing
from journal.records.migrate import ensure_current
from tests.desk import shop_years as years


@pytest.fixture
def run(tmp_path, monkeypatch):
    monkeypatch.setenv("JOURNAL_DATA", str(tmp_path))

    def call(*options, projects=0):
        if projects:
            engine = open_engine(tmp_path / "journal.db")
            ensure_current(engine)
            with writing(engine) as session:
                for place in range(projects):
                    years.finished(session, place)
            engine.dispose()
        return CliRunner().invoke(main, ["backtest", *options])

    return call


def test_a_journal_with_finished_projects_gives_tables_and_words(run):
    result = run(projects=3)
    assert result.exit_code == 0, result.output
    for expected in ("2024-01", "8 in 10", "last similar project", "middle guess was", "cannot tell that from luck"):
        assert expected in " ".join(result.output.split())


def test_json_for_programs(run):
    result = run("--json", projects=2)
    found = json.loads(result.stdout)
    assert (found["version"], found["projects"], found["compared_on"]) == (1, 2, 1)
    assert [guess["code"] for guess in found["guesses"]] == ["2024-01", "2024-02"]
    assert found["guesses"][0]["actual_minutes"] == 195.0


def test_another_folder_can_be_named(run, tmp_path):
    run(projects=1)
    elsewhere = tmp_path / "elsewhere"
    result = run("--data", str(elsewhere), "--json")
    assert json.loads(result.stdout)["projects"] == 0


def test_without_a_journal_it_says_there_is_nothing_to_test_on(run):
    result = run()
    assert result.exit_code == 0
    assert result.output == "No finished project to test on yet.\n"


def test_a_project_that_cannot_be_tested_is_named(run, tmp_path):
    engine = open_engine(tmp_path / "journal.db")
    ensure_current(engine)
    with writing(engine) as session:
        years.finished(session, 0, minutes={"dry_fit": 30})
    engine.dispose()
    assert "Left out: 2024-01, no time logged for what was planned" in run().output
