"""number the plans of a day, and note how a day goes.

Each version of a date's plan has a number and says what it was made from and what for. The notes
say where technicians are, which gates were locked, who called.
"""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None

ID = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def new_columns() -> list[sa.Column[object]]:
    """Return the columns of a plan.

    They are added and dropped in place: SQLite must not rebuild a table that others refer to.
    """
    return [
        sa.Column("number", sa.Integer(), nullable=False, server_default="0"),
        sa.Column("made_how", sa.Text(), nullable=False, server_default="ordered"),
        sa.Column("made_from", sa.Integer(), nullable=False, server_default="0"),
        sa.Column("note", sa.Text(), nullable=False, server_default=""),
    ]


def upgrade() -> None:
    for column in new_columns():
        op.add_column("day", column)
    op.execute(
        "UPDATE day SET number = (SELECT count(*) FROM day AS other WHERE other.firm_id ="
        " day.firm_id AND other.on_date = day.on_date AND other.id <= day.id)"
    )
    op.execute("UPDATE day SET made_from = number - 1")
    op.drop_index("ix_day_firm_id_on_date_id", "day")
    op.create_index(
        "ix_day_firm_id_on_date_number", "day", ["firm_id", "on_date", "number"], unique=True
    )
    op.create_table(
        "day_note",
        sa.Column("id", ID, nullable=False),
        sa.Column("firm_id", ID, nullable=False),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("technician_id", ID, nullable=True),
        sa.Column("site_id", ID, nullable=True),
        sa.Column("at_min", sa.Integer(), nullable=False),
        sa.Column("from_min", sa.Integer(), nullable=True),
        sa.Column("to_min", sa.Integer(), nullable=True),
        sa.Column("minutes", sa.Double(), nullable=True),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("noted_by", sa.Text(), nullable=False),
        sa.Column("noted_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["firm_id"], ["firm.id"], name=op.f("fk_day_note_firm_id_firm")),
        sa.ForeignKeyConstraint(
            ["technician_id"], ["technician.id"], name=op.f("fk_day_note_technician_id_technician")
        ),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_day_note_site_id_site")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_day_note")),
    )
    op.create_index("ix_day_note_firm_id_on_date_id", "day_note", ["firm_id", "on_date", "id"])


def downgrade() -> None:
    op.drop_table("day_note")
    op.drop_index("ix_day_firm_id_on_date_number", "day")
    op.create_index("ix_day_firm_id_on_date_id", "day", ["firm_id", "on_date", "id"])
    for column in new_columns():
        op.execute(f"ALTER TABLE day DROP COLUMN {column.name}")
