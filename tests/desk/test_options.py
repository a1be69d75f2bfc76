"""Options of an enquiry: kept, estimated beside it, and one of them made the project."""

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest
from journal import units
from journal.build.parts import Feature, Part
from journal.desk import designs, estimate, option_changes, options, parts, projects
from journal.desk.starting_stock import set_up
from journal.errors import BadInput, Conflict, JournalError, MissingReference
from journal.quote.options import Changes
from journal.records.engine import writing
from journal.records.queries import projects as project_records
from journal.records.words import ProjectState

TODAY = date(2026, 3, 2)
NOW = datetime(2026, 3, 2, 18, 30, tzinfo=UTC)
LIST = """label,qty,thickness,width,length,stock,strips,features
Top,1,3,20,60,2x8 fir,auto along width,12 holes
Leg,4,3 1/2,5,31,2x6 fir,3 along thickness,2 laminated joints
Shelf,1,3/4,6,40,2x8 fir,,
"""
TILL = Part("Till", 1, units.inches("3/4"), units.inches(5), units.inches(20), "4/4 ash")


@pytest.fixture
def session(file_engine):
    set_up(file_engine, TODAY)
    with writing(file_engine) as opened:
        yield opened


@pytest.fixture
def project(session):
    made = projects.begin(session, projects.Asked("Bench"), now=NOW)
    parts.take_list(session, made.id, LIST, source="a paste", now=NOW)
    return made.id


def uid(session, project, label):
    return next(part.uid for part in parts.current(session, project) if part.label == label)


def add(session, project, name="Another", **changes):
    return options.add(session, project, name, Changes(**changes), now=NOW)


def only(session, project):
    (variant,) = options.side_by_side(session, project, TODAY).variants
    return variant


def take(session, project, row, **also):
    shown = {"read_version": row.version, "plan_version": parts.page(session, project).version} | also
    return options.take(session, project, row.id, **shown, now=NOW)


class TestKept:
    def test_changes_come_back_as_they_were_kept(self, session, project):
        asked = Changes(
            benches=2,
            coats=4,
            adhesive="epoxy",
            finish="shellac",
            design={"length": 1, "shelf": False},
            stocks={"2x8 fir": "8/4 ash", "": "4/4 ash"},
            left_out=frozenset({"a", "b"}),
            features={"c": (Feature("hole", 3), Feature("groove", length_nm=5)), "d": ()},
            added=(TILL, replace(TILL, label="Tray", features=(Feature("screw", 8),), note="größer 🪵")),
        )
        assert option_changes.from_kept(option_changes.as_kept(asked)) == asked
        assert option_changes.as_kept(Changes()) == {}
        row = add(session, project, stocks={"2x8 fir": "8/4 ash"})
        session.expire_all()
        assert options.one(session, project, row.id) == (row, Changes(stocks={"2x8 fir": "8/4 ash"}))

    def test_they_are_said_in_words(self, session, project):
        shelf, top = uid(session, project, "Shelf"), uid(session, project, "Top")
        add(
            session,
            project,
            benches=2,
            coats=1,
            finish="shellac",
            stocks={"2x8 fir": "8/4 ash"},
            left_out=frozenset({shelf, "gone"}),
            features={top: (Feature("hole", 3),), "gone": ()},
            added=(TILL,),
        )
        assert only(session, project).said == (
            "2 benches", "2x8 fir → 8/4 ash", "without Shelf", "with Till", "Top: 3 holes", "Shellac, 2-lb cut", "1 coat"
        )  # fmt: skip

    @pytest.mark.parametrize(
        ("wrong", "field"),
        [({}, "option"), ({"added": (replace(TILL, label="LEG"),)}, "parts added")],
    )
    def test_what_is_no_option_is_refused(self, session, project, wrong, field):
        with pytest.raises(BadInput) as refused:
            add(session, project, **wrong)
        assert refused.value.field == field

    @pytest.mark.parametrize("wrong", [{"adhesive": "spit"}, {"finish": "tar"}])
    def test_what_the_tables_do_not_know_is_refused(self, session, project, wrong):
        with pytest.raises(MissingReference):
            add(session, project, **wrong)

    def test_all_parts_cannot_be_left_out(self, session, project):
        every = frozenset(part.uid for part in parts.current(session, project))
        with pytest.raises(BadInput, match="at least one part"):
            add(session, project, left_out=every)

    def test_it_is_changed_and_removed_and_a_slower_tab_is_told(self, session, project):
        row = add(session, project, coats=4)
        changed = options.change(session, project, row.id, "Five", Changes(coats=5), read_version=1, now=NOW)
        assert (changed.name, changed.version) == ("Five", 2)
        with pytest.raises(Conflict):
            options.change(session, project, row.id, "Six", Changes(coats=6), read_version=1, now=NOW)
        options.remove(session, project, row.id)
        assert options.side_by_side(session, project, TODAY).variants == ()


