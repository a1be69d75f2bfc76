import pytest
from journal.errors import BadInput
from journal.records.engine import reading, writing
from journal.records.queries import purchases
from tests import factories


def test_receipts_come_back_with_their_lines_in_two_statements(engine, statements):
    with writing(engine) as session:
        project = factories.project(session)
        kept = [factories.purchase(session, project_id=project.id, freight_cents=4_000) for _ in range(3)]
        factories.purchase(session, note="for the rack")
    with reading(engine) as session, statements() as seen:
        assert purchases.purchases(session, project_id=project.id) == tuple(kept)
        assert len(seen) == 2
        assert len(purchases.purchases(session)) == 4


@pytest.mark.parametrize(
    "given",
    [{"quantity": 0}, {"price_cents": -1}, {"stock_code": ""}, {"used_quantity": 8.0, "rejected_quantity": 3.0}],
)
def test_a_line_that_makes_no_sense_is_refused(given):
    with pytest.raises(BadInput):
        purchases.LineRow(**{"stock_code": "2x8 spruce", "quantity": 10.0, "price_cents": 1} | given)


@pytest.mark.parametrize("given", [{"freight_cents": -1}, {"tax_cents": -1}])
def test_a_receipt_that_makes_no_sense_is_refused(given):
    with pytest.raises(BadInput):
        purchases.PurchaseRow(on_date=factories.TODAY, **given)
