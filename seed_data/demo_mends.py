"""What went wrong in the demo shop: things done again, time not to be learned from, and the shop's own evenings."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

from demo_benches import Job
from demo_truth import dice
from demo_work import ONE, QUARTER, TWO, Entry, Logged
from journal import reference

# What was done again: stage or operation, minutes, why.
_GLUED_AGAIN = "half top glued up again, a joint had opened"
_CUT_SHORT = "legs cut ¾ in short, a new set made"
REMADE = {
    "23-003": (
        ("milling", 105, _GLUED_AGAIN),
        ("glue_up", 150, _GLUED_AGAIN),
        ("flattening", 75, _GLUED_AGAIN),
    ),
    "25-003": (
        ("crosscut_rough", 20, _CUT_SHORT),
        ("plane_thickness", 50, _CUT_SHORT),
        ("rip_final", 25, _CUT_SHORT),
        ("close_clamps", 65, _CUT_SHORT),
        ("fit_laminated_joint", 80, _CUT_SHORT),
    ),
}
SET_ASIDE = {("24-003", "fit_vise"): "half the evening went on looking for the right screws"}
MENDS = (
    ("joinery", "cut_tenon", "tenon too loose, a slip glued on"),
    ("finishing", "sand", "dust in the finish, rubbed back"),
    ("assembly", "dry_fit", "shoulder trimmed again"),
    ("boring", "bore_large", "hole broke out, plugged and bored again"),
    ("milling", "rip_final", "strips ripped too narrow"),
)


def done_again(job: Job, logged: Logged) -> list[Entry]:
    """Rework: the two remakes, and a mend or two in most jobs."""
    random = dice("mends", job.code)
    found = [_again(job, logged, what, minutes, note) for what, minutes, note in REMADE.get(job.code, ())]
    for _ in range(int(random.integers(1, 5))):
        stage, operation, note = MENDS[int(random.integers(0, len(MENDS)))]
        what = operation if job.logged == "operation" else stage
        found.append(_again(job, logged, what, 15 * int(random.integers(1, 6)), note))
    return found


def _again(job: Job, logged: Logged, what: str, minutes: int, note: str) -> Entry:
    book = reference.operations()
    stage = book[what].stage if what in book else what
    day = (logged.days.get(stage) or [logged.entries[-1].on])[-1]
    where = {"operation": what} if what in book else {"stage": what}
    return Entry(job.code, day, minutes, worker=ONE, rework=True, note=note, **where)


def put_aside(entries: Sequence[Entry]) -> list[Entry]:
    """The entries with those that are not to be learned from marked."""
    return [
        replace(entry, set_aside=SET_ASIDE[entry.project, entry.operation], minutes=entry.minutes + 130)
        if (entry.project, entry.operation) in SET_ASIDE
        else entry
        for entry in entries
    ]


def shop_days(until: date) -> list[Entry]:
    """The shop's own time, which belongs to no job: an evening every other month."""
    notes = (
        "knives changed, tables waxed",
        "rack sorted, offcuts burnt",
        "dust collector emptied",
        "blades taken away",
    )
    days = [date(2023, 11, 7) + timedelta(days=61 * turn) for turn in range(19)]
    return [
        Entry("", day, QUARTER * (3 + turn % 5), stage="shop", worker=(ONE, TWO)[turn % 2], note=notes[turn % 4])
        for turn, day in enumerate(days)
        if day <= until
    ]
