"""Glue-ups and coats told without signal: taken in later as if told then, once, and kept aside where they cannot be."""

from datetime import timedelta

import pytest
from journal.records.engine import reading, writing
from journal.records.queries import devices, floor, gluing, log
from journal.records.queries import taps as tap_records
from tests.web.project_pages import NOW, filled, open_shop, project, soup, text

KEY = "f" * 20
LEG = "Leg"


@pytest.fixture
def shop(file_engine, tmp_path):
    """(client, engine, project, headers of a paired device); it is noon."""
    client = open_shop(file_engine, tmp_path)
    made = project(file_engine)
    with writing(file_engine) as session:
        devices.add_worker(session, "bench 1")
    mark = soup(client.get("/today")).select_one("input[name=csrf_token]")["value"]
    token = client.post("/floor/device", data={"csrf_token": mark, "uid": "a" * 32}).json["token"]
    return client, file_engine, made, {"X-Journal-Device": token}


def ago(minutes):
    return (NOW - timedelta(minutes=minutes)).isoformat()


def late(sequence, form, at, fields, **given):
    """A form as the queue sends it."""
    pairs = [[name, one] for name, value in fields.items() for one in (value if isinstance(value, list) else [value])]
    return {
        "sequence": sequence,
        "form": form,
        "key": f"{KEY}-{sequence}",
        "at": at,
        "fields": pairs,
        "name": form,
    } | given


def send(shop, *bodies):
    """(state, why) of each."""
    client, _, _, headers = shop
    answer = client.post("/floor/taps", json={"taps": list(bodies)}, headers=headers)
    assert answer.status_code == 200
    return [(one["state"], one["why"]) for one in answer.json["answers"]]


def glue_up(shop, begun=20, **given):
    """A whole glue-up, told one tap after the other, so many minutes ago."""
    about = {"project": str(shop[2]), "label": LEG, "clock": "", "begun": ago(begun)}
    begin = about | {"temperature": "68 °F", "who": ["1"]} | given
    return [
        late(1, "glue-begin", ago(begun), begin),
        late(2, "glue-strip", ago(begun - 2), about),
        late(3, "glue-strip", ago(begun - 3), about),
        late(4, "glue-clamped", ago(begun - 9), about),
    ]


def coat(shop, sequence=1, at=5, **typed):
    """A coat as its page proposes it."""
    client, _, made, _ = shop
    (form,) = soup(client.get(f"/projects/{made}/coats")).select("form[data-late=coat]")
    fields = {name: value for name, value in filled(form).items() if name not in ("csrf_token", "key")}
    return late(sequence, "coat", ago(at), fields | {"amount_used": "250 ml"} | typed, name="A coat")


def kept(shop):
    with reading(shop[1]) as session:
        return floor.glue_ups(session), floor.coats(session), log.entries(session)


def refused(shop):
    with reading(shop[1]) as session:
        return tap_records.refused(session)


def test_a_glue_up_is_kept_with_the_moments_at_which_it_was_told(shop):
    assert send(shop, *glue_up(shop)) == [("kept", "")] * 4
    (glued,), _, entries = kept(shop)
    assert glued.clamped_at == NOW - timedelta(minutes=11)
    assert (glued.strips, glued.spread_seconds, glued.assembly_seconds) == (3, 180, 540)
    assert [(row.operation, row.started_at, row.seconds) for row in entries] == [
        ("spread_glue", NOW - timedelta(minutes=20), 180),
        ("close_clamps", NOW - timedelta(minutes=17), 360),
    ]


def test_whatever_is_sent_again_counts_once(shop):
    whole = glue_up(shop)
    send(shop, *whole[:2])
    assert send(shop, *whole) == [("known", "")] * 2 + [("kept", "")] * 2
    assert send(shop, *whole) == [("known", "")] * 4
    once = coat(shop, 5)
    assert [send(shop, once), send(shop, once)] == [[("kept", "")], [("known", "")]]
    glued, coats, entries = kept(shop)
    assert (len(glued), len(coats), len(entries)) == (1, 1, 2)


def test_a_form_that_came_by_its_own_way_too_counts_once(shop):
    client, _, made, _ = shop
    (form,) = soup(client.get(f"/projects/{made}/coats")).select("form[data-late=coat]")
    sent = coat(shop)
    client.post(form["action"], data=filled(form) | {"amount_used": "250 ml", "key": sent["key"]})
    assert send(shop, sent) == [("known", "")]
    assert len(kept(shop)[1]) == 1


def test_taps_before_a_glue_up_end_with_it_whatever_comes_first(shop):
    made = shop[2]
    start = {"sequence": 9, "person": 1, "what": "start", "project": made, "work": "fetch_stock", "at": ago(30)}
    assert {state for state, _ in send(shop, *glue_up(shop), start)} == {"kept"}
    assert [(row.operation, row.seconds) for row in kept(shop)[2]] == [
        ("spread_glue", 180),
        ("close_clamps", 360),
        ("fetch_stock", 600),
    ]


