"""What the demo shop bought and what it cost, and how far glue and finish went."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction
from math import ceil, exp

import numpy as np
from demo_benches import Job
from demo_truth import (
    FINISH_FACTOR,
    FINISH_SD,
    GLUE_FACTOR,
    GLUE_SD,
    HARDWOOD_INDEX,
    LENGTHS_FT,
    LONG_PREMIUM,
    LUMBER_CENTS_A_FOOT,
    LUMBER_INDEX,
    OTHER_CENTS,
    RECEIPT_SD,
    REJECTS,
    SHEET_INDEX,
    SUPPLY_CENTS,
    SUPPLY_RISE_A_YEAR,
    TAX,
    dice,
)
from demo_work import Logged
from journal import reference, units
from journal.build.stock import Dimensional, Rough
from journal.desk.shop import ShopView, Work
from journal.quote.takeoff import StockBill, Takeoff
from journal.records.queries.stock import ItemRow, PricedItem, PriceRow
from journal.records.words import PricePer

Row = dict[str, str]
QUARTERS = tuple(date(2023 + (quarter + 2) // 4, (quarter + 2) % 4 * 3 + 1, 1) for quarter in range(len(LUMBER_INDEX)))
DEALER_FREIGHT_CENTS = 4500
NOTED_OF_A_KIND = 3  # glue-ups alike: people note the first ones


@dataclass(frozen=True)
class Receipt:
    """One receipt with its lines as rows; cents before tax."""

    on: date
    supplier: str
    project: str
    freight_cents: int
    note: str
    lines: tuple[tuple[Row, int], ...]


def price_rows() -> list[Row]:
    """The price list, quarter by quarter; supplies change with the year."""
    rows = []
    for number, day in enumerate(QUARTERS):
        for code, cents in LUMBER_CENTS_A_FOOT.items():
            for length in LENGTHS_FT:
                whole = cents * length * LONG_PREMIUM.get(length, 1.0) * LUMBER_INDEX[number]
                rows.append(_price(code, day, whole, "piece", length))
        for code, (cents, per) in OTHER_CENTS.items():
            index = SHEET_INDEX if per == "sheet" else HARDWOOD_INDEX
            rows.append(_price(code, day, cents * index[number], per))
        if number == 0 or day.month == 1:
            rise = (1 + SUPPLY_RISE_A_YEAR) ** (day.year - 2023)
            rows += [_price(code, day, cents * rise, per) for code, (cents, per) in SUPPLY_CENTS.items()]
    return rows


def _price(code: str, day: date, cents: float, per: str, length: int | None = None) -> Row:
    supplier = "the lumber yard" if length or code == "3/4 plywood" else "the hardwood dealer" if per != "each" else ""
    if per in ("container", "each"):
        supplier = "the finishing counter" if per == "container" else "the hardware counter"
    shown = f"{length}'" if length else ""
    step = 5 if cents > 1000 else 1
    return {
        "code": code,
        "length": shown,
        "date": day.isoformat(),
        "price": money(round(cents / step) * step),
        "per": per,
        "supplier": supplier,
        "note": "",
    }


def money(cents: int) -> str:
    """As it is written: 12.34."""
    return f"{cents // 100}.{cents % 100:02d}"


def priced_items(items: tuple[ItemRow, ...], prices: list[Row], day: date) -> tuple[PricedItem, ...]:
    """The stock with the prices in force on a day, as the journal gives them: by code, shortest length first."""
    newest: dict[tuple[str, str], Row] = {}
    for row in prices:
        if row["date"] <= day.isoformat():
            newest[row["code"], row["length"]] = row
    found = []
    for item in sorted(items, key=lambda one: one.code):
        mine = [_price_row(row) for (code, _), row in newest.items() if code == item.code]
        found.append(PricedItem(item, tuple(sorted(mine, key=lambda price: price.length_nm or 0))))
    return tuple(found)


def _price_row(row: Row) -> PriceRow:
    return PriceRow(
        item_id=1,
        price_cents=units.parse_money(row["price"], units.currency("USD")),
        per=PricePer(row["per"]),
        on_date=date.fromisoformat(row["date"]),
        length_nm=units.parse_length(row["length"]) if row["length"] else None,
    )


def receipts(job: Job, takeoff: Takeoff, shop: ShopView, bought_on: date) -> list[Receipt]:
    """A job's receipts: lumber and sheets from two places, finish and hardware from two counters."""
    random = dice("receipts", job.code)
    suppliers = {priced.item.code: priced.item.supplier for priced in shop.items}
    lines: dict[str, list[tuple[Row, int]]] = {}
    for bill in takeoff.bills:
        lines.setdefault(suppliers[bill.stock.code], []).extend(
            _bill_lines(bill, random, whole_job=job.state != "in_build")
        )
    for word, count in takeoff.hardware:
        item = next(one for one in shop.items if one.item.class_key == word)
        code, cents = item.item.code, item.prices[0].price_cents
        lines.setdefault(suppliers[code], []).append((_line(code, count, count * cents, used=count), count * cents))
    finish = next(one for one in shop.items if one.item.class_key == job.finish)
    quarts = ceil(takeoff.finish_ml * FINISH_FACTOR / (finish.item.container_ml or 1) * 0.8)
    cents = quarts * finish.prices[0].price_cents
    lines.setdefault(suppliers[finish.item.code], []).append((_line(finish.item.code, quarts, cents), cents))
    order = ["the lumber yard", "the hardwood dealer", "the finishing counter", "the hardware counter"]
    return [
        Receipt(
            bought_on + timedelta(days=0 if place < 2 else 6 + place),
            supplier,
            job.code,
            DEALER_FREIGHT_CENTS if supplier == "the hardwood dealer" and takeoff.benches > 1 else 0,
            "",
            tuple(lines[supplier]),
        )
        for place, supplier in enumerate(order)
        if supplier in lines
    ]


