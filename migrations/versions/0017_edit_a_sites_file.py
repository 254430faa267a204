"""keep values that wait to be settled, and how exactly a component's place is known."""

import sqlalchemy as sa
from alembic import op

revision = "0017"
down_revision = "0016"
branch_labels = None
depends_on = None

ID = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
APPEND_ONLY = {"proposal": "'who', 'before', 'value'", "proposal_settled": "'who'"}
"""Table → its columns that an erasure may blank."""


def upgrade() -> None:
    op.create_table(
        "proposal",
        sa.Column("id", ID, nullable=False),
        sa.Column("site_id", ID, nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("row_id", ID, nullable=False),
        sa.Column("field", sa.Text(), nullable=False),
        sa.Column("before", sa.Text(), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_proposal_site_id_site")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_proposal")),
    )
    op.create_index("ix_proposal_site_id", "proposal", ["site_id"])
    op.create_table(
        "proposal_settled",
        sa.Column("proposal_id", ID, nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("taken", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(
            ["proposal_id"],
            ["proposal.id"],
            name=op.f("fk_proposal_settled_proposal_id_proposal"),
        ),
        sa.PrimaryKeyConstraint("proposal_id", name=op.f("pk_proposal_settled")),
    )
    op.add_column(
        "component", sa.Column("position_source", sa.Text(), nullable=False, server_default="")
    )
    op.add_column("component", sa.Column("position_accuracy_m", sa.Double(), nullable=True))
    if op.get_bind().dialect.name == "postgresql":
        for table, columns in APPEND_ONLY.items():
            op.execute(
                f"CREATE TRIGGER {table}_is_append_only BEFORE UPDATE OR DELETE ON {table} "
                f"FOR EACH ROW EXECUTE FUNCTION refuse_change({columns})"
            )


def downgrade() -> None:
    op.execute("ALTER TABLE component DROP COLUMN position_accuracy_m")
    op.execute("ALTER TABLE component DROP COLUMN position_source")
    op.drop_table("proposal_settled")
    op.drop_table("proposal")
