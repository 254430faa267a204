"""move in: places that sites are located by, and rows of another source that wait for a person."""

import sqlalchemy as sa
from alembic import op

revision = "0018"
down_revision = "0017"
branch_labels = None
depends_on = None

ID = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    op.create_table(
        "known_place",
        sa.Column("id", ID, nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("loose", sa.Text(), nullable=False),
        sa.Column("said", sa.Text(), nullable=False),
        sa.Column("town", sa.Text(), nullable=False),
        sa.Column("lon", sa.Double(), nullable=False),
        sa.Column("lat", sa.Double(), nullable=False),
        sa.Column("accuracy_m", sa.Double(), nullable=True),
        sa.Column("source", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_known_place")),
    )
    op.create_index("ix_known_place_kind_code", "known_place", ["kind", "code"])
    op.create_index("ix_known_place_kind_loose", "known_place", ["kind", "loose"])
    op.create_index("ix_known_place_source", "known_place", ["source"])
    op.create_table(
        "place_offer",
        sa.Column("id", ID, nullable=False),
        sa.Column("site_id", ID, nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("said", sa.Text(), nullable=False),
        sa.Column("town", sa.Text(), nullable=False),
        sa.Column("lon", sa.Double(), nullable=False),
        sa.Column("lat", sa.Double(), nullable=False),
        sa.Column("accuracy_m", sa.Double(), nullable=True),
        sa.Column("source", sa.Text(), nullable=False),
        sa.Column("score", sa.Double(), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.Column("refused", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_place_offer_site_id_site")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_place_offer")),
    )
    op.create_index("ix_place_offer_site_id", "place_offer", ["site_id"])
    op.create_table(
        "foreign_row",
        sa.Column("id", ID, nullable=False),
        sa.Column("firm_id", ID, nullable=False),
        sa.Column("source", sa.Text(), nullable=False),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("imported_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("file_name", sa.Text(), nullable=False),
        sa.Column("says", sa.JSON(), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("site_id", ID, nullable=True),
        sa.Column("decided_by", sa.Text(), nullable=False),
        sa.Column("decided_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["firm_id"], ["firm.id"], name=op.f("fk_foreign_row_firm_id_firm")),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_foreign_row_site_id_site")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_foreign_row")),
        sa.UniqueConstraint(
            "firm_id", "source", "key", name=op.f("uq_foreign_row_firm_id_source_key")
        ),
    )
    op.create_index("ix_foreign_row_firm_id_state_id", "foreign_row", ["firm_id", "state", "id"])
    op.create_table(
        "match_offer",
        sa.Column("id", ID, nullable=False),
        sa.Column("foreign_id", ID, nullable=False),
        sa.Column("site_id", ID, nullable=False),
        sa.Column("same_parcel", sa.Boolean(), nullable=False),
        sa.Column("same_address", sa.Boolean(), nullable=False),
        sa.Column("apart_m", sa.Double(), nullable=True),
        sa.Column("score", sa.Double(), nullable=False),
        sa.ForeignKeyConstraint(
            ["foreign_id"], ["foreign_row.id"], name=op.f("fk_match_offer_foreign_id_foreign_row")
        ),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_match_offer_site_id_site")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_match_offer")),
    )
    op.create_index("ix_match_offer_foreign_id", "match_offer", ["foreign_id"])


def downgrade() -> None:
    for table in ("match_offer", "foreign_row", "place_offer", "known_place"):
        op.drop_table(table)