class TestCompared:
    def test_an_option_costs_what_the_project_would_if_it_were_so(self, session, project):
        top = uid(session, project, "Top")
        add(session, project, "Other", coats=5, left_out=frozenset({uid(session, project, "Shelf")}))
        add(session, project, "Holes", features={top: (Feature("hole", 40),)}, benches=2, adhesive="epoxy")
        variants = options.side_by_side(session, project, TODAY).variants
        for variant in variants:
            alone = projects.begin(session, projects.Asked(variant.row.name), now=NOW)
            inputs = options._inputs(variant.changes, estimate.estimate_project(session, project, TODAY), None)
            draft = alone.draft(benches=inputs.benches, coats=inputs.work.coats, adhesive=inputs.work.adhesive or None)
            project_records.change_project(session, alone.id, draft, read_version=alone.version, now=NOW)
            parts.keep(session, alone.id, [replace(part, uid="") for part in inputs.listed], reason="", now=NOW)
            made = estimate.estimate_project(session, alone.id, TODAY).made
            assert made.price_cents == variant.made.price_cents
            assert made.cost.quantiles == variant.made.cost.quantiles

    def test_the_project_itself_has_the_price_of_its_price_tab(self, session, project):
        add(session, project, coats=5)
        found = options.side_by_side(session, project, TODAY)
        assert found.found.made is estimate.estimate_project(session, project, TODAY).made
        price = next(line for line in found.lines if line.name == "Price")
        assert price.values == (found.found.made.price_cents, found.variants[0].made.price_cents)

    def test_another_option_beside_it_changes_nothing_of_one(self, session, project):
        add(session, project, "First", coats=5)
        alone = only(session, project).made
        add(session, project, "Second", added=(TILL,), finish="shellac")
        assert options.side_by_side(session, project, TODAY).variants[0].made is alone

    def test_a_coat_more_costs_more_in_every_draw(self, session, project):
        add(session, project, coats=projects.one(session, project).coats + 2)
        assert only(session, project).dearer.chance == 1

    def test_another_finish_gets_its_usual_coats_unless_told(self, session, project):
        add(session, project, "Told", finish="shellac", coats=1)
        add(session, project, "Usual", finish="shellac")
        told, usual = options.side_by_side(session, project, TODAY).variants
        assert usual.made.expected_cents > told.made.expected_cents

    def test_one_that_cannot_be_built_says_why_and_the_others_stand(self, session, project):
        add(session, project, "Too thin", stocks={"2x6 fir": "3/4 plywood"})
        add(session, project, "Fine", coats=5)
        thin, fine = options.side_by_side(session, project, TODAY).variants
        assert thin.made is thin.dearer is None
        assert "Leg" in thin.trouble
        assert fine.made is not None

    def test_a_project_without_parts_has_nothing_to_compare_with(self, session):
        empty = projects.begin(session, projects.Asked("Nothing yet"), now=NOW)
        with pytest.raises(JournalError):
            options.side_by_side(session, empty.id, TODAY)


