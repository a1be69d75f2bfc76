"""The page of a finished project."""

import re
from dataclasses import replace
from datetime import date

import pytest
from journal import reference
from journal.desk import closing, learnt, paces, review
from journal.desk.review_materials import Reckoned
from journal.quote.review import Bridge, Cause, Step
from journal.quote.wood_used import Against, WoodUsed
from journal.records.engine import reading, writing
from journal.records.queries import log, purchases
from journal.records.queries import projects as project_records
from journal.records.queries.shop import get_shop, save_shop
from journal.records.words import FINISHED, ProjectState
from journal.units import inches
from journal.web.review import materials_view, pages
from journal.web.review.because import because
from journal.web.review.steps import Amount, draw
from tests.web.project_pages import NOW, TODAY, filled, form_at, open_shop, project, soup, statements, text
from tests.web.shared_app import client_of


@pytest.fixture
def client(file_engine, tmp_path):
    return open_shop(file_engine, tmp_path)


@pytest.fixture
def done(file_engine, client):  # noqa: ARG001 - which sets the shop up
    """A delivered bench with two hours of milling logged."""
    made = project(file_engine)
    with writing(file_engine) as session:
        log.add_entry(session, log.EntryDraft(project_id=made, on_date=TODAY, seconds=7_200, stage="milling"), now=NOW)
        row = project_records.get_project(session, made)
        told = {
            "state": ProjectState.DELIVERED,
            "agreed_on": date(2026, 3, 1),
            "delivered_on": TODAY,
            "promised_on": date(2026, 3, 1),
            "agreed_price_cents": 400_000,
        }
        project_records.change_project(session, made, row.draft(**told), read_version=row.version, now=NOW)
    return made


@pytest.fixture
def told(file_engine, done):
    """The same job, its stages without hours left so."""
    with writing(file_engine) as session:
        closing.accept(session, done, "stages", "told with the milling", today=TODAY, now=NOW)
    return done


def test_without_the_hours_of_planned_stages_that_comes_before_any_figure(client, done):
    page = soup(client.get(f"/projects/{done}/review"))
    lead = page.select_one(".review-lead")
    first, second = (text(line) for line in lead.select(".notice p"))
    assert re.match(r"Not to be believed yet: [^$]+ and \d+ more stages have no hours\. Log them", first)
    assert lead.select_one(f".notice p a[href='/projects/{done}/log']")
    assert second.startswith("By what is logged so far, it left $")
    assert not page.select(".notice--good")
    for early in ("Mostly because", "the quote thought"):
        assert early not in text(lead)
    assert "Made, hours missing" in page.select_one("svg.review-steps")["aria-label"]
    assert "Left, hours missing" in [text(cell) for cell in page.select("tr.review-sum > :first-child")]


def test_its_largest_stage_is_named_and_one_alone_is_one(client, file_engine, done):
    with reading(file_engine) as session:
        found = review.review(session, done, TODAY)
        ends = closing.closing(session, done, TODAY)
    planned = found.hours.by_stage()
    (end,) = [one for one in ends.ends if one.stages]
    largest = max(end.stages, key=lambda stage: planned[stage][0])
    alone = replace(ends, ends=(replace(end, stages=("finishing",)),))
    with client.application.test_request_context():
        assert pages.unbelieved(found, ends).startswith(f"{reference.stages()[largest].name} and ")
        assert pages.unbelieved(found, alone) == "Finishing has no hours"


def test_what_was_agreed_short_of_the_plan_is_told_by_itself(demo_engine, tmp_path):
    client = client_of(demo_engine, today=date(2026, 11, 25), data=tmp_path)
    page = soup(client.get("/projects/18/review"))
    with reading(demo_engine) as session:
        bridge = review.review(session, 18, date(2026, 11, 25)).money.bridge
    with client.application.test_request_context():
        agreed = pages.signed(bridge.of(Cause.AGREED)).lstrip("−")
    assert bridge.of(Cause.AGREED) < bridge.of(Cause.HOURS) < 0
    lead, whole = text(page.select_one(".review-lead")), text(page.main)
    assert f"Mostly because hours agreed short of the plan took {agreed}, more hours than planned $" in lead
    assert "all but what was agreed short of the plan may be noise" in lead
    assert f"Agreed short of the plan −{agreed}" in page.select_one("svg.review-steps")["aria-label"]
    assert f"fewer were agreed than the plan came to, which by itself took {agreed}" in whole
    assert "of what went over" not in whole


