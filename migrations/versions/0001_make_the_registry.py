"""make the registry.

Safe change: add with a default or nullable; never drop in the release that stops using a column;
batch mode rebuilds a SQLite table and drops its triggers, so re-create them here.
"""

import sqlalchemy as sa
from alembic import op
from geoalchemy2 import Geometry

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

APPEND_ONLY = ("visit", "visit_task", "reading", "change")
GEOMETRY_INDEXES = (
    ("site", "geom"),
    ("site", "geom3857"),
    ("flood_area", "geom"),
    ("bfe_line", "geom"),
)


def geo(kind: str) -> sa.types.TypeEngine[object]:
    """Return the column type of a geometry: PostGIS's own, or a blob of WKB."""
    if op.get_bind().dialect.name == "postgresql":
        return Geometry(kind, srid=4326, spatial_index=False)
    return sa.LargeBinary()


def only_corrections() -> dict[str, object]:
    """Return the options of an index that holds only rows which correct another."""
    where = sa.text("supersedes IS NOT NULL")
    return {"unique": False, "sqlite_where": where, "postgresql_where": where}


def postgis_up() -> None:
    """Add what only PostGIS has: generated points, spatial indexes, tables that refuse a change."""
    point = "ST_SetSRID(ST_MakePoint(lon, lat), 4326)"
    op.execute(
        f"ALTER TABLE site ADD geom geometry(Point,4326) GENERATED ALWAYS AS ({point}) STORED"
    )
    op.execute(
        "ALTER TABLE site ADD geom3857 geometry(Point,3857) "
        f"GENERATED ALWAYS AS (ST_Transform({point}, 3857)) STORED"
    )
    for table, column in GEOMETRY_INDEXES:
        op.execute(f"CREATE INDEX ix_{table}_{column} ON {table} USING gist ({column})")
    op.execute(  # how many systems of a map cell are overdue on any day: one binary search a row
        "CREATE TABLE due_grid (cell bigint NOT NULL, jurisdiction_id bigint NOT NULL, "
        "firm_id bigint NOT NULL, n integer NOT NULL, late_days integer[] NOT NULL, "
        "PRIMARY KEY (cell, jurisdiction_id, firm_id))"
    )
    op.execute(
        "CREATE FUNCTION refuse_change() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
        "RAISE EXCEPTION '% is append-only: add a row that supersedes the old one', TG_TABLE_NAME; "
        "END $$"
    )
    for table in APPEND_ONLY:
        op.execute(
            f"CREATE TRIGGER {table}_is_append_only BEFORE UPDATE OR DELETE ON {table} "
            "FOR EACH ROW EXECUTE FUNCTION refuse_change()"
        )


