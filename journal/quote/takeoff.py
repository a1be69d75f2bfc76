"""What a commission takes before any price: boards with their cuts, glue, finish, hardware, work, weight."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal import reference, units
from journal.build.finishing import FinishRules, Surface, finish_ml, surface
from journal.build.glue_plan import GluePlan, glue_plan
from journal.build.gluing import Glue, GlueRules, GlueUp, glue_needed, joints_of
from journal.build.milling import Milled, MillingRules, mill_all
from journal.build.steps import Sawing, Task, WorkRules, joint_words, tasks
from journal.build.stock import Dimensional, Offer, Rough, Sheet, Stock, StockBook
from journal.build.wood import USUAL_MOISTURE_PCT, weight_kg
from journal.cutting import plan as cutting_plan
from journal.cutting.problem import Blank, BoardProblem, CuttingResult, SawRules, StockLength
from journal.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Sequence

    from journal.build.clamping_rules import ClampingRules
    from journal.build.parts import Part
    from journal.build.step_work import OwnWork


@dataclass(frozen=True, slots=True)
class ShopRules:
    """How this shop works, as far as quantities go.

    Attributes:
        milling, glue, finish, work: what is left on, how it is glued, coated and worked.
        clamping: the glue's time, the clamps and the people; None when glue-ups are counted without a look at them.
        reject_dimensional, reject_rough, reject_sheet: share of what is bought that ends as waste for its faults (for
            random-width hardwood: everything between bought and net).
    """

    milling: MillingRules
    glue: GlueRules
    finish: FinishRules
    work: WorkRules
    reject_dimensional: float
    reject_rough: float
    reject_sheet: float
    clamping: ClampingRules | None = None

    def __post_init__(self) -> None:
        for name in ("reject_dimensional", "reject_rough", "reject_sheet"):
            if not 0 <= getattr(self, name) < 1:
                raise BadInput(name.replace("_", " "), getattr(self, name), "a share from 0 to under 1")


@dataclass(frozen=True, slots=True)
class Purchase:
    """So many of one offer: boards of one length, or sheets; spares are counted in `count` and said apart."""

    offer: Offer
    count: int
    spares: int = 0

    @property
    def cents(self) -> int:
        """What they cost together."""
        return self.count * self.offer.price_cents


@dataclass(frozen=True, slots=True)
class StockBill:
    """What is bought of one stock.

    Attributes:
        stock: what.
        purchases: by length or sheet; empty for hardwood by the board foot.
        board_feet: by nominal size for softwood, rough for hardwood, 0 for sheets.
        net_board_feet: in the blanks.
        cents: price of all of it.
        sawing: what it asks of the saw.
        cutting: the plan it rests on; None for hardwood in random widths, which has none before the boards are known.
        reject: the share allowed for faults.
    """

    stock: Stock
    purchases: tuple[Purchase, ...]
    board_feet: float
    net_board_feet: float
    cents: int
    sawing: Sawing
    cutting: CuttingResult | None
    reject: float


@dataclass(frozen=True, slots=True)
class Takeoff:
    """Everything a commission takes; see the modules of `build` for the fields.

    `own` are steps the maker added; `unedited` is the work before steps were changed, empty when none were.
    """

    benches: int
    milled: tuple[Milled, ...]
    bills: tuple[StockBill, ...]
    gluing: GluePlan
    glue: Glue
    surface: Surface
    finish_ml: float
    hardware: tuple[tuple[str, int], ...]
    tasks: tuple[Task, ...]
    weight_kg: float
    own: tuple[OwnWork, ...] = ()
    unedited: tuple[Task, ...] = ()

    @property
    def moisture_pct(self) -> float:
        """The moisture at which it is weighed."""
        return USUAL_MOISTURE_PCT

    @property
    def asked(self) -> tuple[Task, ...]:
        """The work as the parts ask for it, whatever the maker has changed in the steps."""
        return self.unedited or self.tasks

    @property
    def own_minutes(self) -> float:
        """Person-minutes of the maker's own steps, as typed."""
        return sum(work.minutes for work in self.own)

    @property
    def ups(self) -> tuple[GlueUp, ...]:
        """Every glue-up, alike ones counted together."""
        return self.gluing.ups

    @property
    def notes(self) -> tuple[str, ...]:
        """What the maker should know about single parts."""
        single = (f"{milled.part.label}: {note}" for milled in self.milled for note in milled.notes)
        return (*single, *self.gluing.troubles)


