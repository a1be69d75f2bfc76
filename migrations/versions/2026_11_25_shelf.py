"""What is counted on the shelf, and taken off it by hand.

Why: glue, finish, hardware and consumables come with receipts and go with glue-ups and coats; what no log tells of, a
count puts right.
"""

import sqlalchemy as sa
from alembic import op

revision = "20261129p"
down_revision = "20261129o"
branch_labels = None
depends_on = None


def upgrade() -> None:
    kind = sa.Enum("counted", "taken", name="shelf_move_kind", native_enum=False, create_constraint=True, length=20)
    op.create_table(
        "shelf_moves",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("act_id", sa.Integer(), nullable=False),
        sa.Column("item_id", sa.Integer(), nullable=False),
        sa.Column("kind", kind, nullable=False),
        sa.Column("amount", sa.Double(), nullable=False),
        sa.Column("project_id", sa.Integer(), nullable=True),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.Column("removed_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint("amount >= 0", name=op.f("ck_shelf_moves_amount_low")),
        sa.ForeignKeyConstraint(["act_id"], ["rack_acts.id"], name=op.f("fk_shelf_moves_act_id_rack_acts")),
        sa.ForeignKeyConstraint(["item_id"], ["stock_items.id"], name=op.f("fk_shelf_moves_item_id_stock_items")),
        sa.ForeignKeyConstraint(["project_id"], ["projects.id"], name=op.f("fk_shelf_moves_project_id_projects")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_shelf_moves")),
    )
    for column in ("act_id", "item_id", "project_id"):
        op.create_index(op.f(f"ix_shelf_moves_{column}"), "shelf_moves", [column])


def downgrade() -> None:
    op.drop_table("shelf_moves")
