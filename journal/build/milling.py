"""From a finished part back to what is cut: the stock that leaves enough to mill, the strips, the blanks.

The way of working (common practice): crosscut a segment to rough length, joint and plane it, rip it into strips. So a
segment's length is the longest blank in it and one allowance for snipe and squaring; a strip's width is its finished
width, what jointing takes and, for a glued part, what flattening takes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from journal import units
from journal.build.parts import MOST_STRIPS, Along, Part
from journal.build.stock import Dimensional, Rough, Sheet, Stock, StockBook
from journal.errors import BadInput, JournalError, NoSolution

# A panel is taken for the one meant when it is this near the thickness asked: ¾ in for an actual 23/32.
SHEET_TOLERANCE_NM = units.inches("1/16")
# Boards are glued edge to edge into panels up to this thick; a thicker top is laminated of boards on edge, which move
# less and need no timbers (common practice).
THICKEST_PANEL_NM = units.inches(2)
# A strip thinner than this is refused by most thickness planers without a carrier board (common practice).
THINNEST_STRIP_NM = units.inches("1/4")


@dataclass(frozen=True, slots=True)
class MillingRules:
    """What this shop leaves on for milling. All lengths in nm.

    Attributes:
        thickness_steps: (longest length, allowance) pairs, ascending; the last covers everything longer.
        segment_extra_nm: left on a segment's length for snipe and squaring, both ends together.
        end_trim_nm: cut off each end of a board before the first segment.
        kerf_rip_nm, kerf_crosscut_nm: what the two saws turn to dust.
        eased_edge_nm: lost on each edge of a board as sold, rounded by the mill.
        edge_jointing_nm: taken off a strip's edge by the jointer.
        flatten_glued_nm: left on the faces of a glued part for flattening it.
        glued_edge_nm: left on a glued part in the direction its strips add up, to clean its outer sides.
        section_joint_nm: taken off where two slab sections are jointed to each other.
        slab_trim_nm: left on a slab's length, both ends together, trimmed after gluing.
        jointer_width_nm, planer_width_nm: widest that goes through; 0 when the shop has none.
        crosscut_width_nm: widest that the crosscut saw takes; wider is a slab, trimmed in place.
        shortest_nm: shortest piece that goes safely through jointer and planer; shorter is milled in one longer piece.
        shown: how the shop writes lengths.
    """

    thickness_steps: tuple[tuple[int, int], ...]
    segment_extra_nm: int
    end_trim_nm: int
    kerf_rip_nm: int
    kerf_crosscut_nm: int
    eased_edge_nm: int
    edge_jointing_nm: int
    flatten_glued_nm: int
    glued_edge_nm: int
    section_joint_nm: int
    slab_trim_nm: int
    jointer_width_nm: int
    planer_width_nm: int
    crosscut_width_nm: int
    shortest_nm: int
    shown: units.Shown = units.IN_INCHES

    def __post_init__(self) -> None:
        if not self.thickness_steps or any(
            a >= b for (a, _), (b, _) in zip(self.thickness_steps, self.thickness_steps[1:], strict=False)
        ):
            raise BadInput("thickness allowances", self.thickness_steps, "one allowance a length, the lengths rising")

    def thickness_allowance_nm(self, length_nm: int) -> int:
        """What milling flat takes off the thickness of a piece this long; grows with length (common practice)."""
        for longest_nm, allowance_nm in self.thickness_steps:
            if length_nm <= longest_nm:
                return allowance_nm
        return self.thickness_steps[-1][1]

    def strip_width_nm(self, finished_nm: int, *, glued: bool) -> int:
        """Width to rip a strip to, so that this width is left when it is jointed and, if glued, flattened."""
        return finished_nm + self.edge_jointing_nm + (self.flatten_glued_nm if glued else 0)


def strips_per_segment(board_width_nm: int, finished_nm: int, rules: MillingRules, *, glued: bool = True) -> int:
    """How many strips of one finished width a segment of a board gives: ⌊(W − 2e + k) / (w + j + f + k)⌋.

    Args:
        board_width_nm: W, the board's dressed width.
        finished_nm: w, the strip's finished width.
        rules: e eased edge, k kerf, j edge jointing, f flattening.
        glued: whether f is left on.
    """
    usable_nm = board_width_nm - 2 * rules.eased_edge_nm + rules.kerf_rip_nm
    return max(0, usable_nm // (rules.strip_width_nm(finished_nm, glued=glued) + rules.kerf_rip_nm))


def strips_needed(across_nm: int, milled_nm: int, rules: MillingRules, typed: int = 0) -> tuple[int, int]:
    """How many strips make up a width, and in how many sections they are glued so that each passes the planer.

    N = ⌈(W + g + (S − 1) × joint) / t⌉, g what is left to clean the outer sides; S is the fewest sections whose widest,
    ⌈N / S⌉ strips thinned equally, goes through the planer; 1 where the shop has none.

    Args:
        across_nm: W, what the strips add up to.
        milled_nm: t, the thickest a strip can be planed to.
        rules: g, joint and the planer's width.
        typed: strips the maker asks for; more than needed makes them thinner. 0: as many as it takes.

    Returns:
        (strips needed, sections).
    """
    sections = 1
    while True:
        total_nm = across_nm + rules.glued_edge_nm + (sections - 1) * rules.section_joint_nm
        needed = math.ceil(total_nm / milled_nm)
        strips = max(typed, needed)
        widest_nm = math.ceil(strips / sections) * math.ceil(total_nm / strips)
        if not rules.planer_width_nm or widest_nm <= rules.planer_width_nm or sections == strips:
            return needed, sections
        sections += 1


@dataclass(frozen=True, slots=True)
class Milled:
    """What one part is cut from and how.

    Attributes:
        part, stock: the finished piece and what it is cut from.
        pieces: how many pieces in the whole commission.
        strips: strips in a piece, 1 when solid.
        sections: glued sections a piece is planed in.
        milled_thickness_nm: thickness a strip is planed to.
        strip_width_nm: a strip's width when the part is finished.
        rough_thickness_nm: thickness the board must have.
        blank_width_nm, blank_length_nm: what is ripped and what is left between its ends, a segment's extra not counted.
        pieces_per_blank: more than 1 when pieces are too short to mill alone and are cut apart afterwards.
        blanks: blanks in the whole commission.
        flat: glued of boards edge to edge, each as thick as the part; otherwise strips stand on edge or lie face to face.
        by_hand: glued, and too wide or too heavy for the planer: flattened by hand.
        slab: glued, and too wide for the crosscut saw: trimmed, flattened and moved as a slab.
        rip_first: from boards wider than the jointer, of which a strip fits it.
        notes: what the maker should know.
    """

    part: Part
    stock: Stock
    pieces: int
    strips: int
    sections: int
    milled_thickness_nm: int
    strip_width_nm: int
    rough_thickness_nm: int
    blank_width_nm: int
    blank_length_nm: int
    pieces_per_blank: int
    blanks: int
    slab: bool = False
    flat: bool = False
    by_hand: bool = False
    rip_first: bool = False
    notes: tuple[str, ...] = ()

    @property
    def glued(self) -> bool:
        """Whether strips are glued into it: where they were to be worked out, one alone may be enough."""
        return self.part.laminated and self.strips > 1

    @property
    def line_width_nm(self) -> int:
        """Width of a glue line between two strips, before flattening."""
        return self.milled_thickness_nm if self.flat else self.blank_width_nm

    @property
    def strip_across_nm(self) -> int:
        """What one strip brings to the dimension that strips add up to."""
        return self.strip_width_nm if self.flat else self.milled_thickness_nm


def mill_all(parts: tuple[Part, ...], book: StockBook, rules: MillingRules, *, benches: int = 1) -> tuple[Milled, ...]:
    """Mill every part of a bench, for so many identical benches.

    Raises:
        NoSolution: for the parts that cannot be made, all of them named.
    """
    milled: list[Milled] = []
    refused: list[JournalError] = []
    for part in parts:
        try:
            milled.append(mill(part, book, rules, benches=benches))
        except JournalError as reason:
            refused.append(reason)
    if len(refused) == 1:
        raise refused[0]
    if refused:
        raise NoSolution(
            f"{len(refused)} parts cannot be made", "\n  " + "\n  ".join(str(reason) for reason in refused)
        )
    return tuple(milled)


def mill(part: Part, book: StockBook, rules: MillingRules, *, benches: int = 1) -> Milled:
    """Choose the cheapest stock among those meant that leaves enough to mill, and work out its blanks.

    Raises:
        NoSolution: when none does; says why, and what would.
        MissingReference: when the part names a stock that the shop does not have.
    """
    meant = book.find(part.stock)
    fits, why = _fitting(part, meant, rules, benches)
    if fits:
        return min(fits, key=_cost_of_lumber)
    others, _ = _fitting(part, tuple(s for s in book.stocks if s not in meant), rules, benches)
    same_kind = [m for m in others if _form(m.stock) == _form(meant[0])] or others
    advice = why[0].would_do
    if same_kind:
        nearest = min(same_kind, key=_cost_of_lumber).stock.code
        advice = f"{advice}, or make it from {nearest}" if advice else f"{nearest} would do"
    raise NoSolution(f"{part.label}", why[0].why, advice)


def _fitting(
    part: Part, stocks: tuple[Stock, ...], rules: MillingRules, benches: int
) -> tuple[list[Milled], list[NoSolution]]:
    fits: list[Milled] = []
    why: list[NoSolution] = []
    for stock in stocks:
        try:
            fits.append(
                _from_sheet(part, stock, rules, benches)
                if isinstance(stock, Sheet)
                else _from_lumber(part, stock, rules, benches)
            )
        except NoSolution as reason:
            why.append(reason)
    return fits, why


def _form(stock: Stock) -> str:
    return type(stock).__name__ + ("" if isinstance(stock, Sheet) else stock.species)


def _from_lumber(part: Part, stock: Dimensional | Rough, rules: MillingRules, benches: int) -> Milled:
    allowance_nm = rules.thickness_allowance_nm(part.length_nm)
    thickest_nm = stock.thickness_nm - allowance_nm
    panel = THINNEST_STRIP_NM <= part.thickness_nm <= min(thickest_nm, THICKEST_PANEL_NM)
    flat = part.along is Along.WIDTH and panel
    if flat:
        strips, finished_nm = _boards_edge_to_edge(part, stock, rules)
        sections, milled_nm = 1, part.thickness_nm
    else:
        strips, sections, milled_nm = _strips(part, stock, thickest_nm, rules)
        finished_nm = part.thickness_nm if part.along is Along.WIDTH else part.width_nm
    blank_width_nm = rules.strip_width_nm(finished_nm, glued=part.laminated and not flat)
    _check_width(part, stock, blank_width_nm, finished_nm, rules)
    per_blank = max(
        1, math.ceil((rules.shortest_nm + rules.kerf_crosscut_nm) / (part.length_nm + rules.kerf_crosscut_nm))
    )
    slab = part.along is Along.WIDTH and part.width_nm > rules.crosscut_width_nm
    trim_nm = rules.slab_trim_nm if slab else 0
    blank_length_nm = per_blank * part.length_nm + (per_blank - 1) * rules.kerf_crosscut_nm + trim_nm
    _check_length(part, stock, blank_length_nm, rules)
    pieces = part.quantity * benches
    notes = []
    if per_blank > 1:
        notes.append(
            f"too short to mill safely alone: {per_blank} are milled in one piece of {rules.shown.length(blank_length_nm)} and cut apart after"
        )
    wide = bool(rules.jointer_width_nm) and isinstance(stock, Dimensional) and stock.width_nm > rules.jointer_width_nm
    rip_first = wide and blank_width_nm <= rules.jointer_width_nm
    if isinstance(stock, Dimensional) and wide:
        way = (
            "rip it first"
            if rip_first
            else "its strips are too, so plane one face by hand, or use a sled in the planer"
        )
        notes.append(f"{stock.nominal} is wider than the jointer: {way}")
    return Milled(
        part=part,
        stock=stock,
        pieces=pieces,
        strips=strips,
        sections=sections,
        milled_thickness_nm=milled_nm,
        strip_width_nm=finished_nm,
        rough_thickness_nm=milled_nm + allowance_nm,
        blank_width_nm=blank_width_nm,
        blank_length_nm=blank_length_nm,
        pieces_per_blank=per_blank,
        blanks=math.ceil(pieces / per_blank) * strips,
        slab=slab,
        flat=flat,
        by_hand=flat and part.width_nm > rules.planer_width_nm > 0,
        rip_first=rip_first,
        notes=tuple(notes),
    )


def _boards_edge_to_edge(part: Part, stock: Dimensional | Rough, rules: MillingRules) -> tuple[int, int]:
    """(boards, finished width of each): as few as the stock's width allows, or as many as the maker asks for."""
    board_nm = stock.width_nm if isinstance(stock, Dimensional) else stock.usual_width_nm
    widest_nm = board_nm - 2 * rules.eased_edge_nm - rules.edge_jointing_nm
    total_nm = part.width_nm + rules.glued_edge_nm
    needed = max(2, math.ceil(total_nm / widest_nm)) if widest_nm > 0 else MOST_STRIPS + 1
    if needed > MOST_STRIPS:
        raise NoSolution(part.label, f"it would take more than {MOST_STRIPS} boards of {stock.code}", "use wider stock")
    if part.strips and part.strips < needed:
        raise NoSolution(
            part.label,
            f"{part.strips} boards of {stock.code} edge to edge, each {rules.shown.length(widest_nm)} at most, "
            f"do not make {rules.shown.length(part.width_nm)}",
            f"it takes {needed}",
        )
    strips = part.strips or needed
    return strips, math.ceil(total_nm / strips)


