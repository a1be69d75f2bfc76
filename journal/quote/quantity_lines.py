"""The lines of what a commission takes: lumber, glue, finish, weight and hours, each with its working."""

from __future__ import annotations

from typing import TYPE_CHECKING

from journal import reference
from journal.build.stock import Sheet
from journal.build.wood import part_density_kg_m3, weight_kg
from journal.quote.risk import Range
from journal.working import Basis, Line, Spread, counted, reads_right

if TYPE_CHECKING:
    from collections.abc import Sequence

    from journal import units
    from journal.build.milling import Milled
    from journal.build.step_work import OwnWork
    from journal.quote.footing import Ground
    from journal.quote.forecast import OperationForecast
    from journal.quote.risk import Distribution, Uncertainty
    from journal.quote.takeoff import Takeoff
    from journal.reference.work import Operation


def quantity_lines(
    takeoff: Takeoff,
    operations: Sequence[OperationForecast],
    hours: Distribution,
    uncertainty: Uncertainty,
    shown: units.Shown,
) -> tuple[Line, ...]:
    """Lumber, glue, finish, weight and hours of all benches together; lengths and areas in the units shown."""
    return (
        _lumber_line(takeoff, uncertainty.footing.rejects, shown),
        _glue_line(takeoff, uncertainty.footing.glue, shown),
        _finish_line(takeoff, uncertainty.footing.finish, shown),
        _weight_line(takeoff, shown),
        _hours_line(operations, takeoff.own, hours, uncertainty, shown),
    )


def _lumber_line(takeoff: Takeoff, ground: Ground, shown: units.Shown) -> Line:
    parts = tuple(
        Line(
            milled.part.label,
            milled.blanks,
            "blanks",
            _blank_working(milled, shown),
            Basis.SETTING,
            "settings: allowances; " + milled.stock.code,
        )
        for milled in takeoff.milled
    )
    board_feet = sum(bill.board_feet for bill in takeoff.bills)
    return Line(
        "Lumber to buy",
        round(board_feet, 2),
        "bd ft",
        "nominal size for softwood, rough for hardwood; sheets not counted",
        Basis.WORKED,
        ground.source,
        parts=parts,
    )


def _blank_working(milled: Milled, shown: units.Shown) -> str:
    size = f"{shown.thickness(milled.rough_thickness_nm)} × {shown.length(milled.blank_width_nm)} × {shown.length(milled.blank_length_nm, feet=True)}"
    strips = f"{milled.strips} strips of {shown.thickness(milled.milled_thickness_nm)} × " if milled.strips > 1 else ""
    extra = "" if isinstance(milled.stock, Sheet) else ", and what a segment is cut longer for snipe and squaring"
    return f"{strips}{counted(milled.pieces, 'piece')} → {counted(milled.blanks, 'blank')} of {size} from {milled.stock.code}{extra}"


def _glue_line(takeoff: Takeoff, ground: Ground, shown: units.Shown) -> Line:
    parts = tuple(
        Line(
            up.label,
            up.times,
            "glue-ups",
            f"{counted(up.lines, 'line')} × {shown.length(up.line_width_nm)} × {shown.length(up.length_nm, feet=True)}, {up.clamps} clamps",
            Basis.WORKED,
        )
        for up in takeoff.ups
    )
    area_nm2 = takeoff.glue.area_nm2
    working = f"{shown.area(area_nm2)} of glue line and joints × {shown.spread(takeoff.glue.ml, area_nm2)}, spread and waste together"
    return Line("Glue", round(takeoff.glue.ml, 1), "ml", working, ground.basis, ground.source, parts=parts)


def _finish_line(takeoff: Takeoff, ground: Ground, shown: units.Shown) -> Line:
    faces_nm2, ends_nm2 = takeoff.surface.face_nm2, takeoff.surface.end_nm2
    spread = shown.spread(takeoff.finish_ml, faces_nm2 + ends_nm2)
    return Line(
        "Finish",
        round(takeoff.finish_ml, 1),
        "ml",
        f"{shown.area(faces_nm2)} of faces and edges, {shown.area(ends_nm2)} of end grain, "
        f"{counted(_coats(takeoff), 'coat')}: {spread} in all, end grain and waste included",
        ground.basis,
        ground.source,
    )


def _coats(takeoff: Takeoff) -> int:
    return sum(task.setups for task in takeoff.tasks if task.code == "apply_coat")


