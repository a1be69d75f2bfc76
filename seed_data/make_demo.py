"""Make the demo shop's files: python seed_data/make_demo.py [--into FOLDER].

The shop, its settings, machines, places at the bench and stock are written by hand beside this script. Everything else
follows from demo_benches.py (what was built) and demo_truth.py (how long things take, what they cost) with fixed dice:
run again it writes the same bytes. Run it again after a change in how quantities follow from parts.
"""

import argparse
import sys
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction
from math import exp
from pathlib import Path
from types import MappingProxyType

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE), str(HERE.parent)]
sys.dont_write_bytecode = True  # this folder travels in the wheel as it stands

import demo_mends as mends  # noqa: E402 - beside this script
import demo_receipts as receipts_of  # noqa: E402 - beside this script
import demo_work as work  # noqa: E402
from demo_benches import JOBS, Job, Row, commission  # noqa: E402
from demo_example import example_log, example_plan  # noqa: E402
from demo_tables import table, write  # noqa: E402
from demo_truth import (  # noqa: E402
    BALANCE_WITHIN,
    DEPOSIT_WITHIN,
    GUESS_FIRST,
    GUESS_LAST,
    GUESS_SD,
    OPENED,
    PROMISE_DAYS,
    PROMISE_DAYS_AN_HOUR,
    UNPAID,
    dice,
    ratio_on,
)
from journal import units  # noqa: E402
from journal.build.part_list import COLUMNS, read  # noqa: E402
from journal.desk.allowances import allowances  # noqa: E402
from journal.desk.demo_files import Start, read_start  # noqa: E402
from journal.desk.shop import ShopView, Work  # noqa: E402
from journal.quote.costing import materials  # noqa: E402
from journal.quote.risk import price_for  # noqa: E402
from journal.quote.takeoff import Takeoff, take_off  # noqa: E402

TODAY = date(2026, 11, 22)  # the log of the job in build ends here
SATURDAY = 5
RACK_DAYS = tuple(date(2023, 10, 4) + timedelta(days=97 * turn) for turn in range(12))


@dataclass(frozen=True)
class Made:
    """A job with the quantities and the log that follow from it."""

    job: Job
    shop: ShopView
    takeoff: Takeoff
    logged: work.Logged
    entries: list[work.Entry]


def main() -> None:
    """Write every file."""
    options = argparse.ArgumentParser(description="Make the demo shop’s files.")
    options.add_argument("--into", type=Path, default=HERE, help="another folder")
    into = options.parse_args().into
    into.mkdir(parents=True, exist_ok=True)
    start = read_start(HERE)
    prices = receipts_of.price_rows()
    taken: work.Taken = {}
    made = [make(job, view(start, prices, job.enquired), taken) for job in JOBS]
    write(into / "prices.csv", "what things cost, a price list a quarter; dollars", prices)
    write(into / "projects.csv", "jobs of the demo shop; dollars, hours", [project_row(one) for one in made])
    write(into / "payments.csv", "what clients paid, with tax; dollars", payment_rows(made, start))
    write(into / "parts.csv", "part lists, one row a part of one bench; inches unless feet are written", part_rows())
    write(into / "built.csv", "what was built otherwise than planned, in the operation’s unit", built_rows(made))
    write(into / "entries.csv", "time as it was written down; hours:minutes for each of the people", entry_rows(made))
    _write_receipts(into, made, start, prices)
    logged = [one for one in made if one.job.starts]
    glue_ups = [row for one in logged for row in receipts_of.glue_up_rows(one.job, one.takeoff, one.shop, one.logged)]
    write(into / "glue_ups.csv", "glue-ups as they went; square feet of glue line, hours:minutes:seconds", glue_ups)
    coats = [row for one in logged for row in receipts_of.coat_rows(one.job, one.takeoff, one.shop, one.logged)]
    write(into / "coats.csv", "coats as they went; square feet, Fahrenheit", coats)
    # A client's list comes without a remark on top.
    (into / "demo_commission.csv").write_text(table(COLUMNS, commission()), encoding="utf-8", newline="\n")
    example = view(start, prices, OPENED)
    write(
        into / "example_log.csv",
        "a log of another shop, by operation and by stage; minutes",
        example_log(example),
    )
    write(into / "example_plan.csv", "what a bench to come will take, in each operation’s unit", example_plan(example))


