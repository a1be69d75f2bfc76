"""The first tables: shop, stock and prices, projects with their plans, the log, purchases, estimates.

Why: a shop that starts keeping a journal starts here.
"""

import sqlalchemy as sa
from alembic import op

revision = "20261125a"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "machines",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=60), nullable=False),
        sa.Column("label", sa.Text(), nullable=False),
        sa.Column("max_width_nm", sa.BigInteger(), nullable=True),
        sa.Column("max_height_nm", sa.BigInteger(), nullable=True),
        sa.Column("min_length_nm", sa.BigInteger(), nullable=True),
        sa.Column("cost_cents_per_hour", sa.BigInteger(), nullable=False),
        sa.Column("active", sa.Boolean(), nullable=False),
        sa.CheckConstraint("cost_cents_per_hour >= 0", name=op.f("ck_machines_cost_cents_per_hour_low")),
        sa.CheckConstraint("max_height_nm > 0", name=op.f("ck_machines_max_height_nm_positive")),
        sa.CheckConstraint("max_width_nm > 0", name=op.f("ck_machines_max_width_nm_positive")),
        sa.CheckConstraint("min_length_nm > 0", name=op.f("ck_machines_min_length_nm_positive")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_machines")),
    )
    op.create_table(
        "projects",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(length=60), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("client_kind", sa.String(length=60), nullable=False),
        sa.Column("benches", sa.Integer(), nullable=False),
        sa.Column(
            "state",
            sa.Enum(
                "enquiry",
                "quoted",
                "accepted",
                "declined",
                "in_build",
                "delivered",
                "closed",
                "on_hold",
                "cancelled",
                name="project_state",
                native_enum=False,
                create_constraint=True,
                length=20,
            ),
            nullable=False,
        ),
        sa.Column("adhesive", sa.String(length=60), nullable=True),
        sa.Column("finish", sa.String(length=60), nullable=True),
        sa.Column("coats", sa.Integer(), nullable=False),
        sa.Column("design_word", sa.String(length=60), nullable=True),
        sa.Column("enquired_on", sa.Date(), nullable=True),
        sa.Column("agreed_on", sa.Date(), nullable=True),
        sa.Column("started_on", sa.Date(), nullable=True),
        sa.Column("delivered_on", sa.Date(), nullable=True),
        sa.Column("agreed_price_cents", sa.BigInteger(), nullable=True),
        sa.Column("agreed_minutes", sa.Double(), nullable=True),
        sa.Column("quoted_cost_cents", sa.BigInteger(), nullable=True),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("updated_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint("agreed_minutes >= 0", name=op.f("ck_projects_agreed_minutes_low")),
        sa.CheckConstraint("agreed_price_cents >= 0", name=op.f("ck_projects_agreed_price_cents_low")),
        sa.CheckConstraint("benches > 0", name=op.f("ck_projects_benches_positive")),
        sa.CheckConstraint("coats >= 0", name=op.f("ck_projects_coats_low")),
        sa.CheckConstraint("quoted_cost_cents >= 0", name=op.f("ck_projects_quoted_cost_cents_low")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_projects")),
        sa.UniqueConstraint("code", name=op.f("uq_projects_code")),
    )
    op.create_index(op.f("ix_projects_state"), "projects", ["state"])
    op.create_table(
        "settings",
        sa.Column("key", sa.String(length=60), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.Column("unit", sa.String(length=60), nullable=False),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_settings")),
    )
    op.create_table(
        "shop",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("letterhead", sa.Text(), nullable=False),
        sa.Column("currency", sa.String(length=60), nullable=False),
        sa.Column(
            "system",
            sa.Enum("inch", "metric", name="length_system", native_enum=False, create_constraint=True, length=20),
            nullable=False,
        ),
        sa.Column("denominator", sa.Integer(), nullable=False),
        sa.Column("time_zone", sa.String(length=60), nullable=False),
        sa.Column("wage_cents_per_hour", sa.BigInteger(), nullable=False),
        sa.Column("overhead_cents_per_hour", sa.BigInteger(), nullable=False),
        sa.Column("margin_bp", sa.Integer(), nullable=False),
        sa.Column("confidence_pct", sa.Integer(), nullable=False),
        sa.Column("deposit_bp", sa.Integer(), nullable=False),
        sa.Column("tax_ppm", sa.Integer(), nullable=False),
        sa.Column("rounding_cents", sa.Integer(), nullable=False),
        sa.Column("minutes_per_week", sa.Integer(), nullable=False),
        sa.Column("people", sa.Integer(), nullable=False),
        sa.Column("default_species", sa.String(length=60), nullable=False),
        sa.Column("default_adhesive", sa.String(length=60), nullable=False),
        sa.Column("default_finish", sa.String(length=60), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint("confidence_pct >= 50 AND confidence_pct <= 99", name=op.f("ck_shop_confidence_pct_share")),
        sa.CheckConstraint("denominator IN (2, 4, 8, 16, 32, 64)", name=op.f("ck_shop_denominator_known")),
        sa.CheckConstraint("deposit_bp >= 0 AND deposit_bp <= 10000", name=op.f("ck_shop_deposit_bp_share")),
        sa.CheckConstraint("id = 1", name=op.f("ck_shop_single_row")),
        sa.CheckConstraint("margin_bp >= 0 AND margin_bp < 10000", name=op.f("ck_shop_margin_bp_share")),
        sa.CheckConstraint("minutes_per_week <= 10080", name=op.f("ck_shop_minutes_per_week_high")),
        sa.CheckConstraint("minutes_per_week > 0", name=op.f("ck_shop_minutes_per_week_positive")),
        sa.CheckConstraint("overhead_cents_per_hour >= 0", name=op.f("ck_shop_overhead_cents_per_hour_low")),
        sa.CheckConstraint("people > 0", name=op.f("ck_shop_people_positive")),
        sa.CheckConstraint("rounding_cents > 0", name=op.f("ck_shop_rounding_cents_positive")),
        sa.CheckConstraint("tax_ppm >= 0 AND tax_ppm < 1000000", name=op.f("ck_shop_tax_ppm_share")),
        sa.CheckConstraint("wage_cents_per_hour >= 0", name=op.f("ck_shop_wage_cents_per_hour_low")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_shop")),
    )
    op.create_table(
        "stock_items",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(length=60), nullable=False),
        sa.Column(
            "form",
            sa.Enum(
                "dimensional",
                "rough",
                "sheet",
                "hardware",
                "adhesive",
                "finish",
                "consumable",
                name="stock_form",
                native_enum=False,
                create_constraint=True,
                length=20,
            ),
            nullable=False,
        ),
        sa.Column("species", sa.String(length=60), nullable=True),
        sa.Column("nominal", sa.String(length=60), nullable=True),
        sa.Column("thickness_nm", sa.BigInteger(), nullable=True),
        sa.Column("width_nm", sa.BigInteger(), nullable=True),
        sa.Column("length_nm", sa.BigInteger(), nullable=True),
        sa.Column("container_ml", sa.Double(), nullable=True),
        sa.Column("class_key", sa.String(length=60), nullable=True),
        sa.Column("supplier", sa.Text(), nullable=False),
        sa.Column("on_hand", sa.Double(), nullable=False),
        sa.Column("archived", sa.Boolean(), nullable=False),
        sa.CheckConstraint(
            "form NOT IN ('dimensional', 'rough', 'sheet') OR thickness_nm IS NOT NULL",
            name=op.f("ck_stock_items_wood_has_thickness"),
        ),
        sa.CheckConstraint("container_ml > 0", name=op.f("ck_stock_items_container_ml_positive")),
        sa.CheckConstraint("length_nm > 0", name=op.f("ck_stock_items_length_nm_positive")),
        sa.CheckConstraint("on_hand >= 0", name=op.f("ck_stock_items_on_hand_low")),
        sa.CheckConstraint("thickness_nm > 0", name=op.f("ck_stock_items_thickness_nm_positive")),
        sa.CheckConstraint("width_nm > 0", name=op.f("ck_stock_items_width_nm_positive")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_stock_items")),
        sa.UniqueConstraint("code", name=op.f("uq_stock_items_code")),
    )
    op.create_table(
        "workers",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("label", sa.String(length=60), nullable=False),
        sa.Column("wage_cents_per_hour", sa.BigInteger(), nullable=True),
        sa.Column("active", sa.Boolean(), nullable=False),
        sa.CheckConstraint("wage_cents_per_hour >= 0", name=op.f("ck_workers_wage_cents_per_hour_low")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_workers")),
        sa.UniqueConstraint("label", name=op.f("uq_workers_label")),
    )
    op.create_table(
        "built",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("project_id", sa.Integer(), nullable=False),
        sa.Column("operation", sa.String(length=60), nullable=False),
        sa.Column("quantity", sa.Double(), nullable=False),
        sa.Column("setups", sa.Integer(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.CheckConstraint("quantity >= 0", name=op.f("ck_built_quantity_low")),
        sa.CheckConstraint("setups >= 0", name=op.f("ck_built_setups_low")),
        sa.ForeignKeyConstraint(["project_id"], ["projects.id"], name=op.f("fk_built_project_id_projects")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_built")),
        sa.UniqueConstraint("project_id", "operation", name=op.f("uq_built_project_id_operation")),
    )
    op.create_table(
        "coats",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("project_id", sa.Integer(), nullable=False),
        sa.Column("finish", sa.String(length=60), nullable=False),
        sa.Column("coat", sa.Integer(), nullable=False),
        sa.Column("area_mm2", sa.BigInteger(), nullable=False),
        sa.Column("amount_ml", sa.Double(), nullable=False),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("temperature_c", sa.Double(), nullable=True),
        sa.Column("humidity_pct", sa.Double(), nullable=True),
        sa.Column("note", sa.Text(), nullable=False),
        sa.CheckConstraint("amount_ml > 0", name=op.f("ck_coats_amount_ml_positive")),
        sa.CheckConstraint("area_mm2 > 0", name=op.f("ck_coats_area_mm2_positive")),
        sa.CheckConstraint("coat > 0", name=op.f("ck_coats_coat_positive")),
        sa.CheckConstraint("humidity_pct >= 0 AND humidity_pct <= 100", name=op.f("ck_coats_humidity_pct_share")),
        sa.ForeignKeyConstraint(["project_id"], ["projects.id"], name=op.f("fk_coats_project_id_projects")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_coats")),
    )
    op.create_index(op.f("ix_coats_project_id"), "coats", ["project_id"])
    op.create_table(
        "glue_ups",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("project_id", sa.Integer(), nullable=False),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("label", sa.Text(), nullable=False),
        sa.Column("strips", sa.Integer(), nullable=False),
        sa.Column("area_mm2", sa.BigInteger(), nullable=False),
        sa.Column("glue_ml", sa.Double(), nullable=True),
        sa.Column("spread_seconds", sa.Integer(), nullable=True),
        sa.Column("assembly_seconds", sa.Integer(), nullable=True),
        sa.Column("clamps", sa.Integer(), nullable=True),
        sa.Column("temperature_c", sa.Double(), nullable=True),
        sa.CheckConstraint("area_mm2 > 0", name=op.f("ck_glue_ups_area_mm2_positive")),
        sa.CheckConstraint("assembly_seconds > 0", name=op.f("ck_glue_ups_assembly_seconds_positive")),
        sa.CheckConstraint("clamps >= 0", name=op.f("ck_glue_ups_clamps_low")),
        sa.CheckConstraint("glue_ml > 0", name=op.f("ck_glue_ups_glue_ml_positive")),
        sa.CheckConstraint("spread_seconds > 0", name=op.f("ck_glue_ups_spread_seconds_positive")),
        sa.CheckConstraint("strips >= 2", name=op.f("ck_glue_ups_strips_low")),
        sa.ForeignKeyConstraint(["project_id"], ["projects.id"], name=op.f("fk_glue_ups_project_id_projects")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_glue_ups")),
    )
    op.create_index(op.f("ix_glue_ups_project_id"), "glue_ups", ["project_id"])
    op.create_table(
        "parts",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("project_id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.String(length=60), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("label", sa.Text(), nullable=False),
        sa.Column("quantity", sa.Integer(), nullable=False),
        sa.Column("thickness_nm", sa.BigInteger(), nullable=False),
        sa.Column("width_nm", sa.BigInteger(), nullable=False),
        sa.Column("length_nm", sa.BigInteger(), nullable=False),
        sa.Column("stock_code", sa.String(length=60), nullable=False),
        sa.Column("strips", sa.Integer(), nullable=False),
        sa.Column(
            "laminated_along",
            sa.Enum(
                "none",
                "width",
                "thickness",
                name="laminated_along",
                native_enum=False,
                create_constraint=True,
                length=20,
            ),
            nullable=False,
        ),
        sa.Column("faces", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("removed_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint("length_nm > 0", name=op.f("ck_parts_length_nm_positive")),
        sa.CheckConstraint("quantity > 0", name=op.f("ck_parts_quantity_positive")),
        sa.CheckConstraint("strips >= 0", name=op.f("ck_parts_strips_low")),
        sa.CheckConstraint("thickness_nm > 0", name=op.f("ck_parts_thickness_nm_positive")),
        sa.CheckConstraint("width_nm > 0", name=op.f("ck_parts_width_nm_positive")),
        sa.ForeignKeyConstraint(["project_id"], ["projects.id"], name=op.f("fk_parts_project_id_projects")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_parts")),
        sa.UniqueConstraint("project_id", "uid", name=op.f("uq_parts_project_id_uid")),
    )
    op.create_index(op.f("ix_parts_project_id_position"), "parts", ["project_id", "position"])
    op.create_table(
        "plans",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("project_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("parts", sa.JSON(), nullable=False),
        sa.Column("operations", sa.JSON(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.CheckConstraint("version > 0", name=op.f("ck_plans_version_positive")),
        sa.ForeignKeyConstraint(["project_id"], ["projects.id"], name=op.f("fk_plans_project_id_projects")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_plans")),
        sa.UniqueConstraint("project_id", "version", name=op.f("uq_plans_project_id_version")),
    )
    op.create_table(
        "purchases",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("supplier", sa.Text(), nullable=False),
        sa.Column("project_id", sa.Integer(), nullable=True),
        sa.Column("freight_cents", sa.BigInteger(), nullable=False),
        sa.Column("tax_cents", sa.BigInteger(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.CheckConstraint("freight_cents >= 0", name=op.f("ck_purchases_freight_cents_low")),
        sa.CheckConstraint("tax_cents >= 0", name=op.f("ck_purchases_tax_cents_low")),
        sa.ForeignKeyConstraint(["project_id"], ["projects.id"], name=op.f("fk_purchases_project_id_projects")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_purchases")),
    )
    op.create_index(op.f("ix_purchases_on_date"), "purchases", ["on_date"])
    op.create_index(op.f("ix_purchases_project_id"), "purchases", ["project_id"])
    op.create_table(
        "stock_prices",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("item_id", sa.Integer(), nullable=False),
        sa.Column("length_nm", sa.BigInteger(), nullable=True),
        sa.Column("price_cents", sa.BigInteger(), nullable=False),
        sa.Column(
            "per",
            sa.Enum(
                "piece",
                "board_foot",
                "foot",
                "sheet",
                "container",
                "each",
                name="price_per",
                native_enum=False,
                create_constraint=True,
                length=20,
            ),
            nullable=False,
        ),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("supplier", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.CheckConstraint("length_nm > 0", name=op.f("ck_stock_prices_length_nm_positive")),
        sa.CheckConstraint("price_cents >= 0", name=op.f("ck_stock_prices_price_cents_low")),
        sa.ForeignKeyConstraint(["item_id"], ["stock_items.id"], name=op.f("fk_stock_prices_item_id_stock_items")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_stock_prices")),
    )
    op.create_index(
        op.f("ix_stock_prices_item_id_length_nm_on_date"), "stock_prices", ["item_id", "length_nm", "on_date"]
    )
    op.create_table(
        "time_entries",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("project_id", sa.Integer(), nullable=True),
        sa.Column("operation", sa.String(length=60), nullable=True),
        sa.Column("stage", sa.String(length=60), nullable=True),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("started_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("seconds", sa.Integer(), nullable=False),
        sa.Column("people", sa.Integer(), nullable=False),
        sa.Column("rework", sa.Boolean(), nullable=False),
        sa.Column("set_aside_reason", sa.Text(), nullable=True),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("worker_id", sa.Integer(), nullable=True),
        sa.Column(
            "source",
            sa.Enum(
                "typed",
                "clock",
                "import",
                "demo",
                name="entry_source",
                native_enum=False,
                create_constraint=True,
                length=20,
            ),
            nullable=False,
        ),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("removed_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint(
            "set_aside_reason IS NULL OR set_aside_reason <> ''", name=op.f("ck_time_entries_set_aside_says_why")
        ),
        sa.CheckConstraint("(operation IS NULL) <> (stage IS NULL)", name=op.f("ck_time_entries_operation_or_stage")),
        sa.CheckConstraint("people > 0", name=op.f("ck_time_entries_people_positive")),
        sa.CheckConstraint("seconds >= 0", name=op.f("ck_time_entries_seconds_low")),
        sa.ForeignKeyConstraint(["project_id"], ["projects.id"], name=op.f("fk_time_entries_project_id_projects")),
        sa.ForeignKeyConstraint(["worker_id"], ["workers.id"], name=op.f("fk_time_entries_worker_id_workers")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_time_entries")),
    )
    op.create_index(op.f("ix_time_entries_on_date"), "time_entries", ["on_date"])
    op.create_index(op.f("ix_time_entries_operation"), "time_entries", ["operation"])
    op.create_index(op.f("ix_time_entries_project_id_on_date"), "time_entries", ["project_id", "on_date"])
    op.create_index(op.f("ix_time_entries_worker_id"), "time_entries", ["worker_id"])
    op.create_table(
        "estimates",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("project_id", sa.Integer(), nullable=False),
        sa.Column("plan_version", sa.Integer(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("payload", sa.Text(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("tool_version", sa.String(length=60), nullable=False),
        sa.ForeignKeyConstraint(
            ["project_id", "plan_version"],
            ["plans.project_id", "plans.version"],
            name=op.f("fk_estimates_project_id_plan_version_plans"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_estimates")),
    )
    op.create_index(op.f("ix_estimates_project_id_made_at"), "estimates", ["project_id", "made_at"])
    op.create_table(
        "part_features",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("part_id", sa.Integer(), nullable=False),
        sa.Column("feature", sa.String(length=60), nullable=False),
        sa.Column("count", sa.Integer(), nullable=True),
        sa.Column("length_nm", sa.BigInteger(), nullable=True),
        sa.CheckConstraint("count > 0", name=op.f("ck_part_features_count_positive")),
        sa.CheckConstraint("length_nm > 0", name=op.f("ck_part_features_length_nm_positive")),
        sa.ForeignKeyConstraint(["part_id"], ["parts.id"], name=op.f("fk_part_features_part_id_parts")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_part_features")),
    )
    op.create_index(op.f("ix_part_features_part_id"), "part_features", ["part_id"])
    op.create_table(
        "purchase_lines",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("purchase_id", sa.Integer(), nullable=False),
        sa.Column("stock_code", sa.String(length=60), nullable=False),
        sa.Column("length_nm", sa.BigInteger(), nullable=True),
        sa.Column("quantity", sa.Double(), nullable=False),
        sa.Column("board_feet", sa.Double(), nullable=True),
        sa.Column("price_cents", sa.BigInteger(), nullable=False),
        sa.Column("used_quantity", sa.Double(), nullable=True),
        sa.Column("rejected_quantity", sa.Double(), nullable=True),
        sa.CheckConstraint("board_feet > 0", name=op.f("ck_purchase_lines_board_feet_positive")),
        sa.CheckConstraint(
            "coalesce(used_quantity, 0) + coalesce(rejected_quantity, 0) <= quantity",
            name=op.f("ck_purchase_lines_used_within_bought"),
        ),
        sa.CheckConstraint("length_nm > 0", name=op.f("ck_purchase_lines_length_nm_positive")),
        sa.CheckConstraint("price_cents >= 0", name=op.f("ck_purchase_lines_price_cents_low")),
        sa.CheckConstraint("quantity > 0", name=op.f("ck_purchase_lines_quantity_positive")),
        sa.CheckConstraint("rejected_quantity >= 0", name=op.f("ck_purchase_lines_rejected_quantity_low")),
        sa.CheckConstraint("used_quantity >= 0", name=op.f("ck_purchase_lines_used_quantity_low")),
        sa.ForeignKeyConstraint(
            ["purchase_id"], ["purchases.id"], name=op.f("fk_purchase_lines_purchase_id_purchases")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_purchase_lines")),
    )
    op.create_index(op.f("ix_purchase_lines_purchase_id"), "purchase_lines", ["purchase_id"])
    op.create_index(op.f("ix_purchase_lines_stock_code"), "purchase_lines", ["stock_code"])
    op.create_table(
        "time_entry_changes",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("field", sa.String(length=60), nullable=False),
        sa.Column("old", sa.Text(), nullable=True),
        sa.Column("new", sa.Text(), nullable=True),
        sa.Column("why", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["entry_id"], ["time_entries.id"], name=op.f("fk_time_entry_changes_entry_id_time_entries")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_time_entry_changes")),
    )
    op.create_index(op.f("ix_time_entry_changes_entry_id"), "time_entry_changes", ["entry_id"])


def downgrade() -> None:
    op.drop_index(op.f("ix_time_entry_changes_entry_id"), table_name="time_entry_changes")
    op.drop_table("time_entry_changes")
    op.drop_index(op.f("ix_purchase_lines_stock_code"), table_name="purchase_lines")
    op.drop_index(op.f("ix_purchase_lines_purchase_id"), table_name="purchase_lines")
    op.drop_table("purchase_lines")
    op.drop_index(op.f("ix_part_features_part_id"), table_name="part_features")
    op.drop_table("part_features")
    op.drop_index(op.f("ix_estimates_project_id_made_at"), table_name="estimates")
    op.drop_table("estimates")
    op.drop_index(op.f("ix_time_entries_worker_id"), table_name="time_entries")
    op.drop_index(op.f("ix_time_entries_project_id_on_date"), table_name="time_entries")
    op.drop_index(op.f("ix_time_entries_operation"), table_name="time_entries")
    op.drop_index(op.f("ix_time_entries_on_date"), table_name="time_entries")
    op.drop_table("time_entries")
    op.drop_index(op.f("ix_stock_prices_item_id_length_nm_on_date"), table_name="stock_prices")
    op.drop_table("stock_prices")
    op.drop_index(op.f("ix_purchases_project_id"), table_name="purchases")
    op.drop_index(op.f("ix_purchases_on_date"), table_name="purchases")
    op.drop_table("purchases")
    op.drop_table("plans")
    op.drop_index(op.f("ix_parts_project_id_position"), table_name="parts")
    op.drop_table("parts")
    op.drop_index(op.f("ix_glue_ups_project_id"), table_name="glue_ups")
    op.drop_table("glue_ups")
    op.drop_index(op.f("ix_coats_project_id"), table_name="coats")
    op.drop_table("coats")
    op.drop_table("built")
    op.drop_table("workers")
    op.drop_table("stock_items")
    op.drop_table("shop")
    op.drop_table("settings")
    op.drop_index(op.f("ix_projects_state"), table_name="projects")
    op.drop_table("projects")
    op.drop_table("machines")