def take_off(parts: Sequence[Part], book: StockBook, rules: ShopRules, *, benches: int = 1) -> Takeoff:
    """What so many identical benches take.

    Raises:
        BadInput: when there are no parts.
        NoSolution, MissingReference: when a part cannot be made from the stock it names.
    """
    if not parts:
        raise BadInput("parts", "", "at least one part; paste or upload a part list")
    if not 1 <= benches <= 1000:
        raise BadInput("benches", benches, "a whole number from 1 to 1000")
    gluing = glue_plan(
        mill_all(tuple(parts), book, rules.milling, benches=benches), rules.milling, rules.glue, rules.clamping
    )
    milled = gluing.milled
    bills = tuple(_bill(stock, [m for m in milled if m.stock == stock], rules) for stock in _stocks(milled))
    area = surface(milled)
    return Takeoff(
        benches=benches,
        milled=milled,
        bills=bills,
        gluing=gluing,
        glue=glue_needed(gluing.ups, joints_of(milled, joint_words(reference.features())), rules.glue),
        surface=area,
        finish_ml=finish_ml(area, rules.finish),
        hardware=_hardware(milled),
        tasks=tasks(milled, [bill.sawing for bill in bills], gluing.ups, rules.finish, rules.work, benches=benches),
        weight_kg=sum(weight_kg(m) for m in milled),
    )


def _stocks(milled: Sequence[Milled]) -> tuple[Stock, ...]:
    return tuple({m.stock.code: m.stock for m in milled}.values())


def _hardware(milled: Sequence[Milled]) -> tuple[tuple[str, int], ...]:
    totals: dict[str, int] = {}
    for m in milled:
        for feature in m.part.features:
            if reference.find_feature(feature.word).hardware:
                totals[feature.word] = totals.get(feature.word, 0) + m.pieces * feature.count
    return tuple(totals.items())


def _bill(stock: Stock, milled: Sequence[Milled], rules: ShopRules) -> StockBill:
    if isinstance(stock, Rough):
        return _bill_by_board_foot(stock, milled, rules)
    offers = stock.offers if isinstance(stock, Dimensional) else (stock.offer,)
    result = cutting_plan(board_problem(stock, milled, rules.milling))
    reject = rules.reject_dimensional if isinstance(stock, Dimensional) else rules.reject_sheet
    counts = dict(result.shopping)
    purchases = _with_spares(
        [(o, counts[_offer_id(stock, o)]) for o in offers if _offer_id(stock, o) in counts], reject
    )
    boards = sum(purchase.count for purchase in purchases)
    net = sum(m.blanks * m.blank_width_nm * m.blank_length_nm * m.rough_thickness_nm for m in milled)
    return StockBill(
        stock=stock,
        purchases=purchases,
        board_feet=_board_feet(stock, purchases),
        net_board_feet=units.board_feet(net) if isinstance(stock, Dimensional) else 0.0,
        cents=sum(purchase.cents for purchase in purchases),
        sawing=_sawing(stock, result, boards),
        cutting=result,
        reject=reject,
    )


def _board_feet(stock: Dimensional | Sheet, purchases: Sequence[Purchase]) -> float:
    """Softwood is tallied on its nominal size (common practice); sheets are not tallied."""
    if isinstance(stock, Sheet):
        return 0.0
    section = stock.nominal_thickness_nm * stock.nominal_width_nm
    return sum(purchase.count * units.board_feet(section * purchase.offer.length_nm) for purchase in purchases)