def _strips(part: Part, stock: Dimensional | Rough, thickest_nm: int, rules: MillingRules) -> tuple[int, int, int]:
    """(strips, sections, milled thickness): all strips thinned equally to add up to the part."""
    length = rules.shown.length(part.length_nm, feet=True)
    most = rules.shown.thickness(max(thickest_nm, 0))
    have = rules.shown.thickness(stock.thickness_nm)
    if thickest_nm < THINNEST_STRIP_NM:
        raise NoSolution(part.label, f"{stock.code} is {have} and leaves nothing once milled flat over {length}")
    if not part.laminated:
        if part.thickness_nm > thickest_nm:
            wanted = rules.shown.thickness(part.thickness_nm)
            count = math.ceil((part.thickness_nm + rules.glued_edge_nm) / thickest_nm)
            raise NoSolution(
                part.label,
                f"{wanted} thick cannot be milled from {stock.code}, {have} as sold: milled flat over {length} it leaves {most}",
                f"make it {most} or less, or glue it up of {count} strips along the thickness",
            )
        return 1, 1, part.thickness_nm
    across_nm = part.width_nm if part.along is Along.WIDTH else part.thickness_nm
    needed, sections = strips_needed(across_nm, thickest_nm, rules, part.strips)
    if part.along is Along.THICKNESS:
        sections = 1
        needed = math.ceil((across_nm + rules.glued_edge_nm) / thickest_nm)
    strips = part.strips or needed
    if strips < needed:
        raise NoSolution(
            part.label,
            f"{strips} strips of {stock.code}, each {most} once milled flat over {length}, do not add up to {rules.shown.length(across_nm)} and what is cleaned off",
            f"it takes {needed} strips",
        )
    if strips > MOST_STRIPS:
        raise NoSolution(part.label, f"it would take {strips} strips", f"at most {MOST_STRIPS} are glued into one part")
    total_nm = across_nm + rules.glued_edge_nm + (sections - 1) * rules.section_joint_nm
    milled_nm = math.ceil(total_nm / strips)
    if milled_nm < THINNEST_STRIP_NM:
        raise NoSolution(
            part.label,
            f"{strips} strips would be {rules.shown.thickness(milled_nm)} thick, under the {rules.shown.thickness(THINNEST_STRIP_NM)} a planer takes",
            f"it takes {needed} strips",
        )
    return strips, sections, milled_nm


