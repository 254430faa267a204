"""keep a small preview beside a photo."""

import sqlalchemy as sa
from alembic import op

revision = "0019"
down_revision = "0018"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column(
        "photo", sa.Column("preview_digest", sa.Text(), nullable=False, server_default="")
    )
    op.create_index("ix_photo_preview_digest", "photo", ["preview_digest"])


def downgrade() -> None:
    op.drop_index("ix_photo_preview_digest", table_name="photo")
    op.drop_column("photo", "preview_digest")