def board_problem(stock: Dimensional | Sheet, milled: Sequence[Milled], rules: MillingRules) -> BoardProblem:
    """What is to be cut from one stock, in nanometres and cents; its lengths stand in the order of the offers."""
    lumber = isinstance(stock, Dimensional)
    offers = stock.offers if isinstance(stock, Dimensional) else (stock.offer,)
    return BoardProblem(
        stock=tuple(
            StockLength(
                id=_offer_id(stock, offer),
                family=stock.code,
                thickness=stock.thickness_nm,
                width=stock.width_nm,
                length=offer.length_nm or _sheet_length(stock),
                price_cents=offer.price_cents,
                available=offer.available,
                either_way=not lumber,
            )
            for offer in offers
        ),
        blanks=tuple(
            Blank(
                m.part.label,
                None,
                m.rough_thickness_nm if lumber else stock.thickness_nm,
                m.blank_width_nm,
                m.blank_length_nm,
                m.blanks,
                may_turn=isinstance(stock, Sheet) and not stock.grain,
            )
            for m in milled
        ),
        rules=SawRules(
            kerf_crosscut=rules.kerf_crosscut_nm,
            kerf_rip=rules.kerf_rip_nm,
            end_trim=rules.end_trim_nm if lumber else 0,
            segment_extra=rules.segment_extra_nm if lumber else 0,
            edge_allowance=2 * rules.eased_edge_nm if lumber else 0,
        ),
    )


def _offer_id(stock: Dimensional | Sheet, offer: Offer) -> str:
    if isinstance(stock, Sheet):
        return stock.code
    return f"{stock.code} {units.format_length(offer.length_nm, feet=True)}"


def _sheet_length(stock: Dimensional | Sheet) -> int:
    return stock.length_nm if isinstance(stock, Sheet) else 0


def _with_spares(bought: Sequence[tuple[Offer, int]], reject: float) -> tuple[Purchase, ...]:
    """Boards by offer, the spares for rejects counted in."""
    each = spare_boards([count for _, count in bought], reject)
    return tuple(Purchase(offer, count + more, more) for (offer, count), more in zip(bought, each, strict=True))


def spare_boards(counts: Sequence[int], reject: float) -> list[int]:
    """Spares for each lot of so many boards, so that ⌈n ÷ (1 − reject)⌉ are bought in all.

    Any board is as likely to be a bad one, so each length gets spares in proportion to what is bought of it.
    """
    total = sum(counts)
    spares = math.ceil(round(total / (1 - reject), 9)) - total
    return units.share(spares, counts) if counts else []


def _sawing(stock: Stock, result: CuttingResult, boards: int) -> Sawing:
    segments = [segment for board in result.plan.boards for segment in board.segments]
    return Sawing(
        stock=stock,
        boards=boards,
        crosscuts=len(segments) + len(result.plan.boards),
        segments=len(segments),
        segments_nm=sum(segment.length for segment in segments),
        rips_nm=sum(segment.length * len(segment.blanks) for segment in segments),
    )


def _bill_by_board_foot(stock: Rough, milled: Sequence[Milled], rules: ShopRules) -> StockBill:
    """Hardwood in random widths: net board feet ÷ (1 − waste), sawn as if all boards were of the usual size."""
    net_nm3 = segments = segments_nm = rips_nm = 0
    for m in milled:
        length_nm = m.blank_length_nm + rules.milling.segment_extra_nm
        net_nm3 += m.blanks * m.blank_width_nm * length_nm * stock.thickness_nm
        usable_nm = stock.usual_width_nm - 2 * rules.milling.eased_edge_nm + rules.milling.kerf_rip_nm
        across = max(1, usable_nm // (m.blank_width_nm + rules.milling.kerf_rip_nm))
        count = math.ceil(m.blanks / across)
        segments += count
        segments_nm += count * length_nm
        rips_nm += m.blanks * length_nm
    board_feet = units.board_feet(net_nm3) / (1 - rules.reject_rough)
    boards = math.ceil(board_feet / units.board_feet(stock.usual_width_nm * stock.usual_length_nm * stock.thickness_nm))
    return StockBill(
        stock=stock,
        purchases=(),
        board_feet=board_feet,
        net_board_feet=units.board_feet(net_nm3),
        cents=units.round_half_up(board_feet * stock.offer.price_cents),
        sawing=Sawing(stock, boards, segments + boards, segments, segments_nm, rips_nm),
        cutting=None,
        reject=rules.reject_rough,
    )
