"""What the journal has taught beside the paces: how far glue, finish, boards, prices and hours stray from what is set.

One engine for all of them (`journal.pace.ratios`); here they are read from the journal, told to a page, and given to an
estimate in place of starting assumptions.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

import numpy as np

from journal.build.stock import Dimensional, Rough
from journal.desk import paces
from journal.desk.ratio_records import REJECT_SETTINGS, coat_word, observe, rework_share, weeks_at_the_bench
from journal.desk.remembered import Remembered
from journal.pace.explain import signed
from journal.pace.ratios import Factor, Kind, Learned, learn
from journal.quote.footing import START, Footing, Ground
from journal.working import Basis, counted

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from sqlalchemy.orm import Session

    from journal.build.steps import Task
    from journal.desk.paces import Taught
    from journal.desk.shop import ShopView
    from journal.pace.ratios import ItemBelief, Seen
    from journal.quote.risk import Uncertainty
    from journal.quote.takeoff import ShopRules, Takeoff

_MOST_SHARE = 0.9  # a share of rejects is kept below 1, whatever a short log may say

# Name, and what is compared with what, as a page says it.
WORDS: Mapping[Kind, tuple[str, str]] = {
    Kind.GLUE: ("Glue", "glue poured, over the table’s spread and the shop’s waste"),
    Kind.FINISH: ("Finish", "finish used, over the table’s coverage and the shop’s waste"),
    Kind.YIELD: ("Lumber", "board feet bought and not put back, over those in the blanks"),
    Kind.REJECTS: ("Rejects", "boards looked over, over those that were good and the share set for bad ones"),
    Kind.PRICE: ("Prices", "paid, over the price book of the day the project was agreed"),
    Kind.REWORK: ("Work done again", "all hours, over those with the usual allowance for doing things again"),
    Kind.UNPLANNED: ("Work nobody planned", "hours, over those planned and the share set for the unplanned"),
    Kind.BENCH_HOURS: ("Hours at the bench", "hours logged in a week, over the shop’s bench hours a week"),
    Kind.WEEKS: ("Weeks to delivery", "weeks from agreed to delivered, over those the agreed hours come to"),
}


@dataclass(frozen=True, slots=True)
class RatioLine:
    """One ratio as a page shows it.

    Attributes:
        kind: which.
        name, about: what it is, and what is compared with what.
        factor: what to expect of the next project; None when nothing was seen.
        said: in a sentence.
        items: apart, where there is more than one.
        unused: how many records could not be used.
        problems: why, a sentence each.
    """

    kind: Kind
    name: str
    about: str
    factor: Factor | None
    said: str
    items: tuple[ItemBelief, ...]
    unused: int
    problems: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Ratios:
    """All of them, as of a day."""

    learned: Mapping[Kind, Learned]

    def factor(self, kind: Kind, expected: Mapping[tuple[str, str], float] | None = None) -> Factor | None:
        """What to expect of a project; None when nothing of the kind was seen."""
        found = self.learned.get(kind)
        return _factor(found, None if expected is None else tuple(expected.items())) if found else None

    def same_as(self, other: Ratios) -> bool:
        """Whether they are of the same records: what was learnt is one object as long as those are the same."""
        mine, others = self.learned, other.learned
        return mine.keys() == others.keys() and all(mine[kind] is others[kind] for kind in mine)


@lru_cache(maxsize=512)
def _factor(found: Learned, expected: tuple[tuple[tuple[str, str], float], ...] | None) -> Factor | None:
    """Thousands of draws, the same for the same question: an estimate asks most of its questions twice."""
    return found.factor(None if expected is None else dict(expected))


def known_by(ratios: Ratios, day: date, kinds: Sequence[Kind]) -> Ratios:
    """Some of the ratios as they were on an earlier day; one of which nothing is newer stays as it is."""
    return Ratios(MappingProxyType({kind: _known(found, day) for kind in kinds if (found := ratios.learned.get(kind))}))


def _known(found: Learned, day: date) -> Learned:
    rows = [row for row in found.rows if row.on <= day]
    if len(rows) == len(found.rows):
        return found
    seen = tuple(found.as_seen(row) for row in rows)
    return _learn(found.kind, seen, max((row.on for row in rows), default=day))


NOTHING = Ratios(MappingProxyType({}))


def read_ratios(session: Session, shop: ShopView, today: date, *, taught: Taught | None = None) -> Ratios:
    """Everything the journal teaches beside the paces; the same records are read and worked out once.

    `taught` spares learning the paces when that was done already.
    """
    known = taught or paces.learn(session, today)
    rests_on = (today, shop, known.evidence.rows, known.calibration.book)
    return _read.of_journal(session, rests_on, lambda: _observed(session, shop, today, known))


_read: Remembered[Ratios] = Remembered()


def _observed(session: Session, shop: ShopView, today: date, taught: Taught | None) -> Ratios:
    seen = observe(session, shop, today, taught)
    return Ratios(MappingProxyType({kind: _learn(kind, found, today) for kind, found in seen.items()}))


@lru_cache(maxsize=24)
def _learn(kind: Kind, seen: tuple[Seen, ...], today: date) -> Learned:
    return learn(kind, seen, today=today)


def bench_hours(session: Session, shop: ShopView, today: date) -> Factor | None:
    """What to expect of a week's hours at the bench, against those the shop says; None while no week is logged."""
    return _factor(_learn(Kind.BENCH_HOURS, weeks_at_the_bench(session, shop, today), today), None)


