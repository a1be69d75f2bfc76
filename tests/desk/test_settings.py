"""The shop's own words about itself: kept as typed, refused whole, never over somebody else's change."""

from dataclasses import replace

import pytest
from journal import reference, units
from journal.desk import settings
from journal.desk.shop import Work, read_shop
from journal.errors import BadInput, Conflict, MissingReference
from journal.records.engine import reading, writing
from journal.records.queries import shop as shop_records
from journal.records.queries.shop import MachineRow, ShopRow
from tests.factories import TODAY

INCH, METRIC = units.System.INCH, units.System.METRIC


def group_of(session, key):
    return next(group for group in settings.setting_groups(session) if group.group.key == key)


def texts(group_key, **typed):
    return dict.fromkeys(settings.find_group(group_key).keys, "") | typed


def save(engine, group_key, *, system=INCH, **typed):
    with writing(engine) as session:
        stamp = group_of(session, group_key).stamp
        settings.save_settings(session, group_key, texts(group_key, **typed), system=system, stamp=stamp)


def test_every_allowance_is_in_one_group():
    listed = [key for group in settings.GROUPS for key in group.keys]
    assert sorted(listed) == sorted(reference.allowances())


def test_an_allowance_is_kept_as_typed_and_used(file_engine):
    save(file_engine, "cutting", kerf_rip="3/32")
    with reading(file_engine) as session:
        assert shop_records.settings(session)["kerf_rip"].value == "3/32"
        assert read_shop(session, TODAY).rules(Work()).milling.kerf_rip_nm == units.inches("3/32")


def test_an_empty_box_goes_back_to_the_starting_value(file_engine):
    save(file_engine, "cutting", kerf_rip="3/32", end_trim="1")
    save(file_engine, "cutting", end_trim="1")
    with reading(file_engine) as session:
        assert set(shop_records.settings(session)) == {"end_trim"}


def test_a_bare_length_of_a_metric_shop_stays_millimetres(file_engine):
    save(file_engine, "cutting", kerf_rip="3", system=METRIC)
    with reading(file_engine) as session:
        assert group_of(session, "cutting").settings[2].own == units.mm(3)


def test_a_share_may_be_typed_in_per_cent(file_engine):
    save(file_engine, "rejects", reject_softwood="12.5%")
    with reading(file_engine) as session:
        assert read_shop(session, TODAY).allowances["reject_softwood"] == pytest.approx(0.125)


def test_one_bad_box_keeps_nothing_of_its_group(file_engine):
    with pytest.raises(BadInput, match="in to"):
        save(file_engine, "cutting", end_trim="1", kerf_rip="12 in")
    with reading(file_engine) as session:
        assert shop_records.settings(session) == {}


def test_a_group_that_changed_meanwhile_is_not_overwritten(file_engine):
    with reading(file_engine) as session:
        stamp = group_of(session, "cutting").stamp
    save(file_engine, "cutting", end_trim="1")
    with writing(file_engine) as session, pytest.raises(Conflict):
        settings.save_settings(session, "cutting", texts("cutting", end_trim="2"), system=INCH, stamp=stamp)


def test_another_group_may_change_meanwhile(file_engine):
    with reading(file_engine) as session:
        stamp = group_of(session, "cutting").stamp
    save(file_engine, "rejects", reject_softwood="10%")
    with writing(file_engine) as session:
        settings.save_settings(session, "cutting", texts("cutting", end_trim="2"), system=INCH, stamp=stamp)
        assert set(shop_records.settings(session)) == {"end_trim", "reject_softwood"}


def test_an_unknown_group_is_refused(file_engine):
    with writing(file_engine) as session, pytest.raises(MissingReference, match="cutting"):
        settings.save_settings(session, "moods", {}, system=INCH, stamp="")


@pytest.mark.parametrize(
    ("change", "error"),
    [
        ({"currency": "XYZ"}, MissingReference),
        ({"default_species": "driftwood"}, MissingReference),
        ({"default_adhesive": "chewing gum"}, MissingReference),
        ({"default_finish": "moonshine"}, MissingReference),
        ({"time_zone": "Europe/Atlantis"}, BadInput),
        ({"time_zone": "../etc"}, BadInput),
        ({"version": 3}, Conflict),
    ],
)
def test_shop_data_that_cannot_be_are_refused(file_engine, change, error):
    with writing(file_engine) as session, pytest.raises(error):
        settings.save_shop(session, replace(ShopRow(), **change))


def test_the_usual_machines_are_taken_over_once(file_engine):
    with writing(file_engine) as session:
        settings.take_usual_machines(session)
        settings.take_usual_machines(session)
        assert sorted(one.row.kind for one in settings.machines(session)) == sorted(reference.machines())


def test_a_shop_with_the_usual_machines_works_as_one_that_listed_none(file_engine):
    with reading(file_engine) as session:
        before = read_shop(session, TODAY)
        rules, rates = before.rules(Work()), before.rates()
    with writing(file_engine) as session:
        settings.take_usual_machines(session)
    with reading(file_engine) as session:
        after = read_shop(session, TODAY)
    assert (after.rules(Work()), after.rates()) == (rules, rates)


def test_a_machine_that_changed_meanwhile_is_not_overwritten(file_engine):
    with writing(file_engine) as session:
        row = settings.save_machine(session, MachineRow("jointer", "the jointer"))
        (seen,) = settings.machines(session)
    with writing(file_engine) as session:
        settings.save_machine(session, replace(row, cost_cents_per_hour=250), stamp=seen.stamp)
    with writing(file_engine) as session, pytest.raises(Conflict):
        settings.save_machine(session, replace(row, cost_cents_per_hour=300), stamp=seen.stamp)


@pytest.mark.parametrize("row", [MachineRow("time machine", "ours"), MachineRow("jointer", "gone", id=77)])
def test_a_machine_of_no_known_kind_or_number_is_refused(file_engine, row):
    with writing(file_engine) as session, pytest.raises(MissingReference):
        settings.save_machine(session, row)
