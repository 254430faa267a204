"""keep seasons: the week of every visit of a year, each making on its own."""

import sqlalchemy as sa
from alembic import op

revision = "0026"
down_revision = "0025"
branch_labels = None
depends_on = None

ID = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    op.create_table(
        "season",
        sa.Column("id", ID, nullable=False),
        sa.Column("firm_id", ID, nullable=False),
        sa.Column("first_on", sa.Date(), nullable=False),
        sa.Column("n_weeks", sa.Integer(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("told", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(["firm_id"], ["firm.id"], name=op.f("fk_season_firm_id_firm")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_season")),
    )
    op.create_index("ix_season_firm_id", "season", ["firm_id"])
    op.create_table(
        "season_visit",
        sa.Column("id", ID, nullable=False),
        sa.Column("season_id", ID, nullable=False),
        sa.Column("site_id", ID, nullable=False),
        sa.Column("week_on", sa.Date(), nullable=False),
        sa.Column("due_on", sa.Date(), nullable=True),
        sa.Column("tasks", sa.JSON(), nullable=False),
        sa.Column("minutes", sa.Integer(), nullable=False),
        sa.Column("late", sa.Boolean(), nullable=False),
        sa.Column("in_barred_week", sa.Boolean(), nullable=False),
        sa.Column("promised_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["season_id"], ["season.id"], name=op.f("fk_season_visit_season_id_season")
        ),
        sa.ForeignKeyConstraint(
            ["site_id"], ["site.id"], name=op.f("fk_season_visit_site_id_site")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_season_visit")),
    )
    op.create_index("ix_season_visit_season_id", "season_visit", ["season_id"])
    op.create_index("ix_season_visit_site_id", "season_visit", ["site_id"])


def downgrade() -> None:
    op.drop_table("season_visit")
    op.drop_table("season")
