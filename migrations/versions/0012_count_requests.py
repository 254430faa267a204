"""count requests by sign-in and kind, so that a limit holds over several web processes."""

import sqlalchemy as sa
from alembic import op

revision = "0012"
down_revision = "0011"
branch_labels = None
depends_on = None

ID = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    op.create_table(
        "request_count",
        sa.Column("id", ID, nullable=False),
        sa.Column("subject", sa.Text(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("times", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_request_count")),
    )
    op.create_index("ix_request_count_subject_at", "request_count", ["subject", "at"])


def downgrade() -> None:
    op.drop_table("request_count")
