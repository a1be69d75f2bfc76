"""What the pages of Shop show."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal import units
from journal.quote.risk import markup_of
from journal.web import figures, filters
from journal.web.shop.forms import UNIT_WORDS, MachineForm, settings_form, zones
from journal.web.state import display, in_marks

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wtforms import Field

    from journal.desk.ratios import Factor
    from journal.desk.settings import Setting, SettingGroup, StampedMachine
    from journal.records.queries.shop import MachineRow, ShopRow
    from journal.reference import Allowance
    from journal.web.nav import Link
    from journal.web.shop.forms import SettingsForm, ShopForm


@dataclass(frozen=True, slots=True)
class ShopPage:
    """What shop/index.html receives.

    Attributes:
        tabs: the pages of this section.
        form: the shop's data.
        currency: the money of the form, behind its boxes.
        hour_cents: wage and overhead together, as kept.
        markup: the markup that equals the margin kept, as a share.
        margin: the margin kept, as a share.
        week_minutes: bench time a week.
        sure: the certainty of a price in words.
        zones: the time zones there are, to choose from while typing.
        unsaid: which of wage and overhead are still what every journal starts with.
        logged_weeks, logged_minutes: of a week at the bench by the log, which Days counts with; 0 while none is logged.
    """

    tabs: tuple[Link, ...]
    form: ShopForm
    currency: str
    hour_cents: int
    markup: float
    margin: float
    week_minutes: int
    sure: str
    zones: tuple[str, ...]
    unsaid: frozenset[str]
    logged_weeks: int
    logged_minutes: float

    def hint(self, field: Field, key: str) -> str:
        """What stands under the wage or the overhead."""
        return f"{field.description}. A starting value until you save it" if key in self.unsaid else field.description


@dataclass(frozen=True, slots=True)
class SettingLine:
    """One allowance: its box, its unit, what it starts with and where that comes from, in words.

    Attributes:
        key: the name of its box.
        unit: behind the box.
        start: the value it starts with.
        between: the range that makes sense.
        source: where the starting value comes from.
        mark: how far to trust it.
        own: the shop has a value of its own.
    """

    key: str
    unit: str
    start: str
    between: str
    source: str
    mark: str
    own: bool


@dataclass(frozen=True, slots=True)
class SettingSection:
    """A group of allowances: its name, heading, what it is about, its form and lines, how many are the shop's own."""

    key: str
    title: str
    about: str
    form: SettingsForm
    lines: tuple[SettingLine, ...]
    own: int


@dataclass(frozen=True, slots=True)
class AllowancesPage:
    """What shop/allowances.html receives: the section's pages, the groups, and how many values are the shop's own."""

    tabs: tuple[Link, ...]
    sections: tuple[SettingSection, ...]
    own: int
    of: int


@dataclass(frozen=True, slots=True)
class MachineLine:
    """A machine, its form when it is open, and what stands beside its cost: whether that was worked out."""

    row: MachineRow
    form: MachineForm | None
    worked_out: str = ""


@dataclass(frozen=True, slots=True)
class MachinesPage:
    """What shop/machines.html receives.

    Attributes:
        tabs: the pages of this section.
        lines: the machines, by kind; the usual ones while the shop has listed none.
        listed: whether they are the shop's own.
        in_force: whether any of the shop's own is in use, so that only those count.
        missing: kinds the shop has none of in use.
        new: the form for one more, when it is open.
        twice: overheads that a running hour may pay for already.
    """

    tabs: tuple[Link, ...]
    lines: tuple[MachineLine, ...]
    listed: bool
    in_force: bool
    missing: tuple[str, ...]
    new: MachineForm | None
    twice: tuple[str, ...] = ()


def worked_out_words(cost_cents: int, worked_out_cents: int | None) -> str:
    """What stands beside a machine's cost: “work it out”, “worked out”, or what it was worked out to."""
    if worked_out_cents is None:
        return "work it out"
    if worked_out_cents == cost_cents:
        return "worked out"
    return f"worked out: {filters.money(worked_out_cents)}"


def shop_page(
    row: ShopRow, form: ShopForm, tabs: tuple[Link, ...], unsaid: frozenset[str], logged: Factor | None
) -> ShopPage:
    """The shop's data with what follows from them."""
    margin = row.margin_bp / 10_000
    return ShopPage(
        tabs=tabs,
        form=form,
        currency=display().currency.code,
        hour_cents=row.wage_cents_per_hour + row.overhead_cents_per_hour,
        markup=markup_of(margin),
        margin=margin,
        week_minutes=row.minutes_per_week,
        sure=f"{row.confidence_pct} times in a hundred the price covers what the job costs",
        zones=zones(),
        unsaid=unsaid,
        logged_weeks=logged.seen if logged else 0,
        logged_minutes=row.minutes_per_week * logged.mean if logged else 0.0,
    )


def setting_section(group: SettingGroup, form: SettingsForm | None = None) -> SettingSection:
    """A group as the page shows it, with a form that was refused or a fresh one."""
    return SettingSection(
        key=group.group.key,
        title=group.group.title,
        about=group.group.about,
        form=form or settings_form(group),
        lines=tuple(_line(setting) for setting in group.settings),
        own=sum(setting.own is not None for setting in group.settings),
    )


def missing_kinds(machines: Sequence[StampedMachine], kinds: Sequence[str]) -> tuple[str, ...]:
    """Kinds the shop has none of in use."""
    there = {machine.row.kind for machine in machines if machine.row.active}
    return tuple(kind for kind in kinds if kind not in there)


def _line(setting: Setting) -> SettingLine:
    entry = setting.entry
    return SettingLine(
        key=entry.key,
        unit=UNIT_WORDS[entry.unit],
        start=_shown(entry, entry.value),
        between=f"{_shown(entry, entry.low)} to {_shown(entry, entry.high)}",
        source=entry.source,
        mark=entry.mark.value,
        own=setting.own is not None,
    )


def _shown(entry: Allowance, value: float) -> str:
    if entry.unit == "nm":
        return _length(int(value))
    if entry.unit in {"share", "sd"}:
        return filters.percent(value)
    return f"{figures.number(value)} {UNIT_WORDS[entry.unit]}".strip()


def _length(length_nm: int) -> str:
    """In feet where the inches come out whole feet."""
    whole_feet = length_nm >= 4 * units.NM_PER_FOOT and length_nm % units.NM_PER_FOOT == 0
    return (
        filters.feet(length_nm)
        if whole_feet
        else in_marks(units.format_length(length_nm, display().system, denominator=64))
    )
