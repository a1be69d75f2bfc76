"""Two have the same page open and both change it: the second is told, sees both versions, and nothing is written over.

Every form that puts something typed in the place of what was typed before is in EDITS. The others are in OTHERS, each
with the reason why nothing that somebody typed can be lost by it.
"""

import pytest
from bs4 import BeautifulSoup
from journal.records.keeping.tally import differences
from tests.attack.conftest import served, visitor_of
from tests.attack.crawl import endpoint_of, forms_of
from tests.attack.lived_in import COMMISSION, IN_BUILD
from tests.attack.test_routes import held


def titled(name):
    """The text of a design with another title."""
    return lambda text: text.replace('title = "Our bench"', f'title = "{name}"')


# page, end of the form's address, box, what the first and the second type
EDITS = {
    "coats.correct": ("/projects/1/coats/2", "/coats/2", "note", "from the first", "from the second"),
    "designs.edit_keep": ("/designs/our-bench/edit", "/edit", "text", titled("First one"), titled("Second one")),
    "log.show_entry_correct": (f"/projects/{IN_BUILD}/log/1098", "/log/1098", "note", "from the first", "my own words"),
    "options.edit": (f"/projects/{COMMISSION}/options/1", "/options/1", "name", "The first name", "The second name"),
    "projects.edit_keep": (f"/projects/{COMMISSION}/edit", "/edit", "title", "The first title", "The second title"),
    "projects.parts_keep": (f"/projects/{COMMISSION}/parts", "/parts", "label-0", "First top", "Second top"),
    "rack.note": ("/rack/boards/1", "/note", "note", "from the first", "from the second"),
    "shop.hours": ("/shop/hours", "/shop/hours", "day5", "9:00–10:10", "9:00–11:20"),
    "shop.index": ("/shop", "/shop", "margin", "16", "17"),
    "shop.machine": ("/shop/machines/4", "/machines/4", "label", "First saw", "Second saw"),
    "shop.machine_cost": ("/shop/machines/4/cost", "/cost", "hours", "111", "222"),
    "shop.person": ("/shop/people/1", "/people/1", "label", "first place", "second place"),
    "shop.rate": ("/shop/rate", "/shop/rate", "income", "411", "422"),
    "shop.save_allowances": ("/shop/allowances", "/cutting", "cutting-kerf_crosscut", "5/64 in", "7/64 in"),
}


OTHERS = {
    "it adds something and changes nothing that is there": """
        access.devices_invite access.pair_use access.sign_in_try buying.buy_keep coats.add designs.begin designs.copy
        designs.new_add designs.take floor.device floor.take_taps floor.tap gluing.begin log.show_add notes.add
        options.add paces.own_add paces.past_jobs_send photos.of_purchase_add plan.show_reading_add plan.show_step_add
        prices.add prices.see projects.new_begin projects.price_keep quotes.show_issue rack.add rack.new_purchase_send
        review.show_learn shop.add_machine shop.add_person shop.backup_make shop.hours_off welcome.answer""",
    "a tap of a clock; every one is kept, and what counts is worked out of them (tests/desk/test_taps.py)": """
        gluing.told today.answer""",
    "it keeps a change by the step's key, the one before stays and can be had again": """
        plan.show_step_note plan.show_step_drop plan.show_step_move plan.show_step_split
        log.show_built paces.missing_say""",
    "it moves on or takes back what is kept, typed text stays and can be had again": """
        access.devices_shut_out access.sign_out coats.remove designs.put_away floor.seen floor.undo
        log.show_entry_again log.show_entry_remove log.show_entry_restore notes.remove notes.restore options.remove
        paces.operation_aside paces.operation_restore paces.own_remove paces.past_jobs_undo photos.back photos.down
        plan.show_edit_again plan.show_edit_back plan.show_reading_again plan.show_reading_back plan.show_stack
        prices.put_away prices.take_back rack.take_off_shelf rack.take_purchase_back rack.undo rack.use rack.write_off
        review.show_accept review.show_aside review.show_forget review.show_restore shop.hours_open
        shop.take_usual_machines welcome.skip""",
    "one choice of a list, shown as it stands; nothing is typed": """
        buying.buy_paper days.show_hardware days.show_likely floor.bench floor.who rack.cost""",
    "nothing is kept by it, or only by who asked": """
        buying.buy_draw buying.buy_fresh buying.buy_search buying.buy_stop designs.check paces.guesses_again
        paces.guesses_stop paces.past_jobs_choose patterns.check quotes.show_preview""",
    "the receipt itself is never changed: a second one in its place is refused (tests/web/test_rack_receipts.py)": """
        rack.purchase_send""",
    "it carries what was seen and has tests of its own for a second that comes late": """
        buying.buy_after_send buying.buy_yard_send gluing.correct log.show_entry_split notes.change options.take projects.parts_paste
        projects.parts_undo quotes.show_extra quotes.show_move quotes.show_pay quotes.show_undo rack.clear_stretch
        rack.count_send rack.stretch review.show_close today.evening_keep today.week_keep""",
}
# What else a form wants that has never been filled in.
BESIDES = {"shop.machine_cost": {"purchase": "1000", "life": "1000", "hours": "100"}}


@pytest.fixture(scope="module")
def app(lived_in_folder, tmp_path_factory):
    """A server of its own: elsewhere thousands of forms are sent, and what these change may be gone by then."""
    with served(lived_in_folder, tmp_path_factory.mktemp("stale") / "data") as made:
        yield made


@pytest.fixture(scope="module")
def visitor(app):
    return visitor_of(app)


def filled_in(client, page, action):
    shown = BeautifulSoup(client.get(page).text, "html.parser")
    return next(form for form in forms_of(shown, page) if form.action.split("?")[0].endswith(action))


def with_box(form, box, typed):
    was = form.sent[box]
    new = typed(was) if callable(typed) else typed
    return form.sent | {box: new}, new.partition('title = "')[2].partition('"')[0] or new


def shown_of(answer):
    """All that a page says: its text, and what stands in its boxes."""
    page = BeautifulSoup(answer.text, "html.parser").main
    boxes = [tag.get("value", "") for tag in page.select("input:not([type=hidden])")]
    return " ".join([page.get_text(" "), *boxes])


def test_of_every_change_it_is_said_whether_it_could_write_over_another(app):
    changes = {rule.endpoint for rule in app.url_map.iter_rules() if "POST" in rule.methods}
    said = [*EDITS, *(endpoint for listed in OTHERS.values() for endpoint in listed.split())]
    assert sorted(changes - set(said)) == [], "say in EDITS or OTHERS of this file what a second that comes late does"
    assert sorted(set(said) - changes) == [], "these are gone"
    assert len(said) == len(set(said))


@pytest.mark.parametrize("endpoint", sorted(EDITS))
def test_the_second_of_two_is_shown_both_versions_and_writes_over_nothing(app, visitor, endpoint):
    page, action, box, first, second = EDITS[endpoint]
    one, two = filled_in(visitor, page, action), filled_in(visitor, page, action)
    assert endpoint_of(app, one.action, "POST") == endpoint
    sent, said_first = with_box(one, box, first)
    assert visitor.post(one.action, data=sent | BESIDES.get(endpoint, {}) | {box: sent[box]}).status_code in {302, 303}
    before = held(app)
    sent, said_second = with_box(two, box, second)
    answer = visitor.post(two.action, data=sent | BESIDES.get(endpoint, {}) | {box: sent[box]})
    assert answer.status_code == 409
    assert differences(before, held(app)) == ()
    shown = shown_of(answer)
    assert said_second in shown
    assert said_first in shown
