"""The demo shop's files as records: amounts read as people write them, every bad cell named by file and line.

A file begins with a remark that says what it is, then the headings. A blank cell is nothing.
"""

from __future__ import annotations

import csv
import io
from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING, Any, TypeVar

from journal import units
from journal.build.part_list import COLUMNS, read
from journal.desk.payments import Paid
from journal.errors import BadInput, BadRows, Problem
from journal.records.queries.floor import CoatRow, GlueUpRow
from journal.records.queries.log import EntryDraft
from journal.records.queries.plans import BuiltRow
from journal.records.queries.projects import ProjectDraft
from journal.records.queries.purchases import LineRow, PurchaseRow
from journal.records.queries.shop import MachineRow, SettingRow, ShopRow
from journal.records.queries.stock import ItemRow, PriceRow
from journal.records.words import EntrySource, LengthSystem, PricePer, ProjectState, StockForm

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from pathlib import Path

    from journal.build.parts import Part

Cells = dict[str, str]
Value = TypeVar("Value")

_DOLLAR = units.currency("USD")
_MM2_PER_SQUARE_FOOT = 92_903.04
FREEZING_F = 32
COUNTED_ON = date(2026, 10, 19)  # the last stock-take; on_hand in stock.csv is what it found


@dataclass(frozen=True, slots=True)
class Start:
    """The shop as it is set up: its data, changed settings, machines, places at the bench (label, wage) and stock."""

    shop: ShopRow
    settings: tuple[SettingRow, ...]
    machines: tuple[MachineRow, ...]
    workers: tuple[tuple[str, int | None], ...]
    items: tuple[ItemRow, ...]


def read_rows(path: Path) -> list[tuple[int, Cells]]:
    """The rows of a file with their line numbers, cells stripped; the remark on top is skipped.

    Raises:
        BadInput: the file is not there, or has no remark and headings.
    """
    try:
        text = path.read_text(encoding="utf-8")
    except OSError as refused:
        raise BadInput(path.name, None, f"a file of the demo shop ({refused.strerror or refused})") from None
    remark, _, body = text.partition("\n")
    if not remark.startswith("#") or not body.strip():
        raise BadInput(path.name, remark, "a line of # with what it is, then the headings and rows")
    reader = csv.DictReader(io.StringIO(body, newline=""), strict=True)
    return [(reader.line_num + 1, {name: (cell or "").strip() for name, cell in row.items()}) for row in reader]


def read_table(path: Path, build: Callable[[Cells], Value]) -> tuple[Value, ...]:
    """Every row of a file as a record.

    Raises:
        BadRows: naming every line that cannot be used.
    """
    found: list[Value] = []
    problems: list[Problem] = []
    for line, cells in read_rows(path):
        try:
            found.append(build(cells))
        except BadInput as refused:
            problems.append(Problem(line, refused.field, str(refused)))
        except ValueError as refused:  # a number, a day or a word of a list that is none
            problems.append(Problem(line, "", str(refused)))
    if problems:
        raise BadRows(path.name, problems)
    return tuple(found)


def read_start(folder: Path) -> Start:
    """The shop as it is set up."""
    return Start(
        shop=read_shop_file(folder / "shop.csv"),
        settings=read_table(folder / "settings.csv", lambda row: SettingRow(row["key"], row["value"], row["unit"])),
        machines=read_table(folder / "machines.csv", _machine),
        workers=read_table(folder / "workers.csv", lambda row: (row["label"], _maybe(row["wage"], _money))),
        items=read_table(folder / "stock.csv", _item),
    )


def read_shop_file(path: Path) -> ShopRow:
    """The shop's own data, one field a line."""
    told = {row["field"]: row["value"] for _, row in read_rows(path)}
    words = ["name", "letterhead", "currency", "time_zone", "default_species", "default_adhesive", "default_finish"]
    whole = ("denominator", "people")
    return ShopRow(
        **{name: told[name] for name in words},  # type: ignore[arg-type]
        **{name: int(told[name]) for name in whole},  # type: ignore[arg-type]
        system=LengthSystem(told["system"]),
        wage_cents_per_hour=_money(told["wage"]),
        overhead_cents_per_hour=_money(told["overhead"]),
        margin_bp=int(_share(told["margin"]) * 10_000),
        confidence_pct=int(_share(told["confidence"]) * 100),
        deposit_bp=int(_share(told["deposit"]) * 10_000),
        tax_ppm=int(_share(told["tax"]) * 1_000_000),
        rounding_cents=_money(told["rounding"]),
        minutes_per_week=units.parse_duration(told["hours_a_week"], "hours a week", allow_long=True) // 60,
    )


