"""Events of the clock as they were tapped, and corrections of the log.

Why: a tap is kept once, whatever the signal does, and stretches of time follow from taps.
"""

import sqlalchemy as sa
from alembic import op

revision = "20261129d"
down_revision = "20261129c"
branch_labels = None
depends_on = None


def _one_of(name, *words):
    return sa.Enum(*words, name=name, native_enum=False, create_constraint=True, length=20)


def upgrade() -> None:
    op.create_table(
        "devices",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.String(length=60), nullable=False),
        sa.Column("label", sa.String(length=60), nullable=False),
        sa.Column("token_sha256", sa.String(length=64), nullable=True),
        sa.Column("paired_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("revoked_at", sa.DateTime(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_devices")),
        sa.UniqueConstraint("token_sha256", name=op.f("uq_devices_token_sha256")),
        sa.UniqueConstraint("uid", name=op.f("uq_devices_uid")),
    )
    op.create_table(
        "log_acts",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("form_key", sa.String(length=60), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("said", sa.Text(), nullable=False),
        sa.Column("steps", sa.JSON(), nullable=False),
        sa.Column("undone_at", sa.DateTime(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_log_acts")),
        sa.UniqueConstraint("form_key", name=op.f("uq_log_acts_form_key")),
    )
    op.create_table(
        "refused_taps",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("device_id", sa.Integer(), nullable=False),
        sa.Column("received_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("body_sha256", sa.String(length=64), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.Column("seen_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["device_id"], ["devices.id"], name=op.f("fk_refused_taps_device_id_devices")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_refused_taps")),
        sa.UniqueConstraint("device_id", "body_sha256", name=op.f("uq_refused_taps_device_id_body_sha256")),
    )
    op.create_index(op.f("ix_refused_taps_device_id"), "refused_taps", ["device_id"])
    op.create_table(
        "taps",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("device_id", sa.Integer(), nullable=False),
        sa.Column("sequence", sa.Integer(), nullable=False),
        sa.Column("worker_id", sa.Integer(), nullable=False),
        sa.Column("what", _one_of("what", "start", "stop", "pause", "resume"), nullable=False),
        sa.Column("project_id", sa.Integer(), nullable=True),
        sa.Column("operation", sa.String(length=60), nullable=True),
        sa.Column("stage", sa.String(length=60), nullable=True),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("received_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("outcome", _one_of("outcome", "opened", "asks", "closed", "paused", "nothing"), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.Column("entry_id", sa.Integer(), nullable=True),
        sa.Column("voided_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint("(operation IS NULL) <> (stage IS NULL)", name=op.f("ck_taps_operation_or_stage")),
        sa.CheckConstraint("sequence >= 0", name=op.f("ck_taps_sequence_low")),
        sa.ForeignKeyConstraint(["device_id"], ["devices.id"], name=op.f("fk_taps_device_id_devices")),
        sa.ForeignKeyConstraint(["entry_id"], ["time_entries.id"], name=op.f("fk_taps_entry_id_time_entries")),
        sa.ForeignKeyConstraint(["project_id"], ["projects.id"], name=op.f("fk_taps_project_id_projects")),
        sa.ForeignKeyConstraint(["worker_id"], ["workers.id"], name=op.f("fk_taps_worker_id_workers")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_taps")),
        sa.UniqueConstraint("device_id", "sequence", name=op.f("uq_taps_device_id_sequence")),
        sa.UniqueConstraint("entry_id", name=op.f("uq_taps_entry_id")),
    )
    op.create_index(op.f("ix_taps_project_id"), "taps", ["project_id"])
    op.create_index(op.f("ix_taps_outcome"), "taps", ["outcome"])
    op.create_index(op.f("ix_taps_worker_id_at"), "taps", ["worker_id", "at"])


def downgrade() -> None:
    for table in ("taps", "refused_taps", "log_acts", "devices"):
        op.drop_table(table)
