"""Cutting plans that stay with their project.

Why: what was planned at the table is what is bought and cut; a solver does not promise the same plan another time.
"""

import sqlalchemy as sa
from alembic import op

revision = "20261127b"
down_revision = "20261126a"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "cutting_plans",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("project_id", sa.Integer(), nullable=False),
        sa.Column("plan_version", sa.Integer(), nullable=False),
        sa.Column("stock_code", sa.String(length=60), nullable=False),
        sa.Column("problem_sha256", sa.String(length=64), nullable=False),
        sa.Column("payload", sa.Text(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column(
            "status",
            sa.Enum(
                "searching",
                "feasible",
                "optimal",
                name="cutting_status",
                native_enum=False,
                create_constraint=True,
                length=20,
            ),
            nullable=False,
        ),
        sa.Column("cost_cents", sa.BigInteger(), nullable=False),
        sa.Column("bound_cents", sa.BigInteger(), nullable=False),
        sa.Column("ended", sa.String(length=60), nullable=False),
        sa.CheckConstraint("bound_cents >= 0", name=op.f("ck_cutting_plans_bound_cents_low")),
        sa.CheckConstraint("cost_cents >= 0", name=op.f("ck_cutting_plans_cost_cents_low")),
        sa.ForeignKeyConstraint(
            ["project_id", "plan_version"],
            ["plans.project_id", "plans.version"],
            name=op.f("fk_cutting_plans_project_id_plan_version_plans"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_cutting_plans")),
    )
    op.create_index(
        op.f("ix_cutting_plans_project_id_stock_code"), "cutting_plans", ["project_id", "stock_code"], unique=False
    )


def downgrade() -> None:
    op.drop_index(op.f("ix_cutting_plans_project_id_stock_code"), table_name="cutting_plans")
    op.drop_table("cutting_plans")