def _weight_line(takeoff: Takeoff, shown: units.Shown) -> Line:
    parts = tuple(
        Line(
            milled.part.label,
            round(weight_kg(milled), 2),
            "kg",
            f"{milled.pieces} × {shown.volume(milled.part.volume_nm3)} × {shown.density(part_density_kg_m3(milled))}",
            Basis.PUBLISHED,
            f"shared table: {'sheet goods' if isinstance(milled.stock, Sheet) else 'species, at 12% moisture'}",
        )
        for milled in takeoff.milled
    )
    working = f"finished parts of {counted(takeoff.benches, 'bench', 'benches')}; hardware not weighed"
    return Line("Weight", round(takeoff.weight_kg, 2), "kg", working, Basis.WORKED, parts=parts)


def _hours_line(
    operations: Sequence[OperationForecast],
    own: Sequence[OwnWork],
    hours: Distribution,
    uncertainty: Uncertainty,
    shown: units.Shown,
) -> Line:
    stages = reference.stages()
    parts = []
    for code, stage in stages.items():
        by_pace = [_operation_line(operation, shown) for operation in operations if operation.stage == code]
        lines = (*by_pace, *(_own_line(work) for work in own if work.stage == code))
        if lines:
            parts.append(
                Line(
                    stage.name,
                    round(sum(line.value for line in lines), 2),
                    "min",
                    f"sum of {counted(len(by_pace), 'operation')}" + _and_own(len(lines) - len(by_pace)),
                    Basis.WORKED,
                    parts=lines,
                )
            )
    planned = sum(part.value for part in parts)
    minutes = planned * uncertainty.unplanned_mean
    of, share, _ = reads_right(planned / 60, uncertainty.unplanned_mean, minutes / 60, lambda a, part: a * part)
    unplanned = Line(
        "Work nobody planned",
        round(minutes, 2),
        "min",
        f"{share} of {of} h",
        uncertainty.footing.unplanned.basis,
        uncertainty.footing.unplanned.source,
    )
    found = Range.of(hours)
    return Line(
        "Hours",
        round(planned + unplanned.value, 2),
        "min",
        f"person-minutes; eight times in ten between {found.p10:.0f} and {found.p90:.0f} hours",
        Basis.WORKED,
        spread=Spread(found.p10 * 60, found.p50 * 60, found.p90 * 60),
        parts=(*parts, unplanned),
    )


def _and_own(count: int) -> str:
    return f" and {counted(count, 'step')} of the maker’s own" if count else ""


def _own_line(work: OwnWork) -> Line:
    return Line(work.title, work.minutes, "min", "as typed in the plan; no pace is put on it", Basis.TYPED)


def _here(operation: OperationForecast) -> str:
    """What the shop's logs make of the book's minutes; without logs, why the mean lies above them all the same."""
    if operation.logs or operation.stage_logs:
        return f", × {operation.mean_minutes / operation.book_minutes:.2f} in this shop"
    return "; the mean lies above it, as a pace not logged yet may well be slower and cannot be much faster"


def _by_the_book(operation: OperationForecast, book: Operation, shown: units.Shown) -> str:
    """“2 × 12 min + 16 holes × 4.5 min ”, without what comes to nothing; "" where all of it does."""
    terms = []
    if operation.setups and book.setup_minutes:
        terms.append(f"{operation.setups} × {book.setup_minutes:g} min")
    if operation.quantity and book.minutes_per_unit:
        pace = book.minutes_per_unit / shown.units_of(operation.unit)
        terms.append(f"{shown.amount(operation.quantity, operation.unit, places=1)} × {pace:.4g} min")
    return " + ".join(terms) + " " * bool(terms)


def _operation_line(operation: OperationForecast, shown: units.Shown) -> Line:
    book = reference.operations()[operation.code]
    working = (
        f"{_by_the_book(operation, book, shown)}= {operation.book_minutes:.0f} min by the book{_here(operation)}. "
        f"{operation.working}"
    )
    logged = operation.logs or operation.stage_logs
    source = operation.moved if logged else f"starting book: {operation.moved}"
    return Line(
        operation.name,
        round(operation.mean_minutes, 2),
        "min",
        working,
        Basis.LOGS if logged else Basis.BOOK,
        source,
        operation.minutes,
    )
