"""Receipts: what was bought, when, for which project, and what became of it."""

from collections import defaultdict
from dataclasses import asdict, dataclass, fields
from datetime import date, datetime

from sqlalchemy import Select, select
from sqlalchemy.orm import Session, selectinload

from journal.errors import BadInput, MissingReference
from journal.records.queries.values import require_from, require_text, to_value
from journal.records.tables import Purchase, PurchaseLine


@dataclass(frozen=True, slots=True, kw_only=True)
class LineRow:
    """One line of a receipt; the price is of the whole line. id 0: not saved yet."""

    stock_code: str
    quantity: float
    price_cents: int
    length_nm: int | None = None
    board_feet: float | None = None
    used_quantity: float | None = None
    rejected_quantity: float | None = None
    id: int = 0

    def __post_init__(self) -> None:
        require_text("stock", self.stock_code, "a stock code")
        require_from("quantity", self.quantity, 1e-9, "a quantity over 0")
        require_from("price", self.price_cents, 0, "an amount, 0 or more")
        require_from("board feet", self.board_feet, 1e-9, "a volume over 0, or nothing")
        if (self.used_quantity or 0) + (self.rejected_quantity or 0) > self.quantity:
            raise BadInput(f"used of {self.stock_code}", self.used_quantity, "used and rejected within what was bought")


@dataclass(frozen=True, slots=True, kw_only=True)
class PurchaseRow:
    """One receipt with its lines. No project: for the rack. id 0: not saved yet. `voided_at`: it counts no more."""

    on_date: date
    supplier: str = ""
    project_id: int | None = None
    freight_cents: int = 0
    tax_cents: int = 0
    note: str = ""
    lines: tuple[LineRow, ...] = ()
    id: int = 0
    voided_at: datetime | None = None

    @property
    def cents(self) -> int:
        """What was paid."""
        return sum(line.price_cents for line in self.lines) + self.freight_cents + self.tax_cents

    def __post_init__(self) -> None:
        require_from("freight", self.freight_cents, 0, "an amount, 0 or more")
        require_from("tax", self.tax_cents, 0, "an amount, 0 or more")


def purchases(session: Session, *, project_id: int | None = None) -> tuple[PurchaseRow, ...]:
    """Receipts that count, by day, with their lines; of one project when it is named. Two statements."""
    counts = Purchase.voided_at.is_(None)
    if project_id is not None:
        counts &= Purchase.project_id == project_id
    # By columns: thousands of rows as objects that could be changed take three times as long.
    query = select(PurchaseLine.purchase_id, *_LINE).join(Purchase).where(counts).order_by(PurchaseLine.id)
    lines: dict[int, list[LineRow]] = defaultdict(list)
    for purchase_id, *values in session.execute(query):
        lines[purchase_id].append(LineRow(**dict(zip(_LINE_NAMES, values, strict=True))))
    heads = session.execute(select(*_HEAD).where(counts).order_by(Purchase.on_date, Purchase.id))
    return tuple(PurchaseRow(**row, lines=tuple(lines[row["id"]])) for row in heads.mappings())


_LINE_NAMES = tuple(field.name for field in fields(LineRow))
_LINE = tuple(getattr(PurchaseLine, name) for name in _LINE_NAMES)
_HEAD = tuple(getattr(Purchase, field.name) for field in fields(PurchaseRow) if field.name != "lines")


def get_purchase(session: Session, purchase_id: int) -> PurchaseRow:
    """One receipt, also when it counts no more; MissingReference when there is none. Two statements."""
    row = session.scalar(_with_lines().where(Purchase.id == purchase_id))
    if row is None:
        raise MissingReference("receipt", str(purchase_id), [])
    return _value(row)


def void(session: Session, purchase_id: int, *, at: datetime | None) -> None:
    """From now on a receipt does not count; with no moment, it counts again."""
    row = session.get(Purchase, purchase_id)
    if row is None:
        raise MissingReference("receipt", str(purchase_id), [])
    row.voided_at = at
    session.flush()


def set_fate(session: Session, line_id: int, used: float | None, rejected: float | None) -> None:
    """Say what became of a line of a receipt."""
    row = session.get(PurchaseLine, line_id)
    if row is None:
        raise MissingReference("line of a receipt", str(line_id), [])
    if (used or 0) < 0 or (rejected or 0) < 0 or (used or 0) + (rejected or 0) > row.quantity:
        raise BadInput(f"used of {row.stock_code}", used, "used and rejected within what was bought")
    row.used_quantity, row.rejected_quantity = used, rejected
    session.flush()


def add_purchase(session: Session, purchase: PurchaseRow) -> PurchaseRow:
    """Keep one receipt."""
    content = {name: value for name, value in asdict(purchase).items() if name not in ("id", "lines")}
    lines = [{name: value for name, value in asdict(line).items() if name != "id"} for line in purchase.lines]
    row = Purchase(**content, lines=[PurchaseLine(**line) for line in lines])
    session.add(row)
    session.flush()
    return _value(row)


def _with_lines() -> Select[Purchase]:
    return select(Purchase).options(selectinload(Purchase.lines))


def _value(row: Purchase) -> PurchaseRow:
    return to_value(PurchaseRow, row, lines=tuple(to_value(LineRow, line) for line in row.lines))
