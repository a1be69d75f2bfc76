"""The shop's week and its days off; how likely an enquiry is to come; what hardware takes, and what a client brings.

Why: dates are reckoned in hours the shop is really open, beside the other work that may come, from the day all is in hand.
"""

import sqlalchemy as sa
from alembic import op

revision = "20261129e"
down_revision = "20261129d"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "shop_hours",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("weekday", sa.Integer(), nullable=False),
        sa.Column("opens_minute", sa.Integer(), nullable=False),
        sa.Column("closes_minute", sa.Integer(), nullable=False),
        sa.CheckConstraint("weekday >= 0 AND weekday <= 6", name=op.f("ck_shop_hours_weekday_known")),
        sa.CheckConstraint("opens_minute >= 0 AND closes_minute <= 1440", name=op.f("ck_shop_hours_within_a_day")),
        sa.CheckConstraint("closes_minute > opens_minute", name=op.f("ck_shop_hours_closes_later")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_shop_hours")),
    )
    op.create_table(
        "days_off",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("first_on", sa.Date(), nullable=False),
        sa.Column("last_on", sa.Date(), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.CheckConstraint("last_on >= first_on", name=op.f("ck_days_off_ends_later")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_days_off")),
    )
    op.create_table(
        "client_hardware",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("project_id", sa.Integer(), nullable=False),
        sa.Column("feature", sa.String(length=60), nullable=False),
        sa.ForeignKeyConstraint(["project_id"], ["projects.id"], name=op.f("fk_client_hardware_project_id_projects")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_client_hardware")),
        sa.UniqueConstraint("project_id", "feature", name=op.f("uq_client_hardware_project_id_feature")),
    )
    with op.batch_alter_table("projects") as batch:
        batch.add_column(sa.Column("likelihood_pct", sa.Integer(), nullable=True))
        batch.create_check_constraint(
            op.f("ck_projects_likelihood_pct_share"), "likelihood_pct >= 0 AND likelihood_pct <= 100"
        )
    with op.batch_alter_table("stock_items") as batch:
        batch.add_column(sa.Column("lead_days", sa.Integer(), nullable=True))
        batch.create_check_constraint(op.f("ck_stock_items_lead_days_low"), "lead_days >= 0")


def downgrade() -> None:
    with op.batch_alter_table("stock_items") as batch:
        batch.drop_constraint(op.f("ck_stock_items_lead_days_low"), type_="check")
        batch.drop_column("lead_days")
    with op.batch_alter_table("projects") as batch:
        batch.drop_constraint(op.f("ck_projects_likelihood_pct_share"), type_="check")
        batch.drop_column("likelihood_pct")
    op.drop_table("client_hardware")
    op.drop_table("days_off")
    op.drop_table("shop_hours")
