"""How much finish a project has used, beside what its plan expects: in all, and for the coats that are on."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from journal import reference, units
from journal.build.finishing import finish_ml
from journal.desk.ratios import adjusted_rules
from journal.working import Basis, Line

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from journal.desk.estimate import ProjectEstimate
    from journal.records.queries.floor import CoatRow

_NM2_PER_MM2 = units.NM_PER_MM**2
_WHOLE = 0.995  # a coat on so much of the area is on all of it


@dataclass(frozen=True, slots=True)
class FinishUse:
    """The planned finish of a project, in ml.

    Attributes:
        name: of the finish.
        expected: for all coats, as the estimate has it.
        used: so far; so_far: what the plan expects for the coats that are on.
        left: what the plan leaves for the rest, 0 where more is used than it has in all.
        others: what was used of other finishes, by name.
    """

    name: str
    expected: Line
    used: Line
    so_far: Line
    left: Line
    others: Mapping[str, float]

    @property
    def over_ml(self) -> float:
        """How much more is used than the plan has in all; 0 within it."""
        return max(0.0, self.used.value - self.expected.value)

    @property
    def beyond(self) -> float | None:
        """Used over what the plan expects for the coats that are on, less 1; None where it expects nothing for them."""
        return self.used.value / self.so_far.value - 1 if self.so_far.value else None


def finish_use(found: ProjectEstimate, coats: Sequence[CoatRow]) -> FinishUse | None:
    """What was used beside what the plan expects; None where the plan has no finish.

    Args:
        found: today's estimate of the project.
        coats: those that count.
    """
    taken = found.made.takeoff
    if not taken.finish_ml or not taken.surface.area_nm2:
        return None
    shop, work = found.shop, found.work
    finish = work.finish or shop.row.default_finish
    mine = [row for row in sorted(coats, key=lambda row: (row.coat, row.id)) if row.finish == finish]
    others: dict[str, float] = {}
    for row in coats:
        if row.finish != finish:
            name = reference.finishes()[row.finish].name
            others[name] = others.get(name, 0.0) + row.amount_ml
    expected = replace(
        next(line for line in found.made.quantities if line.name == "Finish"),
        name="The plan expects",
        value=taken.finish_ml,
    )
    used_ml = sum(row.amount_ml for row in mine)
    return FinishUse(
        name=shop.finish(work).name,
        expected=expected,
        used=_used(mine, used_ml, shop.shown),
        so_far=_so_far(found, finish, mine),
        left=_left(taken.finish_ml, used_ml, shop.shown),
        others=others,
    )


def _used(rows: Sequence[CoatRow], used_ml: float, shown: units.Shown) -> Line:
    parts = tuple(Line(f"Coat {row.coat}", row.amount_ml, "ml", "as noted", Basis.LOGS) for row in rows)
    working = " + ".join(shown.liquid(row.amount_ml) for row in rows) or "no coat of it yet"
    return Line("Used so far", used_ml, "ml", working, Basis.LOGS, parts=parts)


def _so_far(found: ProjectEstimate, finish: str, rows: Sequence[CoatRow]) -> Line:
    """What the plan expects for the coats that are on, each by the share of the area it went on."""
    shop, work, taken, shown = found.shop, found.work, found.made.takeoff, found.shop.shown
    adhesive = work.adhesive or shop.row.default_adhesive
    rules = adjusted_rules(shop.rules(work), found.inputs.ratios, adhesive, finish).finish
    first = finish_ml(taken.surface, replace(rules, coats=1))
    later = finish_ml(taken.surface, replace(rules, coats=2)) - first
    parts = []
    for row in rows:
        share = row.area_mm2 * _NM2_PER_MM2 / taken.surface.area_nm2
        each = 0.0 if row.coat > rules.coats else first if row.coat == 1 else later
        working = f"{'all' if share >= _WHOLE else f'{share:.0%}'} of the area × {shown.liquid(each)} a coat"
        if not each:
            working = f"a coat beyond the {rules.coats} of the plan"
        parts.append(Line(f"Coat {row.coat}", each * share, "ml", working, Basis.WORKED))
    working = " + ".join(shown.liquid(part.value) for part in parts) or "no coat of it yet"
    total = sum(part.value for part in parts)
    return Line("The plan expects for these", total, "ml", working, Basis.WORKED, parts=tuple(parts))


def _left(expected_ml: float, used_ml: float, shown: units.Shown) -> Line:
    working = f"{shown.liquid(expected_ml)} − {shown.liquid(used_ml)}"
    if used_ml > expected_ml:
        working += ": more than the plan has is used already"
    return Line("Left of it", max(0.0, expected_ml - used_ml), "ml", working, Basis.WORKED)
