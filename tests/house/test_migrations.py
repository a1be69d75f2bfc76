"""The migrations, run from nothing, make exactly the tables the models declare; on both databases."""

import re

import pytest
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from journal.places import folder
from journal.records import migrate, tables
from journal.records.base import Base
from journal.records.engine import URL_VARIABLE, open_engine
from sqlalchemy import inspect
from tests import postgres_server


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgres)])
def two_engines(request, tmp_path):
    """Two new databases of the same kind."""
    if request.param == "sqlite":
        urls = [tmp_path / "migrated.db", tmp_path / "declared.db"]
    else:
        urls = [postgres_server.new_database(), postgres_server.new_database()]
    engines = [open_engine(url) for url in urls]
    yield engines
    for engine, url in zip(engines, urls, strict=True):
        engine.dispose()
        if request.param == "postgresql":
            postgres_server.drop_database(url)


def _scripts():
    config = Config()
    config.set_main_option("script_location", str(folder("migrations")))
    config.set_main_option("path_separator", "os")
    return config


def _in_text(index):
    """What a partial index is of comes as an expression, and no two of those are equal."""
    return {**index, "dialect_options": {key: str(value) for key, value in index.get("dialect_options", {}).items()}}


def _described(engine):
    """Every table with its columns, keys, checks and indexes, as the database tells them."""
    inspector = inspect(engine)
    return {
        name: {
            "columns": [(c["name"], str(c["type"]), c["nullable"]) for c in inspector.get_columns(name)],
            "primary": inspector.get_pk_constraint(name),
            "pointing": sorted(inspector.get_foreign_keys(name), key=str),
            "unique": sorted(inspector.get_unique_constraints(name), key=str),
            "checks": sorted((c["name"], c["sqltext"]) for c in inspector.get_check_constraints(name)),
            "indexes": sorted(str(_in_text(index)) for index in inspector.get_indexes(name)),
        }
        for name in inspector.get_table_names()
        if name != "alembic_version"
    }


def test_from_nothing_the_migrations_equal_the_models(two_engines):
    migrated, declared = two_engines
    migrate.ensure_current(migrated)
    Base.metadata.create_all(declared)
    assert _described(migrated) == _described(declared)
    assert len(_described(migrated)) == len(tables.__all__)
    with migrated.connect() as connection:
        assert compare_metadata(MigrationContext.configure(connection), Base.metadata) == []


def test_the_head_known_to_the_program_is_the_newest_script():
    assert ScriptDirectory.from_config(_scripts()).get_heads() == [migrate.HEAD]


def test_each_script_is_named_by_date_and_subject_says_why_and_imports_no_model():
    for path in (folder("migrations") / "versions").glob("*.py"):
        content = path.read_text()
        assert re.fullmatch(r"\d{4}_\d\d_\d\d_[a-z_]+\.py", path.name)
        assert "Why:" in content.split('"""')[1], path.name
        assert "journal" not in content.replace("a journal", "").split('"""', 2)[2], path.name


def test_a_command_line_brings_the_named_database_up_and_down_again(tmp_path, monkeypatch):
    monkeypatch.setenv(URL_VARIABLE, f"sqlite:///{tmp_path / 'journal.db'}")
    monkeypatch.setenv("JOURNAL_DATA", str(tmp_path))
    command.upgrade(_scripts(), "head")
    engine = open_engine(tmp_path / "journal.db")
    assert migrate.current(engine) == migrate.HEAD
    command.downgrade(_scripts(), "base")
    assert inspect(engine).get_table_names() == ["alembic_version"]
    engine.dispose()
