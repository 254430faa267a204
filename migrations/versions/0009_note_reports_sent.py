"""note reports sent and findings mended.

What a rule set asks for is kept like its intervals. That a report was sent, or a finding mended, is
only ever added to: a note made by mistake is taken back by another one.
"""

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None

ID = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
APPEND_ONLY = ("report_sent", "finding_mended")


def upgrade() -> None:
    op.create_table(
        "report_rule",
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("body", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("code", name=op.f("pk_report_rule")),
    )
    op.create_table(
        "report_sent",
        sa.Column("id", ID, nullable=False),
        sa.Column("visit_id", sa.Text(), nullable=False),
        sa.Column("sent_to", sa.Text(), nullable=False),
        sa.Column("sent_on", sa.Date(), nullable=False),
        sa.Column("how", sa.Text(), nullable=False),
        *_noted(),
        sa.ForeignKeyConstraint(
            ["visit_id"], ["visit.id"], name=op.f("fk_report_sent_visit_id_visit")
        ),
        sa.ForeignKeyConstraint(
            ["takes_back"], ["report_sent.id"], name=op.f("fk_report_sent_takes_back_report_sent")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_report_sent")),
    )
    op.create_index("ix_report_sent_visit_id", "report_sent", ["visit_id"])
    op.create_table(
        "finding_mended",
        sa.Column("id", ID, nullable=False),
        sa.Column("finding_id", sa.Text(), nullable=False),
        sa.Column("mended_on", sa.Date(), nullable=False),
        *_noted(),
        sa.ForeignKeyConstraint(
            ["finding_id"], ["finding.id"], name=op.f("fk_finding_mended_finding_id_finding")
        ),
        sa.ForeignKeyConstraint(
            ["takes_back"],
            ["finding_mended.id"],
            name=op.f("fk_finding_mended_takes_back_finding_mended"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_finding_mended")),
    )
    op.create_index("ix_finding_mended_finding_id", "finding_mended", ["finding_id"])
    if op.get_bind().dialect.name == "postgresql":
        for table in APPEND_ONLY:
            op.execute(
                f"CREATE TRIGGER {table}_is_append_only BEFORE UPDATE OR DELETE ON {table} "
                "FOR EACH ROW EXECUTE FUNCTION refuse_change()"
            )


def _noted() -> list[sa.Column[object]]:
    return [
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("noted_by", sa.Text(), nullable=False),
        sa.Column("noted_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("takes_back", ID, nullable=True),
    ]


def downgrade() -> None:
    op.drop_table("finding_mended")
    op.drop_table("report_sent")
    op.drop_table("report_rule")
