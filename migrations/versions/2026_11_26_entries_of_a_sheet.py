"""Only the time entries that came with a sheet are listed by their sheet; those of an operation by day.

Why: SQLite read nearly every entry through an index for “of no sheet”, where one by day was at hand; and what was clocked
this week on an operation was looked for through all its years.
"""

import sqlalchemy as sa
from alembic import op

revision = "20261129q"
down_revision = "20261129p"
branch_labels = None
depends_on = None

BY_SHEET = "ix_time_entries_import_id"
BY_OPERATION = "ix_time_entries_operation"
BY_OPERATION_AND_DAY = "ix_time_entries_operation_on_date"


def upgrade() -> None:
    some = sa.text("import_id IS NOT NULL")
    op.drop_index(op.f(BY_SHEET), "time_entries")
    op.create_index(op.f(BY_SHEET), "time_entries", ["import_id"], sqlite_where=some, postgresql_where=some)
    op.drop_index(op.f(BY_OPERATION), "time_entries")
    op.create_index(op.f(BY_OPERATION_AND_DAY), "time_entries", ["operation", "on_date"])


def downgrade() -> None:
    op.drop_index(op.f(BY_OPERATION_AND_DAY), "time_entries")
    op.create_index(op.f(BY_OPERATION), "time_entries", ["operation"])
    op.drop_index(op.f(BY_SHEET), "time_entries")
    op.create_index(op.f(BY_SHEET), "time_entries", ["import_id"])
