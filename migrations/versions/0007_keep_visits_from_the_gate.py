"""keep visits as they were recorded at the gate.

What was sent is kept whole beside the visit; findings have rows of their own. A reading says what
was answered when it raised a question. Kinds of readings are kept like kinds of tasks. A
jurisdiction names the nearest hospital.
"""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None

ID = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
APPEND_ONLY = ("gate_visit", "finding")


def upgrade() -> None:
    op.create_table(
        "reading_kind",
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("body", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("code", name=op.f("pk_reading_kind")),
    )
    op.create_table(
        "gate_visit",
        sa.Column("visit_id", sa.Text(), nullable=False),
        sa.Column("digest", sa.Text(), nullable=False),
        sa.Column("ending", sa.Text(), nullable=False),
        sa.Column("arrived_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("left_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("device_offset_s", sa.Double(), nullable=True),
        sa.Column("body", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(
            ["visit_id"], ["visit.id"], name=op.f("fk_gate_visit_visit_id_visit")
        ),
        sa.PrimaryKeyConstraint("visit_id", name=op.f("pk_gate_visit")),
    )
    op.create_table(
        "finding",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("visit_id", sa.Text(), nullable=False),
        sa.Column("site_id", ID, nullable=False),
        sa.Column("system_id", ID, nullable=True),
        sa.Column("component_id", ID, nullable=True),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("seriousness", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("bearing_deg", sa.Double(), nullable=True),
        sa.Column("distance_ft", sa.Double(), nullable=True),
        sa.Column("owner_told", sa.Text(), nullable=False),
        sa.Column("report_by", sa.DateTime(timezone=True), nullable=True),
        sa.Column("follow_up_on", sa.Date(), nullable=True),
        sa.ForeignKeyConstraint(["visit_id"], ["visit.id"], name=op.f("fk_finding_visit_id_visit")),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_finding_site_id_site")),
        sa.ForeignKeyConstraint(
            ["system_id"], ["system.id"], name=op.f("fk_finding_system_id_system")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_finding")),
    )
    op.create_index("ix_finding_site_id", "finding", ["site_id"])
    op.create_index("ix_finding_visit_id", "finding", ["visit_id"])
    op.add_column(
        "jurisdiction", sa.Column("hospital", sa.Text(), nullable=False, server_default="")
    )
    op.add_column("reading", sa.Column("answer", sa.Text(), nullable=False, server_default=""))
    if op.get_bind().dialect.name == "postgresql":
        for table in APPEND_ONLY:
            op.execute(
                f"CREATE TRIGGER {table}_is_append_only BEFORE UPDATE OR DELETE ON {table} "
                "FOR EACH ROW EXECUTE FUNCTION refuse_change()"
            )


def downgrade() -> None:
    op.execute("ALTER TABLE reading DROP COLUMN answer")
    op.execute("ALTER TABLE jurisdiction DROP COLUMN hospital")
    op.drop_table("finding")
    op.drop_table("gate_visit")
    op.drop_table("reading_kind")
