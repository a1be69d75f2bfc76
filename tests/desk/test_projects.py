"""Enquiries: begun, changed, refused."""

from datetime import UTC, date, datetime

import pytest
from journal.desk import projects
from journal.desk.projects import Asked
from journal.errors import BadInput, Conflict, MissingReference
from journal.records.engine import reading, writing
from journal.records.queries.shop import ShopRow, save_shop

NOW = datetime(2026, 3, 2, 18, 30, tzinfo=UTC)


def test_projects_are_numbered_by_year(file_engine):
    with writing(file_engine) as session:
        codes = [projects.begin(session, Asked(f"Bench {n}"), now=NOW).code for n in range(2)]
    assert codes == ["26-001", "26-002"]


def test_the_newest_comes_first(file_engine):
    with writing(file_engine) as session:
        for title in ("first", "second"):
            projects.begin(session, Asked(title), now=NOW)
    with reading(file_engine) as session:
        assert [found.title for found in projects.listed(session)] == ["second", "first"]


def test_coats_not_said_are_the_finishs_usual_ones(file_engine):
    with writing(file_engine) as session:
        assert projects.begin(session, Asked("a", finish="boiled_linseed_oil"), now=NOW).coats == 2
        assert projects.begin(session, Asked("b", finish="oil_varnish"), now=NOW).coats == 3
        assert projects.begin(session, Asked("c", finish="oil_varnish", coats=0), now=NOW).coats == 0


def test_a_form_gets_back_what_was_asked(file_engine):
    asked = Asked("Bench", "school", 3, "pva_slow", "shellac", 4, "up two stairs")
    with writing(file_engine) as session:
        assert projects.asked_of(projects.begin(session, asked, now=NOW)) == asked


@pytest.mark.parametrize(
    ("field", "value"),
    [("title", " "), ("title", "x" * 201), ("benches", 0), ("benches", 1001), ("coats", 21), ("note", "x" * 10_001)],
)
def test_nonsense_is_refused(field, value):
    with pytest.raises(BadInput):
        Asked(**{"title": "Bench", field: value})


@pytest.mark.parametrize("field", ["adhesive", "finish"])
def test_an_unknown_class_is_refused(field):
    with pytest.raises(MissingReference):
        Asked("Bench", **{field: "no such thing"})


def test_a_change_made_from_an_old_page_is_refused(file_engine):
    with writing(file_engine) as session:
        project = projects.begin(session, Asked("Bench"), now=NOW)
    with writing(file_engine) as session:
        projects.change(session, project.id, Asked("Bench, oak"), read_version=project.version, now=NOW)
    with pytest.raises(Conflict), writing(file_engine) as session:
        projects.change(session, project.id, Asked("Bench, ash"), read_version=project.version, now=NOW)


def test_one_project_is_found_or_refused(file_engine):
    with writing(file_engine) as session:
        begun = projects.begin(session, Asked("Bench"), now=NOW)
        assert projects.one(session, begun.id) == begun
        with pytest.raises(MissingReference):
            projects.one(session, begun.id + 1)


def test_an_enquiry_on_the_last_evening_of_the_year_is_of_that_day_and_year(file_engine):
    with writing(file_engine) as session:
        save_shop(session, ShopRow(time_zone="America/Los_Angeles"))
        row = projects.begin(session, Asked("Bench"), now=datetime(2027, 1, 1, 4, tzinfo=UTC))
    assert (row.code, row.enquired_on) == ("26-001", date(2026, 12, 31))
