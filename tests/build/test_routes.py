"""The way of a part through the shop, and what must be done otherwise."""

from dataclasses import replace

import pytest
from journal.build.milling import mill
from journal.build.parts import Feature
from journal.build.routes import BY_HAND, Capacity, knife_marks_per_inch, routes
from journal.errors import BadInput
from journal.units import inches
from tests.build.benches import BOOK, IN, MILLING, laminated_leg, part, top

SHOP = {
    "crosscut saw": Capacity(12 * IN, inches("3 1/2"), 8 * IN),
    "jointer": Capacity(6 * IN, 0, 12 * IN, inches("1/2")),
    "thickness planer": Capacity(13 * IN, 6 * IN, 12 * IN, inches("1/4")),
    "table saw": Capacity(24 * IN, 3 * IN, 12 * IN),
    "band saw": Capacity(12 * IN, 6 * IN, 6 * IN),
    "track saw": Capacity(0, 2 * IN, 12 * IN),
    "drill press": Capacity(0, 3 * IN),
    "drill driver": Capacity(),
}


def route(piece, machines=None, feed_kg=35, **changes):
    milled = replace(mill(piece, BOOK, MILLING), **changes)
    (found,) = routes([milled], SHOP if machines is None else machines, feed_kg)
    return found


def actions(found):
    return [(station.machine, station.action) for station in found.stations]


def test_a_board_that_fits_goes_straight_through():
    found = route(part(stock="2x4 Douglas-fir"))
    assert [station.machine for station in found.stations] == [
        "crosscut saw",
        "jointer",
        "thickness planer",
        "table saw",
        "crosscut saw",
    ]
    assert found.unusual == ()


def test_a_board_wider_than_the_jointer_is_ripped_first():
    # 2x8 is 7 1/4 in wide, the jointer 6.
    first = route(part()).unusual[0]
    assert (first.machine, first.action) == ("band saw", "rip to rough width first")


def test_a_blank_wider_than_the_jointer_is_flattened_by_hand():
    found = route(part(width="6 1/2"))
    assert found.unusual[0].machine == BY_HAND
    assert all(station.machine != "jointer" for station in found.stations)


def test_short_pieces_are_milled_as_one_and_cut_after():
    found = route(part(length=5, stock="2x4 Douglas-fir"))
    assert "3 in one piece" in found.unusual[0].why


def test_a_slab_is_trimmed_by_the_track_saw_from_both_faces():
    found = route(top())
    assert ("thickness planer", "plane the sections") in actions(found)
    assert ("track saw", "trim the ends from both faces") in actions(found)
    assert ("track saw", "trim the ends") in actions(route(top(thickness="2")))
    assert ("hand tools", "trim the ends with a handsaw") in actions(route(top(thickness="5")))


def test_what_the_planer_does_not_take_is_flattened_by_hand():
    assert (BY_HAND, "flatten by hand plane") in actions(route(top(), by_hand=True))
    without = {kind: size for kind, size in SHOP.items() if kind != "thickness planer"}
    assert (BY_HAND, "flatten by hand plane") in actions(route(laminated_leg(), without))
    low = {**SHOP, "thickness planer": Capacity(13 * IN, 3 * IN)}
    assert (BY_HAND, "flatten by hand plane") in actions(route(laminated_leg(), low))


def test_thick_stock_is_ripped_on_the_band_saw():
    shallow = {**SHOP, "table saw": Capacity(24 * IN, IN, 12 * IN)}
    assert ("band saw", "rip to width") in actions(route(part(stock="2x4 Douglas-fir"), shallow))
    alone = {kind: size for kind, size in shallow.items() if kind != "band saw"}
    assert ("table saw", "rip to width from both faces") in actions(route(part(stock="2x4 Douglas-fir"), alone))


def test_thin_stock_rides_on_a_carrier():
    thin = {**SHOP, "thickness planer": Capacity(13 * IN, 6 * IN, 12 * IN, 2 * IN)}
    assert any("carrier" in station.why for station in route(part(stock="2x4 Douglas-fir"), thin).unusual)


@pytest.mark.parametrize(
    ("machines", "feed_kg", "thickness", "station"),
    [
        (SHOP, 200, "3", ("drill press", "bore the holes")),
        (SHOP, 200, "4", ("drill press", "bore the holes from both faces")),
        (SHOP, 20, "3", ("drill driver", "bore the holes with a guide block")),
        ({}, 200, "3", (BY_HAND, "bore the holes with a guide block")),
    ],
)
def test_where_holes_are_bored(machines, feed_kg, thickness, station):
    assert station in actions(route(top(thickness=thickness, features=(Feature("hole", 4),)), machines, feed_kg))


def test_a_panel_is_cut_to_size():
    found = route(part("shelf", "3/4", "20", 58, stock="3/4 plywood"))
    assert actions(found) == [("track saw", "cut to size")]


def test_without_machines_everything_is_by_hand():
    found = route(part(stock="2x4 Douglas-fir"), {})
    assert {station.machine for station in found.stations} == {BY_HAND}
    assert all(station.why for station in found.stations)


@pytest.mark.parametrize(("rpm", "knives", "fpm"), [(0, 3, 16), (5000, 0, 16), (5000, 3, 0), (5000, 3, -1)])
def test_knives_that_do_not_turn_leave_no_marks(rpm, knives, fpm):
    with pytest.raises(BadInput):
        knife_marks_per_inch(rpm, knives, fpm)
