"""keep photos.

A picture is kept once, in the store itself, so that whoever copies the store has all; what is said
of it has a row of its own. Nothing is deleted: a photo is taken back by a note.
"""

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None

ID = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
APPEND_ONLY = ("photo_content", "photo", "photo_taken_back")


def upgrade() -> None:
    op.create_table(
        "photo_content",
        sa.Column("digest", sa.Text(), nullable=False),
        sa.Column("body", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("digest", name=op.f("pk_photo_content")),
    )
    op.create_table(
        "photo",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("site_id", ID, nullable=False),
        sa.Column("visit_id", sa.Text(), nullable=False),
        sa.Column("finding_id", sa.Text(), nullable=False),
        sa.Column("component_id", ID, nullable=True),
        sa.Column("taken_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("device_offset_s", sa.Double(), nullable=True),
        sa.Column("technician", sa.Text(), nullable=False),
        sa.Column("technician_id", ID, nullable=True),
        sa.Column("caption", sa.Text(), nullable=False),
        sa.Column("digest", sa.Text(), nullable=False),
        sa.Column("media_type", sa.Text(), nullable=False),
        sa.Column("size_bytes", sa.Integer(), nullable=False),
        sa.Column("width_px", sa.Integer(), nullable=False),
        sa.Column("height_px", sa.Integer(), nullable=False),
        sa.Column("recorded_by", sa.Text(), nullable=False),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_photo_site_id_site")),
        sa.ForeignKeyConstraint(
            ["digest"], ["photo_content.digest"], name=op.f("fk_photo_digest_photo_content")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_photo")),
    )
    op.create_index("ix_photo_site_id", "photo", ["site_id"])
    op.create_index("ix_photo_digest", "photo", ["digest"])
    op.create_table(
        "photo_taken_back",
        sa.Column("photo_id", sa.Text(), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.Column("taken_back_by", sa.Text(), nullable=False),
        sa.Column("taken_back_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["photo_id"], ["photo.id"], name=op.f("fk_photo_taken_back_photo_id_photo")
        ),
        sa.PrimaryKeyConstraint("photo_id", name=op.f("pk_photo_taken_back")),
    )
    if op.get_bind().dialect.name == "postgresql":
        for table in APPEND_ONLY:
            op.execute(
                f"CREATE TRIGGER {table}_is_append_only BEFORE UPDATE OR DELETE ON {table} "
                "FOR EACH ROW EXECUTE FUNCTION refuse_change()"
            )


def downgrade() -> None:
    op.drop_table("photo_taken_back")
    op.drop_table("photo")
    op.drop_table("photo_content")
