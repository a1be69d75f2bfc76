"""Another made-up shop, as a log file to try: slow at boring, quick at finishing."""

from datetime import date, timedelta
from math import exp, sqrt

from demo_benches import Row, assembly_table, outfeed_table, slab_bench, split_top, student_bench
from demo_tables import table
from demo_truth import dice
from journal import reference
from journal.build.part_list import COLUMNS, read
from journal.build.steps import Task
from journal.desk.shop import ShopView, Work
from journal.quote.takeoff import take_off

STAGES = {"boring": 0.50, "finishing": -0.50, "joinery": 0.10, "milling": 0.05}
OPERATION_SD, PROJECT_SD, ENTRY_SD = 0.10, 0.12, 0.20
FIRST_DAY = date(2025, 1, 18)
DAYS_APART = 75
# Name of the job, its parts, how many, and the stages written down as a whole.
JOBS = (
    ("bench for a boatyard", slab_bench("8'", "66 in"), 1, ()),
    ("two split benches", split_top("6'", "50 in"), 2, ("stock", "milling", "glue_up")),
    ("table for a sail loft", assembly_table("58 in", "40 in"), 1, ("milling", "finishing")),
    ("bench for a wheelwright", slab_bench("7'", "58 in", depth="25 in"), 1, ()),
    ("outfeed table", outfeed_table("58 in"), 1, ("stock", "milling", "glue_up", "joinery", "assembly", "finishing")),
    ("three small benches", student_bench("50 in"), 3, ("glue_up", "finishing", "fittings")),
    ("split bench", split_top("7'", "60 in"), 1, ("boring",)),
    ("bench for a ropewalk", slab_bench("7'", "58 in"), 1, ("milling", "shop")),
)
LEFT_OUT = ("rework", "call_back", "drawings", "install")


def example_log(shop: ShopView) -> list[Row]:
    """The log: operations with their quantity; where a stage was written down, its operations have no minutes."""
    rows: list[Row] = []
    for place, (name, parts, benches, staged) in enumerate(JOBS):
        day = FIRST_DAY + timedelta(days=DAYS_APART * place)
        stages: dict[str, float] = {}
        for step, task in enumerate(_tasks(shop, parts, benches)):
            stage = reference.operations()[task.code].stage
            minutes = _minutes(name, task)
            on = day + timedelta(days=step // 3)
            if stage in staged:
                stages[stage] = stages.get(stage, 0.0) + minutes
                rows.append(_row(name, on, task.code, task, None))
            else:
                rows.append(_row(name, on, task.code, task, max(1, round(minutes))))
        last = day + timedelta(days=16)
        rows += [_row(name, last, stage, None, 15 * max(1, round(total / 15))) for stage, total in stages.items()]
        if place in (1, 6):
            rows.append({**_row(name, last, "cut_tenon", None, 35 + 10 * place), "rework": "yes"})
    return rows


def example_plan(shop: ShopView) -> list[Row]:
    """A bench to come."""
    tasks = _tasks(shop, slab_bench("7'", "60 in"), 1)
    return [{"operation": task.code, "quantity": f"{task.quantity:.1f}", "setups": str(task.setups)} for task in tasks]


def _tasks(shop: ShopView, parts: list[Row], benches: int) -> list[Task]:
    listed = read(table(COLUMNS, parts), source="example").taken()
    found = take_off(listed, shop.book(), shop.rules(Work()), benches=benches).tasks
    return [task for task in found if task.code not in LEFT_OUT]


def _minutes(name: str, task: Task) -> float:
    stage = reference.operations()[task.code].stage
    spread = ENTRY_SD * sqrt(1 + 20 / task.baseline_minutes) * float(dice("example", name, task.code).standard_normal())
    own = OPERATION_SD * float(dice("example operation", task.code).standard_normal())
    luck = PROJECT_SD * float(dice("example job", name).standard_normal())
    return task.baseline_minutes * exp(STAGES.get(stage, 0.0) + own + luck + spread)


def _row(name: str, on: date, what: str, task: Task | None, minutes: int | None) -> Row:
    return {
        "project": name,
        "date": on.isoformat(),
        "operation": what,
        "quantity": f"{task.quantity:.1f}" if task else "",
        "minutes": "" if minutes is None else str(minutes),
        "setups": str(task.setups) if task else "",
        "rework": "",
    }