def read_prices(folder: Path, item_ids: Mapping[str, int]) -> tuple[PriceRow, ...]:
    """The price history, for stock of these ids by code."""

    def price(row: Cells) -> PriceRow:
        if row["code"] not in item_ids:
            raise BadInput("code", row["code"], "stock that is in stock.csv")
        return PriceRow(
            item_id=item_ids[row["code"]],
            price_cents=_money(row["price"]),
            per=PricePer(row["per"]),
            on_date=date.fromisoformat(row["date"]),
            length_nm=_maybe(row["length"], _length),
            supplier=row["supplier"],
            note=row["note"],
        )

    return read_table(folder / "prices.csv", price)


def read_projects(folder: Path) -> tuple[ProjectDraft, ...]:
    """The projects in the order they are listed in."""
    return read_table(folder / "projects.csv", _project)


def read_parts(folder: Path) -> dict[str, tuple[Part, ...]]:
    """The part list of each project, read the way a pasted one is.

    Raises:
        BadRows: a part that cannot be read.
    """
    lists: dict[str, list[Cells]] = defaultdict(list)
    for _, row in read_rows(folder / "parts.csv"):
        lists[row["project"]].append(row)
    return {project: _part_list(project, rows) for project, rows in lists.items()}


def read_built(folder: Path) -> dict[str, list[BuiltRow]]:
    """What was built of each project, where it differs from the plan."""

    def one(row: Cells) -> tuple[str, BuiltRow]:
        return row["project"], BuiltRow(row["operation"], float(row["quantity"]), int(row["setups"]), row["note"])

    return _by_project(read_table(folder / "built.csv", one))


def read_entries(folder: Path, project_ids: Mapping[str, int], worker_ids: Mapping[str, int]) -> tuple[EntryDraft, ...]:
    """The time entries, for projects and workers of these ids; no project is the shop's own time."""

    def entry(row: Cells) -> EntryDraft:
        return EntryDraft(
            on_date=date.fromisoformat(row["date"]),
            seconds=units.parse_duration(row["time"]),
            project_id=_id_of("project", row["project"], project_ids),
            operation=row["operation"] or None,
            stage=row["stage"] or None,
            people=int(row["people"] or 1),
            rework=row["rework"] == "yes",
            set_aside_reason=row["set_aside"] or None,
            note=row["note"],
            worker_id=_id_of("worker", row["worker"], worker_ids),
            source=EntrySource.DEMO,
        )

    return read_table(folder / "entries.csv", entry)


def read_purchases(folder: Path, project_ids: Mapping[str, int]) -> tuple[PurchaseRow, ...]:
    """The receipts with their lines."""
    lines: dict[str, list[LineRow]] = defaultdict(list)
    for receipt, line in read_table(folder / "purchase_lines.csv", lambda row: (row["receipt"], _purchase_line(row))):
        lines[receipt].append(line)

    def purchase(row: Cells) -> PurchaseRow:
        return PurchaseRow(
            on_date=date.fromisoformat(row["date"]),
            supplier=row["supplier"],
            project_id=_id_of("project", row["project"], project_ids),
            freight_cents=_money(row["freight"]),
            tax_cents=_money(row["tax"]),
            note=row["note"],
            lines=tuple(lines[row["receipt"]]),
        )

    return read_table(folder / "purchases.csv", purchase)


def read_payments(folder: Path, project_ids: Mapping[str, int]) -> tuple[tuple[int, Paid], ...]:
    """What clients paid, in the order of the days: (project, payment)."""

    def payment(row: Cells) -> tuple[int, Paid]:
        project = _id_of("project", row["project"], project_ids)
        if project is None:
            raise BadInput("project", "", "the job that was paid for")
        on, cents = date.fromisoformat(row["date"]), _money(row["amount"])
        return project, Paid(on=on, cents=cents, how=row["how"], note=row["note"])

    return read_table(folder / "payments.csv", payment)


def read_glue_ups(folder: Path, project_ids: Mapping[str, int]) -> tuple[GlueUpRow, ...]:
    """The glue-ups as they went."""

    def glue_up(row: Cells) -> GlueUpRow:
        return GlueUpRow(
            project_id=project_ids[row["project"]],
            on_date=date.fromisoformat(row["date"]),
            label=row["label"],
            strips=int(row["strips"]),
            area_mm2=_square_feet(row["area_ft2"]),
            glue_ml=_maybe(row["glue"], units.parse_liquid),
            spread_seconds=_maybe(row["spread"], units.parse_duration),
            assembly_seconds=_maybe(row["assembly"], units.parse_duration),
            clamps=_maybe(row["clamps"], int),
            temperature_c=_maybe(row["temp_f"], _celsius),
        )

    return read_table(folder / "glue_ups.csv", glue_up)