@pytest.mark.parametrize(
    ("cause", "cents", "name"),
    [
        (Cause.BESIDE, -5_354, "Left out of the quote"),
        (Cause.BESIDE, 1_108, "Quoted beside the plan"),
        (Cause.AGREED, -5_354, "Agreed short of the plan"),
        (Cause.AGREED, 1_108, "Agreed beyond the plan"),
    ],
)
def test_a_step_is_called_by_the_way_it_went(client, file_engine, told, cause, cents, name):
    with reading(file_engine) as session:
        money = review.review(session, told, TODAY).money
    moved = replace(money, bridge=Bridge(10_000, (Step(cause, cents),), 10_000 + cents))
    with client.application.test_request_context():
        assert [line.name for line in pages.money_view(moved, believed=True).lines] == [name]


def test_the_outcome_comes_first(client, told):
    done = told
    page = soup(client.get(f"/projects/{done}/review"))
    said = text(page.select_one(".review-lead .notice"))
    assert said.startswith("It left $")
    assert "an hour" in said
    assert "delivered 1 day late" in said
    assert "since no quote was kept" in text(page.select_one(".review-lead"))


def steps(expected, made, **cents):
    return Bridge(expected, tuple(Step(Cause[name], value) for name, value in cents.items()), made)


@pytest.mark.parametrize(
    ("bridge", "said"),
    [
        (steps(100_000, 10_000, HOURS=-60_000, OVERHEAD=-25_000, PRICE=-5_000), "more hours than quoted took $850.00."),
        (
            steps(10_000, 4_000, QUANTITY=-5_000, REWORK=-2_000, PRICE=1_000),
            "more material than quoted took $50.00, more work done again than allowed for $20.00.",
        ),
        (steps(10_000, 19_000, HOURS=8_000, PRICE=-500, EXTRAS=1_500), "fewer hours than quoted brought $80.00."),
        (
            steps(90_000, -25_000, AGREED=-163_000, HOURS=35_000, OVERHEAD=15_000, PRICE=-2_000),
            "hours agreed short of the plan took $1,630.00; against that, fewer hours than planned brought $500.00.",
        ),
        (
            steps(10_000, 30_000, AGREED=50_000, HOURS=-30_000),
            "hours agreed beyond the plan brought $500.00; against that, more hours than planned took $300.00.",
        ),
    ],
)
def test_why_it_came_so_is_told_by_the_largest_causes(client, bridge, said):
    with client.application.test_request_context():
        assert because(bridge) == f"Mostly because {said}"


def test_what_came_as_expected_needs_no_reason(client):
    with client.application.test_request_context():
        assert because(steps(10_000, 10_000, HOURS=500, PRICE=-500)) == ""


def test_the_table_adds_up(client, done):
    (found,) = [
        t for t in soup(client.get(f"/projects/{done}/review")).select("table") if "in numbers" in t.caption.text
    ]
    cells = [text(cell) for cell in found.select("tbody td")]
    amounts = [
        round(float(c.replace("$", "").replace(",", "").replace("−", "-").replace("+", "")) * 100) for c in cells
    ]
    assert sum(amounts[:-1]) == amounts[-1]
    assert len(amounts) > 3


def test_the_picture_says_the_same_in_words(client, done):
    for picture in soup(client.get(f"/projects/{done}/review")).select("svg.review-steps"):
        assert picture["aria-label"].startswith("From the profit expected to the profit made: Expected $")


def test_before_delivery_it_says_when_it_speaks(client, file_engine):
    page = soup(client.get(f"/projects/{project(file_engine)}/review"))
    assert "Once the job is delivered" in text(page.select_one(".empty"))


def test_a_finished_job_without_parts_shows_its_hours(client, file_engine):
    bare = project(file_engine, listed="")
    with writing(file_engine) as session:
        row = project_records.get_project(session, bare)
        changed = row.draft(state=ProjectState.CLOSED)
        project_records.change_project(session, bare, changed, read_version=row.version, now=NOW)
    answer = client.get(f"/projects/{bare}/review")
    assert answer.status_code == 200
    assert "nothing is known of what was promised" in answer.get_data(as_text=True)
    assert "nan" not in text(soup(answer).main).lower().split()


