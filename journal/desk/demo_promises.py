"""How the demo shop's jobs came to be agreed, built, delivered and closed, and what their clients paid."""

from __future__ import annotations

from datetime import UTC, datetime, time
from typing import TYPE_CHECKING

from journal.desk import payments, promises
from journal.records.queries import moves
from journal.records.queries.moves import MoveDraft
from journal.records.words import ProjectState

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from datetime import date

    from sqlalchemy.orm import Session

    from journal.desk.payments import Paid
    from journal.records.queries.projects import ProjectDraft

_NOON = time(12, tzinfo=UTC)
_AGREEMENT = ("agreed_on", "agreed_price_cents", "agreed_minutes", "quoted_cost_cents", "promised_on")


def put(
    session: Session, drafts: Sequence[ProjectDraft], ids: Mapping[str, int], paid: Sequence[tuple[int, Paid]]
) -> None:
    """The moves of each job by its days, then the payments with their receipts, all as if entered that day."""
    last = {project_id: payment.on for project_id, payment in paid}
    for draft in drafts:
        for move in _moves(session, draft, last.get(ids[draft.code])):
            moves.add_move(session, ids[draft.code], move, datetime.combine(move.on_date, _NOON))
    for project_id, payment in paid:
        seen = len(payments.money_of(session, project_id).payments)
        noon = datetime.combine(payment.on, _NOON)
        payments.pay(session, project_id, payment, seen=seen, today=payment.on, now=noon)


def _moves(session: Session, draft: ProjectDraft, paid_on: date | None) -> Iterator[MoveDraft]:
    """One after the other; a job is closed once it is paid."""
    delivered = draft.delivered_on
    closed_on = max(delivered, paid_on) if delivered and paid_on else delivered
    days = (
        (ProjectState.ACCEPTED, draft.agreed_on, _AGREEMENT),
        (ProjectState.IN_BUILD, draft.started_on, ("started_on",)),
        (ProjectState.DELIVERED, delivered, ("delivered_on",)),
        (ProjectState.CLOSED, closed_on if draft.state is ProjectState.CLOSED else None, ()),
    )
    state = ProjectState.ENQUIRY
    for end, on, changed in days:
        if on is None:
            return
        net = draft.agreed_price_cents if end is ProjectState.ACCEPTED else None
        tax = None if net is None else promises.shop_tax(session, net)
        before = dict.fromkeys(changed)
        yield MoveDraft(on_date=on, from_state=state, to_state=end, net_cents=net, tax_cents=tax, before=before)
        state = end