def read_counted(folder: Path) -> tuple[tuple[str, float], ...]:
    """What the last stock-take found on the shelf: code, and millilitres or pieces."""

    def counted(row: Cells) -> tuple[str, float]:
        amount = row["on_hand"]
        return row["code"], units.parse_liquid(amount) if row["container"] and amount else float(amount or 0)

    return tuple(found for found in read_table(folder / "stock.csv", counted) if found[1])


def read_coats(folder: Path, project_ids: Mapping[str, int]) -> tuple[CoatRow, ...]:
    """The coats as they went."""

    def coat(row: Cells) -> CoatRow:
        return CoatRow(
            project_id=project_ids[row["project"]],
            finish=row["finish"],
            coat=int(row["coat"]),
            area_mm2=_square_feet(row["area_ft2"]),
            amount_ml=units.parse_liquid(row["amount"], "amount"),
            on_date=date.fromisoformat(row["date"]),
            temperature_c=_maybe(row["temp_f"], _celsius),
            humidity_pct=_maybe(row["humidity"], lambda text: float(_share(text) * 100)),
            note=row["note"],
        )

    return read_table(folder / "coats.csv", coat)


def _machine(row: Cells) -> MachineRow:
    return MachineRow(
        kind=row["kind"],
        label=row["label"],
        max_width_nm=_maybe(row["max_width"], _length),
        max_height_nm=_maybe(row["max_height"], _length),
        min_length_nm=_maybe(row["min_length"], _length),
        cost_cents_per_hour=_money(row["cost_an_hour"]),
    )


def _item(row: Cells) -> ItemRow:
    return ItemRow(
        code=row["code"],
        form=StockForm(row["form"]),
        species=row["species"] or None,
        nominal=row["nominal"] or None,
        thickness_nm=_maybe(row["thickness"], _length),
        width_nm=_maybe(row["width"], _length),
        length_nm=_maybe(row["length"], _length),
        container_ml=_maybe(row["container"], units.parse_liquid),
        class_key=row["class"] or None,
        supplier=row["supplier"],
    )


def _project(row: Cells) -> ProjectDraft:
    return ProjectDraft(
        code=row["code"],
        title=row["title"],
        client_kind=row["client"],
        benches=int(row["benches"]),
        state=ProjectState(row["state"]),
        adhesive=row["adhesive"] or None,
        finish=row["finish"] or None,
        coats=int(row["coats"]),
        design_word=row["design"] or None,
        enquired_on=_maybe(row["enquired"], date.fromisoformat),
        agreed_on=_maybe(row["agreed"], date.fromisoformat),
        started_on=_maybe(row["started"], date.fromisoformat),
        delivered_on=_maybe(row["delivered"], date.fromisoformat),
        promised_on=_maybe(row["promised"], date.fromisoformat),
        agreed_price_cents=_maybe(row["agreed_price"], _money),
        agreed_minutes=_maybe(row["agreed_time"], lambda text: units.parse_duration(text, allow_long=True) / 60),
        quoted_cost_cents=_maybe(row["quoted_cost"], _money),
        note=row["note"],
    )


def _purchase_line(row: Cells) -> LineRow:
    return LineRow(
        stock_code=row["stock"],
        quantity=float(row["quantity"]),
        price_cents=_money(row["price"]),
        length_nm=_maybe(row["length"], _length),
        board_feet=_maybe(row["board_feet"], float),
        used_quantity=_maybe(row["used"], float),
        rejected_quantity=_maybe(row["rejected"], float),
    )


def _part_list(project: str, rows: list[Cells]) -> tuple[Part, ...]:
    text = io.StringIO(newline="")
    writer = csv.DictWriter(text, COLUMNS, extrasaction="ignore")
    writer.writeheader()
    writer.writerows(rows)
    return read(text.getvalue(), source=f"parts.csv, project {project}").taken()


def _by_project(pairs: tuple[tuple[str, Any], ...]) -> dict[str, list[Any]]:
    found: dict[str, list[Any]] = defaultdict(list)
    for project, value in pairs:
        found[project].append(value)
    return dict(found)


def _id_of(what: str, name: str, ids: Mapping[str, int]) -> int | None:
    if not name:
        return None
    if name not in ids:
        raise BadInput(what, name, "one that is listed in its own file")
    return ids[name]


def _maybe(text: str, reader: Callable[[str], Value]) -> Value | None:
    return reader(text) if text else None


def _money(text: str) -> int:
    return units.parse_money(text or "0", _DOLLAR)


def _length(text: str) -> int:
    return units.parse_length(text)


def _share(text: str) -> Decimal:
    return Decimal(text.removesuffix("%")) / 100


def _square_feet(text: str) -> int:
    return round(float(text) * _MM2_PER_SQUARE_FOOT)


def _celsius(text: str) -> float:
    return round((float(text) - FREEZING_F) / 1.8, 1)
