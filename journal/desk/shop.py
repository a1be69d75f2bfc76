"""The shop as the sums need it: its rules, its stock book, its prices and rates.

Everything comes from the journal where the shop has said it, and from the starting tables where it has not.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING

from journal import reference, units
from journal.build.clamping_rules import ClampingRules
from journal.build.finishing import FinishRules
from journal.build.gluing import GlueRules
from journal.build.milling import MillingRules
from journal.build.steps import WorkRules
from journal.build.stock import StockBook
from journal.desk import own_rates
from journal.desk.allowances import allowances
from journal.desk.glue_pace import GluePace
from journal.desk.remembered import Remembered
from journal.desk.starting_stock import start_items
from journal.desk.stock_item import stock_of, supply_of
from journal.errors import MissingReference
from journal.quote.costing import Rates, Supplies, Supply
from journal.quote.risk import Uncertainty
from journal.quote.takeoff import ShopRules
from journal.quote.wages import FROM_SETTING, STARTING_VALUE, Hand, mean_wage
from journal.records.queries import floor as floor_records
from journal.records.queries import shop as shop_records
from journal.records.queries import stock as stock_records
from journal.records.queries import workers as worker_records
from journal.records.queries.shop import MachineRow, ShopRow
from journal.records.words import StockForm

if TYPE_CHECKING:
    from collections.abc import Mapping

    from sqlalchemy.orm import Session

    from journal.records.queries.stock import PricedItem


@dataclass(frozen=True, slots=True)
class Work:
    """What a commission says about how it is made, where it differs from the shop's habits; empty means the habit."""

    adhesive: str = ""
    finish: str = ""
    coats: int | None = None


