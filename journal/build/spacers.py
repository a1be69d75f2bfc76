"""Joints formed by leaving strips short: how large are the openings, which blocks keep them clear, what glue do they save?

A mortise, lap or slot in a laminated part can be left open instead of cut: where the joint comes, one strip stops short
and a waxed block of the strip's own thickness and width holds its place in the clamps (common practice). The piece that
goes in decides how long the opening is. The part list does not say which piece that is, so tenoned parts are taken in
its order until every such joint has one; what is left over has no known length and is said so.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Sequence

    from journal.build.milling import Milled, MillingRules

JOINT, MATE = "laminated joint", "tenon"


@dataclass(frozen=True, slots=True)
class Opening:
    """Joints of one kind in one part.

    Attributes:
        part, mate: labels of the part that is left open, and of what goes in; no mate when none is known.
        count: in the whole commission.
        length_nm: along the part, as wide as the mate; 0 when no mate is known.
    """

    part: str
    mate: str
    count: int
    length_nm: int


@dataclass(frozen=True, slots=True)
class Block:
    """Spacer blocks of one size, and the piece of stock they are cut from.

    Attributes:
        part, mate: which joints they keep open.
        count: blocks.
        thickness_nm, width_nm, length_nm: of one: planed and ripped with the strips, as long as the mate is wide.
        stock_length_nm: the piece they are cut from, saw cuts and what is left for snipe and holding included.
    """

    part: str
    mate: str
    count: int
    thickness_nm: int
    width_nm: int
    length_nm: int
    stock_length_nm: int


def openings(parts: Sequence[Milled]) -> tuple[Opening, ...]:
    """The joints left open in every laminated part, with what goes into them."""
    mates = [m for m in parts if m.part.count(MATE)]
    left = {m.part.label: m.pieces * m.part.count(MATE) for m in mates}
    found = []
    for milled in parts:
        wanted = milled.pieces * milled.part.count(JOINT) if milled.glued else 0
        for mate in mates:
            taken = min(wanted, left[mate.part.label])
            if taken and mate.part.label != milled.part.label:
                found.append(Opening(milled.part.label, mate.part.label, taken, mate.part.width_nm))
                left[mate.part.label] -= taken
                wanted -= taken
        if wanted:
            found.append(Opening(milled.part.label, "", wanted, 0))
    return tuple(found)


def blocks(parts: Sequence[Milled], rules: MillingRules) -> tuple[Block, ...]:
    """The spacer blocks for all openings whose length is known, one a joint."""
    by_label = {milled.part.label: milled for milled in parts}
    return tuple(_block(by_label[opening.part], opening, rules) for opening in openings(parts) if opening.length_nm)


def _block(milled: Milled, opening: Opening, rules: MillingRules) -> Block:
    return Block(
        part=opening.part,
        mate=opening.mate,
        count=opening.count,
        thickness_nm=milled.milled_thickness_nm,
        width_nm=milled.line_width_nm,
        length_nm=opening.length_nm,
        stock_length_nm=block_stock_nm(opening.count, opening.length_nm, rules),
    )


def block_stock_nm(count: int, length_nm: int, rules: MillingRules) -> int:
    """Length of the piece that so many blocks are cut from: n × (block + saw cut) + what snipe and squaring take.

    No shorter than the machines take, as it is planed and ripped with the strips.
    """
    if count < 1:
        raise BadInput("blocks", count, "1 or more")
    return max(count * (length_nm + rules.kerf_crosscut_nm) + rules.segment_extra_nm, rules.shortest_nm)


def lines_open(strips: int) -> int:
    """Glue lines that an opening one strip wide interrupts: both sides of an inner strip, one of an outer one."""
    if strips < 2:
        raise BadInput("strips", strips, "2 or more")
    return 2 if strips > 2 else 1


def open_area_nm2(milled: Milled, found: Sequence[Opening]) -> int:
    """Glue line area of all pieces of a part that is not glued because it is left open."""
    mine = sum(opening.count * opening.length_nm for opening in found if opening.part == milled.part.label)
    return mine * milled.line_width_nm * lines_open(milled.strips) if mine else 0