def test_unknown_projects_are_not_found(client):
    for path in ("", "/learnt", "/lessons", "/materials"):
        assert client.get(f"/projects/99/review{path}").status_code == 404


def test_a_lesson_is_written_down_escaped_and_shown_on_the_next_job(client, file_engine, done):
    sent = form_at(client, f"/projects/{done}/review", "/lessons") | {"lesson": "<b>Dry it</b> longer"}
    assert client.post(f"/projects/{done}/review/lessons", data=sent).status_code == 303
    assert "&lt;b&gt;Dry it&lt;/b&gt; longer" in client.get(f"/projects/{done}/review").get_data(as_text=True)
    again = project(file_engine)
    assert "<b>Dry it</b> longer" in text(
        soup(client.get(f"/projects/{again}/review/lessons")).select_one("[data-piece]")
    )
    filled = [one["data-fill"] for one in soup(client.get(f"/projects/{again}/price")).select("[data-fill]")]
    assert f"/projects/{again}/review/lessons" in filled


def test_an_empty_lesson_comes_back(client, done):
    sent = form_at(client, f"/projects/{done}/review", "/lessons") | {"lesson": " "}
    answer = client.post(f"/projects/{done}/review/lessons", data=sent)
    assert answer.status_code == 422
    assert soup(answer).select_one("#lesson-error")


def test_loose_ends_are_accepted_one_by_one_and_then_it_closes(client, file_engine, done):
    while True:
        with reading(file_engine) as session:
            left = closing.closing(session, done, TODAY).open_ends
        if not left:
            break
        form = form_at_first(client, done)
        form[next(name for name in form if name.endswith("reason"))] = "left so"
        assert client.post(f"/projects/{done}/review/accept", data=form).status_code == 303
    sent = form_at(client, f"/projects/{done}/review", "/close")
    assert client.post(f"/projects/{done}/review/close", data=sent).status_code == 303
    with reading(file_engine) as session:
        assert project_records.get_project(session, done).state is ProjectState.CLOSED


def form_at_first(client, done):
    forms = [f for f in soup(client.get(f"/projects/{done}/review")).select("form") if f["action"].endswith("/accept")]
    return filled(forms[0])


def test_accepting_without_a_reason_comes_back_at_its_box(client, done):
    answer = client.post(f"/projects/{done}/review/accept", data=form_at_first(client, done))
    assert answer.status_code == 422
    assert len(soup(answer).select(".field--wrong")) == 1


def test_it_cannot_be_closed_over_loose_ends(client, file_engine, done):
    with reading(file_engine) as session:
        version = project_records.get_project(session, done).version
    token = form_at(client, f"/projects/{done}/review", "/lessons")["csrf_token"]
    sent = {"csrf_token": token, "version": version}
    answer = client.post(f"/projects/{done}/review/close", data=sent, follow_redirects=True)
    assert "Not closed" in answer.get_data(as_text=True)


def test_forms_of_other_sites_are_refused(client, done):
    assert client.post(f"/projects/{done}/review/lessons", data={"lesson": "x"}).status_code == 400


def test_what_it_teaches(client, file_engine, done):
    with reading(file_engine) as session:
        found = learnt.learnt(session, done, TODAY)
    assert found.counts
    milling = {one.code: one for one in found.paces}
    assert milling
    assert all(one.before.p50 != one.after.p50 for one in found.paces)
    piece = soup(client.get(f"/projects/{done}/review/learnt")).select_one("[data-piece]")
    assert found.paces[0].name in text(piece)


@pytest.fixture
def surprised(file_engine, done):
    """The same job with forty hours of milling: far outside what was to be expected."""
    with writing(file_engine) as session:
        for _ in range(2):
            entry = log.EntryDraft(project_id=done, on_date=TODAY, seconds=20 * 3_600, stage="milling")
            log.add_entry(session, entry, now=NOW)
    return done


def aside(client, project_id, **changes):
    path = f"/projects/{project_id}/review"
    sent = form_at(client, path, "/aside")
    box = next(name for name in sent if name.endswith("reason"))
    return client.post(f"{path}/aside", data=sent | {box: changes.pop("reason", "a visitor held it up")} | changes)


