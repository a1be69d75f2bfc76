from datetime import UTC, date, datetime, timedelta

import pytest
from journal import units
from journal.build.design_file import GUIDE, LARGEST, read_design
from journal.desk import designs, parts, projects
from journal.desk.estimate import estimate_project
from journal.desk.starting_stock import set_up
from journal.errors import BadInput, BadRows, Conflict, MissingReference
from journal.records.engine import reading, writing
from journal.records.queries import projects as project_records
from journal.records.tables import StockItem
from sqlalchemy import update
from tests import journals
from tests.build.designs import STOOL

TODAY = date(2026, 3, 2)
NOW = datetime(2026, 3, 2, 12, tzinfo=UTC)
LONG = {"length": units.inches(84)}


@pytest.fixture
def shop(file_engine):
    set_up(file_engine, TODAY)
    return file_engine


@pytest.fixture
def session(shop):
    with writing(shop) as opened:
        yield opened


class TestShelf:
    def test_holds_what_came_with_the_program(self, session):
        shelf = designs.shelf(session)
        assert {entry.word for entry in shelf} >= {
            "slab-bench",
            "split-top-bench",
            "knock-down-bench",
            "assembly-table",
        }
        assert not any(entry.own for entry in shelf)

    def test_puts_the_shops_own_first(self, session):
        added = designs.add(session, STOOL, now=NOW)
        assert designs.shelf(session)[0] == added
        assert designs.find(session, "stool") == added
        assert added.own

    def test_an_unknown_word_is_refused_with_those_there_are(self, session):
        with pytest.raises(MissingReference, match="slab-bench"):
            designs.find(session, "stool")

    def test_what_is_put_away_can_be_taken_out_again(self, session):
        designs.add(session, STOOL, now=NOW)
        designs.put_away(session, "stool", archived=True, now=NOW)
        assert [e.word for e in designs.shelf(session, archived=True)] == ["stool"]
        assert "stool" not in [e.word for e in designs.shelf(session)]
        assert designs.find(session, "stool").archived
        assert not designs.put_away(session, "stool", archived=False, now=NOW).archived

    def test_what_came_with_the_program_is_not_put_away_or_changed(self, session):
        with pytest.raises(BadInput, match="copy this one"):
            designs.put_away(session, "slab-bench", archived=True, now=NOW)
        with pytest.raises(BadInput, match="copy this one"):
            designs.change(session, "slab-bench", STOOL, read_version=0, now=NOW)

    def test_a_text_an_older_version_kept_does_not_break_the_shelf(self, session):
        designs.records.add_design(session, "old", "Old", "format = 'bench design 0'", NOW)
        (old,) = [entry for entry in designs.shelf(session) if entry.word == "old"]
        assert old.design is None
        assert "not a design of ours" in old.trouble
        with pytest.raises(designs.JournalError, match="cannot be read"):
            designs.ready(old)


class TestOwn:
    def test_a_copy_says_its_own_word_and_title_and_makes_the_same_parts(self, session):
        first, second = (designs.copy(session, "slab-bench", now=NOW) for _ in range(2))
        assert (first.word, second.word) == ("slab-bench-2", "slab-bench-3")
        assert first.title == "Slab bench, our own"
        assert first.design.rows == designs.find(session, "slab-bench").design.rows
        assert read_design(first.text).word == "slab-bench-2"

    def test_a_copy_of_a_copy_gets_the_next_word(self, session):
        designs.copy(session, "slab-bench", now=NOW)
        assert designs.copy(session, "slab-bench-2", now=NOW).word == "slab-bench-3"

    def test_a_change_is_kept_and_an_older_one_refused(self, session):
        added = designs.add(session, STOOL, now=NOW)
        text = STOOL.replace('title = "Stool"', 'title = "Low stool"')
        changed = designs.change(session, "stool", text, read_version=added.version, now=NOW + timedelta(hours=1))
        assert (changed.title, changed.version) == ("Low stool", added.version + 1)
        with pytest.raises(Conflict):
            designs.change(session, "stool", STOOL, read_version=added.version, now=NOW)

    def test_what_makes_no_bench_is_not_kept(self, session):
        with pytest.raises(BadRows, match="goes round in a circle"):
            designs.add(session, STOOL.replace('thick = "2"', 'thick = "leg"'), now=NOW)
        with pytest.raises(BadRows, match="comes to"):
            designs.add(session, STOOL.replace('thick = "2"', 'thick = "0 - 2"'), now=NOW)
        assert "stool" not in [entry.word for entry in designs.shelf(session)]

    @pytest.mark.parametrize("word", ["stool", "slab-bench"])
    def test_a_word_that_is_taken_is_refused(self, session, word):
        designs.add(session, STOOL, now=NOW)
        with pytest.raises(BadInput, match="design"):
            designs.add(session, STOOL.replace('word = "stool"', f'word = "{word}"'), now=NOW)


