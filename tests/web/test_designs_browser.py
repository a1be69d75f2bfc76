"""Designs in a real browser: a dimension is changed, the figures follow, and the cursor stays where it was."""

from __future__ import annotations

import pytest
from tests.web.browsing import fits

pytestmark = pytest.mark.browser


def price(page):
    return page.locator("[data-live-piece=price] dd").first.inner_text()


def follows(page, before):
    """Waits until the price is another one."""
    page.wait_for_function(
        "before => { const dd = document.querySelector('[data-live-piece=price] dd');"
        " return dd && dd.innerText !== before; }",
        arg=before,
    )


@pytest.mark.parametrize("width", [360, 1280])
def test_figures_follow_a_dimension_while_it_is_typed_and_the_cursor_stays(visit, width):
    page = visit(width)
    page.goto("/designs/slab-bench")
    first = price(page)
    page.click("#p_length")
    page.keyboard.press("Control+A")
    page.keyboard.type("96")
    follows(page, first)
    assert page.evaluate("document.activeElement.id") == "p_length"
    assert page.input_value("#p_length") == "96"
    page.keyboard.type(" in")  # typing goes on where it was
    assert page.input_value("#p_length") == "96 in"
    longer = price(page)
    assert longer != first
    assert "96 in" in page.locator("[data-live-piece=drawing] desc").first.text_content()
    parts = page.locator("[data-live-piece=parts]").inner_text()
    assert "96 in" in parts
    assert "glue-ups." in parts
    assert "because" in parts
    assert "p_length=96" in page.url
    assert fits(page)
    assert page.faults == []


def test_a_dimension_outside_its_limits_says_so_and_the_next_good_one_is_taken(visit):
    page = visit(1280)
    page.goto("/designs/slab-bench")
    first = price(page)
    page.fill("#p_length", "400")
    page.wait_for_selector("[data-live-piece=price] >> text=96 in or less")
    assert page.evaluate("document.activeElement.id") == "p_length"
    page.fill("#p_length", "80")
    page.wait_for_function(
        "before => { const dd = document.querySelector('[data-live-piece=price] dd');"
        " return dd && dd.innerText.startsWith('$') && dd.innerText !== before; }",
        arg=first,
    )
    assert page.faults == []


def test_the_sizes_chosen_are_still_there_when_the_page_is_loaded_again(visit):
    page = visit(1280)
    page.goto("/designs/slab-bench")
    before = price(page)
    page.fill("#p_depth", "30")
    follows(page, before)
    after = price(page)
    page.reload()
    assert page.input_value("#p_depth") in ("30", "30 in")
    assert price(page) == after


def test_without_scripts_a_button_works_it_out(visit):
    page = visit(360, java_script_enabled=False)
    page.goto("/designs/slab-bench")
    first = page.locator("[data-live-piece=price] dd").first.inner_text()
    page.fill("#p_length", "96")
    page.click("text=Work it out")
    assert page.locator("[data-live-piece=price] dd").first.inner_text() != first
