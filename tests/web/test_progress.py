"""Where a project in build will end up, on its page."""

import re
from dataclasses import replace
from datetime import date

import pytest
from journal import units
from journal.desk import progress as desk
from journal.desk.earned_so_far import earned_so_far
from journal.pace.progress import State
from journal.records.engine import reading, writing
from journal.records.queries import plans, projects, shop
from journal.records.words import ProjectState
from journal.web import create_app, filters
from journal.web.progress import pages
from tests import factories
from tests.desk import shop_years as years
from tests.web.project_pages import soup, text
from tests.web.shared_app import client_of

TODAY = date(2026, 11, 25)


@pytest.fixture(scope="module")
def client(demo_engine):
    return create_app(engine=demo_engine, testing=True, today=TODAY).test_client()


@pytest.fixture(scope="module")
def project(demo_engine):
    with reading(demo_engine) as session:
        return projects.list_projects(session, [ProjectState.IN_BUILD])[0].project


@pytest.fixture(scope="module")
def found(demo_engine, project):
    with reading(demo_engine) as session:
        return desk.progress(session, project.id, TODAY, with_history=False)


@pytest.fixture(scope="module")
def page(client, project):
    answer = client.get(f"/projects/{project.id}/progress")
    assert answer.status_code == 200
    return soup(answer)


def group(page, title):
    return next(entry for entry in page.select(".entry") if text(entry.h2) == title)


def test_where_it_ends_up_comes_first(page, found):
    said = text(page.select_one(".ahead-lead .notice"))
    assert said.startswith(f"Likely {filters.hours(found.minutes.p50)} in the end")
    assert f"{filters.hours(abs(found.minutes.p50 - found.agreed_minutes))} more than agreed" in said
    assert "notice--care" in page.select_one(".ahead-lead .notice")["class"]


def test_hours_cost_and_day_in_the_end(client, page, found):
    sums = {text(one.dt): text(one.dd) for one in page.select(".ahead-lead .sums > div")}
    assert sums["Hours in the end, 8 in 10"] == f"{found.minutes.p10 / 60:.0f} – {found.minutes.p90 / 60:.0f} h"
    low, high = (int(re.sub(r"\D", "", end)) for end in sums["Cost in the end, 8 in 10"].split("–"))
    assert (low, high) == (round(found.cost.p10 / 100), round(found.cost.p90 / 100))
    with client.application.test_request_context():
        assert sums["Work through, likely"] == filters.day(found.finish.likely)
    assert sums["Spent so far"] == filters.hours(found.spent_minutes)


def dollars(cents):
    return units.format_money(cents, units.currency("USD"))


def test_what_each_unit_of_money_has_brought_with_its_working(page, demo_engine, found):
    with reading(demo_engine) as session:
        earned = earned_so_far(session, found, TODAY)
    place = group(page, "What the hours have brought")
    said = text(place.select_one(".earned"))
    assert said.startswith(f"Each $1.00 spent on hours has brought {dollars(round(100 * earned.index))} of the plan")
    assert f"the hours cost {dollars(earned.end_cents)} in the end" in said
    assert f"{dollars(abs(earned.end_cents - earned.planned_cents))} more than agreed" in said
    assert text(place.select_one("details.working > summary .fig")) == dollars(earned.end_cents)
    assert len(place.select(".working-plain, .working-line")) == len(earned.line.walk()) - 1


def test_spent_open_to_come_and_allowance_come_to_the_likely_hours(page, found):
    rows = {text(row.th).removeprefix("+ "): text(row.select_one("td.num")) for row in page.select(".ahead-sums tr")}
    parts = [rows[name] for name in ("Hours spent so far", "Open now", "Still to come", "Allowance")]
    whole = rows["Hours in the end, likely"]
    assert whole == filters.hours(found.minutes.p50)
    assert round(sum(float(one.split()[0]) for one in parts), 1) == float(whole.split()[0])
    assert f"about {rows['Open now']} to come" in text(group(page, "Open now"))
    assert f"about {rows['Still to come']}" in text(group(page, "Still to come"))


def test_faster_than_usual_and_over_what_was_agreed_is_told_in_one_line(page, found):
    assert found.ending.so_far < 0
    assert found.over_agreed > 0.5
    lead = text(page.select_one(".ahead-lead"))
    assert f"Both hold: the {filters.hours(found.agreed_minutes)} agreed are fewer than this work usually takes" in lead
    assert re.search(r"\d h below its own plan of that day\.", lead)


