"""A project's part list: read, kept, changed, undone."""

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest
from journal.build.parts import Along
from journal.desk import parts, projects
from journal.desk.projects import Asked
from journal.desk.starting_stock import set_up
from journal.errors import BadInput, BadRows, Conflict
from journal.records.engine import reading, writing
from journal.records.queries import plans, shop

NOW = datetime(2026, 3, 2, 18, 30, tzinfo=UTC)
LIST = """label,qty,thickness,width,length,stock,strips,faces,features
Top,1,3 1/4,22,72,2x8 fir,auto along width,all,12 holes
Leg,4,3 1/2,5,31,2x6 fir,3 along thickness,all,2 laminated joints
"""


@pytest.fixture
def project_id(file_engine):
    set_up(file_engine, date(2026, 3, 2))
    with writing(file_engine) as session:
        return projects.begin(session, Asked("Bench for a print room"), now=NOW).id


def take(engine, project_id, text, **more):
    with writing(engine) as session:
        return parts.take_list(session, project_id, text, source="a paste", now=NOW, **more)[0]


def labels(engine, project_id):
    with reading(engine) as session:
        return [part.label for part in parts.current(session, project_id)]


def test_a_list_comes_back_as_it_went_in(file_engine, project_id):
    kept = take(file_engine, project_id, LIST)
    assert (kept.plan.version, kept.trouble) == (1, "")
    with reading(file_engine) as session:
        top, leg = parts.current(session, project_id)
    assert (top.strips, top.along, top.count("hole")) == (0, Along.WIDTH, 12)
    assert (leg.strips, leg.along, str(leg.faces)) == (3, Along.THICKNESS, "all")
    assert top.uid
    assert leg.uid


def test_operations_follow_from_the_parts(file_engine, project_id):
    kept = take(file_engine, project_id, LIST)
    quantities = {line.code: line.quantity for line in kept.plan.operations}
    assert quantities["bore_large"] == 12
    assert quantities["fit_laminated_joint"] == 8


def test_a_list_with_one_bad_row_changes_nothing(file_engine, project_id):
    take(file_engine, project_id, LIST)
    with pytest.raises(BadRows):
        take(file_engine, project_id, LIST.replace("3 1/2", "three and a half"))
    assert labels(file_engine, project_id) == ["Top", "Leg"]


def test_a_part_keeps_its_identity_when_the_list_is_taken_again(file_engine, project_id):
    take(file_engine, project_id, LIST)
    with reading(file_engine) as session:
        before = {part.label: part.uid for part in parts.current(session, project_id)}
    take(file_engine, project_id, LIST.replace(",72,", ",80,"))
    with reading(file_engine) as session:
        assert {part.label: part.uid for part in parts.current(session, project_id)} == before


def test_adding_keeps_what_is_there(file_engine, project_id):
    take(file_engine, project_id, LIST)
    take(file_engine, project_id, "label,thickness,width,length,stock\nShelf,3/4,16,48,3/4 plywood\n", add=True)
    assert labels(file_engine, project_id) == ["Top", "Leg", "Shelf"]


def test_undo_goes_back_and_can_be_undone(file_engine, project_id):
    take(file_engine, project_id, LIST)
    take(file_engine, project_id, "label,thickness,width,length,stock\nShelf,3/4,16,48,3/4 plywood\n")
    with writing(file_engine) as session:
        parts.undo(session, project_id, now=NOW)
    assert labels(file_engine, project_id) == ["Top", "Leg"]
    with writing(file_engine) as session:
        parts.undo(session, project_id, now=NOW)
    assert labels(file_engine, project_id) == ["Shelf"]


def test_there_is_nothing_to_undo_at_first(file_engine, project_id):
    with writing(file_engine) as session, pytest.raises(BadInput, match="there is none"):
        parts.undo(session, project_id, now=NOW)


def test_a_part_that_cannot_be_built_yet_is_kept_and_named(file_engine, project_id):
    kept = take(file_engine, project_id, LIST.replace("2x6 fir", "4x12 bog oak"))
    assert "bog oak" in kept.trouble
    assert kept.plan.operations == ()
    assert labels(file_engine, project_id) == ["Top", "Leg"]


def test_two_tabs_the_second_is_told(file_engine, project_id):
    take(file_engine, project_id, LIST, read_version=0)
    with pytest.raises(Conflict):
        take(file_engine, project_id, LIST.replace("Leg", "Post"), read_version=0)


def test_more_benches_make_a_new_plan_with_more_to_do(file_engine, project_id):
    take(file_engine, project_id, LIST)
    with writing(file_engine) as session:
        projects.change(session, project_id, Asked("Two benches", benches=2), read_version=1, now=NOW)
    with reading(file_engine) as session:
        plan = plans.latest_plan(session, project_id)
    assert plan.version == 2
    assert {line.code: line.quantity for line in plan.operations}["bore_large"] == 24


def troubles(engine, project_id):
    with reading(engine) as session:
        return parts.troubles(session, project_id, NOW.date())


def test_each_reason_is_named_once_with_the_parts_it_holds_for(file_engine, project_id):
    rail = "Rail,2,1 1/4,5,40,4x12 bog oak,1,all,\nSlab,1,9,20,60,2x8 fir,1,all,\n"
    take(file_engine, project_id, LIST.replace("2x6 fir", "4x12 bog oak") + rail)
    stock, thick = troubles(file_engine, project_id)
    assert (stock.labels, thick.labels) == (("Leg", "Rail"), ("Slab",))
    assert "bog oak" in stock.why
    assert not thick.why.startswith("Slab")


def test_parts_that_can_be_built_and_no_parts_have_no_trouble(file_engine, project_id):
    assert troubles(file_engine, project_id) == ()
    take(file_engine, project_id, LIST)
    assert troubles(file_engine, project_id) == ()


def test_trouble_with_the_shop_names_no_part(file_engine, project_id):
    take(file_engine, project_id, LIST)
    with writing(file_engine) as session:
        shop.save_shop(session, replace(shop.get_shop(session), default_finish="moonlight"))
    (trouble,) = troubles(file_engine, project_id)
    assert trouble.labels == ()
    assert "moonlight" in trouble.why
