"""The frame in a real browser: no sideways scrolling, things large enough to hit, working without scripts."""

from __future__ import annotations

import pytest
from journal.web import create_app
from tests.web.browsing import served

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def address():
    with served(create_app(testing=True)) as address:
        yield address


@pytest.fixture
def open_page(visit):
    def opener(path="/patterns", width=360, **options):
        page = visit(width, **options)
        page.goto(path)
        return page

    return opener


@pytest.mark.parametrize("width", [320, 360, 768, 1280])
def test_the_page_never_scrolls_sideways(open_page, width):
    page = open_page(width=width)
    page.evaluate("document.querySelectorAll('details').forEach((d) => { d.open = true; })")
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.faults == []


def test_things_to_hit_are_large_for_a_finger(open_page):
    page = open_page(has_touch=True, is_mobile=True)
    sizes = page.evaluate(
        "[...document.querySelectorAll('.button, .text-button, .box, nav a, summary')]"
        ".filter((e) => e.offsetParent && e.type !== 'checkbox').map((e) => e.getBoundingClientRect().height)"
    )
    assert len(sizes) > 20
    assert min(sizes) >= 48


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_a_chosen_theme_holds_on_the_next_page(open_page, address, theme):
    page = open_page(color_scheme="light" if theme == "dark" else "dark")
    before = page.evaluate("getComputedStyle(document.documentElement).backgroundColor")
    page.click(f"[data-theme-set={theme}]")
    page.goto(address + "/nowhere")
    assert page.evaluate("getComputedStyle(document.documentElement).backgroundColor") != before
    page.click("[data-theme-set=device]")
    assert page.evaluate("getComputedStyle(document.documentElement).backgroundColor") == before


def test_without_scripts_the_working_opens_and_the_form_is_sent(open_page):
    page = open_page(java_script_enabled=False)
    page.locator(".working").nth(1).locator("summary").first.click()
    assert page.locator(".working").nth(1).locator(".working-body").is_visible()
    page.fill("#length", "about 76")
    page.click("form.form button[type=submit]")
    assert page.locator("#length").input_value() == "about 76"
    assert page.locator("#length-error").is_visible()
    assert not page.locator("[data-theme-choice]").is_visible()


def test_after_a_refusal_the_first_mistake_has_the_cursor(open_page):
    page = open_page()
    page.fill("#client", "Riverside workshop")
    page.click("form.form button[type=submit]")
    page.wait_for_selector("[data-refused]")
    assert page.evaluate("document.activeElement.id") == "length"


def test_every_working_opens_at_once(open_page):
    page = open_page()
    page.click("[data-open-workings]")
    assert page.evaluate("[...document.querySelectorAll('details')].every((d) => d.open)")


@pytest.mark.parametrize(("width", "most"), [(360, 360), (1280, 1280)])
def test_letters_of_twice_the_size_cut_nothing_off(open_page, width, most):
    page = open_page(width=width, reduced_motion="reduce")
    page.evaluate("document.documentElement.style.fontSize = '200%'")
    page.evaluate("document.querySelectorAll('details').forEach((d) => { d.open = true; })")
    assert page.evaluate("document.documentElement.scrollWidth") <= most