class TestFiles:
    def test_what_is_passed_on_comes_in_as_the_same_design(self, session):
        passed_on = designs.as_file(designs.find(session, "knock-down-bench"))
        assert passed_on.startswith(GUIDE)
        taken = designs.take(session, passed_on.encode(), source="bench.toml", now=NOW)
        assert taken.word == "knock-down-bench-2"
        assert taken.design.rows == designs.find(session, "knock-down-bench").design.rows
        assert designs.as_file(taken).count(GUIDE[:40]) == 1

    def test_a_design_of_a_new_word_keeps_it(self, session):
        text = "\ufeff" + STOOL.replace("\n", "\r\n")
        assert designs.take(session, text.encode(), source="x", now=NOW).word == "stool"

    @pytest.mark.parametrize("content", [b"", b"\xff\xfe\x00", b"a,b\n1,2\n", b"x" * (4 * LARGEST + 1)])
    def test_what_is_no_design_is_refused(self, session, content):
        with pytest.raises(BadInput):
            designs.take(session, content, source="x", now=NOW)


class TestTrying:
    def test_gives_bench_views_and_price(self, shop):
        now = designs.bearings_of(shop, TODAY)
        design = designs.shipped()[0].design
        tried = designs.try_out(design, {}, now)
        assert tried.made.parts
        assert len(tried.views) == 3
        assert tried.estimate.price_cents > 0
        assert not tried.problems
        assert not tried.troubles
        assert not tried.standing_out

    def test_identical_benches_cost_less_each(self, shop):
        now = designs.bearings_of(shop, TODAY)
        design = read_design(STOOL)
        one, four = (designs.try_out(design, {}, now, benches=n).estimate for n in (1, 4))
        assert one.hours.mean < four.hours.mean < 4 * one.hours.mean

    def test_names_the_parts_the_shop_cannot_make_each_reason_once(self, shop):
        text = STOOL.replace('stock = "2x12"', 'stock = "teak"').replace('stock = "{wood}"', 'stock = "teak"')
        tried = designs.try_out(read_design(text), {}, designs.bearings_of(shop, TODAY))
        assert tried.estimate is None
        assert tried.made
        (trouble,) = tried.troubles
        assert trouble.labels == ("Top", "Legs")
        assert "no stock called “teak”" in trouble.why

    def test_names_what_reaches_beyond_the_outer_sizes(self, shop):
        design = read_design(STOOL.replace("depth = 12", "depth = 11"))
        tried = designs.try_out(design, {}, designs.bearings_of(shop, TODAY))
        assert tried.standing_out == ("Top",)

    def test_tells_the_cells_that_make_none(self, shop):
        design = read_design(STOOL.replace('thick = "2"', 'thick = "6/legs"'))
        tried = designs.try_out(design, {"legs": 0}, designs.bearings_of(shop, TODAY))
        assert tried.made is None
        assert [problem.column for problem in tried.problems] == ["worked thick"]

    def test_the_woods_are_those_with_prices(self, shop):
        woods = designs.woods(designs.bearings_of(shop, TODAY).shop)
        assert {"Douglas-fir", "sugar maple", "spruce-pine-fir"} <= set(woods)
        assert len(set(woods)) == len(woods)


