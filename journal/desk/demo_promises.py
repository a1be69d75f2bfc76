"""How the demo shop's jobs came to be agreed, built, delivered and closed, what their clients paid, and the open quotes.

What was built was agreed by word, at the shop's guess of then; only what was asked for last has a quote.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time
from decimal import Decimal
from typing import TYPE_CHECKING

from journal.desk import payments, promises, quoting
from journal.errors import JournalError
from journal.records.queries import moves, projects
from journal.records.queries.moves import MoveDraft
from journal.records.words import ProjectState

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from sqlalchemy.orm import Session

    from journal.desk.payments import Paid
    from journal.desk.quoting import Press
    from journal.records.queries.projects import ProjectDraft

_NOON = time(12, tzinfo=UTC)
_AGREEMENT = ("agreed_on", "agreed_price_cents", "agreed_minutes", "quoted_cost_cents", "promised_on")


@dataclass(frozen=True, slots=True)
class _Quoted:
    """A quote as it was issued: of which job, until when (None: as long as the shop's are), what it says besides."""

    code: str
    valid_until: date | None = None
    more: str = ""


_QUOTED_ON = date(2026, 11, 20)  # both, as the paces of one day are learned once
_QUOTED_WEEKS = Decimal(30)
_QUOTED = (
    _Quoted("26-005"),
    _Quoted("26-006", date(2026, 11, 24), "The maple is priced as the yard holds it until this quote ends."),
)


def issue_quotes(session: Session, press: Press) -> None:
    """The quotes that nobody has answered yet, one of them past its date, each as it would have been issued that day."""
    for one in _QUOTED:
        project = projects.find_project(session, one.code)
        draft = quoting.begin(session, project.id, _QUOTED_ON, weeks=_QUOTED_WEEKS)
        if draft.asked is None:
            raise JournalError(f"the demo project {one.code} cannot be quoted: {draft.troubles}")
        asked = replace(
            draft.asked,
            client=project.client_kind,
            terms="\n".join(filter(None, (draft.asked.terms, one.more))),
            valid_until=one.valid_until or draft.asked.valid_until,
        )
        noon = datetime.combine(_QUOTED_ON, _NOON)
        quoting.issue(session, project.id, asked, press, seen=draft.seen, today=_QUOTED_ON, now=noon)


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
