"""The packet for the shop floor as a PDF: drawing, cut list, glue-ups and steps to tick off, cautions once each."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from journal import units
from journal.build.stock import Sheet
from journal.paper.glue_sheet import glued_parts
from journal.paper.press import press
from journal.paper.step_sheet import minutes_between, step_groups
from journal.working import counted

if TYPE_CHECKING:
    from datetime import date

    from journal.build.milling import Milled
    from journal.desk.plan import ProjectPlan
    from journal.paper.glue_sheet import GlueRow
    from journal.paper.step_sheet import StepGroup, StepLine

_SOURCE = Path(__file__).with_name("packet.typ")
ALWAYS = "Always: follow the machine’s manual and local codes, and a licensed trade where one is due."

# Black on white, and a family that the printing program brings along.
PRINTED = (
    ".bench-face{fill:#fff;stroke:#000;stroke-width:1}.bench-seam{fill:none;stroke:#777;stroke-width:.5}"
    ".bench-hole,.bench-bar{fill:#000}.bench-dimension{fill:none;stroke:#000;stroke-width:.7}"
    '.bench-text,.bench-title{font-family:"DejaVu Sans Mono";font-size:10.5px;fill:#000}'
)


@dataclass(frozen=True, slots=True)
class PacketPaper:
    """What is printed.

    Attributes:
        plan: how it is built.
        day: of printing.
        paper: "us-letter" or "a4".
        denominator: finest fraction of an inch written.
        mark: what stands before decimals.
        drawing: three views as SVG text with its own colours; '' where there is none.
        drawing_told: the same in words.
    """

    plan: ProjectPlan
    day: date
    paper: str
    denominator: int
    drawing: str = ""
    drawing_told: str = ""
    mark: units.Mark = units.Mark.POINT


def packet_pdf(printed: PacketPaper) -> bytes:
    """The PDF; the same values give the same bytes."""
    return press(_SOURCE, _Words(printed).plain(), printed.day)


class _Words:
    """The packet as plain text for the sheet, in the shop's units."""

    def __init__(self, printed: PacketPaper) -> None:
        self.printed = printed
        self.plan = printed.plan
        self.shown = printed.plan.found.shop.shown

    def _say(self, text: str) -> str:
        """A text of the rooms, its numbers as the shop writes them."""
        return units.marked(text, self.printed.mark)

    def plain(self) -> dict[str, Any]:
        """Everything the sheet prints."""
        project, plan = self.plan.found.project, self.plan
        day = self.printed.day
        return {
            "title": f"Shop packet: {project.title}",
            "project": project.code,
            "day": f"{day.day} {day:%B %Y}",
            "paper": self.printed.paper,
            "facts": self._facts(),
            "always": ALWAYS,
            "drawing": self.printed.drawing,
            "told": self.printed.drawing_told,
            "parts": [self._part(milled) for milled in plan.gluing.milled],
            "glue": [self._glued(row) for part in glued_parts(plan) for row in part.rows],
            "reasons": [self._say(f"{reason}.") for reason in plan.gluing.reasons],
            "blocks": [self._say(note) for step in plan.steps.steps if step.key == "jig" for note in step.notes[1:]],
            "groups": [self._group(group) for group in step_groups(plan.steps, self.shown)],
            "oily": bool(plan.steps.oily),
            "cautions": [
                {"title": use.caution.title, "text": use.caution.text, "source": use.caution.source}
                for use in plan.cautions
            ],
        }

    def _facts(self) -> str:
        made, benches = self.plan.found.made, self.plan.found.project.benches
        low, high = made.hours.at(0.1), made.hours.at(0.9)
        weight = self.shown.mass(made.takeoff.weight_kg)
        ups = counted(sum(up.times for up in self.plan.gluing.ups), "glue-up")
        return self._say(
            f"{counted(benches, 'bench', 'benches')}, {weight} in all; {low:,.0f} to {high:,.0f} hours, eight times in ten; {ups}, "
            f"{self.plan.found.shop.glue(self.plan.found.work).name}."
        )

    def _length(self, nm: int) -> str:
        return self._say(units.format_length(nm, self.shown.system, denominator=self.printed.denominator))

    def _size(self, *nm: int) -> str:
        return " × ".join(self._length(one) for one in nm)

    def _part(self, milled: Milled) -> dict[str, str]:
        part = milled.part
        sheet = isinstance(milled.stock, Sheet)
        thick = part.thickness_nm if sheet else milled.rough_thickness_nm
        strips = f"{counted(milled.strips, 'strip')} of {self._say(self.shown.thickness(milled.milled_thickness_nm))}"
        return {
            "part": part.label,
            "pieces": str(milled.pieces),
            "finished": self._size(part.thickness_nm, part.width_nm, part.length_nm),
            "blanks": str(milled.blanks),
            "rough": f"{self._say(self.shown.thickness(thick))} × {self._size(milled.blank_width_nm, milled.blank_length_nm)}",
            "from": milled.stock.code + (f"; {strips}" if milled.strips > 1 else ""),
        }

    def _glued(self, row: GlueRow) -> dict[str, str]:
        return {
            "what": row.label,
            "times": str(row.times),
            "pieces": str(row.pieces),
            "area": self._say(self.shown.area(row.area_nm2)),
            "glue": self._say(self.shown.liquid(row.glue_ml)),
            "clamps": str(row.clamps),
            "minutes": self._say(_minutes(row)),
        }

    def _group(self, group: StepGroup) -> dict[str, Any]:
        return {
            "name": group.name,
            "hours": self._say(units.format_hours(group.minutes)),
            "steps": [self._step(line) for line in group.lines],
        }

    def _step(self, line: StepLine) -> dict[str, Any]:
        several = len(line.amounts) > 1
        amounts = [self._say(f"{name.lower()} {amount}" if several else amount) for name, amount in line.amounts]
        return {
            "number": f"{line.number}." if line.number else "",
            "title": line.step.title,
            "minutes": self._say(minutes_between(line.step.minutes)),
            "facts": "; ".join([*amounts, *([line.machines] if line.machines else [])]),
            "wait": self._say(f"{line.wait}.") if line.wait else "",
            "notes": [self._say(note) for note in line.step.notes],
            "mind": ", ".join(caution.title.lower() for caution in line.cautions),
        }


def _minutes(row: GlueRow) -> str:
    if row.bar is None:
        return "no clamping keeps the limits"
    return f"spread {row.spread_minutes:.1f}, clamps {row.close_minutes:.1f}, of {row.limit_minutes:.1f} min"
