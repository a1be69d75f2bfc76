"""Quotes as they were given, what became of them, extras and money in.

Why: a promise never changes; what was agreed and paid must be there years later.
"""

import sqlalchemy as sa
from alembic import op

revision = "20261129b"
down_revision = "20261129a"
branch_labels = None
depends_on = None

BEFORE = (
    *("enquiry", "quoted", "accepted", "declined", "in_build"),
    *("delivered", "closed", "on_hold", "cancelled"),
)
STATES = (
    *("enquiry", "quoted", "accepted", "declined", "lapsed", "in_build"),
    *("delivered", "closed", "on_hold", "cancelled", "stock"),
)


def upgrade() -> None:
    with op.batch_alter_table("projects") as batch:
        batch.drop_constraint(op.f("ck_projects_project_state"), type_="check")
        batch.create_check_constraint(op.f("ck_projects_project_state"), _among("state", STATES))
        batch.add_column(sa.Column("promised_on", sa.Date(), nullable=True))
    _create_quotes()
    _create_moves()
    _create_extras()
    _create_payments()


def downgrade() -> None:
    for table in ("payments", "extras", "project_moves", "quotes"):
        op.drop_table(table)
    # A state unknown before was not finished there, and came to nothing.
    op.execute("UPDATE projects SET state = 'declined' WHERE state = 'lapsed'")
    op.execute("UPDATE projects SET state = 'delivered' WHERE state = 'stock'")
    with op.batch_alter_table("projects") as batch:
        batch.drop_column("promised_on")
        batch.drop_constraint(op.f("ck_projects_project_state"), type_="check")
        batch.create_check_constraint(op.f("ck_projects_project_state"), _among("state", BEFORE))


def _among(column, words):
    return f"{column} IN ({', '.join(repr(word) for word in words)})"


def _words(name, *words):
    return sa.Enum(*words, name=name, native_enum=False, create_constraint=True, length=20)


def _create_quotes():
    op.create_table(
        "quotes",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("project_id", sa.Integer(), nullable=False),
        sa.Column("plan_version", sa.Integer(), nullable=False),
        sa.Column("number", sa.String(length=60), nullable=False),
        sa.Column("issued_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("issued_on", sa.Date(), nullable=False),
        sa.Column("valid_until", sa.Date(), nullable=False),
        sa.Column("currency", sa.String(length=60), nullable=False),
        sa.Column("net_cents", sa.BigInteger(), nullable=False),
        sa.Column("tax_cents", sa.BigInteger(), nullable=False),
        sa.Column("cost_cents", sa.BigInteger(), nullable=False),
        sa.Column("minutes", sa.Double(), nullable=False),
        sa.Column("promised_days", sa.Integer(), nullable=True),
        sa.Column("payload", sa.Text(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("pdf", sa.LargeBinary(), nullable=False),
        sa.Column("pdf_sha256", sa.String(length=64), nullable=False),
        sa.Column("tool_version", sa.String(length=60), nullable=False),
        sa.CheckConstraint("net_cents >= 0", name=op.f("ck_quotes_net_cents_low")),
        sa.CheckConstraint("tax_cents >= 0", name=op.f("ck_quotes_tax_cents_low")),
        sa.CheckConstraint("cost_cents >= 0", name=op.f("ck_quotes_cost_cents_low")),
        sa.CheckConstraint("minutes >= 0", name=op.f("ck_quotes_minutes_low")),
        sa.CheckConstraint("promised_days >= 0", name=op.f("ck_quotes_promised_days_low")),
        sa.ForeignKeyConstraint(
            ["project_id", "plan_version"],
            ["plans.project_id", "plans.version"],
            name=op.f("fk_quotes_project_id_plan_version_plans"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_quotes")),
        sa.UniqueConstraint("number", name=op.f("uq_quotes_number")),
    )
    op.create_index(op.f("ix_quotes_project_id"), "quotes", ["project_id"])


def _create_moves():
    op.create_table(
        "project_moves",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("project_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("from_state", _words("from_state", *STATES), nullable=False),
        sa.Column("to_state", _words("to_state", *STATES), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("quote_id", sa.Integer(), nullable=True),
        sa.Column("net_cents", sa.BigInteger(), nullable=True),
        sa.Column("tax_cents", sa.BigInteger(), nullable=True),
        sa.Column("deposit", _words("deposit_fate", "kept", "returned"), nullable=True),
        sa.Column("before", sa.JSON(), nullable=False),
        sa.Column("undoes_id", sa.Integer(), nullable=True),
        sa.CheckConstraint("net_cents >= 0", name=op.f("ck_project_moves_net_cents_low")),
        sa.CheckConstraint("tax_cents >= 0", name=op.f("ck_project_moves_tax_cents_low")),
        sa.ForeignKeyConstraint(["project_id"], ["projects.id"], name=op.f("fk_project_moves_project_id_projects")),
        sa.ForeignKeyConstraint(["quote_id"], ["quotes.id"], name=op.f("fk_project_moves_quote_id_quotes")),
        sa.ForeignKeyConstraint(
            ["undoes_id"], ["project_moves.id"], name=op.f("fk_project_moves_undoes_id_project_moves")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_project_moves")),
        sa.UniqueConstraint("undoes_id", name=op.f("uq_project_moves_undoes_id")),
    )
    op.create_index(op.f("ix_project_moves_project_id"), "project_moves", ["project_id"])
    op.create_index(op.f("ix_project_moves_quote_id"), "project_moves", ["quote_id"])


def _create_extras():
    op.create_table(
        "extras",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("project_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("net_cents", sa.BigInteger(), nullable=False),
        sa.Column("tax_cents", sa.BigInteger(), nullable=False),
        sa.Column("days", sa.Integer(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.ForeignKeyConstraint(["project_id"], ["projects.id"], name=op.f("fk_extras_project_id_projects")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_extras")),
    )
    op.create_index(op.f("ix_extras_project_id"), "extras", ["project_id"])


def _create_payments():
    op.create_table(
        "payments",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("project_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.String(length=60), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("kind", _words("payment_kind", "payment", "refund"), nullable=False),
        sa.Column("currency", sa.String(length=60), nullable=False),
        sa.Column("cents", sa.BigInteger(), nullable=False),
        sa.Column("how", sa.String(length=60), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("payload", sa.Text(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("tool_version", sa.String(length=60), nullable=False),
        sa.CheckConstraint("cents > 0", name=op.f("ck_payments_cents_positive")),
        sa.ForeignKeyConstraint(["project_id"], ["projects.id"], name=op.f("fk_payments_project_id_projects")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_payments")),
        sa.UniqueConstraint("number", name=op.f("uq_payments_number")),
    )
    op.create_index(op.f("ix_payments_project_id"), "payments", ["project_id"])