def upgrade() -> None:
    op.create_table(
        "bfe_line",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("source_key", sa.Text(), nullable=False),
        sa.Column("elevation_ft", sa.Double(), nullable=False),
        sa.Column("datum", sa.Text(), nullable=False),
        sa.Column("geom", geo("GEOMETRY"), nullable=False),
        sa.Column("given", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_bfe_line")),
        sa.UniqueConstraint("source_key", name=op.f("uq_bfe_line_source_key")),
    )
    op.create_table(
        "disposal_site",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("lon", sa.Double(), nullable=False),
        sa.Column("lat", sa.Double(), nullable=False),
        sa.Column("opens_min", sa.Integer(), nullable=True),
        sa.Column("closes_min", sa.Integer(), nullable=True),
        sa.Column("weekdays", sa.JSON(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_disposal_site")),
        sa.UniqueConstraint("name", name=op.f("uq_disposal_site_name")),
    )
    op.create_table(
        "firm",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("yard_lon", sa.Double(), nullable=True),
        sa.Column("yard_lat", sa.Double(), nullable=True),
        sa.Column("phone", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_firm")),
        sa.UniqueConstraint("name", name=op.f("uq_firm_name")),
    )
    op.create_table(
        "flood_area",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("source_key", sa.Text(), nullable=False),
        sa.Column("zone", sa.Text(), nullable=False),
        sa.Column("subtype", sa.Text(), nullable=False),
        sa.Column("sfha", sa.Boolean(), nullable=True),
        sa.Column("static_bfe_ft", sa.Double(), nullable=True),
        sa.Column("datum", sa.Text(), nullable=False),
        sa.Column("depth_ft", sa.Double(), nullable=True),
        sa.Column("geom", geo("GEOMETRY"), nullable=False),
        sa.Column("given", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_flood_area")),
        sa.UniqueConstraint("source_key", name=op.f("uq_flood_area_source_key")),
    )
    op.create_table(
        "import_run",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("file_name", sa.Text(), nullable=False),
        sa.Column("digest", sa.Text(), nullable=False),
        sa.Column("counts", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_import_run")),
    )
    op.create_table(
        "interval_rule",
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("task", sa.Text(), nullable=False),
        sa.Column("rule_set", sa.Text(), nullable=False),
        sa.Column("body", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("code", name=op.f("pk_interval_rule")),
    )
    with op.batch_alter_table("interval_rule", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_interval_rule_task"), ["task"], unique=False)

    op.create_table(
        "job",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("subject", sa.Text(), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("progress", sa.Text(), nullable=False),
        sa.Column("asked_by", sa.Text(), nullable=False),
        sa.Column("asked_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ended_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("pid", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_job")),
    )
    with op.batch_alter_table("job", schema=None) as batch_op:
        batch_op.create_index("ix_job_kind_subject_id", ["kind", "subject", "id"], unique=False)

    op.create_table(
        "jurisdiction",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("time_zone", sa.Text(), nullable=False),
        sa.Column("rule_set", sa.Text(), nullable=False),
        sa.Column("west", sa.Double(), nullable=True),
        sa.Column("south", sa.Double(), nullable=True),
        sa.Column("east", sa.Double(), nullable=True),
        sa.Column("north", sa.Double(), nullable=True),
        sa.Column("ngvd29_to_navd88_ft", sa.Double(), nullable=True),
        sa.Column("pump_out_trigger", sa.Text(), nullable=False),
        sa.Column("report_days", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_jurisdiction")),
        sa.UniqueConstraint("name", name=op.f("uq_jurisdiction_name")),
    )
    op.create_table(
        "setting",
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_setting")),
    )
    op.create_table(
        "sign_in_try",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("subject", sa.Text(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sign_in_try")),
    )
    with op.batch_alter_table("sign_in_try", schema=None) as batch_op:
        batch_op.create_index("ix_sign_in_try_subject_at", ["subject", "at"], unique=False)

    op.create_table(
        "task_kind",
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("body", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("code", name=op.f("pk_task_kind")),
    )
    op.create_table(
        "day",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("firm_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("made_by", sa.Text(), nullable=False),
        sa.Column("cost", sa.Double(), nullable=False),
        sa.Column("bound", sa.Double(), nullable=True),
        sa.Column("body", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(["firm_id"], ["firm.id"], name=op.f("fk_day_firm_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_day")),
    )
    with op.batch_alter_table("day", schema=None) as batch_op:
        batch_op.create_index(
            "ix_day_firm_id_on_date_id", ["firm_id", "on_date", "id"], unique=False
        )

    op.create_table(
        "fill_point",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("firm_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("lon", sa.Double(), nullable=False),
        sa.Column("lat", sa.Double(), nullable=False),
        sa.Column("minutes", sa.Double(), nullable=False),
        sa.Column("opens_min", sa.Integer(), nullable=True),
        sa.Column("closes_min", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["firm_id"], ["firm.id"], name=op.f("fk_fill_point_firm_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_fill_point")),
        sa.UniqueConstraint("firm_id", "name", name=op.f("uq_fill_point_firm_id_name")),
    )
    op.create_table(
        "site",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("firm_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column(
            "jurisdiction_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False
        ),
        sa.Column("lon", sa.Double(), nullable=True),
        sa.Column("lat", sa.Double(), nullable=True),
        sa.Column("position_source", sa.Text(), nullable=False),
        sa.Column("position_accuracy_m", sa.Double(), nullable=True),
        sa.Column("address", sa.Text(), nullable=False),
        sa.Column("town", sa.Text(), nullable=False),
        sa.Column("parcel", sa.Text(), nullable=False),
        sa.Column("access_note", sa.Text(), nullable=False),
        sa.Column("gate_note", sa.Text(), nullable=False),
        sa.Column("gate_code", sa.Text(), nullable=False),
        sa.Column("private_note", sa.Text(), nullable=False),
        sa.Column("hazards", sa.JSON(), nullable=False),
        sa.Column("corner_note", sa.Text(), nullable=False),
        sa.Column("corner_b_note", sa.Text(), nullable=False),
        sa.Column("corner_b_bearing_deg", sa.Double(), nullable=True),
        sa.Column("corner_b_distance_ft", sa.Double(), nullable=True),
        sa.Column("owner_name", sa.Text(), nullable=False),
        sa.Column("owner_phone", sa.Text(), nullable=False),
        sa.Column("owner_email", sa.Text(), nullable=False),
        sa.Column("owner_address", sa.Text(), nullable=False),
        sa.Column("water_available_gal", sa.Double(), nullable=True),
        sa.Column("occupied_share", sa.Double(), nullable=False),
        sa.Column("season_from", sa.Text(), nullable=False),
        sa.Column("season_to", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("active", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["firm_id"], ["firm.id"], name=op.f("fk_site_firm_id")),
        sa.ForeignKeyConstraint(
            ["jurisdiction_id"], ["jurisdiction.id"], name=op.f("fk_site_jurisdiction_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_site")),
        sa.UniqueConstraint("firm_id", "key", name=op.f("uq_site_firm_id_key")),
    )
    with op.batch_alter_table("site", schema=None) as batch_op:
        batch_op.create_index("ix_site_jurisdiction_id_id", ["jurisdiction_id", "id"], unique=False)
        batch_op.create_index("ix_site_lon_lat", ["lon", "lat"], unique=False)
        batch_op.create_index("ix_site_parcel", ["parcel"], unique=False)

    op.create_table(
        "truck",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("firm_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("water_gal", sa.Double(), nullable=True),
        sa.Column("hose_ft", sa.Double(), nullable=True),
        sa.Column("weight_lb", sa.Double(), nullable=True),
        sa.Column("height_ft", sa.Double(), nullable=True),
        sa.ForeignKeyConstraint(["firm_id"], ["firm.id"], name=op.f("fk_truck_firm_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_truck")),
        sa.UniqueConstraint("firm_id", "name", name=op.f("uq_truck_firm_id_name")),
    )
    op.create_table(
        "agreement",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("site_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("firm_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("starts_on", sa.Date(), nullable=False),
        sa.Column("ends_on", sa.Date(), nullable=True),
        sa.Column("visits_a_year", sa.Double(), nullable=True),
        sa.Column("includes", sa.JSON(), nullable=False),
        sa.Column("renewal", sa.Text(), nullable=False),
        sa.Column("renews_on", sa.Date(), nullable=True),
        sa.ForeignKeyConstraint(["firm_id"], ["firm.id"], name=op.f("fk_agreement_firm_id")),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_agreement_site_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_agreement")),
    )
    with op.batch_alter_table("agreement", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_agreement_site_id"), ["site_id"], unique=False)

    op.create_table(
        "change",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("source", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("row_id", sa.Text(), nullable=False),
        sa.Column("site_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("field", sa.Text(), nullable=False),
        sa.Column("before", sa.Text(), nullable=False),
        sa.Column("after", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_change_site_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_change")),
    )
    with op.batch_alter_table("change", schema=None) as batch_op:
        batch_op.create_index("ix_change_site_id_id", ["site_id", "id"], unique=False)

    op.create_table(
        "flood_fact",
        sa.Column("site_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("zone", sa.Text(), nullable=False),
        sa.Column("subtype", sa.Text(), nullable=False),
        sa.Column("in_hazard_area", sa.Boolean(), nullable=True),
        sa.Column("near_edge", sa.Boolean(), nullable=False),
        sa.Column("edge_m", sa.Double(), nullable=True),
        sa.Column("bfe_ft", sa.Double(), nullable=True),
        sa.Column("bfe_datum", sa.Text(), nullable=False),
        sa.Column("bfe_method", sa.Text(), nullable=False),
        sa.Column("below_bfe", sa.Boolean(), nullable=True),
        sa.Column("lowest_freeboard_ft", sa.Double(), nullable=True),
        sa.Column("lowest_component", sa.Text(), nullable=False),
        sa.Column("unknown_why", sa.Text(), nullable=False),
        sa.Column("flagged_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_flood_fact_site_id")),
        sa.PrimaryKeyConstraint("site_id", name=op.f("pk_flood_fact")),
    )
    op.create_table(
        "service_window",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("site_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("weekday", sa.Integer(), nullable=False),
        sa.Column("opens_min", sa.Integer(), nullable=False),
        sa.Column("closes_min", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_service_window_site_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_service_window")),
    )
    with op.batch_alter_table("service_window", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_service_window_site_id"), ["site_id"], unique=False)

    op.create_table(
        "system",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("site_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("kind_as_given", sa.Text(), nullable=False),
        sa.Column("permit_no", sa.Text(), nullable=False),
        sa.Column("permit_status", sa.Text(), nullable=False),
        sa.Column("design_flow_gpd", sa.Double(), nullable=True),
        sa.Column("bedrooms", sa.Double(), nullable=True),
        sa.Column("people", sa.Double(), nullable=True),
        sa.Column("installed_on", sa.Date(), nullable=True),
        sa.Column("rule_set", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_system_site_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_system")),
        sa.UniqueConstraint("site_id", "key", name=op.f("uq_system_site_id_key")),
    )
    op.create_table(
        "technician",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("firm_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("initials", sa.Text(), nullable=False),
        sa.Column("home_lon", sa.Double(), nullable=True),
        sa.Column("home_lat", sa.Double(), nullable=True),
        sa.Column("shift_from_min", sa.Integer(), nullable=False),
        sa.Column("shift_to_min", sa.Integer(), nullable=False),
        sa.Column("lunch_from_min", sa.Integer(), nullable=True),
        sa.Column("lunch_to_min", sa.Integer(), nullable=True),
        sa.Column("lunch_min", sa.Integer(), nullable=False),
        sa.Column("workdays", sa.JSON(), nullable=False),
        sa.Column("skills", sa.JSON(), nullable=False),
        sa.Column("truck_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("active", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["firm_id"], ["firm.id"], name=op.f("fk_technician_firm_id")),
        sa.ForeignKeyConstraint(["truck_id"], ["truck.id"], name=op.f("fk_technician_truck_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_technician")),
        sa.UniqueConstraint("firm_id", "name", name=op.f("uq_technician_firm_id_name")),
    )
    op.create_table(
        "window_exception",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("site_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("opens_min", sa.Integer(), nullable=True),
        sa.Column("closes_min", sa.Integer(), nullable=True),
        sa.Column("note", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_window_exception_site_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_window_exception")),
    )
    with op.batch_alter_table("window_exception", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_window_exception_site_id"), ["site_id"], unique=False)

    op.create_table(
        "component",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column(
            "system_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False
        ),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("label", sa.Text(), nullable=False),
        sa.Column("bearing_deg", sa.Double(), nullable=True),
        sa.Column("distance_ft", sa.Double(), nullable=True),
        sa.Column("tie_a_ft", sa.Double(), nullable=True),
        sa.Column("tie_b_ft", sa.Double(), nullable=True),
        sa.Column("lon", sa.Double(), nullable=True),
        sa.Column("lat", sa.Double(), nullable=True),
        sa.Column("cover_in", sa.Double(), nullable=True),
        sa.Column("elevation_ft", sa.Double(), nullable=True),
        sa.Column("elevation_datum", sa.Text(), nullable=False),
        sa.Column("count", sa.Integer(), nullable=True),
        sa.Column("length_ft", sa.Double(), nullable=True),
        sa.Column("pipe_in", sa.Double(), nullable=True),
        sa.Column("orifice_in", sa.Double(), nullable=True),
        sa.Column("spacing_ft", sa.Double(), nullable=True),
        sa.Column("turns_open", sa.Double(), nullable=True),
        sa.Column("capacity_gal", sa.Double(), nullable=True),
        sa.Column("gal_per_in", sa.Double(), nullable=True),
        sa.Column("has_riser", sa.Boolean(), nullable=True),
        sa.Column("details", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(["system_id"], ["system.id"], name=op.f("fk_component_system_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_component")),
    )
    with op.batch_alter_table("component", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_component_system_id"), ["system_id"], unique=False)

    op.create_table(
        "day_off",
        sa.Column(
            "technician_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False
        ),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.ForeignKeyConstraint(
            ["technician_id"], ["technician.id"], name=op.f("fk_day_off_technician_id")
        ),
        sa.PrimaryKeyConstraint("technician_id", "on_date", name=op.f("pk_day_off")),
    )
    op.create_table(
        "hold",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("firm_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("site_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column(
            "technician_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True
        ),
        sa.Column("held_by", sa.Text(), nullable=False),
        sa.Column("held_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["firm_id"], ["firm.id"], name=op.f("fk_hold_firm_id")),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_hold_site_id")),
        sa.ForeignKeyConstraint(
            ["technician_id"], ["technician.id"], name=op.f("fk_hold_technician_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_hold")),
        sa.UniqueConstraint("site_id", "on_date", name=op.f("uq_hold_site_id_on_date")),
    )
    with op.batch_alter_table("hold", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_hold_firm_id"), ["firm_id"], unique=False)

    op.create_table(
        "licence",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column(
            "technician_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False
        ),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("number", sa.Text(), nullable=False),
        sa.Column("valid_from", sa.Date(), nullable=True),
        sa.Column("valid_to", sa.Date(), nullable=True),
        sa.Column("jurisdiction", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["technician_id"], ["technician.id"], name=op.f("fk_licence_technician_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_licence")),
    )
    with op.batch_alter_table("licence", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_licence_technician_id"), ["technician_id"], unique=False
        )

    op.create_table(
        "obligation",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column(
            "system_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False
        ),
        sa.Column("site_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("firm_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column(
            "jurisdiction_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False
        ),
        sa.Column("task", sa.Text(), nullable=False),
        sa.Column("rule_code", sa.Text(), nullable=False),
        sa.Column("source", sa.Text(), nullable=False),
        sa.Column("last_done", sa.Date(), nullable=True),
        sa.Column("counted_from", sa.Date(), nullable=True),
        sa.Column("due_on", sa.Date(), nullable=True),
        sa.Column("estimated", sa.Boolean(), nullable=False),
        sa.Column("grace_days", sa.Integer(), nullable=False),
        sa.Column("horizon_days", sa.Integer(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["firm_id"], ["firm.id"], name=op.f("fk_obligation_firm_id")),
        sa.ForeignKeyConstraint(
            ["jurisdiction_id"], ["jurisdiction.id"], name=op.f("fk_obligation_jurisdiction_id")
        ),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_obligation_site_id")),
        sa.ForeignKeyConstraint(["system_id"], ["system.id"], name=op.f("fk_obligation_system_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_obligation")),
        sa.UniqueConstraint("system_id", "task", name=op.f("uq_obligation_system_id_task")),
    )
    with op.batch_alter_table("obligation", schema=None) as batch_op:
        batch_op.create_index("ix_obligation_due_on_id", ["due_on", "id"], unique=False)
        batch_op.create_index(
            "ix_obligation_firm_id_due_on_id_grace_days",
            ["firm_id", "due_on", "id", "grace_days"],
            unique=False,
        )
        batch_op.create_index(
            "ix_obligation_jurisdiction_id_due_on_id_grace_days",
            ["jurisdiction_id", "due_on", "id", "grace_days"],
            unique=False,
        )
        batch_op.create_index("ix_obligation_site_id", ["site_id"], unique=False)

    op.create_table(
        "permit_condition",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column(
            "system_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False
        ),
        sa.Column("task", sa.Text(), nullable=False),
        sa.Column("months", sa.Integer(), nullable=False),
        sa.Column("citation", sa.Text(), nullable=False),
        sa.Column("is_waiver", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(
            ["system_id"], ["system.id"], name=op.f("fk_permit_condition_system_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_permit_condition")),
    )
    with op.batch_alter_table("permit_condition", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_permit_condition_system_id"), ["system_id"], unique=False
        )

    op.create_table(
        "route",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("day_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column(
            "technician_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False
        ),
        sa.Column("leaves", sa.DateTime(timezone=True), nullable=False),
        sa.Column("returns", sa.DateTime(timezone=True), nullable=False),
        sa.Column("drive_s", sa.Double(), nullable=False),
        sa.Column("drive_m", sa.Double(), nullable=False),
        sa.Column("wait_s", sa.Double(), nullable=False),
        sa.Column("body", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(["day_id"], ["day.id"], name=op.f("fk_route_day_id")),
        sa.ForeignKeyConstraint(
            ["technician_id"], ["technician.id"], name=op.f("fk_route_technician_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_route")),
        sa.UniqueConstraint("day_id", "technician_id", name=op.f("uq_route_day_id_technician_id")),
    )
    op.create_table(
        "user_account",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("password_hash", sa.Text(), nullable=False),
        sa.Column("role", sa.Text(), nullable=False),
        sa.Column("firm_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column(
            "technician_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True
        ),
        sa.Column("active", sa.Boolean(), nullable=False),
        sa.Column("session_key", sa.Text(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["firm_id"], ["firm.id"], name=op.f("fk_user_account_firm_id")),
        sa.ForeignKeyConstraint(
            ["technician_id"], ["technician.id"], name=op.f("fk_user_account_technician_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_user_account")),
        sa.UniqueConstraint("name", name=op.f("uq_user_account_name")),
        sa.UniqueConstraint("session_key", name=op.f("uq_user_account_session_key")),
    )
    op.create_table(
        "visit",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("site_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("technician", sa.Text(), nullable=False),
        sa.Column(
            "technician_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True
        ),
        sa.Column("outcome", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("recorded_by", sa.Text(), nullable=False),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("supersedes", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_visit_site_id")),
        sa.ForeignKeyConstraint(["supersedes"], ["visit.id"], name=op.f("fk_visit_supersedes")),
        sa.ForeignKeyConstraint(
            ["technician_id"], ["technician.id"], name=op.f("fk_visit_technician_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_visit")),
    )
    with op.batch_alter_table("visit", schema=None) as batch_op:
        batch_op.create_index("ix_visit_site_id_on_date", ["site_id", "on_date"], unique=False)
        batch_op.create_index("ix_visit_supersedes", ["supersedes"], **only_corrections())

    op.create_table(
        "reading",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("visit_id", sa.Text(), nullable=False),
        sa.Column("site_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("system_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column(
            "component_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True
        ),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("value", sa.Double(), nullable=True),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("unit", sa.Text(), nullable=False),
        sa.Column("read_on", sa.Date(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("supersedes", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_reading_site_id")),
        sa.ForeignKeyConstraint(["supersedes"], ["reading.id"], name=op.f("fk_reading_supersedes")),
        sa.ForeignKeyConstraint(["system_id"], ["system.id"], name=op.f("fk_reading_system_id")),
        sa.ForeignKeyConstraint(["visit_id"], ["visit.id"], name=op.f("fk_reading_visit_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_reading")),
    )
    with op.batch_alter_table("reading", schema=None) as batch_op:
        batch_op.create_index(
            "ix_reading_site_id_kind_read_on", ["site_id", "kind", "read_on"], unique=False
        )
        batch_op.create_index(batch_op.f("ix_reading_visit_id"), ["visit_id"], unique=False)
        batch_op.create_index("ix_reading_supersedes", ["supersedes"], **only_corrections())

    op.create_table(
        "system_due",
        sa.Column(
            "system_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False
        ),
        sa.Column("site_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("firm_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column(
            "jurisdiction_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False
        ),
        sa.Column(
            "obligation_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False
        ),
        sa.Column("task", sa.Text(), nullable=False),
        sa.Column("counted_from", sa.Date(), nullable=True),
        sa.Column("due_on", sa.Date(), nullable=True),
        sa.Column("grace_days", sa.Integer(), nullable=False),
        sa.Column("cell", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.ForeignKeyConstraint(["firm_id"], ["firm.id"], name=op.f("fk_system_due_firm_id")),
        sa.ForeignKeyConstraint(
            ["jurisdiction_id"], ["jurisdiction.id"], name=op.f("fk_system_due_jurisdiction_id")
        ),
        sa.ForeignKeyConstraint(
            ["obligation_id"], ["obligation.id"], name=op.f("fk_system_due_obligation_id")
        ),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_system_due_site_id")),
        sa.ForeignKeyConstraint(["system_id"], ["system.id"], name=op.f("fk_system_due_system_id")),
        sa.PrimaryKeyConstraint("system_id", name=op.f("pk_system_due")),
    )
    with op.batch_alter_table("system_due", schema=None) as batch_op:
        batch_op.create_index(
            "ix_system_due_jurisdiction_id_due_on_grace_days",
            ["jurisdiction_id", "due_on", "grace_days"],
            unique=False,
        )
        batch_op.create_index(
            "ix_system_due_firm_id_due_on_grace_days",
            ["firm_id", "due_on", "grace_days"],
            unique=False,
        )
        batch_op.create_index("ix_system_due_site_id", ["site_id"], unique=False)
        batch_op.create_index(
            "ix_system_due_cell",
            ["cell", "jurisdiction_id", "firm_id", "due_on", "grace_days"],
            unique=False,
        )
        batch_op.create_index("ix_system_due_obligation_id", ["obligation_id"], unique=False)

    op.create_table(
        "user_jurisdiction",
        sa.Column("user_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column(
            "jurisdiction_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False
        ),
        sa.ForeignKeyConstraint(
            ["jurisdiction_id"],
            ["jurisdiction.id"],
            name=op.f("fk_user_jurisdiction_jurisdiction_id"),
        ),
        sa.ForeignKeyConstraint(
            ["user_id"], ["user_account.id"], name=op.f("fk_user_jurisdiction_user_id")
        ),
        sa.PrimaryKeyConstraint("user_id", "jurisdiction_id", name=op.f("pk_user_jurisdiction")),
    )
    op.create_table(
        "visit_task",
        sa.Column("visit_id", sa.Text(), nullable=False),
        sa.Column(
            "system_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False
        ),
        sa.Column("task", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["system_id"], ["system.id"], name=op.f("fk_visit_task_system_id")),
        sa.ForeignKeyConstraint(["visit_id"], ["visit.id"], name=op.f("fk_visit_task_visit_id")),
        sa.PrimaryKeyConstraint("visit_id", "system_id", "task", name=op.f("pk_visit_task")),
    )
    with op.batch_alter_table("visit_task", schema=None) as batch_op:
        batch_op.create_index("ix_visit_task_system_id_task", ["system_id", "task"], unique=False)
    if op.get_bind().dialect.name == "postgresql":
        postgis_up()


def downgrade() -> None:
    with op.batch_alter_table("visit_task", schema=None) as batch_op:
        batch_op.drop_index("ix_visit_task_system_id_task")

    op.drop_table("visit_task")
    op.drop_table("user_jurisdiction")
    with op.batch_alter_table("system_due", schema=None) as batch_op:
        batch_op.drop_index("ix_system_due_obligation_id")
        batch_op.drop_index("ix_system_due_cell")
        batch_op.drop_index("ix_system_due_site_id")
        batch_op.drop_index("ix_system_due_firm_id_due_on_grace_days")
        batch_op.drop_index("ix_system_due_jurisdiction_id_due_on_grace_days")

    op.drop_table("system_due")
    with op.batch_alter_table("reading", schema=None) as batch_op:
        batch_op.drop_index("ix_reading_supersedes")
        batch_op.drop_index(batch_op.f("ix_reading_visit_id"))
        batch_op.drop_index("ix_reading_site_id_kind_read_on")

    op.drop_table("reading")
    with op.batch_alter_table("visit", schema=None) as batch_op:
        batch_op.drop_index("ix_visit_supersedes")
        batch_op.drop_index("ix_visit_site_id_on_date")

    op.drop_table("visit")
    op.drop_table("user_account")
    op.drop_table("route")
    with op.batch_alter_table("permit_condition", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_permit_condition_system_id"))

    op.drop_table("permit_condition")
    with op.batch_alter_table("obligation", schema=None) as batch_op:
        batch_op.drop_index("ix_obligation_site_id")
        batch_op.drop_index("ix_obligation_jurisdiction_id_due_on_id_grace_days")
        batch_op.drop_index("ix_obligation_firm_id_due_on_id_grace_days")
        batch_op.drop_index("ix_obligation_due_on_id")

    op.drop_table("obligation")
    with op.batch_alter_table("licence", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_licence_technician_id"))

    op.drop_table("licence")
    with op.batch_alter_table("hold", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_hold_firm_id"))

    op.drop_table("hold")
    op.drop_table("day_off")
    with op.batch_alter_table("component", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_component_system_id"))

    op.drop_table("component")
    with op.batch_alter_table("window_exception", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_window_exception_site_id"))

    op.drop_table("window_exception")
    op.drop_table("technician")
    op.drop_table("system")
    with op.batch_alter_table("service_window", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_service_window_site_id"))

    op.drop_table("service_window")
    op.drop_table("flood_fact")
    with op.batch_alter_table("change", schema=None) as batch_op:
        batch_op.drop_index("ix_change_site_id_id")

    op.drop_table("change")
    with op.batch_alter_table("agreement", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_agreement_site_id"))

    op.drop_table("agreement")
    op.drop_table("truck")
    with op.batch_alter_table("site", schema=None) as batch_op:
        batch_op.drop_index("ix_site_parcel")
        batch_op.drop_index("ix_site_lon_lat")
        batch_op.drop_index("ix_site_jurisdiction_id_id")

    op.drop_table("site")
    op.drop_table("fill_point")
    with op.batch_alter_table("day", schema=None) as batch_op:
        batch_op.drop_index("ix_day_firm_id_on_date_id")

    op.drop_table("day")
    op.drop_table("task_kind")
    with op.batch_alter_table("sign_in_try", schema=None) as batch_op:
        batch_op.drop_index("ix_sign_in_try_subject_at")

    op.drop_table("sign_in_try")
    op.drop_table("setting")
    op.drop_table("job")
    op.drop_table("jurisdiction")
    with op.batch_alter_table("interval_rule", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_interval_rule_task"))

    op.drop_table("interval_rule")
    op.drop_table("import_run")
    op.drop_table("flood_area")
    op.drop_table("firm")
    op.drop_table("disposal_site")
    op.drop_table("bfe_line")
    if op.get_bind().dialect.name == "postgresql":
        op.execute("DROP TABLE due_grid")
        op.execute("DROP FUNCTION refuse_change()")
