from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.errors import BadInput, Conflict, JournalError, MissingReference
from journal.records.engine import reading, writing
from journal.records.queries import log, plans
from journal.records.tables import Part
from journal.records.words import LaminatedAlong
from tests import factories

LATER = factories.NOW + timedelta(days=1)
TOP = factories.part(
    label="top",
    quantity=1,
    strips=17,
    laminated_along=LaminatedAlong.WIDTH,
    faces=("top", "ends"),
    features=(plans.FeatureRow("hole", count=12), plans.FeatureRow("groove", length_nm=2 * factories.FOOT)),
)

_LENGTHS = st.integers(1, 2**62)
PARTS = st.builds(
    plans.PartRow,
    label=st.text(min_size=1, max_size=20).filter(str.strip),
    quantity=st.integers(1, 500),
    thickness_nm=_LENGTHS,
    width_nm=_LENGTHS,
    length_nm=_LENGTHS,
    stock_code=st.text(max_size=10),
    strips=st.integers(1, 60),
    laminated_along=st.sampled_from(LaminatedAlong),
    faces=st.lists(st.sampled_from(["top", "ends", "edges"]), unique=True).map(tuple),
    features=st.lists(st.builds(plans.FeatureRow, st.sampled_from(["hole", "groove"]), _LENGTHS), max_size=3).map(
        tuple
    ),
    uid=st.uuids().map(lambda uid: uid.hex),
)


@pytest.fixture
def project(session):
    return factories.project(session)


@given(PARTS)
def test_a_part_kept_in_a_plan_is_read_back_the_same(part):
    assert plans.part_from_json(plans._part_json(part)) == part


def test_parts_and_plan_come_back_as_they_were_kept(engine):
    with writing(engine) as session:
        project = factories.project(session)
        kept = factories.plan(session, project.id, [factories.part(), TOP])
    with reading(engine) as session:
        assert plans.latest_plan(session, project.id) == kept
        assert plans.parts(session, project.id) == kept.parts
    assert [replace(part, uid="") for part in kept.parts] == [factories.part(), TOP]
    assert not kept.damaged


def test_versions_count_up_and_old_ones_stay(session, project):
    first = factories.plan(session, project.id)
    second = factories.plan(session, project.id, [*first.parts, TOP], reason="top added", now=LATER)
    assert (first.version, second.version) == (1, 2)
    assert plans.get_plan(session, project.id, 1) == first
    assert [(head.version, head.reason) for head in plans.plan_history(session, project.id)] == [
        (2, "top added"),
        (1, "first list"),
    ]


def test_saving_the_same_again_makes_no_new_version(session, project):
    first = factories.plan(session, project.id)
    assert factories.plan(session, project.id, first.parts, first.operations, now=LATER) == first


def test_versions_of_two_projects_are_counted_apart(session, project):
    other = factories.project(session)
    factories.plan(session, project.id)
    assert factories.plan(session, other.id).version == 1


def test_a_renamed_part_keeps_its_identity_and_a_removed_one_its_row(session, project):
    leg, top = factories.plan(session, project.id, [factories.part(), TOP]).parts
    factories.plan(session, project.id, [replace(top, label="slab", features=())])
    (slab,) = plans.parts(session, project.id)
    assert (slab.uid, slab.label, slab.features) == (top.uid, "slab", ())
    removed = session.query(Part).filter_by(uid=leg.uid).one()
    assert removed.removed_at == factories.NOW


def test_restoring_makes_a_new_version_equal_to_the_old_one(session, project):
    first = factories.plan(session, project.id, [factories.part(), TOP])
    factories.plan(session, project.id, [replace(first.parts[0], length_nm=36 * factories.INCH)], [])
    restored = plans.restore_plan(session, project.id, 1, now=LATER)
    assert (restored.version, restored.made_at, restored.reason) == (3, LATER, "version 1 restored")
    assert (restored.parts, restored.operations, restored.sha256) == (first.parts, first.operations, first.sha256)
    assert plans.parts(session, project.id) == first.parts


def test_restoring_orphans_no_logged_time(session, project):
    factories.plan(session, project.id)
    factories.plan(session, project.id, [], [])
    entry = factories.entry(session, project_id=project.id)
    plans.restore_plan(session, project.id, 1, now=LATER)
    assert log.entries(session, project_id=project.id) == (entry,)


def test_a_damaged_version_is_not_restored(session, project):
    factories.plan(session, project.id)
    factories.plan(session, project.id, [], [])
    session.connection().exec_driver_sql("UPDATE plans SET operations = '[]' WHERE version = 1")
    session.expire_all()
    with pytest.raises(JournalError, match="damaged"):
        plans.restore_plan(session, project.id, 1, now=LATER)


def test_a_list_made_from_an_older_version_is_a_conflict(session, project):
    factories.plan(session, project.id, read_version=0)
    with pytest.raises(Conflict, match=project.code):
        factories.plan(session, project.id, [], read_version=0)


def test_the_same_part_twice_is_refused(session, project):
    part = factories.part(uid="a")
    with pytest.raises(BadInput, match="each part once"):
        factories.plan(session, project.id, [part, part])


def test_a_version_that_is_not_there_is_named_beside_those_that_are(session, project):
    factories.plan(session, project.id)
    with pytest.raises(MissingReference, match="known: 1"):
        plans.get_plan(session, project.id, 7)


def test_a_project_without_a_plan_has_none(session, project):
    assert plans.latest_plan(session, project.id) is None
    assert plans.parts(session, project.id) == ()


@pytest.mark.parametrize("given", [{"label": ""}, {"quantity": 0}, {"length_nm": 0}, {"strips": -1}])
def test_a_part_that_makes_no_sense_is_refused(given):
    with pytest.raises(BadInput):
        factories.part(**given)


def test_as_built_quantities_are_kept_and_changed(session, project):
    plans.put_built(session, project.id, [plans.BuiltRow("joint_face", 72.5, 2), plans.BuiltRow("sand", 80.0)])
    plans.put_built(session, project.id, [plans.BuiltRow("sand", 90.0, note="both sides")])
    assert plans.built(session, project.id) == (
        plans.BuiltRow("joint_face", 72.5, 2),
        plans.BuiltRow("sand", 90.0, note="both sides"),
    )


def test_parts_with_many_features_take_two_statements(engine, statements):
    with writing(engine) as session:
        project = factories.project(session)
        factories.plan(session, project.id, [TOP] * 12)
    with reading(engine) as session, statements() as seen:
        assert len(plans.parts(session, project.id)) == 12
    assert len(seen) == 2
