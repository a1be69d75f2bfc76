"""The glue-up clock; when a coat or a clamping was done, and that one was removed.

Why: a clock must survive a page that is opened again, and what dries says until when.
"""

import sqlalchemy as sa
from alembic import op

revision = "20261129i"
down_revision = "20261129h"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("coats", sa.Column("parts", sa.Text(), nullable=True))
    op.add_column("coats", sa.Column("at", sa.DateTime(timezone=True), nullable=True))
    op.add_column("coats", sa.Column("removed_at", sa.DateTime(timezone=True), nullable=True))
    op.add_column("glue_ups", sa.Column("clamped_at", sa.DateTime(timezone=True), nullable=True))
    op.add_column("glue_ups", sa.Column("removed_at", sa.DateTime(timezone=True), nullable=True))
    _glue_clock()


def _glue_clock() -> None:
    op.create_table(
        "glue_clocks",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("project_id", sa.Integer(), nullable=False),
        sa.Column("label", sa.Text(), nullable=False),
        sa.Column("adhesive", sa.String(length=60), nullable=False),
        sa.Column("temperature_c", sa.Double(), nullable=False),
        sa.Column("strips", sa.Integer(), nullable=False),
        sa.Column("line_area_mm2", sa.BigInteger(), nullable=False),
        sa.Column("clamps", sa.Integer(), nullable=False),
        sa.Column("open_seconds", sa.Integer(), nullable=False),
        sa.Column("assembly_seconds", sa.Integer(), nullable=False),
        sa.Column("workers", sa.String(length=60), nullable=False),
        sa.Column("started_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("spread_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("clamped_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("glue_up_id", sa.Integer(), nullable=True),
        sa.Column("removed_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint("strips >= 2", name=op.f("ck_glue_clocks_strips_low")),
        sa.CheckConstraint("open_seconds >= 0", name=op.f("ck_glue_clocks_open_seconds_low")),
        sa.CheckConstraint("assembly_seconds >= 0", name=op.f("ck_glue_clocks_assembly_seconds_low")),
        sa.CheckConstraint("clamps >= 0", name=op.f("ck_glue_clocks_clamps_low")),
        sa.CheckConstraint("line_area_mm2 > 0", name=op.f("ck_glue_clocks_line_area_mm2_positive")),
        sa.ForeignKeyConstraint(["project_id"], ["projects.id"], name=op.f("fk_glue_clocks_project_id_projects")),
        sa.ForeignKeyConstraint(["glue_up_id"], ["glue_ups.id"], name=op.f("fk_glue_clocks_glue_up_id_glue_ups")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_glue_clocks")),
        sa.UniqueConstraint("glue_up_id", name=op.f("uq_glue_clocks_glue_up_id")),
    )
    op.create_index(op.f("ix_glue_clocks_project_id"), "glue_clocks", ["project_id"])
    op.create_table(
        "glue_ticks",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("clock_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("removed_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["clock_id"], ["glue_clocks.id"], name=op.f("fk_glue_ticks_clock_id_glue_clocks")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_glue_ticks")),
    )
    op.create_index(op.f("ix_glue_ticks_clock_id"), "glue_ticks", ["clock_id"])


def downgrade() -> None:
    for table in ("glue_ticks", "glue_clocks"):
        op.drop_table(table)
    with op.batch_alter_table("glue_ups") as batch:
        batch.drop_column("removed_at")
        batch.drop_column("clamped_at")
    with op.batch_alter_table("coats") as batch:
        batch.drop_column("removed_at")
        batch.drop_column("at")
        batch.drop_column("parts")
