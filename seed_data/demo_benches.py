"""The benches of the demo shop as plain part lists, and the jobs they were built for. All of it is made up."""

from dataclasses import dataclass, field
from datetime import date
from typing import Literal

Row = dict[str, str]


def part(label: str, qty: int, size: str, stock: str, features: str = "", **given: str) -> Row:
    """A row of a part list; the size as “thickness × width × length”."""
    thickness, width, length = (text.strip() for text in size.split("×"))
    cells = {"label": label, "qty": str(qty), "thickness": thickness, "width": width, "length": length, "stock": stock}
    return {**cells, "features": features, **given}


def _glued(strips: int | str, along: str) -> dict[str, str]:
    return {"strips": str(strips), "along": along}


WIDE = _glued("auto", "width")


def slab_bench(
    length: str, rail: str, *, depth: str = "26 in", wood: str = "fir", holes: int = 14, extra: tuple[Row, ...] = ()
) -> list[Row]:
    """A thick top on laminated legs; the rails are caught in joints left open between the strips of the legs."""
    return [
        part("Top", 1, f"3 1/4 in × {depth} × {length}", f"2x8 {wood}", f"{holes} holes; profile 10 ft", **WIDE),
        part(
            "Legs", 4, "3 3/4 in × 4 3/4 in × 31 1/2 in", f"2x6 {wood}", "3 laminated joints", **_glued(3, "thickness")
        ),
        part("End rails", 4, "2 1/4 in × 4 1/2 in × 22 in", f"2x6 {wood}", "2 tenons", **_glued(2, "thickness")),
        part(
            "Long rails",
            2,
            f"2 1/4 in × 4 3/4 in × {rail}",
            f"2x6 {wood}",
            "2 tenons; 2 bolts",
            **_glued(2, "thickness"),
        ),
        part("Shelf", 1, f"3/4 in × 17 1/2 in × {rail}", "3/4 plywood", "4 notches", faces="top, edges"),
        part("Shelf battens", 2, f"1 1/4 in × 1 1/2 in × {rail}", f"2x6 {wood}", "6 screws", faces="none"),
        part("Vise jaw", 1, "1 3/4 in × 6 in × 18 in", "8/4 hard maple", "1 vise; 2 holes"),
        *extra,
    ]


def split_top(length: str, rail: str, *, wood: str = "fir") -> list[Row]:
    """Two narrow slabs with a gap between, and a board that drops into it."""
    return [
        part("Half tops", 2, f"3 1/4 in × 11 1/4 in × {length}", f"2x8 {wood}", "8 holes; profile 5 ft", **WIDE),
        part("Gap board", 1, f"3/4 in × 3 1/4 in × {length}", "4/4 hard maple", "3 notches"),
        part(
            "Legs",
            4,
            "3 3/4 in × 5 in × 31 in",
            f"2x6 {wood}",
            "2 laminated joints; 1 mortise",
            **_glued(3, "thickness"),
        ),
        part("End rails", 4, "2 1/4 in × 4 1/2 in × 21 in", f"2x6 {wood}", "2 tenons", **_glued(2, "thickness")),
        part(
            "Long rails",
            2,
            f"2 1/4 in × 5 in × {rail}",
            f"2x6 {wood}",
            "2 tenons; groove 4 ft",
            **_glued(2, "thickness"),
        ),
        part("Shelf boards", 5, "3/4 in × 3 1/2 in × 20 in", "4/4 ash", faces="top, edges"),
        part("Vise jaw", 1, "1 3/4 in × 6 1/4 in × 20 in", "8/4 hard maple", "1 vise; 3 holes"),
    ]


def outfeed_table(length: str, *, depth: str = "34 in") -> list[Row]:
    """A flat top at the height of a saw, with two long slots, on a bolted frame."""
    return [
        part("Top", 1, f"2 1/4 in × {depth} × {length}", "2x6 fir", "groove 7 ft; profile 12 ft", **WIDE),
        part(
            "Legs", 4, "2 1/2 in × 3 1/2 in × 31 in", "2x8 fir", "2 bolts; 1 hardware piece", **_glued(2, "thickness")
        ),
        part("Rails", 4, "1 1/4 in × 5 in × 26 in", "2x6 fir", "2 tenons; 3 screws"),
        part("Long rails", 2, "1 1/4 in × 5 in × 50 in", "2x6 fir", "2 laps"),
        part("Leg joints", 4, "1 1/4 in × 3 in × 12 in", "2x8 fir", "2 mortises", note="blocks that take the rails"),
        part("Shelf", 1, "3/4 in × 24 in × 50 in", "3/4 plywood", "4 notches", faces="top, edges"),
    ]


