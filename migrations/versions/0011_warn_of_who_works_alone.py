"""warn of who works alone, and settle visits that were recorded twice.

A settlement stands over several visits; like visits it is only ever added.
"""

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None

APPEND_ONLY = ("visit_settled",)


def upgrade() -> None:
    op.add_column(
        "firm", sa.Column("alone_margin_min", sa.Integer(), nullable=False, server_default="30")
    )
    op.add_column("technician", sa.Column("phone", sa.Text(), nullable=False, server_default=""))
    op.create_table(
        "visit_settled",
        sa.Column("over_id", sa.Text(), nullable=False),
        sa.Column("visit_id", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["over_id"], ["visit.id"], name=op.f("fk_visit_settled_over_id_visit")
        ),
        sa.ForeignKeyConstraint(
            ["visit_id"], ["visit.id"], name=op.f("fk_visit_settled_visit_id_visit")
        ),
        sa.PrimaryKeyConstraint("over_id", name=op.f("pk_visit_settled")),
    )
    if op.get_bind().dialect.name == "postgresql":
        for table in APPEND_ONLY:
            op.execute(
                f"CREATE TRIGGER {table}_is_append_only BEFORE UPDATE OR DELETE ON {table} "
                "FOR EACH ROW EXECUTE FUNCTION refuse_change()"
            )


def downgrade() -> None:
    op.drop_table("visit_settled")
    op.drop_column("technician", "phone")
    op.drop_column("firm", "alone_margin_min")
