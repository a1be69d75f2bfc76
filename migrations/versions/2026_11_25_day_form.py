"""How a shop writes its days.

Why: 25 Nov 2026 and Nov 25, 2026 are each unusual to someone, and a shop should read its own pages without stumbling.
"""

import sqlalchemy as sa
from alembic import op

revision = "20261129l"
down_revision = "20261129k"
branch_labels = None
depends_on = None

_FORMS = sa.Enum(
    "day first",
    "month first",
    "year first",
    name="day_form",
    native_enum=False,
    create_constraint=True,
    length=20,
)


def upgrade() -> None:
    # Journals that are there have been reading “25 Nov 2026” all along.
    with op.batch_alter_table("shop") as batch:
        batch.add_column(sa.Column("day_form", _FORMS, nullable=False, server_default="day first"))
    with op.batch_alter_table("shop") as batch:
        batch.alter_column("day_form", server_default=None)


def downgrade() -> None:
    with op.batch_alter_table("shop") as batch:
        batch.drop_constraint(op.f("ck_shop_day_form"), type_="check")
        batch.drop_column("day_form")
