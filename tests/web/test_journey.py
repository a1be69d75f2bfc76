"""From somebody asking for a bench to its price, in a real browser, on a phone and at a table."""

from __future__ import annotations

import pytest
from tests.web import project_pages as pages
from tests.web.browsing import fits

pytestmark = pytest.mark.browser


def begin_with_parts(page):
    page.goto("/projects/")
    page.click("text=Begin an enquiry")
    page.fill("#title", "Bench for a print room")
    page.click("text=Begin, and go on to its parts")
    page.fill("#text", pages.LIST)
    page.click("text=Take the list")
    page.wait_for_selector("#label-1")


@pytest.mark.parametrize("width", [360, 1280])
def test_from_enquiry_to_price(visit, file_engine, width):
    page = visit(width)
    begin_with_parts(page)
    assert page.input_value("#label-0") == "Top"
    assert fits(page)

    page.click("nav.tabs >> text=Price")
    price = page.locator(".price-sums dd").first
    assert price.is_visible()
    assert price.bounding_box()["y"] < 800  # seen without scrolling
    assert price.inner_text().startswith("$")
    assert fits(page)

    line = page.locator("#what-it-costs .working").first
    if not line.is_visible():  # on a phone the answer comes first, its lines folded under it
        page.locator("#what-it-costs summary").first.click()
    assert not line.locator(".working-body").is_visible()
    line.locator("summary").first.click()
    assert line.locator(".working-body").is_visible()
    page.click("[data-open-workings]")
    assert fits(page)

    page.fill("#price", "2500")
    page.click("text=Try it")
    page.wait_for_url("**price=2500*")
    assert "For the price you typed, $2,500.00" in page.inner_text("#at-this-price")
    assert page.locator(".verdict:not(.verdict--client) dd").count() == 5
    assert page.faults == []
    assert [part.label for part in pages.parts_of(file_engine, 1)] == ["Top", "Leg"]


def test_parts_are_edited_in_place_with_and_without_scripts(visit, file_engine):
    page = visit(360)
    begin_with_parts(page)
    page.click("text=Another row")
    assert page.evaluate("document.activeElement.id") == "label-3"
    page.fill("#label-3", "Rail")
    for box, typed in (("thickness", "1 1/4"), ("width", "5"), ("length", "40"), ("stock", "2x6 fir")):
        page.fill(f"#{box}-3", typed)
    page.check("#remove-1")
    page.click("text=Save changes")
    page.wait_for_selector("#label-1:not([value='Leg'])")
    assert [part.label for part in pages.parts_of(file_engine, 1)] == ["Top", "Rail"]

    plain = visit(1280, java_script_enabled=False)
    plain.goto("/projects/1/parts")
    plain.click("text=Another row")
    plain.fill("#length-0", "80")
    plain.click("text=Save changes")
    assert plain.locator(".notice--good").inner_text() == "Kept: Top changed."
    plain.click("text=Undo the last change")
    assert plain.input_value("#length-0") == "72"


def test_things_to_hit_are_large_for_a_finger(visit, file_engine):
    made = pages.project(file_engine)
    page = visit(360, has_touch=True, is_mobile=True)
    for path in ("/projects/", f"/projects/{made}/parts", f"/projects/{made}/price", "/projects/new"):
        page.goto(path)
        assert fits(page)
        sizes = page.evaluate(
            "[...document.querySelectorAll('main .button, main .box, main nav a, main tbody a, main .working > summary,"
            " .parts-table .col-remove label')].filter((e) => e.offsetParent).map((e) => e.getBoundingClientRect().height)"
        )
        assert sizes
        assert min(sizes) >= 48