@dataclass(frozen=True, slots=True)
class ShopView:
    """One moment of the shop.

    Attributes:
        row: name, units, money, wage, margin and the like.
        allowances: every setting by key, the shop's own or the starting one.
        machines: cents an hour and capacities.
        items: everything it buys, with the prices in force.
        glue_pace: how fast it glues up, by the clock; None: by the starting book.
        hands: who put how much into projects in the last year, and at which wage.
        unsaid: which of wage and overhead nobody has set (`own_rates`).
    """

    row: ShopRow
    allowances: Mapping[str, float]
    machines: tuple[MachineRow, ...]
    items: tuple[PricedItem, ...]
    glue_pace: GluePace | None = None
    hands: tuple[Hand, ...] = ()
    unsaid: frozenset[str] = frozenset()

    @property
    def system(self) -> units.System:
        """Inches or millimetres."""
        return units.System(self.row.system.value)

    @property
    def shown(self) -> units.Shown:
        """How it writes quantities."""
        return units.Shown(self.system)

    @property
    def currency(self) -> units.Currency:
        """The shop's money."""
        return units.currency(self.row.currency)

    def book(self) -> StockBook:
        """What lumber and sheets it buys."""
        stocks = [stock for item in self.items if (stock := stock_of(item)) is not None]
        return StockBook(tuple(stocks), self.row.default_species)

    def rules(self, work: Work) -> ShopRules:
        """How it works, for one commission."""
        allowed = self.allowances
        return ShopRules(
            milling=self._milling(),
            glue=self._glue(work),
            clamping=self.clamping(work),
            finish=self._finish(work),
            work=self._work(),
            reject_dimensional=allowed["reject_softwood"],
            reject_rough=allowed["reject_hardwood"],
            reject_sheet=allowed["reject_sheet"],
        )

    def rates(self) -> Rates:
        """What an hour costs, and the margin."""
        costs = {kind: machine.cost_cents_per_hour for kind, machine in reference.machines().items()}
        costs.update({machine.kind: machine.cost_cents_per_hour for machine in self.machines})
        wage = mean_wage(self.hands, self.row.wage_cents_per_hour, self.currency)
        started = own_rates.WAGE in self.unsaid and wage.source == FROM_SETTING
        return Rates(
            wage_cents_per_hour=wage.cents_per_hour,
            overhead_cents_per_hour=self.row.overhead_cents_per_hour,
            machine_cents_per_hour=MappingProxyType(costs),
            consumables_share=self.allowances["consumables_share"],
            margin=self.row.margin_bp / 10_000,
            confidence=self.row.confidence_pct / 100,
            currency=self.currency,
            rounding_cents=self.row.rounding_cents,
            shown=self.shown,
            hired_cents_per_hour=wage.hired_cents_per_hour,
            wage_source=STARTING_VALUE if started else wage.source,
            wage_said=not started,
            overhead_said=own_rates.OVERHEAD not in self.unsaid,
        )

    def uncertainty(self) -> Uncertainty:
        """How far things may be off."""
        allowed = self.allowances
        return Uncertainty(
            price=allowed["price_spread"],
            yield_=allowed["yield_sd"],
            glue=allowed["glue_spread_sd"],
            finish=allowed["finish_spread_sd"],
            unplanned_mean=allowed["unplanned_share"],
            unplanned_sd=allowed["unplanned_sd"],
        )

    def supplies(self, work: Work) -> Supplies:
        """Glue, finish and hardware with their prices."""
        by_class: dict[tuple[StockForm, str], Supply] = {}
        for priced in self.items:
            if priced.prices and priced.item.class_key:
                by_class.setdefault((priced.item.form, priced.item.class_key), supply_of(priced))
        hardware = {key: supply for (form, key), supply in by_class.items() if form is StockForm.HARDWARE}
        return Supplies(
            glue=by_class.get((StockForm.ADHESIVE, work.adhesive or self.row.default_adhesive)),
            finish=by_class.get((StockForm.FINISH, work.finish or self.row.default_finish)),
            hardware=MappingProxyType(hardware),
        )

    def clamping(self, work: Work) -> ClampingRules:
        """What the glue, the clamps and the people here allow in one clamping."""
        glue, allowed = self.glue(work), self.allowances
        open_share, total_share = reference.assembly_shares(glue.warmth_curve, allowed["shop_temp"])
        pace = self.glue_pace or GluePace.of_the_book()
        return ClampingRules(
            glue=glue.name,
            open_minutes=glue.open_minutes_70f * open_share,
            total_minutes=glue.total_minutes_70f * total_share,
            # The manual that gives resin's times says that open time used comes off the rest; no other guide does.
            shares_open=glue.warmth_curve == "resin",
            spread_minutes_ft2=pace.spread_minutes_ft2,
            close_minutes_clamp=pace.close_minutes_clamp,
            spreaders=int(allowed["glue_spreaders"]),
            clamps=int(allowed["clamps_on_hand"]),
            spacing_nm=int(allowed["clamp_spacing"]),
            feed_kg=allowed["feed_weight_max"] * self.row.people,
            temp_f=allowed["shop_temp"],
            min_temp_f=max(glue.min_temp_f, allowed["min_glue_temp"]),
            shown=self.shown,
        )

    def _capacity(self, kind: str, field: str) -> int:
        mine = [value for machine in self.machines if machine.kind == kind and (value := getattr(machine, field))]
        if self.machines:
            return max(mine, default=0)
        return getattr(reference.machines()[kind], field) or 0

    def _milling(self) -> MillingRules:
        allowed = {key: int(value) for key, value in self.allowances.items()}
        endless = units.feet(1000)
        return MillingRules(
            thickness_steps=(
                (allowed["thickness_short_up_to"], allowed["thickness_short"]),
                (allowed["thickness_medium_up_to"], allowed["thickness_medium"]),
                (endless, allowed["thickness_long"]),
            ),
            segment_extra_nm=allowed["segment_extra"],
            end_trim_nm=allowed["end_trim"],
            kerf_rip_nm=allowed["kerf_rip"],
            kerf_crosscut_nm=allowed["kerf_crosscut"],
            eased_edge_nm=allowed["eased_edge"],
            edge_jointing_nm=allowed["edge_jointing"],
            flatten_glued_nm=allowed["flatten_glued_face"],
            glued_edge_nm=allowed["glued_edge"],
            section_joint_nm=allowed["section_joint"],
            slab_trim_nm=allowed["slab_length_trim"],
            jointer_width_nm=self._capacity("jointer", "max_width_nm"),
            planer_width_nm=self._capacity("thickness planer", "max_width_nm"),
            crosscut_width_nm=self._capacity("crosscut saw", "max_width_nm"),
            shortest_nm=max(
                self._capacity("jointer", "min_length_nm"), self._capacity("thickness planer", "min_length_nm")
            ),
            shown=self.shown,
        )

    def glue(self, work: Work) -> reference.Adhesive:
        """The class of glue in use."""
        key, known = work.adhesive or self.row.default_adhesive, reference.adhesives()
        if key not in known:
            raise MissingReference("glue", key, tuple(known))
        return known[key]

    def finish(self, work: Work) -> reference.Finish:
        """The class of finish in use."""
        key, known = work.finish or self.row.default_finish, reference.finishes()
        if key not in known:
            raise MissingReference("finish", key, tuple(known))
        return known[key]

    def _glue(self, work: Work) -> GlueRules:
        return GlueRules(
            spread_ml_m2=self.glue(work).spread_ml_m2,
            waste=self.allowances["glue_waste_factor"],
            clamp_spacing_nm=int(self.allowances["clamp_spacing"]),
            joint_area_nm2=round(self.allowances["joint_glue_area_in2"] * units.NM_PER_INCH**2),
        )

    def _finish(self, work: Work) -> FinishRules:
        found = self.finish(work)
        waste = self.allowances["finish_waste_factor"]
        return FinishRules(
            coverage_first_ft2_gal=found.coverage_first_ft2_gal / waste,
            coverage_later_ft2_gal=found.coverage_later_ft2_gal / waste,
            end_grain_factor=found.end_grain_factor,
            coats=found.coats if work.coats is None else work.coats,
            wipe_off=found.wipe_off,
        )

    def _work(self) -> WorkRules:
        allowed = self.allowances
        return WorkRules(
            joint_face_passes=int(allowed["joint_face_passes"]),
            joint_edge_passes=int(allowed["joint_edge_passes"]),
            plane_depth_nm=int(allowed["plane_depth"]),
            mill_again_passes=int(allowed["mill_again_passes"]),
            section_passes=int(allowed["section_passes"]),
            grits=int(allowed["sanding_grits"]),
            moves_per_bench=int(allowed["moves_per_bench"]),
            shop_day_hours=allowed["shop_day_minutes"] / 60,
            has_planer=bool(self._capacity("thickness planer", "max_width_nm")),
            has_jointer=bool(self._capacity("jointer", "max_width_nm")),
            shown=self.shown,
        )


