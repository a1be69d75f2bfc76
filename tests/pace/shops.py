"""Made-up shops: a small book, and logs drawn from the model itself."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from journal.pace.evidence import LogLine
from journal.pace.model import BookPace

TODAY = date(2026, 6, 30)
STAGES = ("milling", "glue_up", "finishing")


def make_book(operations: int = 9) -> dict[str, BookPace]:
    """A book whose operations take turns over three stages."""
    return {
        f"op_{i}": BookPace(f"op_{i}", STAGES[i % 3], 4.0 + i % 5, 0.4 + 0.3 * (i % 4), unit="ft")
        for i in range(operations)
    }


@dataclass(frozen=True)
class Shop:
    """One shop's true effects, drawn from its priors."""

    book: dict[str, BookPace]
    level: float
    steps: np.ndarray
    stage: dict[str, float]
    operation: dict[str, float]
    project_sd: float
    entry_sd: float

    def log_minutes(self, code: str, half: int) -> float:
        """ln(minutes / book minutes) without a project's luck."""
        entry = self.book[code]
        return self.level + self.steps[:half].sum() + self.stage[entry.stage] + self.operation[code]


def draw_shop(rng: np.random.Generator, book: dict[str, BookPace], halves: int = 12) -> Shop:
    """Effects as the default priors describe them, and a little wilder in the tails."""
    size = {name: abs(rng.normal(0, scale)) for name, scale in (("d", 0.08), ("g", 0.25), ("a", 0.3), ("p", 0.2))}
    return Shop(
        book,
        rng.normal(0, 0.5),
        rng.normal(0, size["d"], halves),
        {stage: rng.normal(0, size["g"]) for stage in STAGES},
        {code: rng.normal(0, size["a"]) for code in book},
        size["p"],
        0.02 + abs(rng.normal(0, 0.35)),
    )


def work_project(
    shop: Shop, rng: np.random.Generator, name: str, half: int, *, staged: float = 0.6
) -> tuple[list[LogLine], float, dict[str, float]]:
    """One project's log lines, its total minutes, and its baseline minutes by operation."""
    day = date(2020 + half // 2, 1 + 6 * (half % 2), 15) + timedelta(days=int(rng.integers(0, 100)))
    luck = rng.normal(0, shop.project_sd)
    by_stage = {stage: rng.random() < staged for stage in STAGES}
    lines, held, baselines, total = [], dict.fromkeys(STAGES, 0.0), {}, 0.0
    for code, entry in shop.book.items():
        quantity = float(rng.uniform(20, 160))
        baseline = entry.baseline_minutes(1, quantity)
        noise = rng.standard_t(5) / np.sqrt(5 / 3) * shop.entry_sd * np.sqrt(1 + 20 / baseline)
        minutes = float(baseline * np.exp(shop.log_minutes(code, half) + luck + noise))
        within = by_stage[entry.stage]
        held[entry.stage] += minutes if within else 0.0
        lines.append(LogLine(name, day, code, quantity, 1, None if within else minutes))
        baselines[code] = baseline
        total += minutes
    lines += [LogLine(name, day, stage, None, 1, minutes) for stage, minutes in held.items() if minutes]
    return lines, total, baselines
