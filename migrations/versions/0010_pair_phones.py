"""pair phones with technicians, and know which of them are signed out and wiped.

Of a phone's secret and of a pairing's code only hashes are kept.
"""

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None

ID = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    op.create_table(
        "phone",
        sa.Column("id", ID, nullable=False),
        sa.Column("user_id", ID, nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("secret_hash", sa.Text(), nullable=False),
        sa.Column("paired_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("paired_by", sa.Text(), nullable=False),
        sa.Column("last_seen_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("signed_out_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("signed_out_by", sa.Text(), nullable=False),
        sa.Column("wiped_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["user_id"], ["user_account.id"], name=op.f("fk_phone_user_id_user_account")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_phone")),
        sa.UniqueConstraint("secret_hash", name=op.f("uq_phone_secret_hash")),
    )
    op.create_index("ix_phone_user_id", "phone", ["user_id"])
    op.create_table(
        "pairing",
        sa.Column("id", ID, nullable=False),
        sa.Column("technician_id", ID, nullable=False),
        sa.Column("phone_name", sa.Text(), nullable=False),
        sa.Column("code_hash", sa.Text(), nullable=False),
        sa.Column("made_by", sa.Text(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["technician_id"], ["technician.id"], name=op.f("fk_pairing_technician_id_technician")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_pairing")),
        sa.UniqueConstraint("code_hash", name=op.f("uq_pairing_code_hash")),
    )


def downgrade() -> None:
    op.drop_table("pairing")
    op.drop_table("phone")