class TestTaken:
    def test_it_is_the_project_then_and_undo_brings_the_parts_back(self, session, project):
        before = parts.current(session, project)
        row = add(session, project, "No shelf", left_out=frozenset({uid(session, project, "Shelf")}), added=(TILL,))
        price = only(session, project).made.price_cents
        take(session, project, row)
        assert [part.label for part in parts.current(session, project)] == ["Top", "Leg", "Till"]
        assert estimate.estimate_project(session, project, TODAY).made.price_cents == price
        assert parts.page(session, project).history[0].reason == "option “No shelf” taken"
        variant = only(session, project)
        assert variant.is_project
        assert variant.made.price_cents == price
        parts.undo(session, project, now=NOW)
        assert parts.current(session, project) == before
        assert not only(session, project).is_project

    def test_its_particulars_become_the_projects(self, session, project):
        row = add(session, project, benches=3, coats=1, finish="shellac", adhesive="epoxy")
        take(session, project, row)
        made = projects.one(session, project)
        assert (made.benches, made.coats, made.finish, made.adhesive) == (3, 1, "shellac", "epoxy")

    def test_only_one_version_of_the_plan_is_made(self, session, project):
        row = add(session, project, benches=3, coats=1, left_out=frozenset({uid(session, project, "Shelf")}))
        take(session, project, row)
        assert [head.version for head in parts.page(session, project).history] == [2, 1]

    @pytest.mark.parametrize("state", [ProjectState.ACCEPTED, ProjectState.IN_BUILD, ProjectState.CLOSED])
    def test_what_is_agreed_or_built_is_not_replaced(self, session, project, state):
        row = add(session, project, coats=5)
        made = projects.one(session, project)
        project_records.change_project(session, project, made.draft(state=state), read_version=made.version, now=NOW)
        assert not options.side_by_side(session, project, TODAY).open
        with pytest.raises(BadInput, match="nothing is agreed"):
            take(session, project, row)

    def test_what_was_shown_must_still_stand(self, session, project):
        row = add(session, project, left_out=frozenset({uid(session, project, "Shelf")}))
        with pytest.raises(Conflict):
            take(session, project, row, plan_version=0)
        with pytest.raises(Conflict):
            take(session, project, row, read_version=row.version + 1)

    def test_one_that_cannot_be_built_is_not_taken(self, session, project):
        row = add(session, project, stocks={"2x6 fir": "3/4 plywood"})
        with pytest.raises(JournalError, match="cannot be built"):
            take(session, project, row)


class TestOfADesign:
    @pytest.fixture
    def project(self, session):
        asked = projects.Asked("Slab bench")
        return designs.begin(session, "slab-bench", {"length": units.inches(72)}, asked, now=NOW)[0].id

    def test_other_dimensions_make_its_parts_anew_and_keep_who_they_are(self, session, project):
        longer = add(session, project, "Longer", design={"length": units.inches(96)})
        ground = options.ground(session, project, TODAY)
        assert (ground.design.word, ground.by_hand) == ("slab-bench", False)
        variant = only(session, project)
        assert variant.said == ("Length 96 in",)
        assert variant.dearer.chance == 1
        before = parts.current(session, project)
        take(session, project, longer)
        after = parts.current(session, project)
        assert {part.label: part.uid for part in after} == {part.label: part.uid for part in before}
        assert max(part.length_nm for part in after) == units.inches(96)
        assert projects.one(session, project).design_values["length"] == units.inches(96)
        assert options.ground(session, project, TODAY).by_hand is False

    def test_parts_changed_by_hand_since_are_noticed(self, session, project):
        listed = parts.current(session, project)
        parts.keep(session, project, [replace(listed[0], note="by hand"), *listed[1:]], reason="", now=NOW)
        assert options.ground(session, project, TODAY).by_hand

    def test_a_size_the_design_does_not_reach_says_so(self, session, project):
        add(session, project, design={"length": units.feet(40)})
        variant = only(session, project)
        assert variant.made is None
        assert "Length" in variant.trouble

    def test_a_design_that_is_gone_leaves_the_rest_to_change(self, session, project):
        made = projects.one(session, project)
        gone = made.draft(design_word="no-such-design")
        project_records.change_project(session, project, gone, read_version=made.version, now=NOW)
        assert options.ground(session, project, TODAY).design is None
        add(session, project, coats=5)
        assert only(session, project).made is not None
