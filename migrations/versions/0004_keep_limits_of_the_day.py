"""keep limits of the day.

Overtime and driving limits of technicians, room for septage, what a firm asks of every day,
promised hours of held visits, technicians ruled out, visits in turn, and errands.
"""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

ID = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def new_columns() -> dict[str, list[sa.Column[object]]]:
    """Return the columns by table.

    They are added and dropped in place: SQLite must not rebuild a table that others refer to.
    """
    return {
        "truck": [sa.Column("septage_gal", sa.Double())],
        "technician": [
            sa.Column("overtime_min", sa.Integer(), nullable=False, server_default="0"),
            sa.Column("overtime_percent", sa.Integer(), nullable=False, server_default="200"),
            sa.Column("driving_percent", sa.Integer()),
        ],
        "firm": [
            sa.Column("keep_free_min", sa.Integer(), nullable=False, server_default="0"),
            sa.Column("keep_free_by_min", sa.Integer(), nullable=False, server_default="720"),
            sa.Column("even_work_percent", sa.Integer(), nullable=False, server_default="0"),
            sa.Column("daylight_only", sa.Boolean(), nullable=False, server_default=sa.true()),
        ],
        "hold": [sa.Column("from_min", sa.Integer()), sa.Column("to_min", sa.Integer())],
    }


def upgrade() -> None:
    for table, columns in new_columns().items():
        for column in columns:
            op.add_column(table, column)
    op.create_table(
        "rule_out",
        sa.Column("id", ID, nullable=False),
        sa.Column("firm_id", ID, nullable=False),
        sa.Column("site_id", ID, nullable=False),
        sa.Column("technician_id", ID, nullable=False),
        sa.Column("on_date", sa.Date(), nullable=True),
        sa.Column("note", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["firm_id"], ["firm.id"], name=op.f("fk_rule_out_firm_id")),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_rule_out_site_id")),
        sa.ForeignKeyConstraint(
            ["technician_id"], ["technician.id"], name=op.f("fk_rule_out_technician_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_rule_out")),
    )
    op.create_index(op.f("ix_rule_out_firm_id"), "rule_out", ["firm_id"])
    op.create_table(
        "visit_link",
        sa.Column("id", ID, nullable=False),
        sa.Column("firm_id", ID, nullable=False),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("first_site_id", ID, nullable=False),
        sa.Column("then_site_id", ID, nullable=False),
        sa.Column("same_truck", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["firm_id"], ["firm.id"], name=op.f("fk_visit_link_firm_id")),
        sa.ForeignKeyConstraint(
            ["first_site_id"], ["site.id"], name=op.f("fk_visit_link_first_site_id")
        ),
        sa.ForeignKeyConstraint(
            ["then_site_id"], ["site.id"], name=op.f("fk_visit_link_then_site_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_visit_link")),
        sa.UniqueConstraint(
            "on_date",
            "first_site_id",
            "then_site_id",
            name=op.f("uq_visit_link_on_date_first_site_id_then_site_id"),
        ),
    )
    op.create_index(op.f("ix_visit_link_firm_id"), "visit_link", ["firm_id"])
    op.create_table(
        "errand",
        sa.Column("id", ID, nullable=False),
        sa.Column("firm_id", ID, nullable=False),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("lon", sa.Double(), nullable=False),
        sa.Column("lat", sa.Double(), nullable=False),
        sa.Column("minutes", sa.Double(), nullable=False),
        sa.Column("from_min", sa.Integer(), nullable=False),
        sa.Column("to_min", sa.Integer(), nullable=False),
        sa.Column("technician_id", ID, nullable=True),
        sa.Column("note", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["firm_id"], ["firm.id"], name=op.f("fk_errand_firm_id")),
        sa.ForeignKeyConstraint(
            ["technician_id"], ["technician.id"], name=op.f("fk_errand_technician_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_errand")),
    )
    op.create_index(op.f("ix_errand_firm_id"), "errand", ["firm_id"])


def downgrade() -> None:
    for table in ("errand", "visit_link", "rule_out"):
        op.drop_table(table)
    for table, columns in new_columns().items():
        for column in columns:
            op.execute(f"ALTER TABLE {table} DROP COLUMN {column.name}")
