"""The demo shop's evenings and Saturdays: when a job was worked on, and what was written down."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from math import exp

from demo_benches import JOBS, Job
from demo_truth import dice, project_effects, ratio_on, scatter
from journal import reference
from journal.build.steps import Task

SATURDAY = 5
ONE, TWO = "bench one", "bench two"
# Who is there on which weekday, and minutes on average.
HABIT = {1: ((ONE, 150),), 2: ((TWO, 140),), 3: ((ONE, 150),), SATURDAY: ((ONE, 330), (TWO, 270))}
STAYS_AWAY = 0.15
SHORTEST = 40  # minutes left of an evening that are still worth coming for
ROUND_MINUTES, QUARTER = 5, 15
COAT_DRIES_DAYS = 4

Taken = dict[tuple[date, str], float]  # minutes already spent on another job

# The order of work, with the days waited before it; what is named more often is spread over those places.
ORDER = [
    "drawings",
    "fetch_stock:8",
    "sort_mark",
    "sticker",
    "crosscut_rough:14",
    "rip_rough",
    "joint_face",
    "joint_edge",
    "plane_thickness",
    "resaw",
    "clean_up",
    "rip_final",
    "mill_again:4",
    "dry_clamp:1",
    "rehearse_align",
    "spread_glue",
    "close_clamps",
    "unclamp_clean:1",
    "plane_by_hand",
    "flatten_by_machine",
    "flatten_panel",
    "clean_up",
    "crosscut_final",
    "jig",
    "sharpen",
    "mark_joint",
    "cut_tenon",
    "cut_mortise",
    "cut_lap",
    "cut_dovetail",
    "fit_laminated_joint",
    "bore_large",
    "counterbore_pilot",
    "rout_groove",
    "rout_profile",
    "clean_up",
    "cut_panel",
    "notch",
    "dry_fit",
    "assemble:1",
    "drive_screw",
    "drive_bolt",
    "plug",
    "fit_panel",
    "fit_vise",
    "fit_drawer",
    "fit_hardware",
    "turn_over",
    "level_feet",
    "trim_slab",
    "sharpen",
    "flatten_final",
    "ease_edges",
    "clean_up",
    "sand",
]
STAGE_ORDER = [
    "shop",
    "stock:8",
    "milling:14",
    "glue_up:4",
    "flattening:1",
    "shop",
    "joinery",
    "boring",
    "fittings",
    "assembly:1",
    "shop",
]
TOGETHER = {
    "close_clamps",
    "assemble",
    "turn_over",
    "trim_slab",
    "deliver",
    "install",
    "glue_up",
    "assembly",
    "delivery",
}
ALMOST = 12  # minutes: nobody begins anything in the last ones, and what is nearly done is finished


# Written down when they happen, not in the order of work.
_LATER = ("apply_coat", "scuff", "wipe_off", "wrap", "deliver", "install", "call_back", "rework")


@dataclass(frozen=True)
class Entry:
    """One line of the log, minutes for each of the people."""

    project: str
    on: date
    minutes: int
    operation: str = ""
    stage: str = ""
    worker: str = ""
    people: int = 1
    rework: bool = False
    set_aside: str = ""
    note: str = ""


@dataclass
class Logged:
    """A job's log, the days of its stages and its coats, and when it was handed over."""

    entries: list[Entry] = field(default_factory=list)
    days: dict[str, list[date]] = field(default_factory=dict)
    coats: list[date] = field(default_factory=list)
    delivered: date | None = None


@dataclass(frozen=True)
class _Piece:
    """Some work waiting to be done: minutes of person-time, the days waited before it."""

    what: str
    stage: str
    minutes: float
    wait: int = 0
    coat: int = 0


