"""The truth behind the demo shop: what its logs are drawn from. All of it is made up.

A job's minutes at one operation are the starting book's minutes for the quantity as built, times

    exp(LEVEL + DRIFT_A_YEAR × years + STAGES[stage] + operation + project + scatter)

The scatter is heavy-tailed (Student's t with five degrees of freedom) and larger for small tasks.
"""

from collections.abc import Sequence
from datetime import date

import numpy as np
from journal import reference

SEED = 9
OPENED = date(2023, 10, 1)

LEVEL = 0.12  # this shop against the book when it began: it works with care
DRIFT_A_YEAR = -0.02  # it gets faster, slowly
STAGES = {
    "stock": 0.00,
    "milling": -0.30,
    "glue_up": -0.20,
    "flattening": 0.05,
    "joinery": 0.22,
    "boring": -0.05,
    "fittings": 0.00,
    "assembly": -0.05,
    "finishing": 0.52,
    "shop": -0.10,
    "delivery": 0.10,
}
OPERATION_SD = 0.12  # operations apart from their stage
OPERATIONS = {"fit_vise": -0.20, "sand": 0.08, "plane_thickness": -0.10, "flatten_final": 0.15}  # known ones
PROJECT_SD = 0.15  # good months and bad ones
ENTRY_SD = 0.22  # the rest, for a long task
SMALL_TASK_MINUTES = 20.0

AWKWARD_CLIENT = "25-002"  # changed the drawing three times
AWKWARD_BY = 0.40

# What the shop thought a job would take, against what it did on average: too hopeful at first.
GUESS_FIRST, GUESS_LAST, GUESS_SD = 0.80, 0.97, 0.08
# The day it promised: so long after it could begin, and so much longer for each hour it thought the job would take.
PROMISE_DAYS, PROMISE_DAYS_AN_HOUR = 63, 0.4
# Clients pay so many days after they agree, and after delivery, at most; the newest job's balance is still to come.
DEPOSIT_WITHIN, BALANCE_WITHIN = 8, 22
UNPAID = "26-003"

# Prices at the end of 2023: lumber a foot of length at 8 to 12 ft, the rest a board foot, sheet, container or piece.
LUMBER_CENTS_A_FOOT = {
    "2x6 fir": 84,
    "2x8 fir": 112,
    "2x10 fir": 150,
    "2x6 southern pine": 76,
    "2x8 southern pine": 102,
    "2x10 southern pine": 137,
}
LENGTHS_FT = (8, 10, 12, 14, 16)
LONG_PREMIUM = {14: 1.05, 16: 1.05}
OTHER_CENTS = {
    "4/4 hard maple": (660, "board_foot"),
    "8/4 hard maple": (850, "board_foot"),
    "4/4 ash": (500, "board_foot"),
    "8/4 ash": (660, "board_foot"),
    "3/4 plywood": (5100, "sheet"),
    "18 mm birch plywood": (10900, "sheet"),
}
SUPPLY_CENTS = {
    "interior PVA, gallon": (2490, "container"),
    "slow-set PVA, gallon": (3990, "container"),
    "hard oil, quart": (3950, "container"),
    "oil and varnish blend, quart": (2990, "container"),
    "bolt with barrel nut": (410, "each"),
    "vise": (17900, "each"),
    "drawer runners and pull": (3900, "each"),
    "locking wheel, bracket or foot": (1250, "each"),
}
# One figure a quarter from the third of 2023 on: dear in 2025, partly back in 2026.
LUMBER_INDEX = (1.02, 1.00, 0.97, 1.00, 1.05, 1.09, 1.16, 1.22, 1.24, 1.18, 1.12, 1.08, 1.06, 1.05)
HARDWOOD_INDEX = (0.99, 1.00, 1.00, 1.02, 1.03, 1.05, 1.08, 1.10, 1.12, 1.12, 1.10, 1.09, 1.08, 1.08)
SHEET_INDEX = (1.05, 1.00, 0.98, 0.97, 1.02, 1.06, 1.12, 1.17, 1.15, 1.10, 1.08, 1.06, 1.06, 1.07)
SUPPLY_RISE_A_YEAR = 0.035

TAX = 0.0625
REJECTS = {"dimensional": 0.09, "rough": 0.10, "sheet": 0.02}  # bought and found bad
RECEIPT_SD = 0.015  # a receipt against the price list
GLUE_FACTOR, GLUE_SD = 1.08, 0.18  # used against the table
FINISH_FACTOR, FINISH_SD = 1.15, 0.20


def dice(*what: object) -> np.random.Generator:
    """A generator of its own for each thing drawn, so that a change of one leaves the others as they were."""
    names = [_thrown_as(str(word)) for word in what]
    return np.random.default_rng([SEED, *(sum(ord(c) * 131**i for i, c in enumerate(name)) % 2**63 for name in names)])


def _thrown_as(name: str) -> str:
    """Job 23-001 was once written 2023-01; its dice are still thrown under that, so that they fall as they fell."""
    year, _, number = name.partition("-")
    return f"20{year}-{number[1:]}" if len(year) == 2 and len(number) == 3 and (year + number).isdigit() else name


def operation_effects() -> dict[str, float]:
    """How each operation lies apart from its stage."""
    return {
        code: OPERATIONS.get(code, OPERATION_SD * float(dice("operation", code).standard_normal()))
        for code in reference.operations()
    }


def ratio_on(code: str, day: date) -> float:
    """The shop's own pace of an operation on a day, times the book."""
    years = (day - OPENED).days / 365.25
    stage = reference.operations()[code].stage
    return float(np.exp(LEVEL + DRIFT_A_YEAR * years + STAGES[stage] + operation_effects()[code]))


def project_effects(codes: Sequence[str]) -> dict[str, float]:
    """How each whole job went, good and bad even: the level is the shop's, not the months'."""
    drawn = [
        AWKWARD_BY if code == AWKWARD_CLIENT else PROJECT_SD * float(dice("project", code).standard_normal())
        for code in codes
    ]
    middle = sum(drawn) / len(drawn)
    return {code: effect - middle for code, effect in zip(codes, drawn, strict=True)}


def scatter(project: str, code: str, baseline_minutes: float) -> float:
    """How one operation of one job went."""
    spread = ENTRY_SD * np.sqrt(1 + SMALL_TASK_MINUTES / baseline_minutes)
    return float(spread * dice("entry", project, code).standard_t(5) / np.sqrt(5 / 3))
