"""The shop's rate, its machines' and its people's, from what is kept; and what a price makes of them."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from journal.desk import estimate, parts, projects, rates
from journal.desk.shop import read_shop
from journal.desk.starting_stock import set_up
from journal.errors import BadInput, Conflict, MissingReference
from journal.quote.estimate import chances
from journal.records.engine import writing
from journal.records.queries import shop as shop_records
from journal.records.queries.rates import MachineCostRow, OverheadRow, YearRow
from journal.records.queries.shop import MachineRow
from journal.records.queries.workers import WorkerRow
from journal.records.words import OverheadKind
from tests import factories

TODAY = date(2026, 3, 2)
NOW = datetime(2026, 3, 2, 18, 30, tzinfo=UTC)
RENT = OverheadRow("Rent", OverheadKind.FIXED, 100_000, 12)
YEAR = YearRow(1, 5_200_000, 46.0, 40.0, 6_500, (RENT, OverheadRow("Insurance", OverheadKind.ADMINISTRATIVE, 235_200)))
COST = {"life_hours": 8_000.0, "hours_a_year": 400.0, "salvage_cents": 40_000, "upkeep_cents_a_year": 12_000}
LIST = "label,qty,thickness,width,length,stock\nLeg,4,1 1/4,5,31,2x6 fir\n"


@pytest.fixture
def session(file_engine):
    set_up(file_engine, TODAY)
    with writing(file_engine) as opened:
        yield opened


def shop(session):
    return shop_records.get_shop(session)


class TestYear:
    def test_what_is_offered_bills_the_bench_time_the_shop_has(self, session):
        found = rates.year(session, TODAY)
        year = rates.year_of(found.row)
        assert found.rate is None
        assert float(year.hours_a_week * year.billable) * 60 == pytest.approx(shop(session).minutes_per_week, rel=0.02)
        assert all(one.cents == 0 for one in found.row.overheads)

    def test_keeping_it_changes_no_price_before_it_is_used(self, session):
        before = shop(session)
        rates.keep_year(session, YEAR, today=TODAY)
        found = rates.year(session, TODAY)
        assert (found.rate.wage_cents_per_hour, found.rate.overhead_cents_per_hour) == (4_348, 1_200)
        assert not found.in_force
        assert found.row.used_on is None
        assert shop(session) == before

    def test_using_it_makes_its_wage_and_overhead_the_shops(self, session):
        rates.keep_year(session, YEAR, today=TODAY, use=True)
        assert (shop(session).wage_cents_per_hour, shop(session).overhead_cents_per_hour) == (4_348, 1_200)
        found = rates.year(session, TODAY)
        assert found.in_force
        assert found.row.used_on == TODAY

    def test_the_day_it_was_used_stays_when_it_is_only_kept_again(self, session):
        rates.keep_year(session, YEAR, today=TODAY, use=True)
        rates.keep_year(session, replace(YEAR, version=1, weeks=40.0), today=TODAY + timedelta(days=9))
        found = rates.year(session, TODAY)
        assert found.row.used_on == TODAY
        assert not found.in_force

    @pytest.mark.parametrize("wrong", [{"billable_bp": 0}, {"billable_bp": 13_000}, {"weeks": 0.0}])
    def test_a_year_that_makes_no_sense_is_not_kept(self, session, wrong):
        with pytest.raises(BadInput):
            rates.keep_year(session, replace(YEAR, **wrong), today=TODAY, use=True)
        assert rates.year(session, TODAY).rate is None

    def test_the_logs_say_what_was_billable_once_they_cover_two_months(self, session):
        rates.keep_year(session, YEAR, today=TODAY)
        project = factories.project(session).id
        first = TODAY - timedelta(days=73)
        for day in range(0, 70, 7):
            factories.entry(session, project_id=project, on_date=first + timedelta(days=day), seconds=10 * 3600)
        factories.entry(session, on_date=TODAY, seconds=10 * 3600)  # the shop's own time
        found = rates.year(session, TODAY).logged
        # 100 h on projects of the 46 × 40 × 73 ÷ 365 = 368 h worked in 73 days
        assert (found.hours, found.days) == (100, 73)
        assert found.share == pytest.approx(100 / 368)

    def test_a_short_log_says_nothing(self, session):
        project = factories.project(session).id
        factories.entry(session, project_id=project, on_date=TODAY - timedelta(days=30))
        assert rates.year(session, TODAY).logged is None


class TestMachines:
    @pytest.fixture
    def machine(self, session):
        return shop_records.save_machine(session, MachineRow("table saw", "The big saw", cost_cents_per_hour=500))

    def cost(self, machine, **changed):
        return MachineCostRow(machine.id, 240_000, **(COST | changed))

    def test_what_it_costs_becomes_its_hour_only_when_it_is_used(self, session, machine):
        stamp = rates.machine_cost(session, machine.id).stamp
        rates.keep_machine_cost(session, self.cost(machine), stamp=stamp)
        found = rates.machine_cost(session, machine.id)
        assert (found.rate.cents_per_hour, found.machine.row.cost_cents_per_hour) == (55, 500)
        assert rates.worked_out(session) == {machine.id: 55}
        rates.keep_machine_cost(session, self.cost(machine), stamp=found.stamp, use=True)
        assert rates.machine_cost(session, machine.id).machine.row.cost_cents_per_hour == 55
        assert read_shop(session, TODAY).rates().machine_cents_per_hour["table saw"] == 55

    def test_the_price_of_electricity_is_offered_to_the_next_machine(self, session, machine):
        assert rates.machine_cost(session, machine.id).kwh_cents is None
        stamp = rates.machine_cost(session, machine.id).stamp
        rates.keep_machine_cost(session, self.cost(machine, kwh_cents=16.42), stamp=stamp)
        other = shop_records.save_machine(session, MachineRow("jointer", "Jointer"))
        assert rates.machine_cost(session, other.id).kwh_cents == 16.42

    def test_a_cost_that_another_tab_kept_meanwhile_is_not_written_over(self, session, machine):
        stamp = rates.machine_cost(session, machine.id).stamp
        rates.keep_machine_cost(session, self.cost(machine), stamp=stamp)
        with pytest.raises(Conflict):
            rates.keep_machine_cost(session, self.cost(machine, kwh_cents=16.42), stamp=stamp)
        assert rates.machine_cost(session, machine.id).row == self.cost(machine)

    def test_another_tab_and_another_machine_are_refused(self, session, machine):
        stamp = rates.machine_cost(session, machine.id).stamp
        shop_records.save_machine(session, replace(machine, label="Another name"))
        with pytest.raises(Conflict):
            rates.keep_machine_cost(session, self.cost(machine), stamp=stamp)
        with pytest.raises(MissingReference, match="Another name"):
            rates.machine_cost(session, 99)

    def test_an_overhead_that_names_what_machines_pay_is_told(self, session, machine):
        assert rates.machine_cost(session, machine.id).twice == ()
        power = OverheadRow("Machine power", OverheadKind.FIXED, 6_000, 12)
        rates.keep_year(session, replace(YEAR, overheads=(RENT, power)), today=TODAY)
        assert rates.machine_cost(session, machine.id).twice == ("Machine power",)
        assert rates.year(session, TODAY).twice == ("Machine power",)


class TestPeople:
    @pytest.fixture
    def project(self, session):
        made = projects.begin(session, projects.Asked("Bench"), now=NOW)
        parts.take_list(session, made.id, LIST, source="a paste", now=NOW)
        return made.id

    def hire(self, session, project, hours=1.0, wage=2_000):
        hired = rates.keep_person(session, WorkerRow("bench two", wage))
        factories.entry(session, project_id=project, worker_id=hired.id, seconds=int(hours * 3600))
        return hired

    def test_a_price_takes_the_mean_of_the_wages_by_hours(self, session, project):
        own = estimate.estimate_project(session, project, TODAY).made
        factories.entry(session, project_id=project, seconds=3 * 3600)
        self.hire(session, project)
        mixed = estimate.estimate_project(session, project, TODAY).made
        # (3 × 35 + 1 × 20) ÷ 4 = 31.25, of which 1 × 20 ÷ 4 = 5.00 is paid out
        assert (mixed.rates.wage_cents_per_hour, mixed.rates.hired_cents_per_hour) == (3_125, 500)
        assert own.rates.wage_cents_per_hour == 3_500
        wage = next(line for line in mixed.costs if line.name == "Wage")
        assert "bench two 1 h × $20.00" in wage.source
        assert mixed.outlay.mean - own.outlay.mean == pytest.approx(mixed.hours.mean * 500, rel=1e-9)

    def test_what_hired_hands_are_paid_is_part_of_what_an_hour_earns(self, session, project):
        self.hire(session, project)
        made = estimate.estimate_project(session, project, TODAY).made
        likely = made.hours.at(0.5)
        price = round(made.outlay.at(0.5) + 1_500 * likely)
        # All hours are hired at 20.00; 15.00 an hour are left over.
        assert chances(made, price).earned_cents_per_hour == pytest.approx(3_500, abs=1)

    def test_one_who_left_counts_no_longer(self, session, project):
        hired = self.hire(session, project)
        found = rates.person(session, hired.id)
        rates.keep_person(session, replace(hired, active=False), stamp=found.stamp)
        assert read_shop(session, TODAY).rates().wage_cents_per_hour == 3_500

    def test_hours_older_than_a_year_count_no_longer(self, session, project):
        hired = self.hire(session, project)
        factories.entry(session, project_id=project, seconds=3600)
        factories.entry(
            session, project_id=project, worker_id=hired.id, seconds=36_000, on_date=TODAY - timedelta(days=366)
        )
        assert read_shop(session, TODAY).rates().wage_cents_per_hour == 2_750

    def test_the_page_tells_hours_and_wage(self, session, project):
        factories.entry(session, project_id=project, seconds=3 * 3600)
        self.hire(session, project)
        found = rates.people(session, TODAY)
        assert [(place.row.label, place.hours) for place in found.places] == [("bench two", 1.0)]
        assert (found.unnamed_hours, found.shop_wage_cents, found.wage.cents_per_hour) == (3.0, 3_500, 3_125)

    def test_another_tab_is_not_overwritten(self, session):
        kept = rates.keep_person(session, WorkerRow("bench two"))
        old = rates.person(session, kept.id).stamp
        rates.keep_person(session, replace(kept, label="bench three"), stamp=old)
        with pytest.raises(Conflict):
            rates.keep_person(session, replace(kept, label="bench four"), stamp=old)
        with pytest.raises(MissingReference):
            rates.keep_person(session, replace(kept, id=99), stamp=old)
