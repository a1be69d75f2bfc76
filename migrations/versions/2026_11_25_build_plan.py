"""What the plan of a build keeps: moisture readings and the maker's own edits of the steps.

Why: a plan is corrected by readings and by hand, and both must outlive a changed dimension.
"""

import sqlalchemy as sa
from alembic import op

revision = "20261129a"
down_revision = "20261128a"
branch_labels = None
depends_on = None

EDITS = ("drop", "add", "move", "split", "note")


def upgrade() -> None:
    op.create_table(
        "step_edits",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("project_id", sa.Integer(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column(
            "kind",
            sa.Enum(*EDITS, name="edit_kind", native_enum=False, create_constraint=True, length=20),
            nullable=False,
        ),
        sa.Column("step_key", sa.Text(), nullable=False),
        sa.Column("step_title", sa.Text(), nullable=False),
        sa.Column("after_key", sa.Text(), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("minutes", sa.Double(), nullable=False),
        sa.Column("stage", sa.String(length=60), nullable=False),
        sa.Column("share", sa.Double(), nullable=False),
        sa.Column("into_key", sa.Text(), nullable=False),
        sa.Column("taken_back_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint("minutes >= 0", name=op.f("ck_step_edits_minutes_low")),
        sa.CheckConstraint("share > 0", name=op.f("ck_step_edits_share_positive")),
        sa.ForeignKeyConstraint(["project_id"], ["projects.id"], name=op.f("fk_step_edits_project_id_projects")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_step_edits")),
    )
    op.create_index(op.f("ix_step_edits_project_id"), "step_edits", ["project_id"])
    op.create_table(
        "stacks",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("project_id", sa.Integer(), nullable=False),
        sa.Column("stacked_on", sa.Date(), nullable=False),
        sa.ForeignKeyConstraint(["project_id"], ["projects.id"], name=op.f("fk_stacks_project_id_projects")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_stacks")),
        sa.UniqueConstraint("project_id", name=op.f("uq_stacks_project_id")),
    )
    op.create_table(
        "moisture_readings",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("project_id", sa.Integer(), nullable=False),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("moisture_pct", sa.Double(), nullable=False),
        sa.Column("place", sa.Text(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("taken_back_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint("moisture_pct >= 0", name=op.f("ck_moisture_readings_moisture_pct_low")),
        sa.ForeignKeyConstraint(["project_id"], ["projects.id"], name=op.f("fk_moisture_readings_project_id_projects")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_moisture_readings")),
    )
    op.create_index(op.f("ix_moisture_readings_project_id"), "moisture_readings", ["project_id"])


def downgrade() -> None:
    op.drop_table("moisture_readings")
    op.drop_table("stacks")
    op.drop_table("step_edits")
