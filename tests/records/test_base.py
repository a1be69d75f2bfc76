from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.errors import BadInput
from journal.records import tables
from journal.records.base import Base, UtcDateTime, canonical, checksum
from journal.records.engine import reading, writing
from sqlalchemy import inspect
from sqlalchemy.dialects import sqlite
from sqlalchemy.exc import IntegrityError, StatementError
from tests import factories

ZONES = st.integers(-14 * 60, 14 * 60).map(lambda minutes: timezone(timedelta(minutes=minutes)))
MOMENTS = st.datetimes(datetime(1990, 1, 1), datetime(2100, 1, 1), timezones=ZONES)  # noqa: DTZ001 - bounds have no zone


@given(MOMENTS)
def test_a_moment_is_bound_as_the_same_moment_in_utc(moment):
    bound = UtcDateTime().process_bind_param(moment, sqlite.dialect())
    assert bound == moment
    assert bound.utcoffset() == timedelta(0)


def test_a_moment_from_any_zone_comes_back_in_utc(engine):
    east = datetime(2026, 3, 2, 1, 15, 30, 250_000, tzinfo=timezone(timedelta(hours=5, minutes=30)))
    with writing(engine) as session:
        entry = factories.entry(session, started_at=east)
    with reading(engine) as session:
        found = session.get(tables.TimeEntry, entry.id).started_at
    assert found == east
    assert found.tzinfo is UTC


def test_a_time_without_its_zone_is_refused(session):
    with pytest.raises(StatementError) as refused:
        factories.entry(session, started_at=datetime(2026, 3, 2, 18, 30))  # noqa: DTZ001 - that is the point
    assert isinstance(refused.value.orig, BadInput)
    session.rollback()


def test_equal_values_have_one_text_whatever_the_order_of_their_keys():
    assert canonical({"b": 1, "a": [1.5, "½"]}) == canonical({"a": [1.5, "½"], "b": 1}) == '{"a":[1.5,"½"],"b":1}'


def test_a_number_that_is_none_has_no_text():
    with pytest.raises(ValueError, match="JSON"):
        canonical({"a": float("nan")})


def test_the_checksum_is_sha_256():
    # FIPS 180-2, appendix B.1: the digest of "abc".
    assert checksum("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


def test_every_constraint_has_a_name_so_that_a_migration_can_change_it():
    for table in Base.metadata.tables.values():
        for constraint in [*table.constraints, *table.indexes]:
            assert constraint.name, f"{table.name}: {constraint!r}"


def test_every_column_that_points_elsewhere_can_be_searched(engine):
    """A row cannot be removed, nor its children listed, in good time when the pointing column has no index."""
    inspector = inspect(engine)
    for table in inspector.get_table_names():
        leading = {index["column_names"][0] for index in inspector.get_indexes(table)}
        leading |= {unique["column_names"][0] for unique in inspector.get_unique_constraints(table)}
        leading |= set(inspector.get_pk_constraint(table)["constrained_columns"][:1])
        pointing = {key["constrained_columns"][0] for key in inspector.get_foreign_keys(table)}
        assert pointing <= leading, table


@pytest.mark.parametrize(
    ("table", "values"),
    [
        (tables.Setting, {"key": "kerf_rip", "value": None, "unit": "in"}),
        (tables.Worker, {"label": "bench 1", "wage_cents_per_hour": -1, "active": True}),
        (tables.Part, {"project_id": 77, "uid": "a", "position": 0, "label": "leg", "quantity": 1, "thickness_nm": 1}),
        (tables.Machine, {"kind": "jointer", "label": "", "max_width_nm": 0, "cost_cents_per_hour": 0, "active": True}),
    ],
)
def test_the_database_itself_refuses_what_makes_no_sense(engine, table, values):
    with pytest.raises(IntegrityError), writing(engine) as session:
        session.add(table(**values))


def test_the_database_itself_refuses_an_unknown_word(engine):
    with engine.connect() as connection, pytest.raises(IntegrityError):
        connection.exec_driver_sql(
            "INSERT INTO stock_items (code, form, supplier, on_hand, archived) VALUES ('x', 'gravel', '', 0, false)"
        )


def test_time_is_of_an_operation_or_of_a_stage_never_both_nor_none(engine):
    def keep(operation, stage):
        words = {"operation": operation, "stage": stage, "source": "typed"}
        with writing(engine) as session:
            session.add(tables.TimeEntry(**common, **words, created_at=factories.NOW))

    common = {"on_date": factories.TODAY, "seconds": 60, "people": 1, "rework": False, "note": ""}
    for operation, stage in (("joint_face", "milling"), (None, None)):
        with pytest.raises(IntegrityError):
            keep(operation, stage)
    keep("joint_face", None)