def assembly_table(length: str, depth: str) -> list[Row]:
    """A low table: a grid of half-lapped webs under a flat panel."""
    return [
        part("Panel", 1, f"18 mm × {depth} × {length}", "18 mm birch plywood", "12 holes", faces="top, edges"),
        part("Long webs", 3, f"1 1/4 in × 4 1/2 in × {length}", "2x6 fir", "4 laps; 4 screws"),
        part("Cross webs", 4, f"1 1/4 in × 4 1/2 in × {depth}", "2x6 fir", "3 notches"),
        part(
            "Legs", 4, "3 3/4 in × 4 1/2 in × 24 in", "2x6 fir", "1 laminated joint; 2 bolts", **_glued(3, "thickness")
        ),
        part("Stretchers", 2, "2 1/4 in × 4 in × 38 in", "2x6 fir", "2 tenons", **_glued(2, "thickness")),
        part("Edge strips", 2, f"3/4 in × 2 in × {length}", "4/4 ash", "6 screws; 6 plugs"),
    ]


def student_bench(length: str = "48 in", *, vises: int = 1, drawer: bool = False) -> list[Row]:
    """A small bench for a class room, made in a batch."""
    return [
        part("Top", 1, f"2 1/4 in × 22 in × {length}", "2x6 southern pine", "6 holes", **WIDE),
        part("Legs", 4, "2 1/2 in × 3 1/2 in × 29 in", "2x8 southern pine", "2 mortises", **_glued(2, "thickness")),
        part("Rails", 4, "1 1/4 in × 4 1/2 in × 17 in", "2x6 southern pine", "2 tenons"),
        part("Long rails", 2, "1 1/4 in × 4 1/2 in × 38 in", "2x6 southern pine", "2 bolts; 4 screws"),
        part("Shelf", 1, "3/4 in × 16 in × 38 in", "3/4 plywood", faces="top, edges"),
        part("Vise jaw", vises, "1 3/4 in × 5 in × 12 in", "8/4 hard maple", "1 vise"),
        *([part("Drawer front", 1, "3/4 in × 4 in × 14 in", "4/4 ash", "1 drawer")] if drawer else []),
    ]


def hardwood_bench(length: str, rail: str, wood: str) -> list[Row]:
    """A smaller bench in hardwood for fine work."""
    return [
        part("Top", 1, f"3 in × 22 in × {length}", f"8/4 {wood}", "10 holes; profile 8 ft", **WIDE),
        part("Legs", 4, "3 in × 3 1/2 in × 33 in", f"8/4 {wood}", "2 mortises", **_glued(2, "thickness")),
        part("Rails", 4, "1 5/8 in × 4 in × 17 in", f"8/4 {wood}", "2 tenons"),
        part("Long rails", 2, f"1 5/8 in × 5 in × {rail}", f"8/4 {wood}", "2 bolts"),
        part("Shelf boards", 4, f"3/4 in × 4 in × {rail}", f"4/4 {wood}", faces="top, edges"),
        part("Vise jaw", 1, "1 3/4 in × 5 in × 16 in", "8/4 hard maple", "1 vise"),
    ]


def commission() -> list[Row]:
    """The bench a school has asked for, twice."""
    return [
        part(
            "Top",
            1,
            "3 1/4 in × 26 in × 7'",
            "2x8 fir",
            "16 holes; profile 18 ft",
            faces="top, edges, ends",
            note="strips on edge",
            **WIDE,
        ),
        part("Legs", 4, "3 3/4 in × 4 3/4 in × 31 1/2 in", "2x6 fir", "3 laminated joints", **_glued(3, "thickness")),
        part("End rails", 4, "2 1/4 in × 4 1/2 in × 22 in", "2x6 fir", "2 tenons", **_glued(2, "thickness")),
        part(
            "Long rails",
            2,
            "2 1/4 in × 4 3/4 in × 5' 2\"",
            "2x6 fir",
            "2 tenons; 2 bolts",
            note="bolted so that it comes apart",
            **_glued(2, "thickness"),
        ),
        part("Shelf", 1, "18 mm × 17 3/4 in × 58 in", "18 mm birch plywood", "4 notches", faces="top, edges"),
        part("Shelf battens", 2, "1 1/4 in × 1 1/2 in × 56 in", "2x6 fir", "6 screws", faces="none"),
        part("Vise jaw", 1, "1 3/4 in × 6 in × 18 in", "8/4 hard maple", "1 vise; 2 holes"),
    ]


WHEELS = part("Wheel blocks", 4, "1 1/4 in × 4 1/2 in × 14 in", "2x6 fir", "1 hardware piece; 4 screws")
DRAWER = part("Drawer front", 2, "3/4 in × 5 in × 20 in", "4/4 ash", "1 drawer")

Logged = Literal["operation", "stage"]


@dataclass(frozen=True)
class Job:
    """One job. `singly`: stages or operations logged singly where the rest is logged by stage."""

    code: str
    title: str
    client: str
    design: str
    parts: list[Row]
    enquired: date
    starts: date | None = None
    benches: int = 1
    logged: Logged = "stage"
    singly: tuple[str, ...] = ()
    state: str = "closed"
    finish: str = "hard_oil"
    coats: int = 2
    adhesive: str = "pva_interior"
    note: str = ""
    changed: dict[str, tuple[float, str]] = field(default_factory=dict)  # as built: times the plan, and why