def _check_width(
    part: Part, stock: Dimensional | Rough, blank_width_nm: int, finished_nm: int, rules: MillingRules
) -> None:
    board_nm = stock.width_nm if isinstance(stock, Dimensional) else stock.usual_width_nm
    usable_nm = board_nm - 2 * rules.eased_edge_nm
    if blank_width_nm <= usable_nm:
        return
    widest_nm = usable_nm - (blank_width_nm - finished_nm)
    board = (
        rules.shown.length(board_nm) if isinstance(stock, Dimensional) else f"usually {rules.shown.length(board_nm)}"
    )
    dimension = "thick" if part.along is Along.WIDTH else "wide"
    advice = f"{rules.shown.length(max(widest_nm, 0))} or less can be had from it" if widest_nm > 0 else ""
    if not part.laminated:
        advice += (", or " if advice else "") + "glue it up of strips along the width"
    raise NoSolution(
        part.label,
        f"{rules.shown.length(finished_nm)} {dimension} is wider than {stock.code} leaves; the board is {board} wide",
        advice,
    )


def _check_length(part: Part, stock: Dimensional | Rough, blank_length_nm: int, rules: MillingRules) -> None:
    longest_nm = (
        max((offer.length_nm for offer in stock.offers), default=0)
        if isinstance(stock, Dimensional)
        else stock.usual_length_nm
    )
    usable_nm = longest_nm - 2 * rules.end_trim_nm - rules.segment_extra_nm
    if blank_length_nm <= usable_nm:
        return
    if not longest_nm:
        raise NoSolution(part.label, f"no length of {stock.code} has a price", "add one under Prices")
    raise NoSolution(
        part.label,
        f"{rules.shown.length(part.length_nm, feet=True)} is longer than {stock.code} gives: "
        f"sold to {rules.shown.length(longest_nm, feet=True)}, {rules.shown.length(max(usable_nm, 0), feet=True)} once trimmed",
        "add a longer length under Prices, or make the part in two",
    )