def learned_rows(engine):
    with reading(engine) as session:
        return paces.learn(session, TODAY).evidence


def test_a_surprise_is_set_aside_from_here_and_the_paces_learn_without_it(client, file_engine, surprised):
    before = learned_rows(file_engine)
    assert [row.stage for row in before.rows if row.by_stage] == ["milling"]
    assert aside(client, surprised).status_code == 303
    after = learned_rows(file_engine)
    assert after.rows == ()
    assert after.set_aside == 1  # one line of the log: the day's milling
    piece = text(soup(client.get(f"/projects/{surprised}/review")).select_one("#surprises"))
    assert "set aside: a visitor held it up (3 entries)" in piece
    assert "over" in piece


def test_it_is_learned_from_again(client, file_engine, surprised):
    before = learned_rows(file_engine)
    aside(client, surprised)
    path = f"/projects/{surprised}/review"
    assert client.post(f"{path}/restore", data=form_at(client, path, "/restore")).status_code == 303
    assert learned_rows(file_engine) == before
    again = client.post(f"{path}/restore", data=form_at(client, path, "/lessons") | {"what": "milling", "reason": "x"})
    assert again.status_code == 303
    assert "Nothing changed" in client.get(path).get_data(as_text=True)


@pytest.mark.parametrize("reason", [" ", "x" * 501])
def test_setting_aside_without_a_reason_comes_back_at_its_box(client, surprised, reason):
    answer = aside(client, surprised, reason=reason)
    assert answer.status_code == 422
    assert len(soup(answer).select(".field--wrong")) == 1


def test_a_piece_this_job_has_not_cannot_be_set_aside(client, file_engine, surprised):
    assert aside(client, surprised, what="finishing").status_code == 422
    assert learned_rows(file_engine).set_aside == 0


def test_hours_of_what_is_set_aside_still_count(client, surprised):
    def taken():
        page = soup(client.get(f"/projects/{surprised}/review"))
        return text(page.select_one(".review-lead .notice"))

    before = taken()
    aside(client, surprised)
    assert taken() == before


def test_what_became_of_the_materials(client, file_engine, done):
    empty = soup(client.get(f"/projects/{done}/review/materials")).select_one("[data-piece]")
    assert "No receipt" in text(empty)
    with writing(file_engine) as session:
        line = purchases.LineRow(
            stock_code="2x8 fir", quantity=40, price_cents=60_000, length_nm=inches(96), used_quantity=38
        )
        bought = purchases.PurchaseRow(on_date=TODAY, project_id=done, freight_cents=1_000, lines=(line,))
        purchases.add_purchase(session, bought)
    piece = soup(client.get(f"/projects/{done}/review/materials")).select_one("[data-piece]")
    assert "275.5 bd ft used" in text(piece)  # 38 boards of 7.25
    assert "What was left over went to the rack, worth $30.50 at cost." in text(piece)  # 2/40 of 610.00
    assert "freight and tax put $9.50 on top" in text(piece)
    assert {"nan", "inf", "none"}.isdisjoint(text(piece).lower().split())
    filled = [one["data-fill"] for one in soup(client.get(f"/projects/{done}/review")).select("[data-fill]")]
    assert f"/projects/{done}/review/materials" in filled


def became(wood, **told):
    nothing = {"left_cents": 0, "paid": None, "on_top_cents": 0, "glue": None, "finish": None}
    return Reckoned(woods=(wood,), whole=wood, **nothing | told)


@pytest.mark.parametrize(
    ("found", "says"),
    [
        (
            became(WoodUsed("fir", 60, 80, 90, 10)),
            "Of 80 bd ft used, 60 bd ft are in the blanks: 25 % was waste; the plan",
        ),
        (became(WoodUsed("fir", 60, 80, 50, 0)), "Less wood is gone than the blanks hold"),
        (became(WoodUsed("fir", 60, 80, 90, 0, said=False)), "Nobody said what was left"),
        (became(WoodUsed("fir", None, None, 90, 0)), "The plan can no longer be worked out"),
        (became(WoodUsed("fir", 60, 80, 80, 0), paid=Against(100, 90)), "cost 10 % less than the price book had"),
        (
            became(WoodUsed("fir", 60, 80, 80, 0), glue=Against(500, 600)),
            "20 % more than expected for the areas logged",
        ),
        (became(WoodUsed("fir", 60, 80, 80, 0), finish=Against(500, 501)), "as much as was expected"),
    ],
)
def test_what_became_of_the_materials_is_said_plainly(client, found, says):
    with client.application.test_request_context():
        assert says in " ".join(materials_view.said(found)).replace("\N{NO-BREAK SPACE}", " ")
        assert materials_view.wood_lines(found)[0].bought.endswith("bd ft")


