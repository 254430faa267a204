"""note the calls that are made ahead of visits, and what was agreed."""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None

ID = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    op.create_table(
        "call_made",
        sa.Column("id", ID, nullable=False),
        sa.Column("firm_id", ID, nullable=False),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("site_id", ID, nullable=False),
        sa.Column("agreed", sa.Text(), nullable=False),
        sa.Column("called_by", sa.Text(), nullable=False),
        sa.Column("called_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["firm_id"], ["firm.id"], name=op.f("fk_call_made_firm_id_firm")),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_call_made_site_id_site")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_call_made")),
    )
    op.create_index("ix_call_made_firm_id_on_date_id", "call_made", ["firm_id", "on_date", "id"])


def downgrade() -> None:
    op.drop_table("call_made")
