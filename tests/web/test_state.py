"""Every page shows figures as the shop does, and knows what day it is there."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from journal import units
from journal.records.engine import reading, writing
from journal.records.queries import shop as shop_records
from journal.records.queries.shop import ShopRow
from journal.records.words import LengthSystem
from journal.web import create_app, filters, state


@pytest.fixture
def app(file_engine):
    return create_app(engine=file_engine, testing=True)


def showing(app):
    with app.test_request_context("/projects"):
        app.preprocess_request()
        return state.display(), filters.dimension(units.inches("3 5/32")), state.journal().today()


def test_until_the_shop_is_set_up_inches_and_the_computers_day(app):
    display, shown, today = showing(app)
    assert (display.system, display.time_zone) == (units.System.INCH, "")
    assert shown == "3 3/16 in"
    assert today == datetime.now(UTC).astimezone().date()


def test_the_shops_own_ways(app, file_engine):
    # The zone furthest east: its day is the first to change.
    row = ShopRow(name="East shed", denominator=32, currency="EUR", time_zone="Pacific/Kiritimati")
    with writing(file_engine) as session:
        shop_records.save_shop(session, row)
    display, shown, today = showing(app)
    assert (display.shop_name, display.currency.code) == ("East shed", "EUR")
    assert shown == "3 5/32 in"
    assert today == datetime.now(ZoneInfo("Pacific/Kiritimati")).date()


def test_a_metric_shop(app, file_engine):
    with writing(file_engine) as session:
        shop_records.save_shop(session, ShopRow(system=LengthSystem.METRIC))
    assert showing(app)[1] == "80.17 mm"
    with reading(file_engine) as session:
        assert shop_records.get_shop(session).system is LengthSystem.METRIC
