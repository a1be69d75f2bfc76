"""One maker for each record: fills in what a test does not care about. `session` is always a writing session."""

from datetime import UTC, date, datetime

from journal.records.queries import estimates, log, plans, projects, purchases, stock
from journal.records.words import PricePer, StockForm

NOW = datetime(2026, 3, 2, 18, 30, tzinfo=UTC)
TODAY = date(2026, 3, 2)
INCH = 25_400_000
FOOT = 12 * INCH


def project(session, **given):
    """A stored project; its number is the next free one."""
    fields = {"code": projects.next_code(session, 2026), "title": "Bench for a school", "client_kind": "school"} | given
    return projects.add_project(session, projects.ProjectDraft(**fields), NOW)


def part(**given):
    """A part row: a leg, not stored."""
    fields = {
        "label": "leg",
        "quantity": 4,
        "thickness_nm": 3 * INCH,
        "width_nm": 5 * INCH,
        "length_nm": 34 * INCH,
        "stock_code": "2x8 spruce",
    }
    return plans.PartRow(**fields | given)


def plan(session, project_id, parts=None, operations=None, **given):
    """A stored plan version; its parts and operations are one leg and its milling unless they are named."""
    listed = [part()] if parts is None else parts
    lines = [plans.OperationRow("joint_face", 60.0, 1)] if operations is None else operations
    return plans.save_parts(session, project_id, listed, lines, **{"reason": "first list", "now": NOW} | given)


def entry(session, **given):
    """A stored time entry: half an hour of jointing."""
    fields = {"on_date": TODAY, "seconds": 1_800} | given
    if "stage" not in fields:
        fields.setdefault("operation", "joint_face")
    return log.add_entry(session, log.EntryDraft(**fields), now=NOW)


def item(session, **given):
    """A stored stock item: dimensional lumber."""
    fields = {
        "code": "2x8 spruce",
        "form": StockForm.DIMENSIONAL,
        "species": "spruce-pine-fir",
        "nominal": "2x8",
        "thickness_nm": 3 * INCH // 2,
        "width_nm": 29 * INCH // 4,
    }
    return stock.save_item(session, stock.ItemRow(**fields | given))


def price(session, item_id, price_cents, **given):
    """A stored price of a piece."""
    fields = {"per": PricePer.PIECE, "on_date": TODAY} | given
    return stock.add_price(session, stock.PriceRow(item_id=item_id, price_cents=price_cents, **fields))


def purchase(session, **given):
    """A stored receipt with one line."""
    lines = (purchases.LineRow(stock_code="2x8 spruce", quantity=10, price_cents=12_000, length_nm=8 * FOOT),)
    return purchases.add_purchase(session, purchases.PurchaseRow(**{"on_date": TODAY, "lines": lines} | given))


def estimate(session, project_id, plan_version=1, payload='{"total": 1}', **given):
    """A stored estimate."""
    fields = {"reason": "asked for", "tool_version": "0.1.0", "now": NOW} | given
    return estimates.add_estimate(session, project_id, plan_version, payload, **fields)