class _Evenings:
    """Evenings and Saturdays from a day on, with the minutes left in the present one."""

    def __init__(self, job: Job, begins: date, taken: Taken) -> None:
        self._dice = dice("evenings", job.code)
        self._taken = taken
        self._sessions = self._all(begins)
        self.day, self.worker, self.left = next(self._sessions)

    def _all(self, begins: date) -> Iterator[tuple[date, str, float]]:
        day = begins
        while True:
            for worker, minutes in HABIT.get(day.weekday(), ()):
                comes = self._dice.random() >= STAYS_AWAY
                length = minutes * float(self._dice.uniform(0.75, 1.2)) - self._taken.get((day, worker), 0.0)
                if comes and length > SHORTEST and not _holiday(day):
                    yield day, worker, length
            day += timedelta(days=1)

    def spend(self, minutes: float, people: int) -> None:
        self.left -= minutes
        for worker in (self.worker,) if people == 1 else (ONE, TWO):
            self._taken[self.day, worker] = self._taken.get((self.day, worker), 0.0) + minutes

    def go_on(self) -> None:
        self.day, self.worker, self.left = next(self._sessions)

    def wait_until(self, day: date) -> None:
        while self.day < day:
            self.go_on()


def _holiday(day: date) -> bool:
    return (day.month, day.day) >= (12, 23) or (day.month, day.day) <= (1, 2) or (day.month == 7 and day.day <= 6)


def true_minutes(job: Job, tasks: Mapping[str, Task]) -> dict[str, float]:
    """What each operation of a job really took, quantities as built."""
    luck = project_effects([one.code for one in JOBS if one.starts])[job.code]
    starts = job.starts or job.enquired
    found = {}
    for code, task in tasks.items():
        log_ratio = luck + scatter(job.code, code, task.baseline_minutes)
        found[code] = task.baseline_minutes * ratio_on(code, starts) * exp(log_ratio)
    return found


def as_built(job: Job, tasks: Sequence[Task]) -> dict[str, Task]:
    """The plan's tasks with what was built otherwise."""
    built = {task.code: task for task in tasks}
    for code, (times, _) in job.changed.items():
        task = built[code]
        built[code] = replace(task, quantity=float(round(task.quantity * times)))
    return built


def log_job(job: Job, tasks: Mapping[str, Task], until: date, taken: Taken) -> Logged:
    """A job's log up to a day; a job in build simply stops there. What it takes of the evenings is added to `taken`."""
    minutes = true_minutes(job, tasks)
    pieces = [*_work(job, minutes), *_finishing(job, minutes)]
    logged = Logged()
    evenings = _Evenings(job, (job.starts or job.enquired) - timedelta(days=8), taken)
    for piece in pieces:
        if not _do(job, piece, evenings, logged, until):
            return logged
    _hand_over(job, minutes, evenings, logged)
    logged.entries.sort(key=lambda entry: entry.on)
    return logged


def _singly(job: Job, code: str) -> bool:
    stage = reference.operations()[code].stage
    return job.logged == "operation" or code in job.singly or stage in job.singly


def _work(job: Job, minutes: Mapping[str, float]) -> list[_Piece]:
    """Everything before the coats, in the order of work. Small mends are rework of something in a log by operation."""
    book = reference.operations()
    own = {code: value for code, value in minutes.items() if _singly(job, code) and code not in _LATER}
    if job.logged == "operation":
        return _pieces(own, ORDER)
    staged: dict[str, float] = {}
    for code, value in minutes.items():
        stage = book[code].stage
        if code not in own and stage not in ("finishing", "delivery"):
            staged[stage] = staged.get(stage, 0.0) + value
    order = []
    for word in STAGE_ORDER:
        order.append(word)
        stage, _, _ = word.partition(":")
        order += [
            name for name in ORDER if name.partition(":")[0] in own and book[name.partition(":")[0]].stage == stage
        ]
    order += [name for name in ORDER if name == "sand" and name in own]
    return _pieces({**staged, **own}, order)


def _pieces(minutes: Mapping[str, float], order: Sequence[str]) -> list[_Piece]:
    names = [word.partition(":")[0] for word in order]
    stages = {code: operation.stage for code, operation in reference.operations().items()}
    return [
        _Piece(name, stages.get(name, name), minutes[name] / names.count(name), int(word.partition(":")[2] or 0))
        for name, word in zip(names, order, strict=True)
        if name in minutes
    ]


