"""let SQLite itself refuse that rows are changed which are only added to.

PostGIS has had such triggers since the first revision. On SQLite an erasure says so by a row in
``setting`` that no other connection ever sees, since it goes before the transaction ends. A later
migration that rebuilds one of these tables must make its triggers again: the rebuild drops them.
"""

import sqlalchemy as sa
from alembic import op

revision = "0021"
down_revision = "0020"
branch_labels = None
depends_on = None

PERSONAL: dict[str, tuple[str, ...]] = {
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
    "proposal": ("who", "before", "value"),
    "proposal_settled": ("who",),
    "private_read": (),
    "erasure": (),
}
"""Append-only table → its columns that an erasure may blank."""
MAY_GO = ("private_read",)
"""Tables whose rows go when they are older than they are kept."""
NO_ERASURE = "NOT EXISTS (SELECT 1 FROM setting WHERE name = 'erasing')"


def upgrade() -> None:
    if op.get_bind().dialect.name != "sqlite":
        return
    looked = sa.inspect(op.get_bind())
    for table, personal in PERSONAL.items():
        names = [one["name"] for one in looked.get_columns(table)]
        stay = [f'NEW."{one}" IS NOT OLD."{one}"' for one in names if one not in personal]
        refuse = (
            f"BEGIN SELECT RAISE(ABORT, '{table} is append-only: "
            "add a row that supersedes the old one'); END"
        )
        op.execute(
            f"CREATE TRIGGER {table}_is_append_only BEFORE UPDATE ON {table} "
            f"WHEN {' OR '.join((NO_ERASURE, *stay))} {refuse}"
        )
        when = f"WHEN {NO_ERASURE} " if table in MAY_GO else ""
        op.execute(f"CREATE TRIGGER {table}_stays BEFORE DELETE ON {table} {when}{refuse}")


def downgrade() -> None:
    if op.get_bind().dialect.name != "sqlite":
        return
    for table in PERSONAL:
        op.execute(f"DROP TRIGGER {table}_is_append_only")
        op.execute(f"DROP TRIGGER {table}_stays")
