"""The shop's own words about itself: its data, its allowances, its machines; read for a form, kept from one.

What was seen when a form was opened comes back with it as a stamp; when the stored state has another one by then,
somebody else was quicker, and nothing is kept.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass
from decimal import Decimal
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from journal import reference, units
from journal.desk.allowances import read_allowance
from journal.errors import BadInput, Conflict, MissingReference
from journal.records.base import canonical, checksum
from journal.records.queries import shop as shop_records
from journal.records.queries.shop import MachineRow, SettingRow, ShopRow

if TYPE_CHECKING:
    from collections.abc import Mapping

    from sqlalchemy.orm import Session

    from journal.reference import Allowance


@dataclass(frozen=True, slots=True)
class Group:
    """Allowances that belong together, with what they are about."""

    key: str
    title: str
    about: str
    keys: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Setting:
    """One allowance: what it starts with and, where the shop has said so, its own value in the entry's unit."""

    entry: Allowance
    own: float | None


@dataclass(frozen=True, slots=True)
class SettingGroup:
    """A group with its settings; `stamp` tells this state of it from any other."""

    group: Group
    settings: tuple[Setting, ...]
    stamp: str


@dataclass(frozen=True, slots=True)
class StampedMachine:
    """A machine and the stamp of the state it was read in."""

    row: MachineRow
    stamp: str


GROUPS = (
    Group(
        "cutting",
        "Cutting to length",
        "What a saw takes, and what is left on a piece until later.",
        (
            "segment_extra",
            "end_trim",
            "kerf_rip",
            "kerf_crosscut",
            "part_length_trim",
            "offcut_keep_length",
        ),
    ),
    Group(
        "milling",
        "Milling",
        "From a board as bought to a straight, flat strip.",
        (
            "eased_edge",
            "edge_jointing",
            "thickness_short",
            "thickness_short_up_to",
            "thickness_medium",
            "thickness_medium_up_to",
            "thickness_long",
            "joint_face_passes",
            "joint_edge_passes",
            "plane_depth",
            "mill_again_passes",
        ),
    ),
    Group(
        "laminating",
        "Laminating",
        "What glued strips lose until the part is flat.",
        (
            "flatten_glued_face",
            "glued_edge",
            "section_joint",
            "slab_length_trim",
            "strip_thinning_max",
            "section_passes",
        ),
    ),
    Group(
        "rejects",
        "Boards bought and not used",
        "Bows, knots and splits that only show once it is cut.",
        ("reject_softwood", "reject_hardwood", "reject_sheet"),
    ),
    Group(
        "glue",
        "Glue and clamps",
        "How much is poured and how many clamps it takes.",
        (
            "clamp_spacing",
            "clamps_on_hand",
            "clamp_force",
            "glue_waste_factor",
            "joint_glue_area_in2",
            "min_glue_temp",
            "glue_spreaders",
            "machine_after_hours",
        ),
    ),
    Group("finish", "Sanding and finish", "Up to the last coat.", ("sanding_grits", "finish_waste_factor")),
    Group(
        "air",
        "Air, moisture and rest",
        "The shop’s air, and how long wood lies before it is milled.",
        (
            "shop_temp",
            "shop_humidity_pct",
            "client_humidity_pct",
            "stock_moisture_pct",
            "ready_within_pct",
            "rest_wet_days",
            "rest_dry_days",
            "rest_between_millings_days",
        ),
    ),
    Group("handling", "Handling", "What one person feeds, lifts and turns.", (
        "feed_weight_max",
        "lift_alone_max",
        "moves_per_bench",
    )),
    Group(
        "time",
        "Time",
        "How much of the day is bench work, and what nobody planned.",
        ("shop_day_minutes", "bench_hours_share", "unplanned_share"),
    ),
    Group(
        "quotes",
        "Quotes and small costs",
        "What is added, and how long a promise stands.",
        ("consumables_share", "quote_valid_days", "lead_hardware_days"),
    ),
    Group(
        "doubt",
        "How far it may be off",
        "The usual miss; two times in three it is smaller. It widens the range of a price.",
        ("price_spread", "yield_sd", "glue_spread_sd", "finish_spread_sd", "unplanned_sd"),
    ),
)  # fmt: skip


def shop_row(session: Session) -> ShopRow:
    """The shop's data as kept, or the starting ones."""
    return shop_records.get_shop(session)


def save_shop(session: Session, shop: ShopRow) -> ShopRow:
    """Keep the shop's data.

    Raises:
        MissingReference: a currency, wood, glue or finish that is not in the tables.
        BadInput: a time zone nobody keeps, or a figure out of range.
        Conflict: they changed since `shop` was read.
    """
    units.currency(shop.currency)
    reference.species(shop.default_species)
    _require_known("glue", shop.default_adhesive, reference.adhesives())
    _require_known("finish", shop.default_finish, reference.finishes())
    _require_zone(shop.time_zone)
    return shop_records.save_shop(session, shop)


