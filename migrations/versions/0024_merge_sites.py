"""let one record of a site point on to another, with all that is needed to take it back."""

import sqlalchemy as sa
from alembic import op

revision = "0024"
down_revision = "0023"
branch_labels = None
depends_on = None

ID = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
POINTING = ("site", "system")


def upgrade() -> None:
    kind = "BIGINT" if op.get_bind().dialect.name == "postgresql" else "INTEGER"
    for table in POINTING:  # in place: a rebuild would break what points at these tables
        name = f"fk_{table}_merged_into_id_{table}"
        op.execute(
            f"ALTER TABLE {table} ADD COLUMN merged_into_id {kind} "
            f"CONSTRAINT {name} REFERENCES {table} (id)"
        )
        op.execute(
            f"CREATE INDEX ix_{table}_merged_into_id ON {table} (merged_into_id) "
            "WHERE merged_into_id IS NOT NULL"
        )
    op.create_table(
        "site_merge",
        sa.Column("id", ID, nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("site_id", ID, nullable=False),
        sa.Column("merged_id", ID, nullable=False),
        sa.Column("choices", sa.JSON(), nullable=False),
        sa.Column("rows", sa.JSON(), nullable=False),
        sa.Column("owed", sa.JSON(), nullable=False),
        sa.Column("undone_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("undone_by", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_site_merge_site_id_site")),
        sa.ForeignKeyConstraint(
            ["merged_id"], ["site.id"], name=op.f("fk_site_merge_merged_id_site")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_site_merge")),
    )
    op.create_index("ix_site_merge_site_id", "site_merge", ["site_id"])
    op.create_index("ix_site_merge_merged_id", "site_merge", ["merged_id"])
    op.create_table(
        "sites_apart",
        sa.Column("first_id", ID, nullable=False),
        sa.Column("then_id", ID, nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["first_id"], ["site.id"], name=op.f("fk_sites_apart_first_id_site")
        ),
        sa.ForeignKeyConstraint(["then_id"], ["site.id"], name=op.f("fk_sites_apart_then_id_site")),
        sa.PrimaryKeyConstraint("first_id", "then_id", name=op.f("pk_sites_apart")),
    )


def downgrade() -> None:
    op.drop_table("sites_apart")
    op.drop_table("site_merge")
    for table in POINTING:
        op.execute(f"DROP INDEX ix_{table}_merged_into_id")
        op.execute(f"ALTER TABLE {table} DROP COLUMN merged_into_id")