def _finishing(job: Job, minutes: Mapping[str, float]) -> list[_Piece]:
    """Coat by coat, a day apart; or the stage in as many lots as there are coats."""
    inside = {code: value for code, value in minutes.items() if reference.operations()[code].stage == "finishing"}
    if not _singly(job, "apply_coat"):
        whole = sum(inside.values())
        return [_Piece("finishing", "finishing", whole / job.coats, 1, coat) for coat in range(1, job.coats + 1)]
    pieces = []
    for coat in range(1, job.coats + 1):
        if coat > 1 and "scuff" in inside:
            pieces.append(_Piece("scuff", "finishing", inside["scuff"] / (job.coats - 1), 1))
        pieces.append(_Piece("apply_coat", "finishing", inside["apply_coat"] / job.coats, int(coat == 1), coat))
        if "wipe_off" in inside:
            pieces.append(_Piece("wipe_off", "finishing", inside["wipe_off"] / job.coats))
    return pieces


def _do(job: Job, piece: _Piece, evenings: _Evenings, logged: Logged, until: date) -> bool:
    """Work one piece off over as many evenings as it takes; False when the log ends before it does."""
    newest = logged.entries[-1].on if logged.entries else evenings.day
    evenings.wait_until(newest + timedelta(days=piece.wait))
    left = piece.minutes
    at_once = piece.what == "wipe_off"  # or it never comes off
    while left > 0:
        if evenings.left < ALMOST and not at_once:
            evenings.go_on()
        if evenings.day > until:
            return False
        people = 2 if piece.what in TOGETHER and evenings.day.weekday() == SATURDAY else 1
        now = min(left, evenings.left * people)
        now = left if left - now < ALMOST or at_once else now
        _write(job, piece, now, people, evenings, logged)
        evenings.spend(now / people, people)
        left -= now
    if piece.coat:
        logged.coats.append(evenings.day)
    return True


def _write(job: Job, piece: _Piece, minutes: float, people: int, evenings: _Evenings, logged: Logged) -> None:
    stage = piece.what if piece.what == piece.stage else ""
    worker = "" if people > 1 else evenings.worker
    shown = _rounded(minutes / people, stage=bool(stage))
    operation = "" if stage else piece.what
    logged.entries.append(Entry(job.code, evenings.day, shown, operation, stage, worker, people))
    days = logged.days.setdefault(piece.stage, [])
    if evenings.day not in days:
        days.append(evenings.day)


def _hand_over(job: Job, minutes: Mapping[str, float], evenings: _Evenings, logged: Logged) -> None:
    evenings.wait_until(evenings.day + timedelta(days=COAT_DRIES_DAYS))
    while evenings.day.weekday() != SATURDAY:
        evenings.go_on()
    day = logged.delivered = evenings.day
    if job.logged == "stage":
        whole = sum(minutes[code] for code in ("deliver", "wrap", "install", "call_back"))
        logged.entries.append(Entry(job.code, day, _rounded(whole / 2, stage=True), stage="delivery", people=2))
        return
    for code in ("wrap", "deliver", "install"):
        people = 1 if code == "wrap" else 2
        shown = _rounded(minutes[code] / people, stage=False)
        worker = TWO if people == 1 else ""
        logged.entries.append(Entry(job.code, day, shown, code, "", worker, people))
    back = day + timedelta(days=60 + int(dice("call back", job.code).integers(0, 60)))
    note = "went back to look it over"
    logged.entries.append(
        Entry(job.code, back, _rounded(minutes["call_back"], stage=False), "call_back", worker=ONE, note=note)
    )


def _rounded(minutes: float, *, stage: bool) -> int:
    """As people write it: stages in quarter hours, operations to five minutes, short ones to the minute."""
    step = QUARTER if stage else ROUND_MINUTES if minutes >= 4 * ROUND_MINUTES else 1
    return max(step, round(minutes / step) * step)
