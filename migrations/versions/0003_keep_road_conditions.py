"""keep road conditions.

Stretches of road that a firm closes, and the speeds at which it drives its roads.
"""

import sqlalchemy as sa
from alembic import op
from geoalchemy2 import Geometry

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def geo(kind: str) -> sa.types.TypeEngine[object]:
    """Return the column type of a geometry: PostGIS's own, or a blob of WKB."""
    if op.get_bind().dialect.name == "postgresql":
        return Geometry(kind, srid=4326, spatial_index=False)
    return sa.LargeBinary()


def upgrade() -> None:
    op.create_table(
        "road_closure",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("firm_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("geom", geo("GEOMETRY"), nullable=False),
        sa.Column("road", sa.Text(), nullable=False),
        sa.Column("first_on", sa.Date(), nullable=False),
        sa.Column("last_on", sa.Date(), nullable=True),
        sa.Column("from_min", sa.Integer(), nullable=True),
        sa.Column("to_min", sa.Integer(), nullable=True),
        sa.Column("why", sa.Text(), nullable=False),
        sa.Column("made_by", sa.Text(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("lifted_by", sa.Text(), nullable=False),
        sa.Column("lifted_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["firm_id"], ["firm.id"], name=op.f("fk_road_closure_firm_id_firm")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_road_closure")),
    )
    with op.batch_alter_table("road_closure", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_road_closure_firm_id"), ["firm_id"], unique=False)
    op.create_table(
        "road_speed",
        sa.Column("firm_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("road_class", sa.Text(), nullable=False),
        sa.Column("speed_mph", sa.Double(), nullable=False),
        sa.ForeignKeyConstraint(["firm_id"], ["firm.id"], name=op.f("fk_road_speed_firm_id_firm")),
        sa.PrimaryKeyConstraint("firm_id", "road_class", name=op.f("pk_road_speed")),
    )


def downgrade() -> None:
    op.drop_table("road_speed")
    op.drop_table("road_closure")
