"""note letters written to owners of overdue systems; only ever added to."""

import sqlalchemy as sa
from alembic import op

revision = "0013"
down_revision = "0012"
branch_labels = None
depends_on = None

ID = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    op.create_table(
        "letter",
        sa.Column("id", ID, nullable=False),
        sa.Column("batch", sa.Text(), nullable=False),
        sa.Column("site_id", ID, nullable=False),
        sa.Column("sender", sa.Text(), nullable=False),
        sa.Column("sender_name", sa.Text(), nullable=False),
        sa.Column("written_on", sa.Date(), nullable=False),
        sa.Column("to_name", sa.Text(), nullable=False),
        sa.Column("to_address", sa.Text(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("written_by", sa.Text(), nullable=False),
        sa.Column("noted_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_letter_site_id_site")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_letter")),
    )
    op.create_index("ix_letter_batch", "letter", ["batch"])
    op.create_index("ix_letter_site_id", "letter", ["site_id"])
    if op.get_bind().dialect.name == "postgresql":
        op.execute(
            "CREATE TRIGGER letter_is_append_only BEFORE UPDATE OR DELETE ON letter "
            "FOR EACH ROW EXECUTE FUNCTION refuse_change()"
        )


def downgrade() -> None:
    op.drop_table("letter")
