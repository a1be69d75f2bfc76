"""The paper of an extra: its text, and the bytes as printed.

Why: what a client adds or takes away is agreed on paper, and the paper must be there years later.
"""

import sqlalchemy as sa
from alembic import op

revision = "20261129m"
down_revision = "20261129l"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "extra_papers",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("extra_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.String(length=60), nullable=False),
        sa.Column("payload", sa.Text(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("pdf", sa.LargeBinary(), nullable=False),
        sa.Column("pdf_sha256", sa.String(length=64), nullable=False),
        sa.Column("tool_version", sa.String(length=60), nullable=False),
        sa.ForeignKeyConstraint(["extra_id"], ["extras.id"], name=op.f("fk_extra_papers_extra_id_extras")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_extra_papers")),
        sa.UniqueConstraint("extra_id", name=op.f("uq_extra_papers_extra_id")),
        sa.UniqueConstraint("number", name=op.f("uq_extra_papers_number")),
    )


def downgrade() -> None:
    op.drop_table("extra_papers")