def lines(ratios: Ratios) -> tuple[RatioLine, ...]:
    """The ratios as a page shows them, in the order of `WORDS`."""
    return tuple(_line(found) for kind in WORDS if (found := ratios.learned.get(kind)))


@lru_cache(maxsize=32)
def _line(found: Learned) -> RatioLine:
    name, about = WORDS[found.kind]
    factor = _factor(found, None)
    said = "Nothing logged yet; the settings stand." if factor is None else _say(found.kind, factor)
    items = found.items if len(found.items) > 1 else ()
    problems = tuple(problem.message for problem in found.problems)
    return RatioLine(found.kind, name, about, factor, said, items, len(problems), problems)


def _say(kind: Kind, factor: Factor) -> str:
    found = factor.range
    if kind is Kind.YIELD:
        shown = f"{found.p50:.2f} bought for each used, eight times in ten between {found.p10:.2f} and {found.p90:.2f}"
    else:
        middle, low, high = (signed(value - 1) for value in (found.p50, found.p10, found.p90))
        shown = f"{middle} against what is set, eight times in ten between {low} and {high}"
    return f"{shown}; {_rests_on(factor)}."


def _rests_on(factor: Factor) -> str:
    shown = f"{counted(factor.seen, 'log')} of {counted(factor.projects, 'project')}"
    return f"{shown}, newest {factor.newest:%Y-%m-%d}"


def adjusted_rules(rules: ShopRules, ratios: Ratios, adhesive: str, finish: str) -> ShopRules:
    """The shop's rules with glue, finish and rejects as its own record has them; settings stand where it has none."""
    glue = ratios.factor(Kind.GLUE, {(adhesive, adhesive): 500.0})
    if glue:
        rules = replace(rules, glue=replace(rules.glue, spread_ml_m2=rules.glue.spread_ml_m2 * glue.mean))
    first, later = (ratios.factor(Kind.FINISH, {(finish, coat_word(coat)): 500.0}) for coat in (1, 2))
    if first and later:
        covers = replace(
            rules.finish,
            coverage_first_ft2_gal=rules.finish.coverage_first_ft2_gal / first.mean,
            coverage_later_ft2_gal=rules.finish.coverage_later_ft2_gal / later.mean,
        )
        rules = replace(rules, finish=covers)
    return replace(rules, **_rejects(rules, ratios))


_RULE_OF = {"reject_softwood": "reject_dimensional", "reject_sheet": "reject_sheet"}


def _rejects(rules: ShopRules, ratios: Ratios) -> dict[str, float]:
    changed: dict[str, float] = {}
    for form, setting in REJECT_SETTINGS.items():
        factor = ratios.factor(Kind.REJECTS, {(form.value, form.value): 20.0})
        if factor and ratios.learned[Kind.REJECTS].has(form.value):
            changed[_RULE_OF[setting]] = _share(getattr(rules, _RULE_OF[setting]), factor)
    waste = ratios.factor(Kind.YIELD, _rough(50.0, ratios))
    if waste:
        changed["reject_rough"] = min(max(1 - 1 / waste.mean, 0.0), _MOST_SHARE)
    return changed


def _rough(board_feet: float, ratios: Ratios) -> dict[tuple[str, str], float]:
    """Equal amounts of every hardwood that was seen."""
    found = ratios.learned.get(Kind.YIELD)
    seen = [one for one in found.items if one.group == "rough"] if found else []
    return {(one.group, one.item): board_feet / len(seen) for one in seen}


def _share(setting: float, factor: Factor) -> float:
    """A share of waste whose 1 ÷ (1 − share) comes out so many times that of the setting."""
    return min(max(1 - (1 - setting) / factor.mean, 0.0), _MOST_SHARE)


