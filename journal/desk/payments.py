"""Money in: what is due when, what was paid, what is still owed before unloading. Not bookkeeping.

A payment is kept with the text of its receipt; what is wrong is put right by a refund, never changed.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import timedelta
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from journal import __version__, units
from journal.desk import letter, promises, quote_content
from journal.errors import BadInput, Conflict, JournalError, MissingReference
from journal.quote.terms import BALANCE, DEPOSIT, Due
from journal.records.base import canonical
from journal.records.queries import money as records
from journal.records.queries import quotes as quote_records
from journal.records.queries.money import PaymentDraft
from journal.records.queries.shop import get_shop
from journal.records.words import DepositFate, PaymentKind, ProjectState
from journal.units.money import MAX_MINOR

if TYPE_CHECKING:
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from journal.desk.promises import Agreed, Life
    from journal.records.queries.money import PaymentRow

FORM = 1  # of a receipt's text
EXTRAS = "Extras"
LONGEST_NOTE = 10_000
OLDEST = timedelta(days=3652)  # a payment entered later than that is a slip of the year
_BASIS_POINTS = 10_000


@dataclass(frozen=True, slots=True)
class DueNow:
    """A payment that was agreed, and how much of it is there."""

    when: str
    cents: int
    paid_cents: int

    @property
    def left_cents(self) -> int:
        """Still to come."""
        return self.cents - self.paid_cents


@dataclass(frozen=True, slots=True)
class Money:
    """What a project owes and has paid; minor units, with tax.

    Attributes:
        agreed: None while nothing is agreed.
        dues: in the order they fall due, filled by what was paid.
        payments: oldest first.
        asked_cents: what is to be paid in all, extras included; of a cancelled project what the shop keeps.
        fate: what became of the deposit of a cancelled project.
    """

    life: Life
    agreed: Agreed | None
    dues: tuple[DueNow, ...]
    payments: tuple[PaymentRow, ...]
    asked_cents: int
    fate: DepositFate | None = None

    @property
    def paid_cents(self) -> int:
        """In, less what was given back."""
        return sum(payment.in_cents for payment in self.payments)

    @property
    def owed_cents(self) -> int:
        """Still owed before unloading."""
        return max(self.asked_cents - self.paid_cents, 0)

    @property
    def over_cents(self) -> int:
        """To be given back."""
        return max(self.paid_cents - self.asked_cents, 0)

    @property
    def next_due(self) -> DueNow | None:
        """The first payment that is not all there."""
        return next((due for due in self.dues if due.left_cents > 0), None)


@dataclass(frozen=True, slots=True)
class Paid:
    """A payment to enter."""

    on: date
    cents: int
    how: str = ""
    note: str = ""
    kind: PaymentKind = PaymentKind.PAYMENT

    def __post_init__(self) -> None:
        if not 0 < self.cents <= MAX_MINOR:
            raise BadInput("amount", self.cents, "an amount above 0")
        if len(self.how) > 60:
            raise BadInput("how", self.how, "a word or two, at most 60 characters")
        if len(self.note) > LONGEST_NOTE:
            raise BadInput("note", self.note, f"at most {LONGEST_NOTE:,} characters")


class MoreThanOwed(JournalError):  # noqa: N818 - named as those of journal.errors are
    """A payment of more than is owed, by so many cents, that nobody said is meant."""

    def __init__(self, more_cents: int) -> None:
        self.more_cents = more_cents
        super().__init__("the payment is more than is owed; say that it is meant, or mend the amount")


def money_of(session: Session, project_id: int) -> Money:
    """What is due, paid and owed. A constant number of queries."""
    life = promises.life_of(session, project_id)
    payments = records.payments(session, project_id)
    paid = sum(payment.in_cents for payment in payments)
    fate = _fate(life)
    if life.agreed is None or fate:
        kept = 0 if fate is DepositFate.RETURNED or life.agreed is None else max(paid, 0)
        return Money(life, life.agreed, (), payments, kept, fate)
    dues = _filled(_dues(session, life.agreed), paid)
    return Money(life, life.agreed, dues, payments, life.agreed.total_cents)


def pay(
    session: Session, project_id: int, paid: Paid, *, seen: int, today: date, now: datetime, meant: bool = False
) -> PaymentRow:
    """Enter a payment, or a refund, and write its receipt.

    `seen` is how many payments the page showed, so that a form sent twice pays once; `meant` lets more come in than is
    owed.

    Raises:
        Conflict: another payment was entered meanwhile.
        BadInput: nothing is agreed, a day to come, or more given back than was paid.
        MoreThanOwed: more came in than is owed, and it is not said that it is meant.
    """
    money = money_of(session, project_id)
    if len(money.payments) != seen:
        raise Conflict("the list of payments", "look whether this one is there already")
    _refuse(money, paid, today)
    more = paid.cents - money.owed_cents
    if paid.kind is PaymentKind.PAYMENT and more > 0 and not meant:
        raise MoreThanOwed(more)
    number = records.next_receipt(session, today.year)
    draft = PaymentDraft(
        number=number,
        on_date=paid.on,
        kind=paid.kind,
        currency=get_shop(session).currency,
        cents=paid.cents,
        how=paid.how.strip(),
        note=paid.note.strip(),
        payload=canonical(_receipt(session, money, paid, number)),
    )
    return records.add_payment(session, project_id, draft, tool_version=__version__, now=now)


def receipt(session: Session, project_id: int, payment_id: int) -> dict[str, Any]:
    """What a receipt says, as it was written.

    Raises:
        MissingReference: the project has no such payment.
        JournalError: its text does not fit its checksum.
    """
    row = records.get_payment(session, payment_id)
    if row.project_id != project_id:
        known = [one.number for one in records.payments(session, project_id)]
        raise MissingReference("payment of this project", str(payment_id), known)
    if row.damaged:
        raise JournalError(f"receipt {row.number} is damaged: its checksum does not fit; restore a backup")
    said: dict[str, Any] = json.loads(row.payload)
    return said


def _refuse(money: Money, paid: Paid, today: date) -> None:
    if money.agreed is None:
        raise BadInput("payment", paid.cents, "a project that is agreed; accept it first")
    if not today - OLDEST <= paid.on <= today:
        raise BadInput("on", paid.on.isoformat(), "today or a day before")
    if paid.kind is PaymentKind.REFUND and paid.cents > money.paid_cents:
        raise BadInput("amount", paid.cents, "not more given back than was paid")


def _dues(session: Session, agreed: Agreed) -> list[Due]:
    """The payments agreed, the extras after them; what extras take away comes off the last ones."""
    dues = _first_dues(session, agreed)
    more = agreed.total_cents - sum(due.cents for due in dues)
    if more > 0:
        return [*dues, Due(EXTRAS, more)]
    while more < 0 and dues:
        last = dues.pop()
        left = last.cents + more
        more = min(left, 0)
        if left > 0:
            dues.append(Due(last.when, left))
    return dues


def _first_dues(session: Session, agreed: Agreed) -> list[Due]:
    if agreed.quote:
        content = quote_content.read(quote_records.get_quote(session, agreed.quote.id))
        return list(quote_content.dues_of(content))
    total = agreed.net_cents + agreed.tax_cents
    share = Fraction(get_shop(session).deposit_bp, _BASIS_POINTS)
    parts = zip((DEPOSIT, BALANCE), units.share(total, [share, 1 - share]), strict=True)
    return [Due(when, cents) for when, cents in parts if cents]


def _filled(dues: list[Due], paid_cents: int) -> tuple[DueNow, ...]:
    """What was paid fills the payments in their order."""
    found = []
    left = max(paid_cents, 0)
    for due in dues:
        taken = min(due.cents, left)
        left -= taken
        found.append(DueNow(due.when, due.cents, taken))
    return tuple(found)


def _fate(life: Life) -> DepositFate | None:
    """Of a project that stands cancelled."""
    if life.project.state is not ProjectState.CANCELLED or not life.standing:
        return None
    return life.standing[-1].deposit


def _receipt(session: Session, money: Money, paid: Paid, number: str) -> dict[str, Any]:
    project = money.life.project
    after = money.paid_cents + (-paid.cents if paid.kind is PaymentKind.REFUND else paid.cents)
    return {
        "form": FORM,
        "number": number,
        "on": paid.on.isoformat(),
        "kind": str(paid.kind),
        "cents": paid.cents,
        "how": paid.how.strip(),
        "note": paid.note.strip(),
        "shop": letter.sender(session),
        "asked_cents": money.asked_cents,
        "paid_cents": after,
        "owed_cents": max(money.asked_cents - after, 0),
        **letter.addressee(session, money.agreed, project),
    }
