"""Operations of the shop's own, beside those of the starting book.

Why: work the book does not know has hours worth learning from; it needs a name, a stage and what it is counted by.
"""

import sqlalchemy as sa
from alembic import op

revision = "20261129k"
down_revision = "20261129i"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "own_operations",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(length=60), nullable=False),
        sa.Column("stage", sa.String(length=60), nullable=False),
        sa.Column("name", sa.String(length=60), nullable=False),
        sa.Column("driver", sa.String(length=60), nullable=False),
        sa.Column("unit", sa.String(length=60), nullable=False),
        sa.Column("setup_minutes", sa.Double(), nullable=False),
        sa.Column("minutes_per_unit", sa.Double(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("import_id", sa.Integer(), nullable=True),
        sa.CheckConstraint("setup_minutes >= 0", name=op.f("ck_own_operations_setup_minutes_low")),
        sa.CheckConstraint("minutes_per_unit > 0", name=op.f("ck_own_operations_minutes_per_unit_positive")),
        sa.ForeignKeyConstraint(["import_id"], ["imports.id"], name=op.f("fk_own_operations_import_id_imports")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_own_operations")),
        sa.UniqueConstraint("code", name=op.f("uq_own_operations_code")),
    )
    op.create_index(op.f("ix_own_operations_import_id"), "own_operations", ["import_id"])


def downgrade() -> None:
    op.drop_table("own_operations")
