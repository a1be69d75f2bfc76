"""Receipts: what was bought, when, for which project, and what became of it."""

from dataclasses import asdict, dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session, selectinload

from journal.errors import BadInput
from journal.records.queries.values import require_from, require_text, to_value
from journal.records.tables import Purchase, PurchaseLine


@dataclass(frozen=True, slots=True, kw_only=True)
class LineRow:
    """One line of a receipt; the price is of the whole line."""

    stock_code: str
    quantity: float
    price_cents: int
    length_nm: int | None = None
    board_feet: float | None = None
    used_quantity: float | None = None
    rejected_quantity: float | None = None

    def __post_init__(self) -> None:
        require_text("stock", self.stock_code, "a stock code")
        require_from("quantity", self.quantity, 1e-9, "a quantity over 0")
        require_from("price", self.price_cents, 0, "an amount, 0 or more")
        require_from("board feet", self.board_feet, 1e-9, "a volume over 0, or nothing")
        if (self.used_quantity or 0) + (self.rejected_quantity or 0) > self.quantity:
            raise BadInput(f"used of {self.stock_code}", self.used_quantity, "used and rejected within what was bought")


@dataclass(frozen=True, slots=True, kw_only=True)
class PurchaseRow:
    """One receipt with its lines. No project: for the rack. id 0: not saved yet."""

    on_date: date
    supplier: str = ""
    project_id: int | None = None
    freight_cents: int = 0
    tax_cents: int = 0
    note: str = ""
    lines: tuple[LineRow, ...] = ()
    id: int = 0

    def __post_init__(self) -> None:
        require_from("freight", self.freight_cents, 0, "an amount, 0 or more")
        require_from("tax", self.tax_cents, 0, "an amount, 0 or more")


def purchases(session: Session, *, project_id: int | None = None) -> tuple[PurchaseRow, ...]:
    """Receipts by day with their lines; of one project when it is named. Two statements."""
    query = select(Purchase).options(selectinload(Purchase.lines)).order_by(Purchase.on_date, Purchase.id)
    if project_id is not None:
        query = query.where(Purchase.project_id == project_id)
    return tuple(_value(row) for row in session.scalars(query))


def add_purchase(session: Session, purchase: PurchaseRow) -> PurchaseRow:
    """Keep one receipt."""
    content = {name: value for name, value in asdict(purchase).items() if name not in ("id", "lines")}
    row = Purchase(**content, lines=[PurchaseLine(**asdict(line)) for line in purchase.lines])
    session.add(row)
    session.flush()
    return _value(row)


def _value(row: Purchase) -> PurchaseRow:
    return to_value(PurchaseRow, row, lines=tuple(to_value(LineRow, line) for line in row.lines))
