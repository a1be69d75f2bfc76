"""Lessons written down when a job was closed, and loose ends accepted as they are.

Why: what was learned must be there when the next such bench is estimated.
"""

import sqlalchemy as sa
from alembic import op

revision = "20261129h"
down_revision = "20261129g"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "lessons",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("project_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("removed_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["project_id"], ["projects.id"], name=op.f("fk_lessons_project_id_projects")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_lessons")),
    )
    op.create_index(op.f("ix_lessons_project_id"), "lessons", ["project_id"])
    op.create_table(
        "loose_ends",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("project_id", sa.Integer(), nullable=False),
        sa.Column("what", sa.String(length=60), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["project_id"], ["projects.id"], name=op.f("fk_loose_ends_project_id_projects")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_loose_ends")),
        sa.UniqueConstraint("project_id", "what", name=op.f("uq_loose_ends_project_id_what")),
    )


def downgrade() -> None:
    op.drop_table("loose_ends")
    op.drop_index(op.f("ix_lessons_project_id"), table_name="lessons")
    op.drop_table("lessons")
