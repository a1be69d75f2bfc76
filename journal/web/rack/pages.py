"""What the templates of the Rack section receive."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.records.words import PricePer, RackMoveKind
from journal.web.rack.forms import METHODS

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from journal.desk.photos import Hung
    from journal.desk.rack import BoardPage as Board
    from journal.desk.rack import Kind, Rack
    from journal.desk.receipts import Worked
    from journal.desk.shelf import OnShelf
    from journal.desk.shelf_events import Happened
    from journal.records.queries.projects import ProjectRow
    from journal.records.queries.purchases import PurchaseRow
    from journal.records.queries.rack import ActRow
    from journal.web.rack.forms import AddForm, CostForm, NoteForm, OffForm, StretchForm, TakeForm, UseForm
    from journal.web.rack.receipt_form import Typed

TOLD = {
    RackMoveKind.BOUGHT: "bought",
    RackMoveKind.COUNTED: "counted",
    RackMoveKind.PLANNED: "planned",
    RackMoveKind.FREED: "made free",
    RackMoveKind.DRAWN: "drawn",
    RackMoveKind.RETURNED: "left over, returned",
    RackMoveKind.WRITTEN_OFF: "written off",
    RackMoveKind.NOTED: "noted",
    RackMoveKind.UNDONE: "taken back",
}
PER = {
    PricePer.PIECE: "each",
    PricePer.BOARD_FOOT: "a board foot",
    PricePer.FOOT: "a foot",
    PricePer.SHEET: "a sheet",
    PricePer.CONTAINER: "a container",
    PricePer.EACH: "each",
}
STORY_SHOWN = 60  # things that happened to something on the shelf, the newest
OLD_DAYS = 365  # lumber that has lain so long is worth a look


@dataclass(frozen=True, slots=True)
class ShelfLine:
    """Something on the shelf; `own` is what of it was bought for a project: its number, and how much."""

    one: OnShelf
    own: tuple[tuple[ProjectRow, float], ...]


@dataclass(frozen=True, slots=True)
class ShelfView:
    """What rack/shelf.html receives: something on the shelf, its story newest first, projects by id, the form of taking."""

    line: ShelfLine
    story: tuple[Happened, ...]
    projects: Mapping[int, ProjectRow]
    form: TakeForm
    start: date


@dataclass(frozen=True, slots=True)
class ShelfCount:
    """Something on the shelf on the count sheet: its box, what is wrong with it."""

    one: OnShelf
    name: str
    value: str = ""
    error: str = ""


@dataclass(frozen=True, slots=True)
class RackPage:
    """What rack/index.html receives: the rack, how many are free, the form of how cost is counted, today, the shelf."""

    rack: Rack
    free: int
    planned: int
    offcuts: int
    cost: CostForm
    today: date
    shelf: tuple[ShelfLine, ...]

    @property
    def counted(self) -> str:
        """How cost is counted."""
        return METHODS[self.rack.method]


@dataclass(frozen=True, slots=True)
class BoardView:
    """What rack/board.html receives; the forms only while the board is there."""

    board: Board
    use: UseForm
    off: OffForm
    stretch: StretchForm
    note: NoteForm
    today: date


@dataclass(frozen=True, slots=True)
class AddPage:
    """What rack/add.html receives."""

    form: AddForm


@dataclass(frozen=True, slots=True)
class HistoryPage:
    """What rack/history.html receives."""

    acts: tuple[ActRow, ...]


@dataclass(frozen=True, slots=True)
class CountLine:
    """A kind on the count sheet: how many are listed, the box, what is wrong with it."""

    kind: Kind
    name: str
    value: str = ""
    error: str = ""


@dataclass(frozen=True, slots=True)
class CountPage:
    """What rack/count.html receives: stock by stock, then the shelf."""

    stocks: tuple[tuple[str, tuple[CountLine, ...]], ...]
    shelf: tuple[ShelfCount, ...]
    refused: bool = False


@dataclass(frozen=True, slots=True)
class ReceiptsPage:
    """What rack/purchases.html receives: receipts newest first, projects by id, which page of how many this is."""

    receipts: tuple[PurchaseRow, ...]
    projects: Mapping[int, ProjectRow]
    number: int
    last: int


@dataclass(frozen=True, slots=True)
class ReceiptPage:
    """What rack/receipt.html receives; `worked` once it was worked out, `corrects` the receipt that is put right.

    `photos` are those of that receipt.
    """

    typed: Typed
    worked: Worked | None = None
    corrects: int | None = None
    photos: tuple[Hung, ...] = ()


def shelf_line(one: OnShelf, projects: Mapping[int, ProjectRow]) -> ShelfLine:
    """With the projects it was bought for."""
    return ShelfLine(one, tuple((projects[key], amount) for key, amount in one.own if key in projects))


def age(since: date, today: date) -> str:
    """How long something has been there."""
    days = (today - since).days
    if days < 1:
        return "today"
    if days < 60:
        return f"{days} day{'s' if days > 1 else ''}"
    return f"{days // 30} months" if days < 2 * OLD_DAYS else f"{days // OLD_DAYS} years"
