"""Designs of the shop's own, and what a project chose of the design it came from.

Why: a bench that was drawn up once is built again with other dimensions; the project must be able to say which.
"""

import sqlalchemy as sa
from alembic import op

revision = "20261126a"
down_revision = "20261125a"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "designs",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("word", sa.String(length=60), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("archived", sa.Boolean(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("updated_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_designs")),
        sa.UniqueConstraint("word", name=op.f("uq_designs_word")),
    )
    with op.batch_alter_table("projects") as batch:
        batch.add_column(sa.Column("design_values", sa.JSON(), nullable=True))


def downgrade() -> None:
    with op.batch_alter_table("projects") as batch:
        batch.drop_column("design_values")
    op.drop_table("designs")
