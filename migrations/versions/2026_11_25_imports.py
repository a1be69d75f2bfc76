"""Past jobs from a spreadsheet: which import a project, an as-built quantity or a time entry came with.

Why: a shop starts with the years it has in a spreadsheet, and must be able to take such an import back whole.
"""

import sqlalchemy as sa
from alembic import op

revision = "20261128a"
down_revision = "20261127b"
branch_labels = None
depends_on = None

TABLES = ("projects", "built", "time_entries")


def upgrade() -> None:
    op.create_table(
        "imports",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("source", sa.Text(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("projects", sa.Integer(), nullable=False),
        sa.Column("entries", sa.Integer(), nullable=False),
        sa.Column("quantities", sa.Integer(), nullable=False),
        sa.Column("seconds", sa.Integer(), nullable=False),
        sa.Column("first_on", sa.Date(), nullable=False),
        sa.Column("last_on", sa.Date(), nullable=False),
        sa.Column("rework_told", sa.Boolean(), nullable=False),
        sa.CheckConstraint("projects >= 0", name=op.f("ck_imports_projects_low")),
        sa.CheckConstraint("entries >= 0", name=op.f("ck_imports_entries_low")),
        sa.CheckConstraint("quantities >= 0", name=op.f("ck_imports_quantities_low")),
        sa.CheckConstraint("seconds >= 0", name=op.f("ck_imports_seconds_low")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_imports")),
    )
    for table in TABLES:
        with op.batch_alter_table(table) as batch:
            batch.add_column(sa.Column("import_id", sa.Integer(), nullable=True))
            batch.create_foreign_key(op.f(f"fk_{table}_import_id_imports"), "imports", ["import_id"], ["id"])
            batch.create_index(op.f(f"ix_{table}_import_id"), ["import_id"])


def downgrade() -> None:
    for table in reversed(TABLES):
        with op.batch_alter_table(table) as batch:
            batch.drop_index(op.f(f"ix_{table}_import_id"))
            batch.drop_constraint(op.f(f"fk_{table}_import_id_imports"), type_="foreignkey")
            batch.drop_column("import_id")
    op.drop_table("imports")
