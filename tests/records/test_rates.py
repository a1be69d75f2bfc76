"""The shop's year, its machines' figures, its people and the options of a project, on both databases."""

from dataclasses import replace
from datetime import timedelta

import pytest
from journal.errors import BadInput, Conflict, MissingReference
from journal.records.queries import options, rates, workers
from journal.records.queries import shop as shop_records
from journal.records.queries.rates import MachineCostRow, OverheadRow, YearRow
from journal.records.queries.shop import MachineRow
from journal.records.queries.workers import WorkerRow
from journal.records.words import OverheadKind
from sqlalchemy.exc import IntegrityError
from tests import factories

RENT = OverheadRow("Rent", OverheadKind.FIXED, 100_000, 12)
YEAR = YearRow(2, 5_200_000, 46.5, 38.25, 6_250, (RENT, OverheadRow("Accounts", OverheadKind.ADMINISTRATIVE, 0)))


class TestYear:
    def test_there_is_none_before_it_is_kept(self, session):
        assert rates.get_year(session) is None

    def test_it_comes_back_as_it_was_kept_with_its_lines_in_order(self, session):
        saved = rates.save_year(session, YEAR)
        session.expire_all()
        assert rates.get_year(session) == saved == replace(YEAR, version=1)

    def test_a_change_replaces_the_lines_and_counts_the_version_up(self, session):
        first = rates.save_year(session, YEAR)
        lines = (OverheadRow("Van", OverheadKind.FIXED, 9_900, 4), RENT)
        second = rates.save_year(session, replace(first, overheads=lines, used_on=factories.TODAY))
        session.expire_all()
        assert rates.get_year(session) == second
        assert (second.version, second.overheads, second.used_on) == (2, lines, factories.TODAY)

    def test_two_tabs_do_not_overwrite_each_other(self, session):
        rates.save_year(session, YEAR)
        with pytest.raises(Conflict):
            rates.save_year(session, YEAR)

    @pytest.mark.parametrize("wrong", [{"billable_bp": 0}, {"billable_bp": 13_000}, {"weeks": 53.0}, {"people": 0}])
    def test_the_database_refuses_a_year_that_makes_no_sense(self, session, wrong):
        with session.begin_nested(), pytest.raises(IntegrityError):
            rates.save_year(session, replace(YEAR, **wrong))

    def test_an_overhead_needs_a_name_and_a_known_rhythm(self):
        with pytest.raises(BadInput):
            replace(RENT, name=" ")
        with pytest.raises(BadInput):
            replace(RENT, times_a_year=7)


class TestMachineCost:
    def test_it_is_kept_new_and_again(self, session):
        machine = shop_records.save_machine(session, MachineRow("jointer", "Jointer"))
        cost = MachineCostRow(machine.id, 240_000, 8_000.0, 400.5, power_kw=1.1, kwh_cents=16.42)
        rates.put_machine_cost(session, cost)
        rates.put_machine_cost(session, replace(cost, blade_cents=9_000, blade_hours=150.0))
        session.expire_all()
        found = rates.machine_costs(session)
        assert found == {machine.id: replace(cost, blade_cents=9_000, blade_hours=150.0)}

    def test_the_database_refuses_a_machine_worth_more_in_the_end(self, session):
        machine = shop_records.save_machine(session, MachineRow("jointer", "Jointer"))
        with session.begin_nested(), pytest.raises(IntegrityError):
            rates.put_machine_cost(session, MachineCostRow(machine.id, 100, 1.0, 1.0, salvage_cents=101))


class TestWorkers:
    def test_places_come_by_name_those_put_away_last(self, session):
        for label, active in (("b", True), ("a", False), ("c", True)):
            workers.save_worker(session, WorkerRow(label, active=active))
        assert [row.label for row in workers.workers(session)] == ["b", "c", "a"]

    def test_a_place_is_changed_under_its_number(self, session):
        row = workers.save_worker(session, WorkerRow("bench two"))
        changed = workers.save_worker(session, replace(row, wage_cents_per_hour=3_100, active=False))
        assert workers.workers(session) == (changed,)
        with pytest.raises(MissingReference):
            workers.save_worker(session, replace(row, id=99))

    @pytest.mark.parametrize("label", ["bench two", "Bench Two"])
    def test_two_places_do_not_share_a_name(self, session, label):
        workers.save_worker(session, WorkerRow("bench two"))
        with pytest.raises(BadInput, match="no other place"):
            workers.save_worker(session, WorkerRow(label))

    def test_hours_are_told_by_place_on_projects_of_late_and_by_those_still_here(self, session, statements):
        project = factories.project(session).id
        here = workers.save_worker(session, WorkerRow("here", 3_000))
        gone = workers.save_worker(session, WorkerRow("gone", active=False))
        since = factories.TODAY - timedelta(days=10)
        for worker, day, whose, people in (
            (here.id, factories.TODAY, project, 1),
            (here.id, since, project, 2),
            (here.id, since - timedelta(days=1), project, 1),
            (here.id, factories.TODAY, None, 1),
            (gone.id, factories.TODAY, project, 1),
            (None, factories.TODAY, project, 1),
        ):
            factories.entry(session, worker_id=worker, on_date=day, project_id=whose, people=people)
        session.flush()
        with statements() as seen:
            found = {row.worker: row.minutes for row in workers.worked_since(session, since)}
        assert found == {here: 90, None: 30}
        assert len(seen) == 1
        assert workers.logged_since(session, since) == workers.LoggedRow(150, since, factories.TODAY)

    def test_nothing_logged_is_none(self, session):
        assert workers.worked_since(session, factories.TODAY) == ()
        assert workers.logged_since(session, factories.TODAY) is None


class TestOptions:
    def add(self, session, project_id, name, changes=None):
        return options.add_option(session, project_id, name, changes or {"coats": 4}, now=factories.NOW)

    def test_they_come_back_in_the_order_they_were_added(self, session):
        project = factories.project(session).id
        rows = tuple(self.add(session, project, name) for name in ("in maple", "Ähnlich 🪵"))
        session.expire_all()
        assert options.options(session, project) == rows
        assert options.get_option(session, project, rows[0].id) == rows[0]

    def test_a_sixth_is_refused_and_so_is_a_name_twice(self, session):
        project = factories.project(session).id
        for name in "abcde":
            self.add(session, project, name)
        with pytest.raises(BadInput, match="at most 5"):
            self.add(session, project, "f")
        options.remove_option(session, project, options.options(session, project)[0].id)
        with pytest.raises(BadInput, match="no other option"):
            self.add(session, project, "B")

    def test_a_change_counts_and_a_slower_one_is_a_conflict(self, session):
        project = factories.project(session).id
        row = self.add(session, project, "a")
        changed = options.change_option(session, row, "b", {"coats": 5}, now=factories.NOW)
        assert (changed.name, changed.changes, changed.version) == ("b", {"coats": 5}, 2)
        with pytest.raises(Conflict):
            options.change_option(session, row, "c", {"coats": 6}, now=factories.NOW)

    def test_an_option_belongs_to_its_project(self, session):
        mine, other = factories.project(session).id, factories.project(session).id
        row = self.add(session, mine, "a")
        with pytest.raises(MissingReference):
            options.get_option(session, other, row.id)
        with pytest.raises(MissingReference):
            options.remove_option(session, other, row.id)
