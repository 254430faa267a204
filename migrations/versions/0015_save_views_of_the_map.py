"""save views of the county map: a name and its filters, per sign-in."""

import sqlalchemy as sa
from alembic import op

revision = "0015"
down_revision = "0014"
branch_labels = None
depends_on = None

ID = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    op.create_table(
        "saved_view",
        sa.Column("id", ID, nullable=False),
        sa.Column("user_id", ID, nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("asked", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(
            ["user_id"], ["user_account.id"], name=op.f("fk_saved_view_user_id_user_account")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_saved_view")),
        sa.UniqueConstraint("user_id", "name", name=op.f("uq_saved_view_user_id_name")),
    )


def downgrade() -> None:
    op.drop_table("saved_view")
