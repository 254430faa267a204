"""number map cells along a curve, finer; keep town and kind beside what is due first.

Cells were the tiles of zoom 12, numbered column by column; now they are those of zoom 14, numbered
along the Z-order curve, so that the cells of a tile are one range.
"""

from collections.abc import Callable
from math import asinh, floor, pi, radians, tan

import sqlalchemy as sa
from alembic import op

revision = "0023"
down_revision = "0022"
branch_labels = None
depends_on = None

AT_ONCE = 10_000
MOST_LAT = 85.0511
BY_TOWN = "ix_system_due_jurisdiction_id_town_kind_due_on_grace_days"
BY_CELL = "ix_system_due_cell"


def upgrade() -> None:
    op.add_column("system_due", sa.Column("town", sa.Text(), nullable=False, server_default=""))
    op.add_column("system_due", sa.Column("kind", sa.Text(), nullable=False, server_default=""))
    op.execute(
        "UPDATE system_due SET town = (SELECT town FROM site WHERE site.id = system_due.site_id), "
        "kind = (SELECT kind FROM system WHERE system.id = system_due.system_id)"
    )
    _number_again(_along_a_curve)
    op.create_index(
        BY_TOWN, "system_due", ["jurisdiction_id", "town", "kind", "due_on", "grace_days"]
    )


def downgrade() -> None:
    op.drop_index(BY_TOWN, "system_due")
    _number_again(_by_columns)
    op.drop_column("system_due", "kind")
    op.drop_column("system_due", "town")


def _number_again(number: Callable[[float, float], int]) -> None:
    """Give each system's cell its other number, and count the cells again."""
    connection = op.get_bind()
    op.drop_index(BY_CELL, "system_due")
    asked = sa.text(
        "SELECT system_due.system_id, site.lon, site.lat FROM system_due "
        "JOIN site ON site.id = system_due.site_id WHERE system_due.system_id > :after "
        "AND site.lon IS NOT NULL AND site.lat IS NOT NULL "
        "ORDER BY system_due.system_id LIMIT :most"
    )
    told = sa.text("UPDATE system_due SET cell = :cell WHERE system_id = :system_id")
    after = -1
    while rows := connection.execute(asked, {"after": after, "most": AT_ONCE}).all():
        cells = [{"system_id": one, "cell": number(lon, lat)} for one, lon, lat in rows]
        connection.execute(told, cells)
        after = rows[-1][0]
    op.create_index(
        BY_CELL, "system_due", ["cell", "jurisdiction_id", "firm_id", "due_on", "grace_days"]
    )
    if connection.dialect.name == "postgresql":
        op.execute("DELETE FROM due_grid")
        op.execute(
            "INSERT INTO due_grid (cell, jurisdiction_id, firm_id, n, late_days) "
            "SELECT cell, jurisdiction_id, firm_id, count(*), coalesce(array_agg("
            "due_on - DATE '2000-01-01' + grace_days ORDER BY due_on + grace_days) "
            "FILTER (WHERE due_on IS NOT NULL), '{}') FROM system_due WHERE cell IS NOT NULL "
            "GROUP BY cell, jurisdiction_id, firm_id"
        )


def _tile(lon: float, lat: float, zoom: int) -> tuple[int, int]:
    count = 1 << zoom
    turned = radians(min(max(lat, -MOST_LAT), MOST_LAT))
    x, y = (lon + 180.0) / 360.0, (1 - asinh(tan(turned)) / pi) / 2
    column, row = (min(max(floor(one * count), 0), count - 1) for one in (x, y))
    return column, row


def _along_a_curve(lon: float, lat: float) -> int:
    column, row = _tile(lon, lat, 14)
    bits = ((column >> bit & 1, row >> bit & 1, 2 * bit) for bit in range(14))
    return sum((down << 1 | across) << at for across, down, at in bits)


def _by_columns(lon: float, lat: float) -> int:
    column, row = _tile(lon, lat, 12)
    return (column << 12) + row