def _bill_lines(bill: StockBill, random: np.random.Generator, *, whole_job: bool) -> list[tuple[Row, int]]:
    if isinstance(bill.stock, Rough):
        boards = bill.sawing.boards
        feet = round(bill.board_feet * float(random.uniform(0.92, 1.1)), 1)
        cents = _paid(feet * bill.stock.offer.price_cents, random)
        used, bad = _used(boards, REJECTS["rough"], random, whole_job=whole_job)
        return [(_line(bill.stock.code, boards, cents, used=used, bad=bad, board_feet=feet), cents)]
    share = REJECTS["dimensional" if isinstance(bill.stock, Dimensional) else "sheet"]
    found = []
    for purchase in bill.purchases:
        cents = _paid(purchase.cents, random)
        length = units.format_length(purchase.offer.length_nm, feet=True) if purchase.offer.length_nm else ""
        used, bad = _used(purchase.count, share, random, whole_job=whole_job)
        found.append((_line(bill.stock.code, purchase.count, cents, used=used, bad=bad, length=length), cents))
    return found


def _paid(cents: float, random: np.random.Generator) -> int:
    return round(cents * exp(RECEIPT_SD * float(random.standard_normal())))


def _used(count: int, share: float, random: np.random.Generator, *, whole_job: bool) -> tuple[int | None, int | None]:
    if not whole_job:
        return None, None
    bad = int(random.binomial(count, share))
    spare = int(random.binomial(count - bad, 0.04)) if count > 4 else 0
    return count - bad - spare, bad


def _line(
    code: str,
    count: int,
    cents: int,
    *,
    used: int | None = None,
    bad: int | None = None,
    length: str = "",
    board_feet: float | None = None,
) -> Row:
    numbers = {"used": used, "rejected": bad, "board_feet": board_feet}
    shown = {name: "" if value is None else f"{value:g}" for name, value in numbers.items()}
    return {"stock": code, "length": length, "quantity": str(count), "price": money(cents), **shown}


AGAIN = {
    "23-003": ("2x8 fir", 14, 4, "for the half top that was glued up again"),
    "25-003": ("2x6 fir", 12, 3, "for the legs that were cut too short"),
}


def bought_again(job: Job, shop: ShopView, logged: Logged) -> list[Receipt]:
    """The receipt for what had to be made again."""
    if job.code not in AGAIN:
        return []
    code, length_ft, count, note = AGAIN[job.code]
    priced = next(one for one in shop.items if one.item.code == code)
    each = next(price.price_cents for price in priced.prices if price.length_nm == units.feet(length_ft))
    line = _line(code, count, count * each, used=count, bad=0, length=f"{length_ft}'")
    day = logged.days["glue_up"][-1]
    return [Receipt(day, priced.item.supplier, job.code, 0, note, ((line, count * each),))]


