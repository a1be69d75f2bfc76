"""Photos in a real browser: made smaller before they are sent, and sent all the same where no script runs."""

from __future__ import annotations

import numpy as np
import pytest
from journal.records.engine import PHOTOS, writing
from PIL import Image
from tests import factories
from tests.desk import photo_files
from tests.web.browsing import fits

pytestmark = pytest.mark.browser

# Functions and no expressions: the page's policy forbids the eval by which an expression is asked a second time.
SENT_UNDER = "limit => [...document.querySelector('#photos').files].reduce((sum, file) => sum + file.size, 0) < limit"
SHOWN_SMALL = "() => document.querySelector('ul.photos img').naturalWidth === 240"


@pytest.fixture
def photos_page(file_engine):
    with writing(file_engine) as session:
        return f"/rack/purchases/{factories.purchase(session).id}/photos"


@pytest.fixture
def taken(tmp_path):
    """A photo as a phone has it: some megabytes, on its side, red where its upper right corner is to be seen."""
    sawdust = np.random.default_rng(1).integers(0, 90, (1500, 2000, 3), dtype=np.uint8)
    sawdust[:400, :500] = (220, 20, 20)
    notes = Image.Exif()
    notes[0x0112] = 6  # to be turned right, Exif 2.32
    path = tmp_path / "taken.jpg"
    path.write_bytes(photo_files.saved(Image.fromarray(sawdust), quality=95, exif=notes))
    assert path.stat().st_size > 2_000_000
    return path


@pytest.mark.parametrize("scripted", [True, False])
def test_a_large_photo_is_sent_upright_with_and_without_scripts(visit, photos_page, taken, tmp_path, scripted):
    page = visit(360, java_script_enabled=scripted)
    page.goto(photos_page)
    page.set_input_files("#photos", taken)
    if scripted:
        page.wait_for_function(SENT_UNDER, arg=taken.stat().st_size // 2)
        assert page.evaluate("document.querySelector('#photos').files[0].name") == "taken.jpg"
    page.click("text=Keep the photos")
    shown = page.locator("ul.photos img")
    shown.wait_for()
    assert page.faults == []
    (kept,) = [path for path in (tmp_path / PHOTOS).rglob("*.jpg") if not path.name.endswith(".small.jpg")]
    with Image.open(kept) as picture:
        assert picture.size == (1200, 1600)
        red, green, _ = picture.getpixel((1150, 50))
        assert red > 180
        assert green < 60
    if scripted:
        page.wait_for_function(SHOWN_SMALL)
        assert fits(page)
