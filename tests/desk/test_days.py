"""When a project will be done, from the journal: its steps, its hours, and everybody else's work."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from journal.days.calendar import midnight, to_moment
from journal.days.verify import faults
from journal.desk import days as desk
from journal.desk import hours, parts, projects
from journal.desk.days_json import as_json
from journal.desk.estimate import estimate_project
from journal.desk.shop import read_shop
from journal.desk.short_promise import short_promise
from journal.desk.starting_stock import set_up
from journal.errors import BadInput, JournalError, NoSolution
from journal.records.engine import reading, writing
from journal.records.queries import calendar as records
from journal.records.queries import projects as project_records
from journal.records.queries import shop as shop_records
from journal.records.queries.shop import SettingRow
from journal.records.words import ProjectState
from sqlalchemy import event
from tests import factories, journals

TODAY = date(2026, 3, 2)
NOW = datetime(2026, 3, 2, 12, tzinfo=UTC)
LIST = """label,qty,thickness,width,length,stock,strips,faces,features
Top,1,3 1/2,18,60,2x6 fir,auto along width,all,6 holes; 1 vise
Leg,4,3 1/2,5,31,2x6 fir,3 along thickness,all,1 tenon; 1 mortise
"""
WEEKDAYS = ("8–12, 13–17",) * 5 + ("", "")


@pytest.fixture(scope="module")
def shop_file(tmp_path_factory, empty_journal):
    """A shop with its hours typed, made once; each test has a copy."""
    path = tmp_path_factory.mktemp("shop") / "journal.db"
    opened = journals.copied(empty_journal, path)
    set_up(opened, TODAY)
    with writing(opened) as session:
        change_shop(session, time_zone="America/New_York")
        save_hours(session)
    opened.dispose()
    return path


@pytest.fixture
def engine(tmp_path, shop_file):
    path = tmp_path / "journal.db"
    opened = journals.copied(shop_file, path)
    yield opened
    journals.removed(opened)


def change_shop(session, **fields):
    shop_records.save_shop(session, replace(shop_records.get_shop(session), **fields))


def save_hours(session, days=WEEKDAYS, places=None):
    sheet = hours.sheet(session, read_shop(session, TODAY), TODAY)
    hours.save_hours(session, days, places, {}, stamp=sheet.stamp)


@pytest.fixture(scope="module")
def bench_days(tmp_path_factory, shop_file):
    """(engine, project, its days) of a bench in an empty shop, for tests that change nothing."""
    path = tmp_path_factory.mktemp("bench") / "journal.db"
    opened = journals.copied(shop_file, path)
    project = make(opened)
    yield opened, project, days(opened, project)
    journals.removed(opened)


def make(engine, title="Bench", listed=LIST, **fields):
    with writing(engine) as session:
        row = projects.begin(session, projects.Asked(title=title), now=NOW)
        if listed:
            parts.take_list(session, row.id, listed, source="a paste", now=NOW)
        if fields:
            row = project_records.get_project(session, row.id)
            project_records.change_project(session, row.id, row.draft(**fields), read_version=row.version, now=NOW)
        return row.id


def days(engine, project_id, **given):
    with reading(engine) as session:
        return desk.days_of(session, project_id, TODAY, **given)


def start_of(found, step):
    return min(row.start for row in found.likely.rows if found.parts[row.activity.key].step == step)


def test_a_bench_is_scheduled_soundly_and_the_promise_covers_the_draws(bench_days):
    _, _, found = bench_days
    assert faults(found.likely, found.bench.calendar) == ()
    assert found.p50_on <= found.p80_on <= found.p90_on
    assert found.sure_on == found.p80_on
    covered = found.finishes.chance_by(midnight(found.sure_on + timedelta(days=1), found.zone))
    assert covered >= 0.8
    # Rounded up to half weeks: never less than the days until it is done, and not half a week more.
    weeks = (midnight(found.sure_on + timedelta(days=1), found.zone) - found.likely.begin) / (7 * 1440)
    assert weeks - 1 / 7 <= found.weeks <= weeks + 0.5


def test_lumber_and_glue_rest_by_the_clock(bench_days):
    _, _, found = bench_days
    rest = start_of(found, "crosscut_rough") - max(
        row.end for row in found.likely.rows if found.parts[row.activity.key].step == "sticker"
    )
    assert rest >= 21 * 1440
    assert found.chain[0].row.start == start_of(found, found.parts[found.chain[0].row.activity.key].step)
    assert any("rests in stickers" in link.why for link in found.chain)


def test_all_hours_of_the_estimate_are_in_the_plan(bench_days):
    engine, project, found = bench_days
    with reading(engine) as session:
        hours_there = estimate_project(session, project, TODAY).made.hours
    open_hours = sum(row.activity.minutes * row.activity.people for row in found.likely.rows) / 60
    assert open_hours * found.bench.share == pytest.approx(hours_there.at(0.5), rel=0.1)


def test_glue_ups_hold_their_clamps_and_are_not_interrupted(bench_days):
    _, _, found = bench_days
    glued = [row for row in found.likely.rows if found.parts[row.activity.key].step.startswith("glue:")]
    assert glued
    for row in glued:
        assert len(row.stretches) == 1
        (clamps,) = [need for need in row.activity.needs if need.what == "clamps"]
        assert clamps.amount >= 1
        assert clamps.kept > 0


def test_a_later_start_moves_everything_and_days_off_are_kept_free(engine):
    project = make(engine)
    now, later = days(engine, project), days(engine, project, start=TODAY + timedelta(days=14))
    assert later.p50_on > now.p50_on
    with writing(engine) as session:
        hours.close(session, TODAY, TODAY + timedelta(days=13), "away", today=TODAY)
    closed = days(engine, project)
    assert to_moment(closed.likely.rows[0].start, closed.zone).date() >= TODAY + timedelta(days=14)
    assert closed.p50_on > now.p50_on


def test_promised_work_goes_first_in_the_order_of_its_dates(engine):
    mine = make(engine)
    free = days(engine, mine)
    late = make(engine, "Late", state=ProjectState.ACCEPTED, agreed_on=TODAY, promised_on=TODAY + timedelta(days=90))
    soon = make(engine, "Soon", state=ProjectState.ACCEPTED, agreed_on=TODAY, promised_on=TODAY + timedelta(days=30))
    found = days(engine, mine)
    assert [other.project.id for other in found.ahead] == [soon, late]
    assert found.p80_on > free.p80_on
    assert [other.project.id for other in days(engine, late).ahead] == [soon]
    assert days(engine, soon).ahead == ()


def test_quotes_compete_as_often_as_they_are_likely(engine):
    other = make(engine, "Earlier", state=ProjectState.QUOTED)
    mine = make(engine, "Mine")
    unsaid = days(engine, mine)
    assert [(one.likely_pct, one.said) for one in unsaid.ahead] == [(50, False)]
    finishes = {}
    for per_cent in (0, 20, 100):
        with writing(engine) as session:
            records.put_likelihood(session, other, per_cent)
        finishes[per_cent] = days(engine, mine)
    assert finishes[0].ahead == ()
    assert finishes[0].p80_on < finishes[20].p90_on <= finishes[100].p90_on
    came = [draw > 0 for draw in finishes[20].ahead[0].draws]
    assert 0.1 < sum(came) / len(came) < 0.3


def test_the_likely_plan_counts_a_quote_by_its_chance_and_ends_among_the_draws(engine):
    for title in ("One", "Two"):
        make(engine, title, state=ProjectState.QUOTED)
    found = days(engine, make(engine, "Mine"))
    # Two that come every other time: both come in a quarter of the draws, and never so in the likely plan.
    for other, row in zip(found.ahead, found.likely.load.activities, strict=False):
        assert row.minutes * found.bench.share == pytest.approx(other.minutes / 2, abs=1)
    assert found.p50_on - timedelta(days=21) < found.likely_on <= found.p80_on


def test_days_are_known_only_once_they_were_worked_out_and_only_while_they_hold(engine):
    project = make(engine)
    with reading(engine) as session:
        assert desk.known_days(session, project, TODAY) is None
    found = days(engine, project)
    with reading(engine) as session:
        assert desk.known_days(session, project, TODAY) is found
    with writing(engine) as session:
        hours.close(session, TODAY, TODAY + timedelta(days=13), "away", today=TODAY)
    with reading(engine) as session:
        assert desk.known_days(session, project, TODAY) is None


def test_a_promise_shorter_than_the_days_say_is_told_with_its_chance(bench_days):
    engine, project, found = bench_days
    with reading(engine) as session:
        short = short_promise(session, project, 7, TODAY)
        assert (short.chance, short.weeks) == (0, found.weeks)
        for enough in (round(found.weeks * 7), (found.sure_on - TODAY).days):
            assert short_promise(session, project, enough, TODAY) is None
        middle = short_promise(session, project, (found.p50_on - TODAY).days, TODAY)
        assert 0.5 <= middle.chance < 0.8


def test_where_days_cannot_be_worked_out_nothing_is_said_of_a_promise(engine):
    project = make(engine, listed="")
    with reading(engine) as session:
        assert short_promise(session, project, 7, TODAY) is None


def test_an_enquiry_counts_only_once_somebody_said_how_likely_it_is(engine):
    other, mine = make(engine, "Earlier"), make(engine, "Mine")
    assert days(engine, mine).ahead == ()
    with writing(engine) as session:
        records.put_likelihood(session, other, 70)
    assert [one.likely_pct for one in days(engine, mine).ahead] == [70]


def test_what_goes_first_without_parts_is_named_as_uncounted(engine):
    make(engine, "Bare", listed="", state=ProjectState.ACCEPTED, agreed_on=TODAY)
    found = days(engine, make(engine))
    assert [row.title for row in found.uncounted] == ["Bare"]
    assert any("Bare goes before" in note for note in found.notes)


def test_hardware_is_waited_for_unless_it_is_on_the_shelf_or_the_client_brings_it(engine):
    project = make(engine)
    with writing(engine) as session:
        (vise,) = [lead for lead in records.leads(session) if lead.feature == "vise"]
        records.put_leads(session, {vise.item_id: 200})
    ordered = days(engine, project)
    (one,) = ordered.hardware
    assert (one.feature, one.lead_days, one.on) == ("vise", 200, TODAY + timedelta(days=200))
    assert start_of(ordered, "fit_vise") >= midnight(one.on, ordered.zone)
    assert any("vises ordered on the first day come" in link.why for link in ordered.chain)
    assert any(one.what == "Hardware in hand on the first day" for one in ordered.shorter)
    with writing(engine) as session:
        records.put_brought(session, project, ["vise"])
    brought = days(engine, project)
    assert (brought.hardware[0].brought, brought.hardware[0].lead_days) == (True, 0)
    assert brought.weeks < ordered.weeks


def test_what_would_shorten_it_says_by_how_many_days(bench_days):
    _, _, found = bench_days
    gains = {one.what: one.days for one in found.shorter}
    assert gains["Lumber that is dry already, and need not rest"] == pytest.approx(21, abs=3)
    assert [one.days for one in found.shorter] == sorted(gains.values(), reverse=True)


def test_fetching_the_lumber_before_other_work_is_offered_when_it_helps(engine):
    make(engine, "Soon", state=ProjectState.ACCEPTED, agreed_on=TODAY, promised_on=TODAY + timedelta(days=30))
    found = days(engine, make(engine))
    assert any(one.what.startswith("Fetch and sticker the lumber") and one.days > 1 for one in found.shorter)


def test_a_project_in_build_has_only_what_is_left(engine):
    whole = make(engine)
    before = days(engine, whole)
    begun = make(engine, "Begun", state=ProjectState.IN_BUILD, agreed_on=TODAY - timedelta(days=60))
    with writing(engine) as session:
        for day, code in enumerate(
            ("fetch_stock", "sort_mark", "sticker", "crosscut_rough", "joint_face", "joint_edge")
        ):
            factories.entry(
                session,
                project_id=begun,
                on_date=TODAY - timedelta(days=40 - day),
                operation=code,
                seconds=40 * 60,
            )
    found = days(engine, begun)
    left = {part.step for part in found.parts.values()}
    assert found.begun
    assert "sticker" not in left
    assert "crosscut_rough" not in left
    assert {"plane_thickness", "sand"} <= left
    assert found.likely_on < before.likely_on - timedelta(days=15)


def test_wood_that_rests_already_rests_only_as_long_as_it_must_still(engine):
    begun = make(engine, "Begun", state=ProjectState.IN_BUILD, agreed_on=TODAY - timedelta(days=60))
    with writing(engine) as session:
        for code in ("fetch_stock", "sort_mark", "sticker", "drawings"):
            factories.entry(
                session, project_id=begun, on_date=TODAY - timedelta(days=11), operation=code, seconds=4 * 3600
            )
        factories.entry(
            session, project_id=begun, on_date=TODAY - timedelta(days=10), operation="sticker", seconds=3600
        )
        factories.entry(
            session, project_id=begun, on_date=TODAY - timedelta(days=9), operation="cut_tenon", seconds=600
        )
    found = days(engine, begun)
    # Stickered ten days ago: of three weeks eleven days are left, from that evening on.
    assert start_of(found, "crosscut_rough") >= midnight(TODAY + timedelta(days=12), found.zone)
    assert start_of(found, "crosscut_rough") < midnight(TODAY + timedelta(days=16), found.zone)


def test_the_chance_to_keep_a_promise_is_told(engine):
    project = make(engine, state=ProjectState.ACCEPTED, agreed_on=TODAY, promised_on=TODAY + timedelta(days=400))
    assert days(engine, project).promised_chance == 1
    hopeless = make(engine, state=ProjectState.ACCEPTED, agreed_on=TODAY, promised_on=TODAY + timedelta(days=5))
    assert days(engine, hopeless).promised_chance == 0


def test_one_place_to_dry_makes_it_no_shorter(engine):
    project = make(engine)
    free = days(engine, project)
    with writing(engine) as session:
        save_hours(session, places=1)
    tight = days(engine, project)
    assert tight.likely.load.there["places"] == 1
    assert tight.likely.finish >= free.likely.finish


def test_weeks_to_promise_are_those_of_the_page(bench_days):
    engine, project, found = bench_days
    with reading(engine) as session:
        assert desk.promised_weeks(session, project, TODAY) == found.weeks


def test_weeks_that_cannot_be_said_are_none(engine):
    project = make(engine, listed="")
    with reading(engine) as session:
        assert desk.promised_weeks(session, project, TODAY) is None


def test_the_same_journal_gives_the_same_days(bench_days):
    engine, project, _ = bench_days
    assert days(engine, project) is days(engine, project)


@pytest.mark.parametrize("start", [TODAY - timedelta(days=1), TODAY + timedelta(days=366 * 5 + 1)])
def test_a_start_before_today_or_far_ahead_is_refused(bench_days, start):
    with pytest.raises(BadInput, match="a day from today"):
        days(*bench_days[:2], start=start)


def test_two_who_spread_glue_in_a_one_person_shop_are_refused_with_the_fix(engine):
    with writing(engine) as session:
        shop_records.put_setting(session, SettingRow("glue_spreaders", "2", "count"))
    with pytest.raises(
        NoSolution, match=r"Glue up .*: it takes 2 people at once, and the shop has 1; set the people under Shop"
    ):
        days(engine, make(engine))


def test_twenty_years_of_work_are_refused(engine):
    with writing(engine) as session:
        save_hours(session, ("8:00–8:45", "", "", "", "", "", ""))
    with pytest.raises(NoSolution, match=r"not come to an end within 10 years.*open longer"):
        days(engine, make(engine, listed=LIST.replace("Leg,4", "Leg,40").replace("Top,1", "Top,30")))


def test_a_finished_project_has_no_days(engine):
    project = make(engine, state=ProjectState.DELIVERED, delivered_on=TODAY)
    with pytest.raises(JournalError, match="is finished"):
        days(engine, project)


def test_the_same_for_other_programs(bench_days):
    _, _, found = bench_days
    told = as_json(found)
    assert told["weeks"] == found.weeks
    assert told["finish"]["p80"] == found.p80_on.isoformat()
    assert len(told["work"]) == len(found.likely.rows)
    assert told["work"][0]["stretches"][0][0].endswith("+00:00")
    assert told["chain"][0]["cause"] == "begin"


def test_the_number_of_statements_does_not_grow_with_other_work(engine):
    def statements(project):
        seen = []

        def note(_connection, _cursor, statement, *_more):
            seen.append(statement)

        event.listen(engine, "before_cursor_execute", note)
        days(engine, project, start=TODAY + timedelta(days=1))
        event.remove(engine, "before_cursor_execute", note)
        return len(seen)

    make(engine, "One", state=ProjectState.QUOTED)
    few = statements(make(engine, "Mine"))
    for number in range(2):
        make(engine, f"More {number}", state=ProjectState.ACCEPTED, agreed_on=TODAY)
    assert statements(make(engine, "Mine too")) <= few