class TestBearings:
    def test_are_read_once_while_nothing_changes(self, shop):
        assert designs.bearings_of(shop, TODAY) is designs.bearings_of(shop, TODAY)
        assert designs.bearings_of(shop, TODAY) is not designs.bearings_of(shop, TODAY + timedelta(days=1))

    def test_are_read_again_after_a_change_of_what_they_rest_on(self, shop):
        before = designs.bearings_of(shop, TODAY)
        with writing(shop) as session:
            row = before.shop.row
            session.execute(update(StockItem).values(supplier="the mill"))
        after = designs.bearings_of(shop, TODAY)
        assert after is not before
        assert after.shop.row == row

    @journals.needs_file  # of a server it is only known that somebody wrote
    def test_stay_while_only_what_they_do_not_rest_on_changes(self, shop):
        before = designs.bearings_of(shop, TODAY)
        with writing(shop) as session:
            designs.records.add_design(session, "x", "X", "", NOW)
        assert designs.bearings_of(shop, TODAY) is before


class TestBuilding:
    def test_a_project_begun_has_the_designs_parts_and_remembers_what_was_chosen(self, session):
        asked = projects.Asked(title="Bench for a school", benches=2)
        begun, kept = designs.begin(session, "slab-bench", LONG, asked, now=NOW)
        assert not kept.trouble
        row = project_records.get_project(session, begun.id)
        assert row.design_word == "slab-bench"
        assert row.design_values["length"] == units.inches(84)
        assert row.design_values["depth"] == units.inches(24)
        listed = parts.current(session, begun.id)
        assert listed[0].length_nm == units.inches(84)
        assert [(p.label, p.quantity) for p in listed] == [
            (p.label, p.quantity) for p in designs.make(designs.find(session, "slab-bench").design, LONG).parts
        ]

    def test_its_price_is_the_one_that_was_shown(self, shop):
        with writing(shop) as session:
            begun, _ = designs.begin(session, "split-top-bench", LONG, projects.Asked(title="B"), now=NOW)
        with reading(shop) as session:
            entry = designs.find(session, "split-top-bench")
            of_project = estimate_project(session, begun.id, TODAY).made
        shown = designs.try_out(entry.design, LONG, designs.bearings_of(shop, TODAY)).estimate
        assert of_project.price_cents == shown.price_cents

    def test_into_a_project_it_is_a_new_version_and_parts_keep_their_identity(self, session):
        begun, _ = designs.begin(session, "slab-bench", LONG, projects.Asked(title="B"), now=NOW)
        before = {part.label: part.uid for part in parts.current(session, begun.id)}
        designs.apply(session, begun.id, "slab-bench", {"shelf": False}, now=NOW)
        after = {part.label: part.uid for part in parts.current(session, begun.id)}
        assert "Shelf" not in after
        assert all(before[label] == uid for label, uid in after.items())
        history = parts.page(session, begun.id).history
        assert [head.version for head in history] == [2, 1]
        assert "slab-bench" in history[0].reason
        parts.undo(session, begun.id, now=NOW)
        assert "Shelf" in {part.label for part in parts.current(session, begun.id)}

    def test_choices_that_make_no_bench_begin_nothing(self, session):
        with pytest.raises(BadInput, match="96 in"):
            designs.begin(session, "slab-bench", {"length": units.feet(20)}, projects.Asked(title="B"), now=NOW)
        assert projects.listed(session) == ()

    def test_into_no_project_is_refused(self, session):
        with pytest.raises(MissingReference):
            designs.apply(session, 77, "slab-bench", {}, now=NOW)
