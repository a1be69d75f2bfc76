"""Who may open the pages from the shop's network: browsers that signed in or were paired, and tokens for pairing.

Why: a phone at the bench must be let in once, stay in, and be shut out again when it is lost.
"""

import sqlalchemy as sa
from alembic import op

revision = "20261129g"
down_revision = "20261129f"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "visitors",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("label", sa.String(length=60), nullable=False),
        sa.Column("token_sha256", sa.String(length=64), nullable=False),
        sa.Column("paired", sa.Boolean(), nullable=False),
        sa.Column("let_in_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("seen_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("until", sa.DateTime(timezone=True), nullable=False),
        sa.Column("shut_out_at", sa.DateTime(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_visitors")),
        sa.UniqueConstraint("token_sha256", name=op.f("uq_visitors_token_sha256")),
    )
    op.create_table(
        "invitations",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("token_sha256", sa.String(length=64), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("until", sa.DateTime(timezone=True), nullable=False),
        sa.Column("used_at", sa.DateTime(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_invitations")),
        sa.UniqueConstraint("token_sha256", name=op.f("uq_invitations_token_sha256")),
    )


def downgrade() -> None:
    op.drop_table("invitations")
    op.drop_table("visitors")
