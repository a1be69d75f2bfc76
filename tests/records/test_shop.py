from dataclasses import replace

import pytest
from journal import reference
from journal.errors import BadInput, Conflict, MissingReference
from journal.records.engine import reading, writing
from journal.records.queries import shop
from journal.records.words import LengthSystem


def test_a_shop_not_set_up_has_the_starting_assumptions(session):
    assert shop.get_shop(session) == shop.ShopRow()
    assert shop.get_shop(session).version == 0


def test_the_starting_assumptions_are_names_the_tables_know():
    start = shop.ShopRow()
    assert reference.species(start.default_species)
    assert start.default_adhesive in reference.adhesives()
    assert start.default_finish in reference.finishes()


def test_the_shop_comes_back_as_it_was_kept(engine):
    kept = shop.ShopRow(name="Bench shop", system=LengthSystem.METRIC, currency="EUR", tax_ppm=88_750, people=2)
    with writing(engine) as session:
        saved = shop.save_shop(session, kept)
    with reading(engine) as session:
        assert shop.get_shop(session) == saved == replace(kept, version=1)


def test_each_change_counts_the_version_up(session):
    first = shop.save_shop(session, shop.ShopRow())
    second = shop.save_shop(session, replace(first, margin_bp=2_000))
    assert (first.version, second.version) == (1, 2)


def test_setting_up_twice_from_two_pages_is_a_conflict(session):
    shop.save_shop(session, shop.ShopRow())
    with pytest.raises(Conflict):
        shop.save_shop(session, shop.ShopRow(name="again"))


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("name", " "),
        ("margin_bp", 10_000),
        ("deposit_bp", -1),
        ("tax_ppm", 1_000_000),
        ("confidence_pct", 100),
        ("minutes_per_week", 0),
        ("minutes_per_week", 10_081),
        ("people", 0),
        ("denominator", 10),
        ("wage_cents_per_hour", -1),
        ("rounding_cents", 0),
    ],
)
def test_a_shop_that_makes_no_sense_is_refused(field, value):
    with pytest.raises(BadInput):
        shop.ShopRow(**{field: value})


def test_a_setting_is_kept_as_typed_changed_and_dropped(session):
    shop.put_setting(session, shop.SettingRow("kerf_rip", "1/8", "in"))
    shop.put_setting(session, shop.SettingRow("kerf_rip", "3/32", "in"))
    assert shop.settings(session) == {"kerf_rip": shop.SettingRow("kerf_rip", "3/32", "in")}
    shop.drop_setting(session, "kerf_rip")
    shop.drop_setting(session, "kerf_rip")
    assert shop.settings(session) == {}


def test_an_empty_setting_is_refused(session):
    with pytest.raises(BadInput):
        shop.put_setting(session, shop.SettingRow("kerf_rip", "", "in"))


def test_a_machine_is_added_changed_and_put_away(session):
    jointer = shop.save_machine(session, shop.MachineRow(kind="jointer", label="6 in", max_width_nm=152_400_000))
    shop.save_machine(session, replace(jointer, cost_cents_per_hour=250))
    assert [machine.cost_cents_per_hour for machine in shop.machines(session)] == [250]
    shop.save_machine(session, replace(jointer, active=False))
    assert shop.machines(session) == ()
    assert len(shop.machines(session, active_only=False)) == 1


def test_a_machine_that_is_not_there_is_named(session):
    with pytest.raises(MissingReference, match="99"):
        shop.save_machine(session, shop.MachineRow(kind="jointer", label="", id=99))