@pytest.mark.parametrize(
    ("pace", "over", "beside", "said"),
    [
        (0.1, 0.9, 0.0, ""),
        (-0.1, 0.1, 0.0, ""),
        (-0.001, 0.9, 0.0, ""),
        (None, 0.9, 0.0, ""),
        (-0.1, None, 0.0, ""),
        (0.1, 0.1, 0.0, "are more than this work usually takes here."),
        (-0.1, 0.9, 0.0, "are fewer than this work usually takes here."),
        (-0.1, 0.9, 6_000.0, "that nobody planned or that were done again"),
    ],
)
def test_where_pace_and_end_agree_no_reason_is_given(client, found, pace, over, beside, said):
    changed = replace(found, ending=replace(found.ending, so_far=pace), over_agreed=over, beside_minutes=beside)
    with client.application.test_request_context():
        told = pages.both(changed, None)
    assert said in told if said else not told


def test_every_piece_of_work_stands_under_its_state(page, found):
    for state, title in ((State.OPEN, "Open now"), (State.TO_COME, "Still to come"), (State.DONE, "Done")):
        pieces = [one for one in found.ending.pieces if one.piece.state is state]
        assert len(group(page, title).select("tbody tr")) == len(pieces) > 0


def test_an_operation_to_come_says_what_moved_it(page, found):
    row = group(page, "Still to come").select_one("tbody tr")
    first = next(one for one in found.ending.pieces if one.piece.state is State.TO_COME)
    sentence = found.explained[first.piece.name]
    assert text(row.select_one(".piece-why")) == f"{sentence[0].upper()}{sentence[1:]}."
    assert "this project so far" in sentence


def test_what_brings_most_doubt_is_named(page, found):
    worst = found.ending.by_doubt[0]
    said = text(next(one for one in page.select(".ahead-lead p") if "What to watch" in one.text))
    assert f"{round(100 * worst.share)} %" in said


def test_what_the_reader_knows_to_be_done_is_fixed_in_that_look_alone(client, project, page, found):
    opened = next(one.piece for one in found.ending.pieces if one.piece.state is State.OPEN)
    box = group(page, "Open now").select_one(f"input[value={opened.name}]")
    assert (box["name"], box["form"]) == ("done", "as-done")
    again = soup(client.get(f"/projects/{project.id}/progress?done={opened.name}"))
    assert group(again, "Done").select_one(f"input[value={opened.name}]").has_attr("checked")
    assert group(page, "Open now").select_one("form")["id"] == "as-done"
    assert len(group(again, "Open now").select("tbody tr")) == len(group(page, "Open now").select("tbody tr")) - 1
    assert len(group(soup(client.get(f"/projects/{project.id}/progress")), "Open now").select("tbody tr")) == len(
        group(page, "Open now").select("tbody tr")
    )


def test_how_it_moved_is_a_piece_the_page_fetches(client, project, page):
    place = page.select_one("[data-fill]")
    assert place["data-fill"] == place.a["href"] == f"/projects/{project.id}/progress/course"
    course = soup(client.get(place["data-fill"]))
    piece = course.select_one("[data-piece]")
    assert len(piece.select(".course-svg")) == 2
    assert len(piece.select_one(".course-wide").select(".course-dot")) == len(piece.select("tbody tr")) > 3
    assert "the middle has moved from" in text(piece)


def test_the_course_begins_before_the_first_day_of_work_and_ends_today(client, project, demo_engine):
    with reading(demo_engine) as session:
        history = desk.progress(session, project.id, TODAY).history
    piece = soup(client.get(f"/projects/{project.id}/progress/course")).select_one("[data-piece]")
    days = [text(row.th) for row in piece.select("tbody tr")]
    with client.application.test_request_context():
        assert (days[0], days[-1]) == (filters.day(TODAY), filters.day(history[0].on))
    assert history[0].spent_minutes == 0


def test_the_tab_is_current(page):
    assert text(page.select_one(".tabs [aria-current]")) == "Ahead"


@pytest.fixture
def own(file_engine):
    return client_of(file_engine, today=years.TODAY)


def make(engine, state, *, planned=True, **given):
    with writing(engine) as session:
        row = factories.project(session, state=state, **given)
        if planned:
            factories.plan(session, row.id, operations=[plans.OperationRow(*one) for one in years.OPERATIONS])
        return row


