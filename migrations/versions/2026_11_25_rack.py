"""Boards on the rack and where they went.

Why: wood that is there is used first and costs what it cost.
"""

import sqlalchemy as sa
from alembic import op

revision = "20261129c"
down_revision = "20261129b"
branch_labels = None
depends_on = None

MOVES = ("bought", "counted", "planned", "freed", "drawn", "returned", "written_off", "noted", "undone")


def upgrade() -> None:
    with op.batch_alter_table("purchases") as batch:
        batch.add_column(sa.Column("voided_at", sa.DateTime(timezone=True), nullable=True))
    _create_boards()
    _create_acts()
    _create_moves()


def downgrade() -> None:
    for table in ("rack_moves", "rack_acts", "rack_boards"):
        op.drop_table(table)
    # What was taken back must not count again where nobody can see that it was.
    op.execute("DELETE FROM purchase_lines WHERE purchase_id IN (SELECT id FROM purchases WHERE voided_at IS NOT NULL)")
    op.execute("DELETE FROM purchases WHERE voided_at IS NOT NULL")
    with op.batch_alter_table("purchases") as batch:
        batch.drop_column("voided_at")


def _create_boards():
    op.create_table(
        "rack_boards",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("stock_code", sa.String(length=60), nullable=False),
        sa.Column("thickness_nm", sa.BigInteger(), nullable=False),
        sa.Column("width_nm", sa.BigInteger(), nullable=False),
        sa.Column("length_nm", sa.BigInteger(), nullable=False),
        sa.Column("cost_cents", sa.BigInteger(), nullable=False),
        sa.Column("purchase_line_id", sa.Integer(), nullable=True),
        sa.Column("since", sa.Date(), nullable=False),
        sa.Column("project_id", sa.Integer(), nullable=True),
        sa.Column("cut_outs", sa.JSON(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("offcut", sa.Boolean(), nullable=False),
        sa.Column("there", sa.Boolean(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint("cost_cents >= 0", name=op.f("ck_rack_boards_cost_cents_low")),
        sa.CheckConstraint("thickness_nm > 0", name=op.f("ck_rack_boards_thickness_nm_positive")),
        sa.CheckConstraint("width_nm > 0", name=op.f("ck_rack_boards_width_nm_positive")),
        sa.CheckConstraint("length_nm > 0", name=op.f("ck_rack_boards_length_nm_positive")),
        sa.ForeignKeyConstraint(["project_id"], ["projects.id"], name=op.f("fk_rack_boards_project_id_projects")),
        sa.ForeignKeyConstraint(
            ["purchase_line_id"], ["purchase_lines.id"], name=op.f("fk_rack_boards_purchase_line_id_purchase_lines")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_rack_boards")),
    )
    op.create_index(op.f("ix_rack_boards_there_stock_code"), "rack_boards", ["there", "stock_code"])
    op.create_index(op.f("ix_rack_boards_project_id"), "rack_boards", ["project_id"])
    op.create_index(op.f("ix_rack_boards_purchase_line_id"), "rack_boards", ["purchase_line_id"])


def _create_acts():
    op.create_table(
        "rack_acts",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("said", sa.Text(), nullable=False),
        sa.Column("project_id", sa.Integer(), nullable=True),
        sa.Column("purchase_id", sa.Integer(), nullable=True),
        sa.Column("voided_id", sa.Integer(), nullable=True),
        sa.Column("lines", sa.JSON(), nullable=False),
        sa.Column("undoes_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["project_id"], ["projects.id"], name=op.f("fk_rack_acts_project_id_projects")),
        sa.ForeignKeyConstraint(["purchase_id"], ["purchases.id"], name=op.f("fk_rack_acts_purchase_id_purchases")),
        sa.ForeignKeyConstraint(["voided_id"], ["purchases.id"], name=op.f("fk_rack_acts_voided_id_purchases")),
        sa.ForeignKeyConstraint(["undoes_id"], ["rack_acts.id"], name=op.f("fk_rack_acts_undoes_id_rack_acts")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_rack_acts")),
        sa.UniqueConstraint("undoes_id", name=op.f("uq_rack_acts_undoes_id")),
    )
    op.create_index(op.f("ix_rack_acts_project_id"), "rack_acts", ["project_id"])
    op.create_index(op.f("ix_rack_acts_purchase_id"), "rack_acts", ["purchase_id"])
    op.create_index(op.f("ix_rack_acts_voided_id"), "rack_acts", ["voided_id"])


def _create_moves():
    kind = sa.Enum(*MOVES, name="rack_move_kind", native_enum=False, create_constraint=True, length=20)
    op.create_table(
        "rack_moves",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("act_id", sa.Integer(), nullable=False),
        sa.Column("board_id", sa.Integer(), nullable=False),
        sa.Column("kind", kind, nullable=False),
        sa.Column("change", sa.Integer(), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.Column("before", sa.JSON(), nullable=False),
        sa.Column("after", sa.JSON(), nullable=False),
        sa.CheckConstraint("change BETWEEN -1 AND 1", name=op.f("ck_rack_moves_change_of_one_board")),
        sa.ForeignKeyConstraint(["act_id"], ["rack_acts.id"], name=op.f("fk_rack_moves_act_id_rack_acts")),
        sa.ForeignKeyConstraint(["board_id"], ["rack_boards.id"], name=op.f("fk_rack_moves_board_id_rack_boards")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_rack_moves")),
    )
    op.create_index(op.f("ix_rack_moves_act_id"), "rack_moves", ["act_id"])
    op.create_index(op.f("ix_rack_moves_board_id"), "rack_moves", ["board_id"])