_read: Remembered[ShopView] = Remembered()


def read_shop(session: Session, today: date) -> ShopView:
    """The shop as the journal knows it. A constant number of queries; the same journal is read once."""
    return _read.of_journal(session, today, lambda: _read_shop(session, today))


def _read_shop(session: Session, today: date) -> ShopView:
    items = stock_records.stock_items(session, today)
    typed = {key: (setting.value, setting.unit) for key, setting in shop_records.settings(session).items()}
    allowed = allowances(typed)
    row = shop_records.get_shop(session)
    return ShopView(
        row=row,
        allowances=MappingProxyType(allowed),
        machines=shop_records.machines(session),
        items=items or start_items(),
        glue_pace=GluePace.of_the_clock(floor_records.clocked(session, today), int(allowed["glue_spreaders"])),
        hands=hands_of(session, today),
        unsaid=own_rates.unsaid(row, typed),
    )


def hands_of(session: Session, today: date) -> tuple[Hand, ...]:
    """Who put how much into projects in the year up to today. One query."""
    worked = worker_records.worked_since(session, today - timedelta(days=365))
    return tuple(
        Hand(row.worker.label, row.worker.wage_cents_per_hour, row.minutes)
        if row.worker
        else Hand("", None, row.minutes)
        for row in worked
    )


@dataclass(frozen=True, slots=True)
class HowShown:
    """How this shop reads and shows figures; a time zone left blank is that of the computer."""

    name: str
    system: units.System
    currency: units.Currency
    denominator: int
    time_zone: str
    day_form: units.DayForm
    decimal_mark: units.Mark
    week_start: units.WeekStart


def how_shown(session: Session) -> HowShown:
    """The shop's name and its ways with figures."""
    row = shop_records.get_shop(session)
    zone = row.time_zone if row.version else ""
    system, money = units.System(row.system.value), units.currency(row.currency)
    ways = row.day_form, row.decimal_mark, row.week_start
    return HowShown(row.name, system, money, row.denominator, zone, *ways)


@cache
def start_shop() -> ShopView:
    """A shop that has said nothing about itself yet."""
    row = ShopRow()
    return ShopView(
        row=row,
        allowances=MappingProxyType(allowances({})),
        machines=(),
        items=start_items(),
        unsaid=own_rates.unsaid(row, ()),
    )