JOBS = (
    Job("23-001", "Slab bench, 7 ft", "home woodworker", "slab bench", slab_bench("7'", "60 in"), date(2023, 9, 5),
        date(2023, 10, 14), logged="operation",
        changed={"bore_large": (1.25, "four more dog holes asked for at the fitting")}),
    Job("23-002", "Assembly table", "community makerspace", "assembly table", assembly_table("58 in", "44 in"),
        date(2023, 10, 3), date(2023, 12, 2), finish="oil_varnish_blend"),
    Job("23-003", "Split-top bench, 6 ft", "furniture maker’s studio", "split-top bench", split_top("6'", "52 in"),
        date(2023, 11, 14), date(2024, 1, 6), note="one half top was glued up again after a joint opened"),
    Job("24-001", "Student benches, four", "secondary school", "student bench", student_bench(), date(2024, 1, 9),
        date(2024, 2, 24), benches=4, logged="operation",
        changed={"plane_thickness": (1.18, "the pine came cupped, more passes")}),
    Job("24-002", "Outfeed table", "cabinet shop", "outfeed table", outfeed_table("60 in"), date(2024, 3, 12),
        date(2024, 5, 25)),
    Job("24-003", "Maple bench, 5 ft", "violin maker’s studio", "hardwood bench",
        hardwood_bench("5'", "42 in", "hard maple"), date(2024, 4, 2), date(2024, 6, 22), logged="operation",
        finish="oil_varnish_blend", coats=3, adhesive="pva_slow",
        changed={"ease_edges": (0.8, "rails left sharp at the joints")}),
    Job("24-004", "Slab benches on wheels, two", "university set workshop", "slab bench",
        slab_bench("8'", "68 in", extra=(WHEELS,)), date(2024, 5, 21), date(2024, 8, 24), benches=2,
        singly=("finishing", "fittings")),
    Job("24-005", "Slab bench, 6 ft", "evening college", "slab bench", slab_bench("6'", "50 in", depth="24 in"),
        date(2024, 8, 13), date(2024, 11, 2), singly=("fit_vise",)),
    Job("24-006", "Split-top bench, 7 ft", "boat-building club", "split-top bench", split_top("7'", "62 in"),
        date(2024, 10, 8), date(2025, 1, 4), logged="operation",
        changed={"flatten_by_machine": (1.25, "both halves planed again after a week")}),
    Job("25-001", "Student benches, six", "middle school", "student bench", student_bench(drawer=True),
        date(2024, 12, 3), date(2025, 2, 15), benches=6),
    Job("25-002", "Assembly table, tall", "theatre prop shop", "assembly table", assembly_table("58 in", "48 in"),
        date(2025, 2, 11), date(2025, 5, 10), singly=("joinery", "boring"),
        note="drawing changed three times"),
    Job("25-003", "Slab bench, 7 ft", "museum workshop", "slab bench",
        slab_bench("7'", "60 in", depth="27 in", holes=18), date(2025, 4, 15), date(2025, 6, 14), logged="operation",
        note="one set of legs was cut too short and made again",
        changed={"cut_panel": (1.5, "shelf made in two to get it through the door")}),
    Job("25-004", "Ash bench, 6 ft", "bow maker’s studio", "hardwood bench", hardwood_bench("6'", "52 in", "ash"),
        date(2025, 5, 6), date(2025, 8, 2), finish="oil_varnish_blend", coats=3),
    Job("25-005", "Outfeed table, wide", "pattern shop", "outfeed table", outfeed_table("66 in", depth="40 in"),
        date(2025, 7, 15), date(2025, 9, 13)),
    Job("25-006", "Slab benches, two", "community makerspace", "slab bench",
        slab_bench("7'", "60 in", extra=(DRAWER,)), date(2025, 8, 26), date(2025, 10, 25), benches=2,
        logged="operation", changed={"apply_coat": (1.5, "a third coat on the tops and rails")}),
    Job("26-001", "Student benches, five", "vocational school", "student bench", student_bench("54 in", vises=2),
        date(2025, 12, 2), date(2026, 1, 31), benches=5, singly=("glue_up", "finishing")),
    Job("26-002", "Split-top bench, 7 ft", "sculpture studio", "split-top bench", split_top("7'", "62 in"),
        date(2026, 2, 10), date(2026, 4, 25), logged="operation", state="delivered",
        changed={"bore_large": (0.75, "holes in the front half only")}),
    Job("26-003", "Slab bench, 8 ft", "repair café", "slab bench", slab_bench("8'", "68 in", holes=18),
        date(2026, 6, 2), date(2026, 8, 1), state="delivered"),
    Job("26-004", "Assembly tables, two", "science centre", "assembly table", assembly_table("58 in", "44 in"),
        date(2026, 8, 25), date(2026, 10, 17), benches=2, logged="operation", state="in_build"),
    Job("26-005", "Two benches for the workshop", "secondary school", "slab bench", commission(), date(2026, 11, 16),
        benches=2, state="enquiry", note="wanted before the spring term"),
    Job("26-006", "Maple bench, 5 ft", "print studio", "hardwood bench", hardwood_bench("5'", "42 in", "hard maple"),
        date(2026, 11, 19), state="enquiry", finish="oil_varnish_blend", coats=3),
)  # fmt: skip
COMMISSION = "26-005"
