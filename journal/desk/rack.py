"""The rack: what is on it, whose it is, and what it cost."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

from journal import units
from journal.desk.remembered import Remembered
from journal.errors import BadInput
from journal.quote.rack_value import Flow, Flowed, Method, run
from journal.records.queries import projects as project_records
from journal.records.queries import rack as rack_records
from journal.records.queries import rack_flow
from journal.records.queries import shop as shop_records
from journal.records.queries import stock as stock_records
from journal.records.queries.shop import SettingRow
from journal.records.words import ProjectState, StockForm

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import date

    from sqlalchemy.orm import Session

    from journal.records.queries.projects import ProjectRow
    from journal.records.queries.rack import ActRow, BoardRow, MoveRow

COST_SETTING = "rack_cost"  # kept beside the shop's changed allowances
ACTS_SHOWN = 30
OPEN = (
    ProjectState.ENQUIRY,
    ProjectState.QUOTED,
    ProjectState.ACCEPTED,
    ProjectState.IN_BUILD,
    ProjectState.ON_HOLD,
)


@dataclass(frozen=True, slots=True)
class Kind:
    """Boards on the rack that cannot be told apart, oldest first; `project` is whom they are planned for."""

    boards: tuple[BoardRow, ...]
    project: ProjectRow | None = None

    @property
    def first(self) -> BoardRow:
        """The oldest."""
        return self.boards[0]

    @property
    def count(self) -> int:
        """How many."""
        return len(self.boards)

    @property
    def board_feet(self) -> float:
        """Full size, all of them."""
        return units.board_feet(sum(board.volume_nm3 for board in self.boards))


@dataclass(frozen=True, slots=True)
class StockOnRack:
    """One stock on the rack; `cost_cents` by the shop's way of counting."""

    code: str
    form: StockForm | None
    kinds: tuple[Kind, ...]
    cost_cents: int

    @property
    def count(self) -> int:
        """Boards of it."""
        return sum(kind.count for kind in self.kinds)


@dataclass(frozen=True, slots=True)
class Rack:
    """What is on the rack: by stock, with what it cost; `last` is what was done last."""

    stocks: tuple[StockOnRack, ...]
    method: Method
    last: ActRow | None

    @property
    def cost_cents(self) -> int:
        """Of everything."""
        return sum(stock.cost_cents for stock in self.stocks)

    @property
    def boards(self) -> tuple[BoardRow, ...]:
        """Every board."""
        return tuple(board for stock in self.stocks for kind in stock.kinds for board in kind.boards)


@dataclass(frozen=True, slots=True)
class BoardPage:
    """A board, its equals on the rack (itself first), and its story."""

    kind: Kind
    story: tuple[tuple[ActRow, MoveRow], ...]


def shown(session: Session, today: date) -> Rack:
    """The rack as it is. A constant number of statements."""
    forms = {one.item.code: one.item.form for one in stock_records.stock_items(session, today)}
    projects = projects_by_id(session)
    by_stock: dict[str, list[BoardRow]] = defaultdict(list)
    for board in rack_records.boards(session):
        by_stock[board.stock_code].append(board)
    method = cost_method(session)
    cost = costs(session, method)
    acts = rack_records.acts(session, most=1)
    return Rack(
        stocks=tuple(
            StockOnRack(code, forms.get(code), kinds_of(boards, projects), cost[code].left_cents)
            for code, boards in by_stock.items()
        ),
        method=method,
        last=acts[0] if acts else None,
    )


def board_page(session: Session, board_id: int) -> BoardPage:
    """One board with its story; gone or not.

    Raises:
        MissingReference: there never was one of that number.
    """
    (board,) = rack_records.get_boards(session, (board_id,))
    alike = [one for one in rack_records.boards(session, stock_code=board.stock_code) if one.kind == board.kind]
    others = [one for one in alike if one.id != board.id] if board.there else []
    projects = projects_by_id(session)
    return BoardPage(
        Kind((board, *others), projects.get(board.project_id or 0)), rack_records.moves_of(session, board_id)
    )


def cost_method(session: Session) -> Method:
    """How the shop counts what wood cost; on average unless it said otherwise."""
    kept = shop_records.settings(session).get(COST_SETTING)
    return Method(kept.value) if kept and kept.value in set(Method) else Method.AVERAGE


def choose_cost_method(session: Session, chosen: str) -> None:
    """Count so from now on, and everything so far.

    Raises:
        BadInput: it is neither.
    """
    if chosen not in set(Method):
        raise BadInput("counting", chosen, " or ".join(Method))
    shop_records.put_setting(session, SettingRow(key=COST_SETTING, value=chosen, unit=""))


_costs: Remembered[Mapping[str, Flowed]] = Remembered(2)


def costs(session: Session, method: Method) -> Mapping[str, Flowed]:
    """What the wood on the rack cost, by stock. One statement; the same journal is read once."""
    return _costs.of_journal(session, method, lambda: _worked_out(session, method))


def _worked_out(session: Session, method: Method) -> Mapping[str, Flowed]:
    flows: dict[str, list[Flow]] = defaultdict(list)
    for move in rack_flow.cost_moves(session):
        flows[move.stock_code].append(_flow(move))
    return MappingProxyType({code: run(each, method) for code, each in flows.items()})


def costed_moves(session: Session) -> Mapping[str, tuple[tuple[rack_flow.CostMove, int], ...]]:
    """Every move of wood on and off the rack with what it was worth, by stock and in order. Two statements."""
    method = cost_method(session)
    by_stock: dict[str, list[rack_flow.CostMove]] = defaultdict(list)
    for move in rack_flow.cost_moves(session):
        by_stock[move.stock_code].append(move)
    return {code: _costed(moves, method) for code, moves in by_stock.items()}


def _costed(moves: Sequence[rack_flow.CostMove], method: Method) -> tuple[tuple[rack_flow.CostMove, int], ...]:
    outs = iter(run([_flow(move) for move in moves], method).outs)
    return tuple((move, move.cost_cents if move.change > 0 else next(outs)) for move in moves)


def _flow(move: rack_flow.CostMove) -> Flow:
    return Flow(move.volume_nm3, move.cost_cents if move.change > 0 else None)


_projects: Remembered[Mapping[int, ProjectRow]] = Remembered(2)


def projects_by_id(session: Session) -> Mapping[int, ProjectRow]:
    """Every project. One statement; the same journal is read once."""
    return _projects.of_journal(session, None, lambda: _read_projects(session))


def _read_projects(session: Session) -> Mapping[int, ProjectRow]:
    return MappingProxyType({one.id: one for one in project_records.all_projects(session)})


def open_projects(session: Session) -> tuple[ProjectRow, ...]:
    """Projects that may still want boards, newest number first. One statement."""
    return project_records.all_projects(session, OPEN)


def project(session: Session, project_id: int) -> ProjectRow:
    """One project; MissingReference when there is none."""
    return project_records.get_project(session, project_id)


def history(session: Session) -> tuple[ActRow, ...]:
    """What was done last, newest first."""
    return rack_records.acts(session, most=ACTS_SHOWN)


def kinds_of(boards: Iterable[BoardRow], projects: Mapping[int, ProjectRow]) -> tuple[Kind, ...]:
    """Largest first, offcuts last."""
    alike: dict[tuple[object, ...], list[BoardRow]] = defaultdict(list)
    for board in boards:
        alike[board.kind].append(board)
    made = [Kind(tuple(each), projects.get(each[0].project_id or 0)) for each in alike.values()]
    return tuple(sorted(made, key=lambda one: (one.first.offcut, -one.first.length_nm, -one.first.width_nm)))
