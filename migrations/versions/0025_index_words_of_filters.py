"""index the words that a filter of the map can choose: permit statuses, flood zones."""

from alembic import op

revision = "0025"
down_revision = "0024"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_index("ix_system_permit_status", "system", ["permit_status"])
    op.create_index("ix_flood_fact_zone", "flood_fact", ["zone"])


def downgrade() -> None:
    op.drop_index("ix_flood_fact_zone", "flood_fact")
    op.drop_index("ix_system_permit_status", "system")
