"""How a shop writes decimals, and with which day its weeks begin.

Why: 1,5 and a Sunday are what half the world reads first; a shop should read its own pages without stumbling.
"""

import sqlalchemy as sa
from alembic import op

revision = "20261129o"
down_revision = "20261129n"
branch_labels = None
depends_on = None


def _words(name: str, *words: str) -> sa.Enum:
    return sa.Enum(*words, name=name, native_enum=False, create_constraint=True, length=20)


def upgrade() -> None:
    # Journals that are there have been reading points and Mondays all along.
    with op.batch_alter_table("shop") as batch:
        mark, start = _words("decimal_mark", "point", "comma"), _words("week_start", "Monday", "Sunday")
        batch.add_column(sa.Column("decimal_mark", mark, nullable=False, server_default="point"))
        batch.add_column(sa.Column("week_start", start, nullable=False, server_default="Monday"))
    with op.batch_alter_table("shop") as batch:
        batch.alter_column("decimal_mark", server_default=None)
        batch.alter_column("week_start", server_default=None)


def downgrade() -> None:
    with op.batch_alter_table("shop") as batch:
        batch.drop_constraint(op.f("ck_shop_week_start"), type_="check")
        batch.drop_constraint(op.f("ck_shop_decimal_mark"), type_="check")
        batch.drop_column("week_start")
        batch.drop_column("decimal_mark")
