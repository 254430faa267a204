"""keep one-time codes, who read private fields, and what was erased; let erasure blank by name.

On PostGIS an append-only table may now be changed in one way: inside an erasure, and only in the
columns that its trigger names. Readings, dates and what was done stay refused.
"""

import sqlalchemy as sa
from alembic import op

revision = "0016"
down_revision = "0015"
branch_labels = None
depends_on = None

ID = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
PERSONAL = {
    "visit": ("technician", "note", "recorded_by"),
    "visit_task": (),
    "reading": ("note", "answer"),
    "change": ("who", "before", "after"),
    "gate_visit": ("body",),
    "finding": ("note", "owner_told"),
    "photo_content": (),
    "photo": ("technician", "caption", "recorded_by"),
    "photo_taken_back": ("why", "taken_back_by"),
    "report_sent": ("note", "noted_by"),
    "finding_mended": ("note", "noted_by"),
    "letter": ("to_name", "to_address", "body", "written_by"),
    "visit_settled": (),
}
"""Append-only table → its columns that may be blanked."""
REFUSAL = (
    "RAISE EXCEPTION '% is append-only: add a row that supersedes the old one', TG_TABLE_NAME; "
)
ERASURE = (
    "IF current_setting('riserway.erasing', true) = 'yes' THEN "
    "IF TG_OP = 'DELETE' AND TG_TABLE_NAME = 'private_read' THEN RETURN OLD; END IF; "
    "IF TG_OP = 'UPDATE' AND to_jsonb(NEW) - TG_ARGV = to_jsonb(OLD) - TG_ARGV "
    "THEN RETURN NEW; END IF; END IF; "
)


def upgrade() -> None:
    op.add_column(
        "user_account", sa.Column("code_key", sa.Text(), server_default="", nullable=False)
    )
    op.add_column("user_account", sa.Column("code_step", sa.BigInteger(), nullable=True))
    op.create_table(
        "recovery_code",
        sa.Column("id", ID, nullable=False),
        sa.Column("user_id", ID, nullable=False),
        sa.Column("code_hash", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["user_id"], ["user_account.id"], name=op.f("fk_recovery_code_user_id_user_account")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_recovery_code")),
    )
    op.create_index("ix_recovery_code_user_id", "recovery_code", ["user_id"])
    op.create_table(
        "private_read",
        sa.Column("id", ID, nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("role", sa.Text(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("firm_id", ID, nullable=True),
        sa.Column("site_id", ID, nullable=True),
        sa.Column("on_date", sa.Date(), nullable=True),
        sa.ForeignKeyConstraint(
            ["firm_id"], ["firm.id"], name=op.f("fk_private_read_firm_id_firm")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_private_read")),
    )
    op.create_index("ix_private_read_at", "private_read", ["at"])
    op.create_index("ix_private_read_site_id_id", "private_read", ["site_id", "id"])
    op.create_table(
        "erasure",
        sa.Column("id", ID, nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("subject", sa.Text(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("counts", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_erasure")),
    )
    if op.get_bind().dialect.name == "postgresql":
        _let_erasure_blank()


def _let_erasure_blank() -> None:
    op.execute(
        "CREATE OR REPLACE FUNCTION refuse_change() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
        f"{ERASURE}{REFUSAL}END $$"
    )
    for table, columns in PERSONAL.items():
        op.execute(f"DROP TRIGGER {table}_is_append_only ON {table}")
        _make_trigger(table, columns)
    for table in ("private_read", "erasure"):
        _make_trigger(table, ())


def _make_trigger(table: str, columns: tuple[str, ...]) -> None:
    names = ", ".join(f"'{one}'" for one in columns)
    op.execute(
        f"CREATE TRIGGER {table}_is_append_only BEFORE UPDATE OR DELETE ON {table} "
        f"FOR EACH ROW EXECUTE FUNCTION refuse_change({names})"
    )


def downgrade() -> None:
    for table in ("erasure", "private_read", "recovery_code"):
        op.drop_table(table)
    op.drop_column("user_account", "code_step")
    op.drop_column("user_account", "code_key")
    if op.get_bind().dialect.name == "postgresql":
        for table in PERSONAL:
            op.execute(f"DROP TRIGGER {table}_is_append_only ON {table}")
            _make_trigger(table, ())
        op.execute(
            "CREATE OR REPLACE FUNCTION refuse_change() RETURNS trigger LANGUAGE plpgsql AS $$ "
            f"BEGIN {REFUSAL}END $$"
        )