def test_a_start_that_was_refused_takes_its_strips_with_it_and_leaves_nothing(shop):
    answers = send(shop, *glue_up(shop, temperature="20 °F"))
    assert [state for state, _ in answers] == ["refused"] * 4
    assert "cold" in answers[0][1]
    assert "its start is not in the journal" in answers[1][1]
    assert kept(shop) == ((), (), ())
    with reading(shop[1]) as session:
        assert gluing.running_clocks(session) == ()
    page = soup(shop[0].get(f"/projects/{shop[2]}/glue/{LEG}"))
    assert "cold" in text(page.select(".notice--bad")[-1])


WRONG_COATS = (
    ({"amount_used": "a lot"}, "Amount used: "),
    ({"amount_used": ""}, "amount_used: "),
    ({"finish": "gravy"}, "Finish: "),
    ({"on_date": "2099-01-01"}, "on_date: "),
    ({"project": "999"}, "999"),
    ({"project": "🪚"}, "project: "),
    ({"parts": ["Roof"]}, "Parts: "),
)


def test_a_coat_that_cannot_be_taken_says_which_box_is_wrong(shop):
    right = coat(shop)
    fields = dict(right["fields"])
    wrong = [late(number, "coat", ago(5), fields | typed) for number, (typed, _) in enumerate(WRONG_COATS)]
    answers = send(shop, *wrong)
    assert [state for state, _ in answers] == ["refused"] * len(wrong)
    assert [why in said for (_, why), (_, said) in zip(WRONG_COATS, answers, strict=True)] == [True] * len(wrong)
    assert kept(shop)[1] == ()


def test_a_coat_that_was_refused_is_shown_with_what_was_typed_until_it_is_seen(shop):
    client, _, made, _ = shop
    send(shop, coat(shop, note="third <b>bench</b> 🪵", amount_used="a lot"))
    for path in ("/today", f"/projects/{made}/coats"):
        (told,) = soup(client.get(path)).select(".notice--bad")
        assert "A coat could not be taken." in text(told)
        assert "third <b>bench</b> 🪵" in text(told.select_one(".typed"))
    assert client.post(told["action"], data=filled(told)).location == f"/projects/{made}/coats"
    assert refused(shop) == ()


def test_what_somebody_at_the_page_is_told_there_is_not_kept_aside(shop):
    ((state, said),) = send(shop, coat(shop, amount_used="a lot") | {"live": True})
    assert (state, "Amount used" in said) == ("refused", True)
    assert refused(shop) == ()


def test_what_is_no_form_of_ours_is_refused_and_does_nothing(shop):
    right = coat(shop)
    wrong = (
        {"form": "juggling"},
        {"form": None},
        {"key": "short"},
        {"key": "x" * 100},
        {"at": "soon"},
        {"at": "2099-01-01T00:00:00Z"},
        {"at": "2020-01-01T00:00:00Z"},
        {"fields": None},
        {"fields": [["a"]]},
        {"fields": [["a", 7]]},
        {"fields": [["a", "\ud800"]]},
        {"fields": [["a", "b"]] * 300},
        {"sequence": -1},
        {"sequence": "1"},
    )
    answers = send(shop, *(right | one for one in wrong))
    assert [state for state, _ in answers] == ["refused"] * len(wrong)
    assert all(why for _, why in answers)
    assert kept(shop)[1] == ()
    assert shop[0].get("/today").status_code == 200


def test_a_strip_of_a_clock_that_ended_meanwhile_is_kept_aside(shop):
    send(shop, *glue_up(shop))
    with reading(shop[1]) as session:
        clock = str(gluing.newest_clock(session, shop[2], LEG).id)
    about = {"project": str(shop[2]), "label": LEG, "clock": clock, "begun": ""}
    ((state, why),) = send(shop, late(7, "glue-strip", ago(1), about))
    assert (state, "does not run any more" in why) == ("refused", True)
    assert len(refused(shop)) == 1


def test_something_told_of_before_what_is_known_already_is_kept_aside(shop):
    begin, strip, *_ = glue_up(shop)
    send(shop, begin, strip)
    about = dict(strip["fields"])
    ((state, why),) = send(shop, late(8, "glue-strip", ago(19), about))
    assert (state, "later already" in why) == ("refused", True)


def test_undo_takes_back_what_came_late(shop):
    send(shop, *glue_up(shop))
    mark = {"csrf_token": soup(shop[0].get("/today")).select_one("input[name=csrf_token]")["value"]}
    for act in range(4, 0, -1):
        assert shop[0].post(f"/floor/undo/{act}", data=mark).status_code == 303
    assert kept(shop) == ((), (), ())
