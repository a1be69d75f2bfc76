"""Made-up finished projects, as the back-test takes them."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
from journal.pace.backtest import Past
from journal.pace.evidence import gather
from journal.pace.model import Row, Task
from tests.pace.shops import draw_shop, work_project

START = date(2020, 1, 15)
CODES = ("op_0", "op_1", "op_2", "op_3")


def steady(code, place, *, ratio=1.5, benches=1, likeness="bench", gap=60, quoted=None, beside=1.0):
    """A project that took `ratio` times the book at everything, quoted every `gap` days and finished 40 days later."""
    on = START + timedelta(days=gap * place) if quoted is None else quoted
    tasks = tuple(Task(op, 60.0 * benches) for op in CODES)
    stages = ("milling", "glue_up", "finishing", "milling")
    done = on + timedelta(days=40)
    rows = tuple(
        Row(code, done, stage, ((op, 1.0),), 60.0 * benches, 60.0 * benches * ratio)
        for op, stage in zip(CODES, stages, strict=True)
    )
    planned = 240.0 * benches * ratio
    return Past(code, code, likeness, benches, on, done, tasks, planned * beside, planned, rows)


def simulated(seed, book, projects):
    """Finished projects of one shop drawn from the model, a little wilder in the tails."""
    rng = np.random.default_rng([7, seed])
    shop = draw_shop(rng, book)
    found = []
    for place in range(projects):
        lines, total, baselines = work_project(shop, rng, f"P{place:02d}", 11 * place // projects)
        rows = gather(lines, book).rows
        done = max(row.on for row in rows)
        tasks = tuple(Task(code, minutes) for code, minutes in baselines.items())
        day = done - timedelta(days=1)  # nothing is quoted before the one before it is through
        found.append(Past(f"P{place:02d}", "", "", 1, day, done, tasks, total, total, rows))
    return found
