"""Parts changed after agreeing are noticed until an extra settles it, or they are as they were."""

from datetime import timedelta

import pytest
from journal.desk import days, parts, projects
from journal.desk.agreed_parts import differing
from journal.desk.estimate import estimate_project
from journal.desk.extras import ExtraAsked, add_extra
from journal.records.engine import writing
from journal.records.queries import projects as project_records
from tests.desk import promised
from tests.desk.promised import NOW, TODAY, accept, go, issue, print_extra

WIDER = promised.LIST.replace(",22,72,", ",24,80,")


@pytest.fixture(autouse=True)
def quick_weeks(monkeypatch):
    """The weeks to promise have tests of their own, and take a second each."""
    monkeypatch.setattr(days, "promised_weeks", lambda *_: 8.5)


@pytest.fixture
def made(file_engine):
    return promised.project(file_engine)


@pytest.fixture
def session(file_engine, made):  # noqa: ARG001 - the project must be there first
    with writing(file_engine) as opened:
        yield opened


def change(session, project_id, listed, minutes):
    parts.take_list(session, project_id, listed, source="a paste", now=NOW + timedelta(minutes=minutes))


def extra(session, project_id, cents, minutes):
    version = project_records.get_project(session, project_id).version
    asked, now = ExtraAsked(TODAY, "wider", cents), NOW + timedelta(minutes=minutes)
    add_extra(session, project_id, asked, print_extra, read_version=version, today=TODAY, now=now)


def found(session, project_id):
    return differing(session, project_records.get_project(session, project_id), TODAY)


def test_nothing_is_said_before_an_agreement_and_right_after_it(session, made):
    change(session, made, WIDER, 1)
    assert found(session, made) is None
    issue(session, made, now=NOW + timedelta(minutes=2))
    accept(session, made)
    assert found(session, made) is None


def test_what_was_changed_between_quote_and_acceptance_is_noticed_too(session, made):
    issue(session, made)
    change(session, made, WIDER, 1)
    accept(session, made)
    assert found(session, made)


def test_parts_changed_after_it_are_noticed_with_both_prices_until_they_are_back(session, made):
    row = issue(session, made)
    accept(session, made)
    change(session, made, WIDER, 1)
    seen = found(session, made)
    assert (seen.on, seen.by_extra, seen.agreed_cents) == (TODAY, False, row.net_cents)
    assert seen.now_cents == estimate_project(session, made, TODAY).made.price_cents > row.net_cents
    change(session, made, promised.LIST, 2)
    assert found(session, made) is None


def test_an_extra_settles_what_was_changed_before_it_and_not_what_comes_after(session, made):
    row = issue(session, made)
    accept(session, made)
    change(session, made, WIDER, 1)
    extra(session, made, 5_000, 2)
    assert found(session, made) is None
    change(session, made, WIDER.replace(",80,", ",84,"), 3)
    seen = found(session, made)
    assert (seen.by_extra, seen.agreed_cents) == (True, row.net_cents + 5_000)


def test_more_benches_than_agreed_are_noticed(session, made):
    issue(session, made)
    accept(session, made)
    row = project_records.get_project(session, made)
    project_records.change_project(session, made, row.draft(benches=3), read_version=row.version, now=NOW)
    assert found(session, made)


def test_agreed_by_word_the_parts_of_that_moment_count(session, made):
    go(session, made, "accepted", price_cents=500_000)
    assert found(session, made) is None
    change(session, made, WIDER, 1)
    assert found(session, made).agreed_cents == 500_000


def test_parts_that_can_no_longer_be_made_differ_without_a_price(session, made):
    issue(session, made)
    accept(session, made)
    change(session, made, WIDER.replace("2x6 fir", "4x12 bog oak"), 1)
    assert found(session, made).now_cents is None


def test_a_job_from_before_the_journal_and_one_that_is_over_say_nothing(session, made):
    issue(session, made)
    accept(session, made)
    change(session, made, WIDER, 1)
    go(session, made, "cancelled", reason="moved away", deposit="kept")
    assert found(session, made) is None
    old = projects.begin(session, projects.Asked("Old"), now=NOW)
    row = project_records.get_project(session, old.id)
    draft = row.draft(agreed_price_cents=400_000, state="in_build")
    project_records.change_project(session, old.id, draft, read_version=row.version, now=NOW)
    change(session, old.id, promised.LIST, 1)
    assert found(session, old.id) is None