def _from_sheet(part: Part, sheet: Sheet, rules: MillingRules, benches: int) -> Milled:
    have = rules.shown.thickness(sheet.thickness_nm)
    if part.laminated:
        raise NoSolution(part.label, f"{sheet.code} is a panel and is not glued up of strips", "make it 1 strip")
    near = min(
        abs(part.thickness_nm - t) for t in (sheet.thickness_nm, sheet.nominal_thickness_nm or sheet.thickness_nm)
    )
    if near > SHEET_TOLERANCE_NM:
        raise NoSolution(
            part.label,
            f"{rules.shown.length(part.thickness_nm)} thick cannot be cut from {sheet.code}, which is {have}",
            f"make it {have} thick",
        )
    width_nm, length_nm = part.width_nm, part.length_nm
    notes: tuple[str, ...] = ()
    if not sheet.grain and (width_nm > sheet.width_nm or length_nm > sheet.length_nm):
        width_nm, length_nm = length_nm, width_nm
        notes = ("turned on the sheet",)
    if width_nm > sheet.width_nm or length_nm > sheet.length_nm:
        size = f"{rules.shown.length(sheet.width_nm)} × {rules.shown.length(sheet.length_nm)}"
        raise NoSolution(part.label, f"it is larger than a sheet of {sheet.code}, {size}", "make it in two")
    pieces = part.quantity * benches
    return Milled(
        part=part,
        stock=sheet,
        pieces=pieces,
        strips=1,
        sections=1,
        milled_thickness_nm=sheet.thickness_nm,
        strip_width_nm=width_nm,
        rough_thickness_nm=sheet.thickness_nm,
        blank_width_nm=width_nm,
        blank_length_nm=length_nm,
        pieces_per_blank=1,
        blanks=pieces,
        notes=notes,
    )


def _cost_of_lumber(milled: Milled) -> float:
    """Rough cost in cents, for choosing between stocks: price by the length or board foot used, waste left out."""
    stock = milled.stock
    if isinstance(stock, Dimensional):
        per_nm = min(offer.price_cents / offer.length_nm for offer in stock.offers if offer.length_nm)
        across = max(1, stock.width_nm // milled.blank_width_nm)
        return milled.blanks * milled.blank_length_nm * per_nm / across
    area = milled.blank_width_nm * milled.blank_length_nm
    if isinstance(stock, Rough):
        return milled.blanks * units.board_feet(area * stock.thickness_nm) * stock.offer.price_cents
    return milled.blanks * stock.offer.price_cents * area / (stock.width_nm * stock.length_nm)
