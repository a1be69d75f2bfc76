"""What stands at the head of a paper for a client: whose it is, and for whom and for what."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from journal.desk import buying, quote_content
from journal.records.queries import quotes as quote_records
from journal.records.queries.shop import get_shop

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from journal.desk.promises import Agreed
    from journal.desk.quote_content import Content
    from journal.records.queries.projects import ProjectRow


def sender(session: Session) -> dict[str, Any]:
    """The shop as it writes its papers today."""
    shop = get_shop(session)
    return {
        "name": shop.name,
        "letterhead": shop.letterhead,
        "currency": shop.currency,
        "system": str(shop.system),
        "paper": buying.paper(session),
        **quote_content.written_with(shop),
    }


def addressee(session: Session, agreed: Agreed | None, project: ProjectRow) -> dict[str, Any]:
    """For whom and for what: as the accepted quote says it, else as the project is called."""
    quote = agreed.quote if agreed else None
    if quote is None:
        return {"client": "", "title": project.title, "project": project.code, "quote": ""}
    said: Content = quote_content.read(quote_records.get_quote(session, quote.id))
    return {"client": said["client"], "title": said["title"], "project": project.code, "quote": quote.number}