def rack_receipts(shops: Mapping[date, ShopView]) -> list[Receipt]:
    """Glue by the gallon, for the rack, at the prices of those days."""
    found = []
    for day, shop in shops.items():
        priced = next(one for one in shop.items if one.item.class_key == "pva_interior")
        cents = priced.prices[0].price_cents
        found.append(
            Receipt(
                day, priced.item.supplier, "", 0, "glue for the rack", ((_line(priced.item.code, 1, cents), cents),)
            )
        )
    return found


def receipt_row(number: int, receipt: Receipt) -> Row:
    """A receipt's head, with the sales tax on its lines."""
    tax_cents = units.percent_of(sum(cents for _, cents in receipt.lines), Fraction(str(TAX)))
    return {
        "receipt": str(number),
        "date": receipt.on.isoformat(),
        "supplier": receipt.supplier,
        "project": receipt.project,
        "freight": money(receipt.freight_cents),
        "tax": money(tax_cents),
        "note": receipt.note,
    }


def glue_up_rows(job: Job, takeoff: Takeoff, shop: ShopView, logged: Logged) -> list[Row]:
    """Some of a job's glue-ups, at most three of a kind."""
    rules = shop.rules(Work(job.adhesive, job.finish, job.coats)).glue
    days = logged.days.get("glue_up", [])
    if not days:
        return []
    found = []
    noted = [up for up in takeoff.ups for _ in range(min(up.times, NOTED_OF_A_KIND))]
    for place, up in enumerate(noted):
        random = dice("glue-up", job.code, place)
        feet = units.square_feet(up.area_nm2)
        ml = up.area_nm2 / 1e18 * rules.spread_ml_m2 * rules.waste * GLUE_FACTOR
        ml *= exp(GLUE_SD * float(random.standard_normal()))
        spread = max(1.0, feet * 0.33 * exp(0.2 * float(random.standard_normal())))
        closing = 2 + up.clamps * 0.55 * exp(0.2 * float(random.standard_normal()))
        found.append(
            {
                "project": job.code,
                "date": days[place * len(days) // len(noted)].isoformat(),
                "label": up.label,
                "strips": str(up.lines + 1),
                "area_ft2": f"{feet:.2f}",
                "glue": f"{5 * max(1, round(ml / 5))} ml",
                "spread": _clock(spread),
                "assembly": _clock(spread + closing),
                "clamps": str(up.clamps + int(random.integers(-1, 2))),
                "temp_f": str(62 + int(random.integers(0, 12))),
            }
        )
    return found


def _clock(minutes: float) -> str:
    return f"0:{int(minutes):02d}:{round(minutes % 1 * 4) % 4 * 15:02d}"


def coat_rows(job: Job, takeoff: Takeoff, shop: ShopView, logged: Logged) -> list[Row]:
    """A job's coats as they went on; end grain drinks more."""
    finish = reference.finishes()[job.finish]
    area = takeoff.surface
    thirsty = units.square_feet(area.face_nm2) + finish.end_grain_factor * units.square_feet(area.end_nm2)
    rules = shop.rules(Work(job.adhesive, job.finish, job.coats)).finish
    found = []
    for coat, day in enumerate(logged.coats, start=1):
        random = dice("coat", job.code, coat)
        cover = rules.coverage_first_ft2_gal if coat == 1 else rules.coverage_later_ft2_gal
        ml = thirsty / cover * units.ML_PER_GALLON * FINISH_FACTOR * exp(FINISH_SD * float(random.standard_normal()))
        found.append(
            {
                "project": job.code,
                "date": day.isoformat(),
                "finish": job.finish,
                "coat": str(coat),
                "area_ft2": f"{units.square_feet(area.area_nm2):.1f}",
                "amount": f"{10 * round(ml / 10)} ml",
                "temp_f": str(60 + int(random.integers(0, 16))),
                "humidity": f"{int(random.integers(35, 60))}%",
                "note": "",
            }
        )
    return found