@pytest.mark.parametrize(
    ("state", "said"),
    [
        (ProjectState.ENQUIRY, "once the project is in build"),
        (ProjectState.ACCEPTED, "once the project is in build"),
        (ProjectState.CLOSED, "is finished"),
        (ProjectState.STOCK, "is finished"),
        (ProjectState.CANCELLED, "not being built"),
    ],
)
def test_a_project_not_in_build_says_calmly_when_this_page_speaks(file_engine, own, state, said):
    row = make(file_engine, state)
    answer = own.get(f"/projects/{row.id}/progress")
    assert answer.status_code == 200
    assert said in text(soup(answer).select_one(".empty"))
    assert own.get(f"/projects/{row.id}/progress/course").status_code == 404


def test_one_in_build_without_a_plan_says_what_is_missing(file_engine, own):
    row = make(file_engine, ProjectState.IN_BUILD, planned=False)
    answer = own.get(f"/projects/{row.id}/progress")
    assert answer.status_code == 200
    assert "has no plan yet" in text(soup(answer).select_one(".empty"))


def test_hours_are_told_where_the_cost_cannot_be(file_engine, own):
    """Nothing agreed, no parts to price, nothing logged: the hours to come all the same."""
    row = make(file_engine, ProjectState.ON_HOLD)
    page = soup(own.get(f"/projects/{row.id}/progress"))
    assert "are still to come" in text(page.select_one(".ahead-lead .notice"))
    assert "its parts cannot be priced" in text(page.select_one(".ahead-sums"))
    course = soup(own.get(f"/projects/{row.id}/progress/course")).select_one("[data-piece]")
    assert "there is no course yet" in text(course)
    assert course.select("svg") == []


def test_why_nothing_is_told_of_what_the_hours_brought(file_engine, own):
    bare = make(file_engine, ProjectState.IN_BUILD)
    agreed = make(file_engine, ProjectState.IN_BUILD, agreed_minutes=600.0)
    for row, said in ((bare, "No hours were agreed"), (agreed, "Nothing of the plan is logged yet")):
        place = group(soup(own.get(f"/projects/{row.id}/progress")), "What the hours have brought")
        assert text(place.select_one(".earned")).startswith(said)
        assert place.select("details") == []


def test_money_without_decimals_is_told_by_the_hundred(file_engine, own):
    row = make(file_engine, ProjectState.IN_BUILD, agreed_minutes=600.0)
    with writing(file_engine) as session:
        shop.save_shop(session, replace(shop.get_shop(session), currency="JPY"))
        years.log_minutes(session, row.id, "joint_face", 40, on=years.FIRST)
    place = group(soup(own.get(f"/projects/{row.id}/progress")), "What the hours have brought")
    said = text(place.select_one(".earned"))
    assert re.match(r"Each ¥100 spent on hours has brought ¥[\d,]+ of the plan; ", said)
    assert "." not in said.rstrip(".")


def test_plan_and_log_that_do_not_meet_are_pointed_out(file_engine, own):
    row = make(file_engine, ProjectState.IN_BUILD)
    with writing(file_engine) as session:
        years.log_minutes(session, row.id, "sand", 40, on=years.FIRST)
        years.log_minutes(session, row.id, "dry_fit", 40, on=years.FIRST)
    said = text(group(soup(own.get(f"/projects/{row.id}/progress")), "To look at"))
    assert re.search(r"Nothing is logged on .*Joint one face", said)
    assert "Logged and not in the plan: Dry fit" in said


def test_markup_in_a_title_is_shown_as_text(file_engine, own):
    row = make(file_engine, ProjectState.IN_BUILD, title="<i>odd</i>")
    for path in (f"/projects/{row.id}/progress", f"/projects/{row.id}/progress/course"):
        assert "<i>odd</i>" not in own.get(path).text


def test_an_unknown_project_is_not_found(own):
    assert own.get("/projects/999/progress").status_code == 404
    assert own.get("/projects/999/progress/course").status_code == 404


def test_each_comparison_says_in_one_sentence_which_to_believe(page, client):
    forecast, by_hand = (text(one) for one in page.select(".ahead-trust"))
    assert "the one to plan and promise by" in forecast
    assert "where the two differ, believe the forecast" in by_hand
    assert all(one.count(".") == 1 for one in (forecast, by_hand))
    assert page.select_one(".ahead-lead .ahead-trust")
    dues = text(soup(client.get("/today/ahead")).select_one(".dues"))
    assert "Whether the day can be kept, Days says: it reckons with waits, people and the other jobs." in dues
    assert "This is about what the job earns, not about its day" in dues
