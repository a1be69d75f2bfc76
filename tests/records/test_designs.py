from datetime import timedelta

import pytest
from alembic import command
from alembic.config import Config
from journal.errors import BadInput, Conflict, MissingReference
from journal.places import folder
from journal.records import migrate
from journal.records.engine import open_engine, reading, writing
from journal.records.queries import designs, plans, projects
from journal.records.words import ProjectState
from sqlalchemy import inspect, text
from tests import factories

LATER = factories.NOW + timedelta(hours=1)
CHOSEN = {"length": 1_828_800_000, "shelf": True, "wood": "", "panel": "3/4 MDF"}


def kept(session, word="our-bench", title="Our bench", **given):
    return designs.add_design(session, word, title, **{"text": 'word = "our-bench"\n', "now": factories.NOW} | given)


def test_a_design_comes_back_as_it_was_kept(engine):
    with writing(engine) as session:
        row = kept(session)
    with reading(engine) as session:
        assert designs.find_design(session, "our-bench") == row
        assert designs.designs(session) == (row,)
        assert designs.design_words(session) == {"our-bench"}
        assert designs.find_design(session, "other") is None


def test_a_word_is_used_once_also_by_what_was_put_away(session):
    row = kept(session)
    designs.put_away(session, row.id, archived=True, now=LATER)
    assert designs.designs(session) == ()
    assert [d.word for d in designs.designs(session, archived=True)] == ["our-bench"]
    with pytest.raises(BadInput, match="no other design"):
        kept(session)
    other = kept(session, word="other")
    with pytest.raises(BadInput, match="no other design"):
        designs.change_design(
            session, other.id, word="our-bench", title="x", text="", read_version=other.version, now=LATER
        )


def test_a_change_is_counted_and_an_older_one_refused(session):
    row = kept(session)
    fields = {"word": "our-bench", "title": "Ours", "now": LATER}
    changed = designs.change_design(session, row.id, text="new", read_version=row.version, **fields)
    assert (changed.text, changed.title, changed.version) == ("new", "Ours", row.version + 1)
    with pytest.raises(Conflict, match="Ours"):
        designs.change_design(session, row.id, text="newer", read_version=row.version, **fields)
    with pytest.raises(MissingReference):
        designs.change_design(session, 99, text="", read_version=1, **fields)


def test_a_project_keeps_what_was_chosen(engine):
    with writing(engine) as session:
        with_it = factories.project(session, design_word="our-bench", design_values=CHOSEN)
        without = factories.project(session)
    with reading(engine) as session:
        assert projects.get_project(session, with_it.id).design_values == CHOSEN
        assert projects.get_project(session, without.id).design_values is None
        null = session.scalar(text("SELECT count(*) FROM projects WHERE design_values IS NULL"))
    assert null == 1


def test_finished_benches_come_with_their_hours_and_sizes(engine, statements):
    with writing(engine) as session:
        done = factories.project(session, state=ProjectState.DELIVERED, benches=2, agreed_price_cents=500_000)
        open_ = factories.project(session)
        for project in (done, open_):
            factories.plan(session, project.id)
            factories.entry(session, project_id=project.id, seconds=5_400, people=2)
    with reading(engine) as session, statements() as seen:
        (bench,) = designs.built_benches(session)
    assert len(seen) == 2
    assert (bench.project_id, bench.benches, bench.minutes) == (done.id, 2, 180)
    assert bench.agreed_price_cents == 500_000
    leg = factories.part()
    (part,) = bench.parts
    assert (part.quantity, part.width_nm, part.length_nm) == (leg.quantity, leg.width_nm, leg.length_nm)


def test_a_journal_of_the_revision_before_keeps_its_rows(tmp_path):
    """Up from the first tables, with a project, its plan and an entry in them."""
    path = tmp_path / "journal.db"
    engine = open_engine(path)
    _to_revision(engine, "20261125a")
    with engine.begin() as connection:
        connection.execute(
            text(
                "INSERT INTO projects (code, title, client_kind, benches, state, coats, design_word, note, created_at,"
                " updated_at, version) VALUES ('2026-01', 'Kept', 'school', 1, 'enquiry', 2, 'slab bench', '',"
                " '2026-03-02', '2026-03-02', 4)"
            )
        )
        connection.execute(
            text(
                "INSERT INTO parts (project_id, uid, position, label, quantity, thickness_nm, width_nm, length_nm,"
                " stock_code, strips, laminated_along, faces, note)"
                " VALUES (1, 'a', 0, 'leg', 4, 1, 1, 1, '2x8', 1, 'none', 'all', '')"
            )
        )
    migrate.ensure_current(engine)
    with reading(engine) as session:
        project = projects.get_project(session, 1)
        assert (project.title, project.design_word, project.design_values, project.version) == (
            "Kept",
            "slab bench",
            None,
            4,
        )
        assert [part.label for part in plans.parts(session, 1)] == ["leg"]
        assert designs.designs(session) == ()
    engine.dispose()


def test_and_back_again_without_the_designs(file_engine):
    with writing(file_engine) as session:
        factories.project(session, title="Kept", design_values=CHOSEN)
        kept(session)
    _to_revision(file_engine, "20261125a", down=True)
    tables = inspect(file_engine).get_table_names()
    assert "designs" not in tables
    with file_engine.connect() as connection:
        assert connection.scalar(text("SELECT title FROM projects")) == "Kept"


def _to_revision(engine, revision, *, down=False):
    config = Config()
    config.set_main_option("script_location", str(folder("migrations")))
    config.set_main_option("path_separator", "os")
    with engine.connect() as connection:
        connection.connection.dbapi_connection.execute("PRAGMA foreign_keys=OFF")
        with connection.begin():
            config.attributes["connection"] = connection
            (command.downgrade if down else command.upgrade)(config, revision)