def setting_groups(session: Session) -> tuple[SettingGroup, ...]:
    """Every allowance, in groups. One query."""
    typed = shop_records.settings(session)
    return tuple(_read_group(group, typed) for group in GROUPS)


def save_settings(
    session: Session, group_key: str, texts: Mapping[str, str], *, system: units.System, stamp: str
) -> None:
    """Keep the allowances of one group as typed; an empty text goes back to the starting value.

    `texts` holds every key of the group; a share may be typed in per cent, a bare length is in the unit of `system`.
    `stamp` is that of the group as the form was made.

    Raises:
        MissingReference: no such group.
        BadInput: not readable or out of range; nothing is kept.
        Conflict: the group changed since.
    """
    group = find_group(group_key)
    found = _read_group(group, shop_records.settings(session))
    _require_stamp(f"“{group.title}”", found.stamp, stamp)
    rows = [_setting_row(key, texts[key], system) for key in group.keys if texts[key].strip()]
    for row in rows:
        shop_records.put_setting(session, row)
    for key in set(group.keys) - {row.key for row in rows}:
        shop_records.drop_setting(session, key)


def find_group(key: str) -> Group:
    """One group of allowances.

    Raises:
        MissingReference: listing the others.
    """
    for group in GROUPS:
        if group.key == key:
            return group
    raise MissingReference("group of allowances", key, [group.key for group in GROUPS])


def machines(session: Session) -> tuple[StampedMachine, ...]:
    """Every machine the shop has listed, those out of use too."""
    return tuple(StampedMachine(row, _stamp(asdict(row))) for row in shop_records.machines(session, active_only=False))


def usual_machines() -> tuple[MachineRow, ...]:
    """The machines the sums take while the shop has listed none."""
    return tuple(
        MachineRow(
            kind=kind,
            label=kind.capitalize(),
            max_width_nm=machine.max_width_nm,
            max_height_nm=machine.max_height_nm,
            min_length_nm=machine.min_length_nm,
            cost_cents_per_hour=machine.cost_cents_per_hour,
        )
        for kind, machine in reference.machines().items()
    )


def take_usual_machines(session: Session) -> None:
    """List the usual machines as the shop's own, to be changed; a shop that has listed any is left alone."""
    if not shop_records.machines(session, active_only=False):
        for row in usual_machines():
            shop_records.save_machine(session, row)


def save_machine(session: Session, machine: MachineRow, *, stamp: str = "") -> MachineRow:
    """Keep a machine, a new one when its id is 0; otherwise `stamp` is that of the state it was read in.

    Raises:
        MissingReference: an unknown kind, or no machine of that number.
        Conflict: it changed since.
    """
    _require_known("kind of machine", machine.kind, reference.machines())
    if machine.id:
        there = {known.row.id: known for known in machines(session)}
        if machine.id not in there:
            raise MissingReference("machine", str(machine.id), [known.row.label for known in there.values()])
        _require_stamp("this machine", there[machine.id].stamp, stamp)
    return shop_records.save_machine(session, machine)


def _read_group(group: Group, typed: Mapping[str, SettingRow]) -> SettingGroup:
    own = {key: typed[key].value for key in group.keys if key in typed}
    settings = tuple(
        Setting(reference.allowance(key), read_allowance(key, own[key]) if key in own else None) for key in group.keys
    )
    return SettingGroup(group, settings, _stamp(own))


def _setting_row(key: str, text: str, system: units.System) -> SettingRow:
    """The setting as typed; a length that only the shop's own system reads so gets its unit."""
    entry = reference.allowance(key)
    value = read_allowance(key, text, system)
    if entry.unit != "nm":
        return SettingRow(key, text.strip(), entry.unit)
    if system is units.System.METRIC:
        return SettingRow(key, f"{Decimal(int(value)) / units.NM_PER_MM:f} mm", "mm")
    return SettingRow(key, text.strip(), "in")


def _stamp(state: object) -> str:
    return checksum(canonical(state))[:16]


def _require_stamp(what: str, found: str, seen: str) -> None:
    if found != seen:
        raise Conflict(what, "open it again and repeat the change")


def _require_known(kind: str, name: str, known: Mapping[str, object]) -> None:
    if name not in known:
        raise MissingReference(kind, name, tuple(known))


def _require_zone(name: str) -> None:
    if not name:
        return  # the computer's
    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise BadInput("time zone", name, "a zone such as Europe/Berlin") from None
