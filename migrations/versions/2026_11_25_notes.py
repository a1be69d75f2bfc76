"""Notes of a project, and photos on notes and receipts.

Why: how something was done last time must be found again, in words and in pictures.
"""

import sqlalchemy as sa
from alembic import op

revision = "20261129n"
down_revision = "20261129m"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "notes",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("project_id", sa.Integer(), nullable=False),
        sa.Column("operation", sa.String(length=60), nullable=True),
        sa.Column("stage", sa.String(length=60), nullable=True),
        sa.Column("entry_id", sa.Integer(), nullable=True),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("worker_id", sa.Integer(), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("changed_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("removed_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint(
            "(operation IS NULL OR stage IS NULL) AND (entry_id IS NULL OR (operation IS NULL AND stage IS NULL))",
            name=op.f("ck_notes_about_one_thing"),
        ),
        sa.ForeignKeyConstraint(["project_id"], ["projects.id"], name=op.f("fk_notes_project_id_projects")),
        sa.ForeignKeyConstraint(["entry_id"], ["time_entries.id"], name=op.f("fk_notes_entry_id_time_entries")),
        sa.ForeignKeyConstraint(["worker_id"], ["workers.id"], name=op.f("fk_notes_worker_id_workers")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_notes")),
    )
    op.create_index(op.f("ix_notes_project_id"), "notes", ["project_id"])
    op.create_index(op.f("ix_notes_entry_id"), "notes", ["entry_id"])
    op.create_index(op.f("ix_notes_worker_id"), "notes", ["worker_id"])
    op.create_table(
        "photos",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("bytes", sa.Integer(), nullable=False),
        sa.Column("width", sa.Integer(), nullable=False),
        sa.Column("height", sa.Integer(), nullable=False),
        sa.Column("added_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("bytes > 0", name=op.f("ck_photos_bytes_positive")),
        sa.CheckConstraint("width > 0", name=op.f("ck_photos_width_positive")),
        sa.CheckConstraint("height > 0", name=op.f("ck_photos_height_positive")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_photos")),
        sa.UniqueConstraint("sha256", name=op.f("uq_photos_sha256")),
    )
    op.create_table(
        "photo_places",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("photo_id", sa.Integer(), nullable=False),
        sa.Column("note_id", sa.Integer(), nullable=True),
        sa.Column("purchase_id", sa.Integer(), nullable=True),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("removed_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint("(note_id IS NULL) <> (purchase_id IS NULL)", name=op.f("ck_photo_places_note_or_purchase")),
        sa.CheckConstraint("position >= 0", name=op.f("ck_photo_places_position_low")),
        sa.ForeignKeyConstraint(["photo_id"], ["photos.id"], name=op.f("fk_photo_places_photo_id_photos")),
        sa.ForeignKeyConstraint(["note_id"], ["notes.id"], name=op.f("fk_photo_places_note_id_notes")),
        sa.ForeignKeyConstraint(["purchase_id"], ["purchases.id"], name=op.f("fk_photo_places_purchase_id_purchases")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_photo_places")),
        sa.UniqueConstraint("photo_id", "note_id", name=op.f("uq_photo_places_photo_id_note_id")),
        sa.UniqueConstraint("photo_id", "purchase_id", name=op.f("uq_photo_places_photo_id_purchase_id")),
    )
    op.create_index(op.f("ix_photo_places_note_id"), "photo_places", ["note_id"])
    op.create_index(op.f("ix_photo_places_purchase_id"), "photo_places", ["purchase_id"])


def downgrade() -> None:
    op.drop_table("photo_places")
    op.drop_table("photos")
    op.drop_table("notes")