def view(start: Start, prices: Sequence[Row], day: date) -> ShopView:
    """The shop with the prices of a day."""
    typed = {setting.key: (setting.value, setting.unit) for setting in start.settings}
    return ShopView(
        row=start.shop,
        allowances=MappingProxyType(allowances(typed)),
        machines=start.machines,
        items=receipts_of.priced_items(start.items, list(prices), day),
    )


def make(job: Job, shop: ShopView, taken: work.Taken) -> Made:
    """What a job takes by the rooms' own reckoning, and the log drawn from the truth for it."""
    parts = read(table(COLUMNS, job.parts), source=job.code).taken()
    takeoff = take_off(parts, shop.book(), shop.rules(Work(job.adhesive, job.finish, job.coats)), benches=job.benches)
    if job.starts is None:
        return Made(job, shop, takeoff, work.Logged(), [])
    logged = work.log_job(job, work.as_built(job, takeoff.tasks), TODAY, taken)
    entries = mends.put_aside(logged.entries)
    if logged.delivered:
        entries += mends.done_again(job, logged)
    return Made(job, shop, takeoff, logged, entries)


def project_row(made: Made) -> Row:
    """A project; what was promised is the shop's own guess of then."""
    job = made.job
    row = {
        "code": job.code,
        "title": job.title,
        "client": job.client,
        "benches": str(job.benches),
        "state": job.state,
        "adhesive": job.adhesive,
        "finish": job.finish,
        "coats": str(job.coats),
        "design": job.design,
        "enquired": job.enquired.isoformat(),
    }
    columns = ("agreed", "started", "promised", "delivered", "agreed_price", "agreed_time", "quoted_cost")
    promised = dict.fromkeys(columns, "")
    if job.starts:
        minutes, cost_cents, price_cents = promise(made)
        started = min(entry.on for entry in made.entries)
        promised = {
            "agreed": (job.enquired + timedelta(days=12)).isoformat(),
            "started": started.isoformat(),
            "promised": promised_day(started, minutes).isoformat(),
            "delivered": made.logged.delivered.isoformat() if made.logged.delivered else "",
            "agreed_price": receipts_of.money(price_cents),
            "agreed_time": f"{minutes / 60:.1f} h",
            "quoted_cost": receipts_of.money(cost_cents),
        }
    return {**row, **promised, "note": job.note}


def promise(made: Made) -> tuple[float, int, int]:
    """(minutes, cost, price) as the shop put them then: its guess of the hours, dearer than the materials known."""
    job, rates = made.job, made.shop.rates()
    fair = sum(task.baseline_minutes * ratio_on(task.code, job.enquired) for task in made.takeoff.tasks)
    along = (job.enquired - JOBS[0].enquired) / (JOBS[-1].enquired - JOBS[0].enquired)
    guess = GUESS_FIRST + (GUESS_LAST - GUESS_FIRST) * along
    minutes = fair * guess * exp(GUESS_SD * float(dice("promise", job.code).standard_normal()))
    minutes = round(minutes / 30) * 30
    bought = materials(made.takeoff, made.shop.supplies(Work(job.adhesive, job.finish, job.coats)), rates)
    hourly = rates.wage_cents_per_hour + rates.overhead_cents_per_hour
    cost_cents = round(sum(line.value for line in bought.lines) + minutes / 60 * hourly)
    return minutes, cost_cents, price_for(1.05 * cost_cents, rates.margin, rates.rounding_cents)


