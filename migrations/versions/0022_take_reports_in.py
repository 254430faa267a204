"""take reports of other firms in: who is licensed, what came in, what was taken back."""

import sqlalchemy as sa
from alembic import op

revision = "0022"
down_revision = "0021"
branch_labels = None
depends_on = None

ID = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
PERSONAL: dict[str, tuple[str, ...]] = {
    "report_in": ("person", "taken_in_by"),
    "report_in_back": ("taken_back_by", "why"),
}
"""Append-only table → its columns that an erasure may blank."""
NO_ERASURE = "NOT EXISTS (SELECT 1 FROM setting WHERE name = 'erasing')"


def upgrade() -> None:
    op.create_table(
        "licensed",
        sa.Column("id", ID, nullable=False),
        sa.Column("jurisdiction_id", ID, nullable=False),
        sa.Column("number", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("firm", sa.Text(), nullable=False),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("valid_from", sa.Date(), nullable=True),
        sa.Column("valid_to", sa.Date(), nullable=True),
        sa.ForeignKeyConstraint(
            ["jurisdiction_id"],
            ["jurisdiction.id"],
            name=op.f("fk_licensed_jurisdiction_id_jurisdiction"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_licensed")),
        sa.UniqueConstraint(
            "jurisdiction_id", "number", name=op.f("uq_licensed_jurisdiction_id_number")
        ),
    )
    op.create_table(
        "report_in",
        sa.Column("visit_id", sa.Text(), nullable=False),
        sa.Column("site_id", ID, nullable=False),
        sa.Column("firm", sa.Text(), nullable=False),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("licence", sa.Text(), nullable=False),
        sa.Column("received_on", sa.Date(), nullable=False),
        sa.Column("came_by", sa.Text(), nullable=False),
        sa.Column("source", sa.Text(), nullable=False),
        sa.Column("taken_in_by", sa.Text(), nullable=False),
        sa.Column("taken_in_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_report_in_site_id_site")),
        sa.ForeignKeyConstraint(
            ["visit_id"], ["visit.id"], name=op.f("fk_report_in_visit_id_visit")
        ),
        sa.PrimaryKeyConstraint("visit_id", name=op.f("pk_report_in")),
    )
    op.create_index("ix_report_in_site_id", "report_in", ["site_id"])
    op.create_index("ix_report_in_taken_in_at", "report_in", ["taken_in_at"])
    op.create_table(
        "report_in_back",
        sa.Column("visit_id", sa.Text(), nullable=False),
        sa.Column("taken_back_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("taken_back_by", sa.Text(), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["visit_id"], ["report_in.visit_id"], name=op.f("fk_report_in_back_visit_id_report_in")
        ),
        sa.PrimaryKeyConstraint("visit_id", name=op.f("pk_report_in_back")),
    )
    _only_added_to()


def _only_added_to() -> None:
    """Let the database refuse changes, as 0021 does for the tables before."""
    looked = sa.inspect(op.get_bind())
    for table, personal in PERSONAL.items():
        if op.get_bind().dialect.name == "postgresql":
            columns = ", ".join(f"'{one}'" for one in personal)
            op.execute(
                f"CREATE TRIGGER {table}_is_append_only BEFORE UPDATE OR DELETE ON {table} "
                f"FOR EACH ROW EXECUTE FUNCTION refuse_change({columns})"
            )
            continue
        names = [one["name"] for one in looked.get_columns(table)]
        stay = [f'NEW."{one}" IS NOT OLD."{one}"' for one in names if one not in personal]
        refuse = (
            f"BEGIN SELECT RAISE(ABORT, '{table} is append-only: "
            "add a row that supersedes the old one'); END"
        )
        op.execute(
            f"CREATE TRIGGER {table}_is_append_only BEFORE UPDATE ON {table} "
            f"WHEN {' OR '.join((NO_ERASURE, *stay))} {refuse}"
        )
        op.execute(f"CREATE TRIGGER {table}_stays BEFORE DELETE ON {table} {refuse}")


def downgrade() -> None:
    op.drop_table("report_in_back")
    op.drop_table("report_in")
    op.drop_table("licensed")