def test_statements_do_not_grow_with_the_log(client, file_engine, done):
    path = f"/projects/{done}/review"
    client.get(path)
    before = statements(file_engine, lambda: client.get(path))
    with writing(file_engine) as session:
        for _ in range(20):
            entry = log.EntryDraft(project_id=done, on_date=TODAY, seconds=60, operation="spread_glue")
            log.add_entry(session, entry, now=NOW)
    client.get(path)
    assert statements(file_engine, lambda: client.get(path)) == before


def test_bars_begin_where_the_last_one_ended():
    amounts = [Amount("a", 100, "", whole=True), Amount("b", -150, "", whole=False), Amount("c", -50, "", whole=True)]
    first, step, last = draw(amounts, 320.0).bars
    assert first.x + first.width == pytest.approx(step.x + step.width)
    assert step.x == last.x
    assert (first.kind, step.kind, last.kind) == ("whole", "less", "whole")
    assert last.to_next is None


def test_a_picture_of_nothing_has_bars_that_can_be_seen():
    for bar in draw([Amount("a", 0, "", whole=True)], 320.0).bars:
        assert bar.width > 0


@pytest.mark.parametrize("currency", ["USD", "JPY"])
def test_worse_in_everything_is_told_without_a_broken_figure(client, file_engine, told, surprised, currency):
    """Hours, material, rework and what was taken away: all of it against the job, in a currency with and without cents."""
    assert told == surprised
    with writing(file_engine) as session:
        save_shop(session, replace(get_shop(session), currency=currency))
        again = log.EntryDraft(project_id=surprised, on_date=TODAY, seconds=90_000, stage="glue_up", rework=True)
        log.add_entry(session, again, now=NOW)
        line = purchases.LineRow(stock_code="2x8 fir", quantity=90, price_cents=9_000_000, length_nm=inches(96))
        bought = purchases.PurchaseRow(on_date=TODAY, project_id=surprised, tax_cents=900_000, lines=(line,))
        purchases.add_purchase(session, bought)
    pieces = [soup(client.get(f"/projects/{surprised}/review{path}")).main for path in ("", "/materials", "/learnt")]
    words = " ".join(text(piece) for piece in pieces)
    assert "It lost" in words
    assert "Mostly because more material than quoted took" in words or "Mostly because dearer material" in words
    assert {"nan", "inf", "none", "-"}.isdisjoint(words.lower().split())
    assert ("¥" in words) == (currency == "JPY")


def test_a_currency_without_cents(client, file_engine, done):
    with writing(file_engine) as session:
        row = get_shop(session)
        save_shop(session, replace(row, currency="JPY"))
    answer = client.get(f"/projects/{done}/review")
    assert answer.status_code == 200
    sums = text(soup(answer).select_one(".review-lead .notice"))
    assert "¥" in sums
    assert not re.search(r"\d\.\d", sums)


def test_the_hours_of_the_stages_come_to_those_the_money_is_reckoned_by(demo_engine, tmp_path):
    with reading(demo_engine) as session:
        found = [one.project for one in project_records.list_projects(session, FINISHED)][:6]
    client = client_of(demo_engine, today=date(2026, 11, 25), data=tmp_path)
    for job in found:
        page = soup(client.get(f"/projects/{job.id}/review"))
        rows = page.select("table:has(caption:-soup-contains('Hours and days by stage')) tbody tr")
        lines = [[hours(cell) for cell in row.select("td")[:2]] for row in rows]
        *stages, together = lines
        assert len(stages) > 4
        for side in (0, 1):
            assert sum(line[side] for line in stages) == pytest.approx(together[side], abs=0.05 * len(lines))
        assert together[0] == pytest.approx(job.agreed_minutes / 60, abs=0.06)


def hours(cell):
    return float(text(cell).removesuffix("h").strip().replace("−", "-"))