def promised_day(started: date, minutes: float) -> date:
    """The Saturday by which the shop thought it would be done."""
    thought = started + timedelta(days=round(PROMISE_DAYS + PROMISE_DAYS_AN_HOUR * minutes / 60))
    return thought + timedelta(days=(SATURDAY - thought.weekday()) % 7)


def payment_rows(made: Iterable[Made], start: Start) -> list[Row]:
    """The deposit soon after a job was agreed, the rest once it was delivered; by day."""
    return [
        {"project": code, "date": on.isoformat(), "amount": receipts_of.money(cents), "how": how, "note": note}
        for on, code, cents, how, note in sorted(
            paid for one in made if one.job.starts for paid in paid_for(one, start)
        )
    ]


def paid_for(made: Made, start: Start) -> list[tuple[date, str, int, str, str]]:
    """(day, job, amount, how, note) of each payment for a job."""
    job, thrown = made.job, dice("payments", made.job.code)
    price = promise(made)[2]
    whole = price + units.percent_of(price, Fraction(start.shop.tax_ppm, 10**6))
    part = Fraction(start.shop.deposit_bp, 10**4)
    deposit, balance = units.share(whole, [part, 1 - part])
    agreed = job.enquired + timedelta(days=12)
    first, last = (int(thrown.integers(most)) for most in (DEPOSIT_WITHIN, BALANCE_WITHIN))
    found = [(agreed + timedelta(days=first), job.code, deposit, "bank transfer", "deposit")]
    if made.logged.delivered and job.code != UNPAID:
        how = "bank transfer" if last else "cheque at the door"
        found.append((made.logged.delivered + timedelta(days=last), job.code, balance, how, "balance"))
    return found


def part_rows() -> list[Row]:
    """Every job's parts."""
    return [{"project": job.code, **{name: row.get(name, "") for name in COLUMNS}} for job in JOBS for row in job.parts]


def built_rows(made: Iterable[Made]) -> list[Row]:
    """What was built otherwise."""
    return [
        {
            "project": one.job.code,
            "operation": code,
            "quantity": f"{task.quantity:g}",
            "setups": str(task.setups),
            "note": one.job.changed[code][1],
        }
        for one in made
        for code, task in work.as_built(one.job, one.takeoff.tasks).items()
        if code in one.job.changed
    ]


def entry_rows(made: Iterable[Made]) -> list[Row]:
    """The whole log by day."""
    entries = [entry for one in made for entry in one.entries] + mends.shop_days(TODAY)
    return [
        {
            "project": entry.project,
            "date": entry.on.isoformat(),
            "operation": entry.operation,
            "stage": entry.stage,
            "worker": entry.worker,
            "people": str(entry.people),
            "time": f"{entry.minutes // 60}:{entry.minutes % 60:02d}",
            "rework": "yes" if entry.rework else "",
            "set_aside": entry.set_aside,
            "note": entry.note,
        }
        for entry in sorted(entries, key=lambda entry: entry.on)
    ]


def _write_receipts(into: Path, made: Sequence[Made], start: Start, prices: Sequence[Row]) -> None:
    found = receipts_of.rack_receipts({day: view(start, prices, day) for day in RACK_DAYS})
    for one in made:
        if one.job.starts and one.logged.days:
            shop = view(start, prices, one.logged.days["stock"][0])
            found += receipts_of.receipts(one.job, one.takeoff, shop, one.logged.days["stock"][0])
            found += receipts_of.bought_again(one.job, shop, one.logged)
    found.sort(key=lambda receipt: receipt.on)
    heads = [receipts_of.receipt_row(number, receipt) for number, receipt in enumerate(found, start=1)]
    lines = [{"receipt": str(at), **row} for at, receipt in enumerate(found, start=1) for row, _ in receipt.lines]
    write(into / "purchases.csv", "receipts of the demo shop; dollars", heads)
    write(into / "purchase_lines.csv", "lines of the receipts: boards, sheets or pieces; dollars for the line", lines)


if __name__ == "__main__":
    main()