def adjusted_tasks(tasks: tuple[Task, ...], ratios: Ratios) -> tuple[Task, ...]:
    """The work with the hours done again at the shop's own rate."""
    factor = ratios.factor(Kind.REWORK)
    if factor is None:
        return tasks
    share = max((1 + rework_share()) * factor.mean - 1, 0.0)
    times = share / rework_share()
    return tuple(
        replace(
            task,
            quantity=task.quantity * times,
            working=f"{task.working}, × {times:.2f}: {share:.1%} of other hours, {_rests_on(factor)}",
        )
        if task.code == "rework" and share > 0
        else task
        for task in tasks
    )


def adjusted_uncertainty(
    base: Uncertainty, ratios: Ratios, takeoff: Takeoff, adhesive: str, finish: str
) -> Uncertainty:
    """How far things may be off, as far as the shop's own record tells."""
    changed: dict[str, Any] = {}
    glue = ratios.factor(Kind.GLUE, {(adhesive, adhesive): max(takeoff.glue.ml, 1.0)})
    half = max(takeoff.finish_ml / 2, 1.0)
    used = ratios.factor(Kind.FINISH, {(finish, coat_word(1)): half, (finish, coat_word(2)): half})
    price = ratios.factor(Kind.PRICE, _bought(takeoff))
    boards = _yield_sd(ratios, takeoff)
    for name, factor in (("glue", glue), ("finish", used)):
        if factor:
            changed[name] = factor.sd
    if price:  # the price book stays what a line shows: a lean of it widens the range
        changed["price"] = math.hypot(price.sd, math.log(price.mean))
    if boards is not None:
        changed["yield_"] = boards
    changed |= _unplanned(base, ratios)
    return replace(base, **changed, footing=footing(ratios, adhesive, finish))


def _unplanned(base: Uncertainty, ratios: Ratios) -> dict[str, float]:
    factor = ratios.factor(Kind.UNPLANNED)
    if factor is None:
        return {}
    whole = (1 + base.unplanned_mean) * factor.mean
    return {"unplanned_mean": max(whole - 1, 0.0), "unplanned_sd": whole * factor.sd}


def _bought(takeoff: Takeoff) -> dict[tuple[str, str], float]:
    found: dict[tuple[str, str], float] = {}
    for bill in takeoff.bills:
        if bill.cents:
            group = bill.stock.species if isinstance(bill.stock, (Dimensional, Rough)) else "sheet"
            found[group, bill.stock.code] = found.get((group, bill.stock.code), 0.0) + bill.cents
    return found


def _yield_sd(ratios: Ratios, takeoff: Takeoff) -> float | None:
    """Of the boards needed against the plan: rejects for what has a cutting plan, all waste for random widths."""
    sds, cents = [], []
    for bill in takeoff.bills:
        if isinstance(bill.stock, Rough):
            factor = ratios.factor(Kind.YIELD, {("rough", bill.stock.species): max(bill.board_feet, 1.0)})
        else:
            form = "dimensional" if isinstance(bill.stock, Dimensional) else "sheet"
            factor = ratios.factor(Kind.REJECTS, {(form, form): max(float(bill.sawing.boards), 1.0)})
        if factor is None:
            return None
        sds.append(factor.sd)
        cents.append(float(bill.cents))
    return float(np.average(sds, weights=cents)) if sum(cents) else None


def footing(ratios: Ratios, adhesive: str, finish: str) -> Footing:
    """What an estimate's allowances rest on, in words."""
    glue = ratios.factor(Kind.GLUE, {(adhesive, adhesive): 500.0})
    used = ratios.factor(Kind.FINISH, {(finish, coat_word(1)): 500.0, (finish, coat_word(2)): 500.0})
    rejects, beside = ratios.factor(Kind.REJECTS), ratios.factor(Kind.UNPLANNED)
    from_logs = [
        word
        for kind, word in (
            (Kind.PRICE, "prices"),
            (Kind.REJECTS, "boards needed"),
            (Kind.GLUE, "glue"),
            (Kind.FINISH, "finish"),
            (Kind.UNPLANNED, "work nobody planned"),
        )
        if kind in ratios.learned and ratios.learned[kind].rows
    ]
    return Footing(
        glue=_ground(glue, "glue used", START.glue),
        finish=_ground(used, "finish used", START.finish),
        rejects=_ground(rejects, "boards looked over", START.rejects),
        unplanned=_ground(beside, "hours", START.unplanned),
        doubt=f"spread of {', '.join(from_logs)} from this shop’s logs" if from_logs else "",
    )


def _ground(factor: Factor | None, what: str, otherwise: Ground) -> Ground:
    if factor is None:
        return otherwise
    return Ground(Basis.LOGS, f"{what}: {factor.mean:.2f} × what is set, {_rests_on(factor)}")
