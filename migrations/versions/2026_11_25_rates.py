"""What the shop's year and its machines cost, and options of an enquiry.

Why: an hourly rate nobody can take apart is a guess, and a client chooses between variants.
"""

import sqlalchemy as sa
from alembic import op

revision = "20261129f"
down_revision = "20261129e"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "shop_year",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("people", sa.Integer(), nullable=False),
        sa.Column("income_cents", sa.BigInteger(), nullable=False),
        sa.Column("weeks", sa.Double(), nullable=False),
        sa.Column("hours_a_week", sa.Double(), nullable=False),
        sa.Column("billable_bp", sa.Integer(), nullable=False),
        sa.Column("used_on", sa.Date(), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_shop_year_single_row")),
        sa.CheckConstraint("billable_bp > 0 AND billable_bp <= 10000", name=op.f("ck_shop_year_billable_bp_share")),
        sa.CheckConstraint("weeks <= 52", name=op.f("ck_shop_year_weeks_high")),
        sa.CheckConstraint("hours_a_week <= 168", name=op.f("ck_shop_year_hours_a_week_high")),
        sa.CheckConstraint("income_cents >= 0", name=op.f("ck_shop_year_income_cents_low")),
        sa.CheckConstraint("people > 0", name=op.f("ck_shop_year_people_positive")),
        sa.CheckConstraint("weeks > 0", name=op.f("ck_shop_year_weeks_positive")),
        sa.CheckConstraint("hours_a_week > 0", name=op.f("ck_shop_year_hours_a_week_positive")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_shop_year")),
    )
    op.create_table(
        "overheads",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column(
            "kind",
            sa.Enum(
                "fixed",
                "administrative",
                name="overhead_kind",
                native_enum=False,
                create_constraint=True,
                length=20,
            ),
            nullable=False,
        ),
        sa.Column("cents", sa.BigInteger(), nullable=False),
        sa.Column("times_a_year", sa.Integer(), nullable=False),
        sa.CheckConstraint("times_a_year IN (1, 4, 12)", name=op.f("ck_overheads_times_a_year_known")),
        sa.CheckConstraint("cents >= 0", name=op.f("ck_overheads_cents_low")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_overheads")),
    )
    op.create_table(
        "machine_costs",
        sa.Column("machine_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("purchase_cents", sa.BigInteger(), nullable=False),
        sa.Column("salvage_cents", sa.BigInteger(), nullable=False),
        sa.Column("life_hours", sa.Double(), nullable=False),
        sa.Column("hours_a_year", sa.Double(), nullable=False),
        sa.Column("upkeep_cents_a_year", sa.BigInteger(), nullable=False),
        sa.Column("standing_cents_a_year", sa.BigInteger(), nullable=False),
        sa.Column("power_kw", sa.Double(), nullable=False),
        sa.Column("load_bp", sa.Integer(), nullable=False),
        sa.Column("kwh_cents", sa.Double(), nullable=False),
        sa.Column("blade_cents", sa.BigInteger(), nullable=False),
        sa.Column("blade_hours", sa.Double(), nullable=False),
        sa.CheckConstraint("load_bp >= 0 AND load_bp <= 10000", name=op.f("ck_machine_costs_load_bp_share")),
        sa.CheckConstraint("salvage_cents <= purchase_cents", name=op.f("ck_machine_costs_salvage_within_purchase")),
        sa.CheckConstraint("purchase_cents >= 0", name=op.f("ck_machine_costs_purchase_cents_low")),
        sa.CheckConstraint("salvage_cents >= 0", name=op.f("ck_machine_costs_salvage_cents_low")),
        sa.CheckConstraint("upkeep_cents_a_year >= 0", name=op.f("ck_machine_costs_upkeep_cents_a_year_low")),
        sa.CheckConstraint("standing_cents_a_year >= 0", name=op.f("ck_machine_costs_standing_cents_a_year_low")),
        sa.CheckConstraint("power_kw >= 0", name=op.f("ck_machine_costs_power_kw_low")),
        sa.CheckConstraint("kwh_cents >= 0", name=op.f("ck_machine_costs_kwh_cents_low")),
        sa.CheckConstraint("blade_cents >= 0", name=op.f("ck_machine_costs_blade_cents_low")),
        sa.CheckConstraint("blade_hours >= 0", name=op.f("ck_machine_costs_blade_hours_low")),
        sa.CheckConstraint("life_hours > 0", name=op.f("ck_machine_costs_life_hours_positive")),
        sa.CheckConstraint("hours_a_year > 0", name=op.f("ck_machine_costs_hours_a_year_positive")),
        sa.ForeignKeyConstraint(["machine_id"], ["machines.id"], name=op.f("fk_machine_costs_machine_id_machines")),
        sa.PrimaryKeyConstraint("machine_id", name=op.f("pk_machine_costs")),
    )
    op.create_table(
        "options",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("project_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("changes", sa.JSON(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("updated_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["project_id"], ["projects.id"], name=op.f("fk_options_project_id_projects")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_options")),
    )
    op.create_index(op.f("ix_options_project_id"), "options", ["project_id"])


def downgrade() -> None:
    op.drop_index(op.f("ix_options_project_id"), table_name="options")
    op.drop_table("options")
    op.drop_table("machine_costs")
    op.drop_table("overheads")
    op.drop_table("shop_year")
