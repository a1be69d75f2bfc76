"""Which operations a commission takes, and how much of each.

Nothing is typed twice: every quantity follows from the parts, the way they are milled and sawn, the glue-ups and the
surface. Each comes with its working, so that a page can answer 'why 212 feet?'.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from journal import reference, units
from journal.build.finishing import surface
from journal.build.spacers import JOINT
from journal.build.stock import Dimensional, Rough, Sheet
from journal.working import counted

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from journal.build.finishing import FinishRules
    from journal.build.gluing import GlueUp
    from journal.build.milling import Milled


# Made once, however many pieces and benches are made with it.
_ONCE_A_JOB = ("jig",)


@dataclass(frozen=True, slots=True)
class WorkRules:
    """How this shop works, where an operation's quantity needs to know.

    Attributes:
        joint_face_passes, joint_edge_passes: passes over the jointer to make a face and an edge true.
        plane_depth_nm: what the planer takes in one pass.
        mill_again_passes: light passes after the boards have rested.
        section_passes: planer passes over a glued section or leg.
        grits: how many grits a surface is sanded with; 0 for a planed surface.
        moves_per_bench: how often a bench is turned over or moved while it is built.
        shop_day_hours: hours at the bench in a day, for cleaning up.
        has_planer: whether a planer takes glued sections; otherwise they are flattened by hand.
        has_jointer: whether a jointer makes faces and edges true; otherwise they are planed by hand.
        shown: how the shop writes quantities.
    """

    joint_face_passes: int
    joint_edge_passes: int
    plane_depth_nm: int
    mill_again_passes: int
    section_passes: int
    grits: int
    moves_per_bench: int
    shop_day_hours: float
    has_planer: bool
    has_jointer: bool = True
    shown: units.Shown = units.IN_INCHES


@dataclass(frozen=True, slots=True)
class Sawing:
    """What a cutting plan asks of the saw, for all stock of one code; lengths in nm.

    Attributes:
        stock: what is sawn.
        boards: boards or sheets bought, spares included.
        crosscuts: cuts to rough length, first trims included.
        segments_nm: length of all segments together.
        segments: how many segments.
        rips_nm: length of all cuts along the grain.
    """

    stock: Dimensional | Rough | Sheet
    boards: int
    crosscuts: int
    segments: int
    segments_nm: int
    rips_nm: int


@dataclass(frozen=True, slots=True)
class Task:
    """So much of one operation.

    Attributes:
        code: of the operation.
        quantity: in the operation's unit; 0 when it is all set-up.
        setups: how often it is set up.
        working: how the quantity was worked out.
    """

    code: str
    quantity: float
    setups: int
    working: str

    @property
    def baseline_minutes(self) -> float:
        """Minutes by the starting book: set-ups × set-up minutes + quantity × minutes a unit."""
        operation = reference.operations()[self.code]
        return self.setups * operation.setup_minutes + self.quantity * operation.minutes_per_unit


def tasks(
    parts: Sequence[Milled],
    sawing: Sequence[Sawing],
    ups: Sequence[GlueUp],
    finish: FinishRules,
    rules: WorkRules,
    *,
    benches: int,
) -> tuple[Task, ...]:
    """All operations of a commission of so many identical benches, in the order of the starting book.

    Quantities grow with the number of benches; set-ups do not, but for those of a glue-up, which are its own.
    """
    found = [
        *_stock(parts, sawing),
        *_milling(parts, sawing, rules),
        *_gluing(ups, rules.shown),
        *_flattening(parts, rules),
        *_features(parts, rules.shown),
        *_spacers(parts),
        *_panels(parts, sawing),
        *_assembly(parts, rules, benches),
        *_finishing(parts, finish, rules),
        *_delivery(benches),
    ]
    found = _merged(found)
    found += _shop(found, rules)
    order = {code: place for place, code in enumerate(reference.operations())}
    return tuple(
        sorted((task for task in found if task.quantity > 0 or task.setups > 0), key=lambda task: order[task.code])
    )


def _feet(length_nm: float) -> float:
    return length_nm / units.NM_PER_FOOT


def _run(code: str, run_nm: int, working: str) -> Task:
    """Work counted in feet, set up once if there is any."""
    return Task(code, _feet(run_nm), 1 if run_nm else 0, working)


def _face(code: str, area_nm2: int, working: str) -> Task:
    """Work counted in square feet, set up once if there is any."""
    return Task(code, units.square_feet(area_nm2), 1 if area_nm2 else 0, working)


def _stock(parts: Sequence[Milled], sawing: Sequence[Sawing]) -> list[Task]:
    boards = sum(saw.boards for saw in sawing)
    blanks = sum(milled.blanks for milled in parts)
    lumber = sum(milled.blanks for milled in parts if not isinstance(milled.stock, Sheet))
    return [
        Task("fetch_stock", boards, 1, f"{counted(boards, 'board or sheet', 'boards and sheets')}, one trip"),
        Task("sort_mark", blanks, 1, counted(blanks, "blank")),
        *([Task("sticker", lumber, 1, f"{counted(lumber, 'blank')} of lumber")] if lumber else []),
    ]


def _milling(parts: Sequence[Milled], sawing: Sequence[Sawing], rules: WorkRules) -> list[Task]:
    lumber = [saw for saw in sawing if not isinstance(saw.stock, Sheet)]
    if not lumber:
        return _final_crosscuts(parts)
    crosscuts = sum(saw.crosscuts for saw in lumber)
    rips_nm = sum(saw.rips_nm for saw in lumber)
    planed, planing = _planing(parts, lumber, rules)
    glued_nm = sum(m.blanks * m.blank_length_nm for m in parts if m.glued)
    again = _feet(glued_nm) * rules.mill_again_passes
    rip_first_nm = sum(saw.segments_nm for saw in lumber if _wider_than_jointer(saw, parts))
    run = rules.shown.run
    return [
        Task(
            "crosscut_rough",
            crosscuts,
            1,
            f"{counted(crosscuts, 'cut')}: every segment and the first trim of every board",
        ),
        _run("rip_rough", rip_first_nm, f"{run(rip_first_nm)} of boards wider than the jointer"),
        *_truing(lumber, rules),
        *([Task("plane_thickness", planed, 1, planing)] if rules.has_planer else []),
        _run("rip_final", rips_nm, f"{run(rips_nm)} of cut along the strips"),
        Task(
            "mill_again",
            again,
            1 if again else 0,
            f"{run(glued_nm)} of strips × {rules.mill_again_passes} passes after a rest",
        ),
        *_final_crosscuts(parts),
    ]


def _truing(lumber: Sequence[Sawing], rules: WorkRules) -> list[Task]:
    """Making faces and edges true: on the machines the shop has, by hand plane where it has none."""
    segments_nm = sum(saw.segments_nm for saw in lumber)
    feet, run = _feet(segments_nm), rules.shown.run(segments_nm)
    faces_nm2 = sum(saw.segments_nm * _board_width_nm(saw) for saw in lumber)
    faces = units.square_feet(faces_nm2)
    found = []
    if rules.has_jointer:
        face, edge = rules.joint_face_passes, rules.joint_edge_passes
        found += [
            Task("joint_face", feet * face, 1, f"{run} of segments × {face} passes"),
            Task("joint_edge", feet * edge, 1, f"{run} of segments × {edge} passes"),
        ]
    else:
        edges_nm2 = sum(saw.segments_nm * saw.stock.thickness_nm for saw in lumber)
        shown = f"{rules.shown.area(faces_nm2)} of faces and {rules.shown.area(edges_nm2)} of edges, no jointer"
        found.append(Task("plane_by_hand", units.square_feet(faces_nm2 + edges_nm2), 1, shown))
    if not rules.has_planer:
        found.append(Task("plane_by_hand", faces, 1, f"{rules.shown.area(faces_nm2)} of second faces, no planer"))
    return found


def _board_width_nm(saw: Sawing) -> int:
    return saw.stock.usual_width_nm if isinstance(saw.stock, Rough) else saw.stock.width_nm


def _wider_than_jointer(saw: Sawing, parts: Sequence[Milled]) -> bool:
    return any(milled.stock == saw.stock and milled.rip_first for milled in parts)


def _planing(parts: Sequence[Milled], lumber: Sequence[Sawing], rules: WorkRules) -> tuple[float, str]:
    """Feet of planer pass: segment feet of each stock × passes for what must come off the thickest-to-thinnest blank."""
    total = 0.0
    words = []
    for saw in lumber:
        mine = [milled for milled in parts if milled.stock == saw.stock]
        weight = sum(m.blanks * m.blank_length_nm for m in mine) or 1
        passes = sum(m.blanks * m.blank_length_nm * _passes(m, rules) for m in mine) / weight
        total += _feet(saw.segments_nm) * passes
        words.append(
            f"{rules.shown.run(saw.segments_nm)} of {saw.stock.code} × {counted(round(passes, 1), 'pass', 'passes')}"
        )
    return total, "; ".join(words)


def _passes(milled: Milled, rules: WorkRules) -> int:
    return max(1, math.ceil((milled.stock.thickness_nm - milled.milled_thickness_nm) / rules.plane_depth_nm))


def _final_crosscuts(parts: Sequence[Milled]) -> list[Task]:
    solid = [m for m in parts if not isinstance(m.stock, Sheet) and not m.slab]
    cuts = 2 * sum(m.pieces for m in solid)
    slabs = 2 * sum(m.pieces for m in parts if m.slab)
    return [
        Task("crosscut_final", cuts, 1 if cuts else 0, f"two ends of {counted(cuts // 2, 'piece')}"),
        Task("trim_slab", slabs, 1 if slabs else 0, f"two ends of {counted(slabs // 2, 'slab')}"),
    ]


def _gluing(ups: Sequence[GlueUp], shown: units.Shown) -> list[Task]:
    if not ups:
        return []
    times = sum(up.times for up in ups)
    clamps = sum(up.times * up.clamps for up in ups)
    area_nm2 = sum(up.times * up.area_nm2 for up in ups)
    lines = f"{shown.area(area_nm2)} of glue line in {counted(times, 'glue-up')}"
    return [
        Task("dry_clamp", times, 0, counted(times, "glue-up")),
        Task("spread_glue", units.square_feet(area_nm2), times, lines),
        Task("close_clamps", clamps, times, f"{counted(clamps, 'clamp')} over {counted(times, 'glue-up')}"),
        Task("unclamp_clean", times, 0, counted(times, "glue-up")),
        Task("rehearse_align", times, 0, counted(times, "glue-up")),
    ]


def _flattening(parts: Sequence[Milled], rules: WorkRules) -> list[Task]:
    glued = [m for m in parts if m.glued]
    slabs = [m for m in glued if m.slab]
    top_nm2 = sum(m.pieces * m.part.width_nm * m.part.length_nm for m in slabs)
    by_machine = [m for m in glued if rules.has_planer and not m.by_hand]
    by_hand = [m for m in glued if m not in by_machine]
    why = "too wide or too heavy for the planer" if rules.has_planer else "no planer"
    area_nm2 = sum(m.pieces * 2 * m.part.width_nm * m.part.length_nm for m in by_hand)
    run_nm = sum(m.pieces * m.sections * m.blank_length_nm for m in by_machine)
    area, run = rules.shown.area, rules.shown.run
    return [
        _face("flatten_panel", area_nm2, f"{area(area_nm2)}, both faces, {why}"),
        _run(
            "flatten_by_machine",
            run_nm * rules.section_passes,
            f"{run(run_nm)} of glued sections × {rules.section_passes} passes",
        ),
        _face("flatten_final", top_nm2, f"{area(top_nm2)} of top, on its base"),
    ]


def _features(parts: Sequence[Milled], written: units.Shown) -> list[Task]:
    """Operations that features bring; set up once for each kind of part that carries one."""
    found = []
    for milled in parts:
        for feature in milled.part.features:
            name = reference.find_feature(feature.word)
            pieces = 1 if name.word in _ONCE_A_JOB else milled.pieces
            amount = pieces * (_feet(feature.length_nm) if feature.length_nm else feature.count)
            shown = (
                f"{written.run(pieces * feature.length_nm)} of {name.word}"
                if feature.length_nm
                else f"{amount} {name.plural if amount != 1 else name.word}"
            )
            found += [Task(code, amount * times, 1, f"{milled.part.label}: {shown}") for code, times in name.operations]
    return found


def _spacers(parts: Sequence[Milled]) -> list[Task]:
    """Blocks that keep joints open in the clamps; a jig of the part list is taken to be them."""
    joints = sum(m.pieces * m.part.count(JOINT) for m in parts if m.glued)
    if not joints or any(m.part.count(word) for m in parts for word in _ONCE_A_JOB):
        return []
    return [Task("jig", 1, 1, f"spacer blocks for {counted(joints, 'joint')} left open between strips")]


def _panels(parts: Sequence[Milled], sawing: Sequence[Sawing]) -> list[Task]:
    panels = [m for m in parts if isinstance(m.stock, Sheet)]
    if not panels:
        return []
    pieces = sum(m.pieces for m in panels)
    cuts = sum(saw.crosscuts + 2 * saw.segments for saw in sawing if isinstance(saw.stock, Sheet))
    cuts = max(cuts, 2 * pieces)
    return [
        Task("cut_panel", cuts, 1, f"{counted(cuts, 'cut')} for {counted(pieces, 'panel')}"),
        Task("fit_panel", pieces, 1, counted(pieces, "panel")),
    ]


def _assembly(parts: Sequence[Milled], rules: WorkRules, benches: int) -> list[Task]:
    moves = rules.moves_per_bench * benches
    eased = _feet(sum(m.pieces * 4 * m.part.length_nm for m in parts if not isinstance(m.stock, Sheet)))
    return [
        Task(
            "turn_over", moves, 0, f"{counted(rules.moves_per_bench, 'move')} × {counted(benches, 'bench', 'benches')}"
        ),
        Task("level_feet", benches, 1, counted(benches, "bench", "benches")),
        Task(
            "ease_edges",
            eased,
            1 if eased else 0,
            f"four long edges of {sum(m.pieces for m in parts if not isinstance(m.stock, Sheet))} pieces",
        ),
    ]


def _finishing(parts: Sequence[Milled], finish: FinishRules, rules: WorkRules) -> list[Task]:
    area_nm2 = surface(parts).area_nm2
    feet, area = units.square_feet(area_nm2), rules.shown.area(area_nm2)
    if not feet:
        return []
    found = [Task("sand", feet * rules.grits, rules.grits, f"{area} × {rules.grits} grits")]
    if finish.coats:
        coated = feet * finish.coats
        found.append(Task("apply_coat", coated, finish.coats, f"{area} × {finish.coats} coats"))
        if finish.coats > 1:
            found.append(
                Task("scuff", feet * (finish.coats - 1), finish.coats - 1, f"{area} between {finish.coats} coats")
            )
        if finish.wipe_off:
            found.append(Task("wipe_off", coated, finish.coats, f"{area} × {finish.coats} coats"))
    return found


def _delivery(benches: int) -> list[Task]:
    return [
        Task("deliver", 1, 1, "one trip; driving time is typed in the log"),
        Task("wrap", benches, 1, counted(benches, "bench", "benches")),
        Task("install", benches, 1, counted(benches, "bench", "benches")),
        Task("call_back", benches, 0, f"{counted(benches, 'bench', 'benches')}, expected over the first year"),
        Task("drawings", 1, 0, "one project"),
    ]


def _shop(found: Sequence[Task], rules: WorkRules) -> list[Task]:
    """Work that follows from other work: sharpening from hand work, cleaning up from days, doing again from hours."""
    book = reference.operations()
    hand = sum(task.baseline_minutes for task in found if book[task.code].hand) / 60
    hours = sum(task.baseline_minutes for task in found if book[task.code].stage not in ("delivery", "shop")) / 60
    days = math.ceil(hours / rules.shop_day_hours)
    return [
        Task("sharpen", hand, 0, f"{hand:.1f} h of hand work by the starting book"),
        Task("clean_up", days, 0, f"{hours:.0f} h at the bench ÷ {rules.shop_day_hours:g} h a day"),
        Task("rework", hours, 0, f"{hours:.0f} h of other work by the starting book"),
    ]


def _merged(found: Iterable[Task]) -> list[Task]:
    """One task an operation: quantities and set-ups add up, workings are joined."""
    merged: dict[str, Task] = {}
    for task in found:
        have = merged.get(task.code)
        merged[task.code] = (
            replace(
                have,
                quantity=have.quantity + task.quantity,
                setups=have.setups + task.setups,
                working=f"{have.working}; {task.working}",
            )
            if have
            else task
        )
    return list(merged.values())


def joint_words(features: Mapping[str, reference.Feature]) -> dict[str, float]:
    """Which features make an assembled joint, and how many each."""
    return {word: dict(feature.operations).get("assemble", 0.0) for word, feature in features.items()}
