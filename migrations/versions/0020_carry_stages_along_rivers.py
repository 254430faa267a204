"""carry stages along rivers: gauges, centrelines, levels, stages, low points of roads."""

import sqlalchemy as sa
from alembic import op
from geoalchemy2 import Geometry

revision = "0020"
down_revision = "0019"
branch_labels = None
depends_on = None

ID = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def geo() -> sa.types.TypeEngine[object]:
    """Return the column type of a geometry: PostGIS's own, or a blob of WKB."""
    if op.get_bind().dialect.name == "postgresql":
        return Geometry("GEOMETRY", srid=4326, spatial_index=False)
    return sa.LargeBinary()


def of_gauge(table: str, **options: object) -> tuple[sa.Column[int], sa.ForeignKeyConstraint]:
    """Return the column of a gauge and its foreign key."""
    return (
        sa.Column("gauge_id", ID, nullable=bool(options.get("nullable"))),
        sa.ForeignKeyConstraint(
            ["gauge_id"], ["gauge.id"], name=op.f(f"fk_{table}_gauge_id_gauge")
        ),
    )


def upgrade() -> None:
    op.create_table(
        "gauge",
        sa.Column("id", ID, nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("river", sa.Text(), nullable=False),
        sa.Column("station_mi", sa.Double(), nullable=True),
        sa.Column("zero_ft", sa.Double(), nullable=True),
        sa.Column("datum", sa.Text(), nullable=False),
        sa.Column("slope_ft_per_mi", sa.Double(), nullable=True),
        sa.Column("credit", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_gauge")),
        sa.UniqueConstraint("name", name=op.f("uq_gauge_name")),
    )
    op.create_table(
        "river_line",
        sa.Column("id", ID, nullable=False),
        sa.Column("source_key", sa.Text(), nullable=False),
        *of_gauge("river_line"),
        sa.Column("river", sa.Text(), nullable=False),
        sa.Column("first_mi", sa.Double(), nullable=False),
        sa.Column("last_mi", sa.Double(), nullable=False),
        sa.Column("geom", geo(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_river_line")),
        sa.UniqueConstraint("source_key", name=op.f("uq_river_line_source_key")),
    )
    op.create_index("ix_river_line_gauge_id", "river_line", ["gauge_id"])
    op.create_table(
        "river_level",
        *of_gauge("river_level"),
        sa.Column("stage_ft", sa.Double(), nullable=False),
        sa.Column("station_mi", sa.Double(), nullable=False),
        sa.Column("surface_ft", sa.Double(), nullable=False),
        sa.Column("datum", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("gauge_id", "stage_ft", "station_mi", name=op.f("pk_river_level")),
    )
    op.create_table(
        "gauge_stage",
        *of_gauge("gauge_stage"),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("is_forecast", sa.Boolean(), nullable=False),
        sa.Column("stage_ft", sa.Double(), nullable=False),
        sa.PrimaryKeyConstraint("gauge_id", "at", "is_forecast", name=op.f("pk_gauge_stage")),
    )
    op.create_table(
        "low_point",
        sa.Column("id", ID, nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("elevation_ft", sa.Double(), nullable=True),
        sa.Column("datum", sa.Text(), nullable=False),
        sa.Column("source", sa.Text(), nullable=False),
        sa.Column("geom", geo(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_low_point")),
        sa.UniqueConstraint("name", name=op.f("uq_low_point_name")),
    )
    op.create_table(
        "component_stage",
        sa.Column("component_id", ID, nullable=False),
        *of_gauge("component_stage", nullable=True),
        sa.Column("station_mi", sa.Double(), nullable=True),
        sa.Column("stage_ft", sa.Double(), nullable=True),
        sa.Column("why_unknown", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["component_id"],
            ["component.id"],
            name=op.f("fk_component_stage_component_id_component"),
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("component_id", name=op.f("pk_component_stage")),
    )
    op.create_index(
        "ix_component_stage_gauge_id_stage_ft", "component_stage", ["gauge_id", "stage_ft"]
    )


def downgrade() -> None:
    for table in (
        "component_stage",
        "low_point",
        "gauge_stage",
        "river_level",
        "river_line",
        "gauge",
    ):
        op.drop_table(table)
