"""What a map tile shows: a mark for each system, or squares where there are too many for marks."""

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import numpy.typing as npt
from sqlalchemy import (
    BigInteger,
    ColumnElement,
    Date,
    Double,
    Integer,
    LargeBinary,
    case,
    cast,
    column,
    func,
    literal,
    literal_column,
    or_,
    select,
    table,
    text,
    type_coerce,
)
from sqlalchemy.orm import Session

from registry.records.due_rows import DueFilter, GridSquare, TileRows
from registry.records.places import Box
from registry.store.cells import (
    CELL_ZOOM,
    LAST_GRID_ZOOM,
    SQUARES_LEVEL,
    cells_in,
    centre_of,
    squares_at,
    tile_box,
    tiles_of,
)
from registry.store.due_filter import Due, due_of, filtered
from registry.store.lateness_sql import overdue
from registry.store.overdue import (
    ALL,
    Rows,
    in_box,
    late_filter,
    marks_in_box,
    site_scope,
)
from registry.store.scope import Scope
from registry.store.tables import FloodFactRow, SiteRow, SystemRow

MOST_MARKS = 600
"""A tile with more systems shows squares: a tile is 512 pixels wide, and more marks of some 20
pixels would cover each other."""
LAYER = "systems"
_WORLD_M = 2 * np.pi * 6_378_137.0
"""Length of the equator in Web Mercator (EPSG:3857)."""
EXTENT, MARGIN = 4096, 128
GRID = table(
    "due_grid",
    column("cell", Integer),
    column("jurisdiction_id", Integer),
    column("firm_id", Integer),
    column("n", Integer),
    column("late_days"),
)
"""Kept on PostGIS only, see ``store.due_write``."""
_DAY_ZERO = date(2000, 1, 1)
"""The day from which ``due_grid`` counts."""

type Counts = npt.NDArray[np.int64]
"""Number of a cell or of an ancestor, systems, overdue systems; shape (n, 3)."""


def tile_made(
    session: Session,
    scope: Scope,
    tile: tuple[int, int, int],
    on_date: date,
    which: DueFilter = ALL,
    most: int = MOST_MARKS,
) -> TileRows | bytes:
    """Return what a tile shows on a date; a tile of marks that PostGIS made is a vector tile.

    Up to zoom 9 squares, an eighth of the tile wide; from zoom 10 on a mark for each system, or
    squares where a tile would show more than ``most``. A square counts all systems that pass the
    filter but for its days overdue, and which of them are overdue by so many days.

    Parameters
    ----------
    scope, which
        Whose systems, and which of them.
    tile
        Zoom, column and row in Web Mercator, row 0 in the north.
    most
        Systems with a mark of their own at most; those in a margin around the tile come on top.
    """
    counts = _counted(session, scope, tile, on_date, which)
    if _is_for_squares(tile, counts, which, most):
        return TileRows(squares=_squares(session, scope, tile, on_date, which, counts))
    limit = _limit(tile, most)
    if session.get_bind().dialect.name == "postgresql":
        made, n = _made_by_postgis(session, scope, tile, on_date, which, limit)
        if limit is None or n < limit:
            return made
    else:
        marks = marks_in_box(session, scope, _with_margin(tile), on_date, which, limit=limit)
        if limit is None or len(marks) < limit:
            return TileRows(marks=tuple(marks))
    return TileRows(squares=_squares(session, scope, tile, on_date, which, counts))


def _limit(tile: tuple[int, int, int], most: int) -> int | None:
    """Return how many marks are read at most; None where they were counted before."""
    return None if tile[0] <= CELL_ZOOM else most + 1


def _is_for_squares(
    tile: tuple[int, int, int], counts: Counts, which: DueFilter, most: int
) -> bool:
    """Tell whether a tile shows squares: far out always, further in where marks are too many."""
    shown = counts[:, 1] if which.late_days is None else counts[:, 2]
    return tile[0] <= LAST_GRID_ZOOM or int(shown.sum()) > most


def _squares(
    session: Session,
    scope: Scope,
    tile: tuple[int, int, int],
    on_date: date,
    which: DueFilter,
    counts: Counts,
) -> tuple[GridSquare, ...]:
    level = tile[0] + SQUARES_LEVEL
    if level > CELL_ZOOM:
        return _squares_by_place(session, scope, tile, on_date, which)
    columns, rows = squares_at(counts[:, 0])
    return _summed(level, columns, rows, counts[:, 1:])


def _with_margin(tile: tuple[int, int, int]) -> Box:
    """Return a tile's box, a little wider, so that a mark at its edge is whole in both tiles."""
    west, south, east, north = tile_box(*tile)
    wide, high = ((b - a) * MARGIN / EXTENT for a, b in ((west, east), (south, north)))
    return Box(west - wide, south - high, east + wide, north + high)


def _made_by_postgis(
    session: Session,
    scope: Scope,
    tile: tuple[int, int, int],
    on_date: date,
    which: DueFilter,
    limit: int | None,
) -> tuple[bytes, int]:
    """Return a vector tile with marks, and how many."""
    tile_row = _with_marks(session, scope, tile, on_date, which).limit(limit).subquery("tile")
    made = type_coerce(
        func.ST_AsMVT(literal_column("tile"), LAYER, EXTENT, "geom", "id"), LargeBinary
    )
    session.execute(text("SET LOCAL max_parallel_workers_per_gather = 0"))  # starting one: 30 ms
    answer, there = session.execute(select(made, func.count()).select_from(tile_row)).one()
    return bytes(answer), there


def _with_marks(
    session: Session,
    scope: Scope,
    tile: tuple[int, int, int],
    on_date: date,
    which: DueFilter,
) -> Rows:
    """Return the marks of a tile in its own coordinates; a margin keeps those at the edge whole."""
    zoom, x, y = tile
    envelope = f"ST_TileEnvelope({zoom:d}, {x:d}, {y:d}"
    due = due_of(which)
    due_on, grace_days, since = due.due_on, due.grace_days, due.counted_from
    late_days = type_coerce(literal(on_date, Date) - due_on, Integer)
    asked: Rows = select(
        literal_column(f"ST_AsMVTGeom(site.geom3857, {envelope}), {EXTENT}, {MARGIN}, true)").label(
            "geom"
        ),
        due.system_id.label("id"),
        due.site_id.label("site_id"),
        SiteRow.key.label("site"),
        SystemRow.kind.label("kind"),
        due.task.label("task"),
        func.to_char(due_on, "YYYY-MM-DD").label("due_on"),
        late_days.label("days_overdue"),
        overdue(session, due_on, grace_days, on_date).label("overdue"),
        case(
            (due_on.is_(None), None),
            (or_(since.is_(None), since >= due_on), func.greatest(0.0, 1 + late_days / 365.0)),
            else_=func.greatest(
                0.0,
                type_coerce(literal(on_date, Date) - since, Integer)
                / cast(type_coerce(due_on - since, Integer), Double),
            ),
        ).label("share_passed"),
        FloodFactRow.in_hazard_area.label("in_hazard_area"),
        FloodFactRow.below_bfe.label("below_bfe"),
    )
    return (
        asked.select_from(SiteRow)
        .join(due, due.site_id == SiteRow.id)
        .join(SystemRow, SystemRow.id == due.system_id)
        .join(FloodFactRow, FloodFactRow.site_id == SiteRow.id, isouter=True)
        .where(
            text(f"site.geom3857 && {envelope}, margin => {MARGIN / EXTENT})"),
            *site_scope(session, scope, which),
            *late_filter(session, due, which, on_date),
            *filtered(due, which, on_date),
        )
    )


def _counted(
    session: Session, scope: Scope, tile: tuple[int, int, int], on_date: date, which: DueFilter
) -> Counts:
    """Count the systems in each square of a tile, in each cell where squares would be smaller.

    Nothing is counted in tiles that are smaller than a cell.
    """
    if tile[0] > CELL_ZOOM:
        return np.zeros((0, 3), dtype=np.int64)
    scope = scope.narrowed(which.firm_id, which.jurisdiction_id)
    cells, out = cells_in(*tile), 2 * max(0, CELL_ZOOM - tile[0] - SQUARES_LEVEL)
    if which.is_plain and session.get_bind().dialect.name == "postgresql":
        before = on_date - timedelta(days=which.late_days or 0)
        asked = _from_grid(scope, cells, out, before)
    else:
        asked = _from_systems(session, scope, cells, out, on_date, which)
    rows = [tuple(one) for one in session.execute(asked)]
    return np.array(rows, dtype=np.int64).reshape(-1, 3)


def _from_grid(scope: Scope, cells: tuple[int, int], out: int, on_date: date) -> Rows:
    overdue_then = func.width_bucket(
        cast((on_date - _DAY_ZERO).days - 1, Integer), GRID.c.late_days
    )
    square = GRID.c.cell.bitwise_rshift(literal_column(str(out)))
    return (
        select(square, func.sum(GRID.c.n), func.sum(overdue_then))
        .where(
            GRID.c.cell.between(*cells), *scope.conditions(GRID.c.firm_id, GRID.c.jurisdiction_id)
        )
        .group_by(square)
    )


def _from_systems(
    session: Session,
    scope: Scope,
    cells: tuple[int, int],
    out: int,
    on_date: date,
    which: DueFilter,
) -> Rows:
    due = due_of(which)
    late = _late(session, due, which, on_date)
    square = due.cell.bitwise_rshift(literal_column(str(out)))
    asked: Rows = select(square, func.count(), func.sum(case((late, 1), else_=0)))
    return asked.where(
        due.cell.between(*cells),
        *scope.conditions(due.firm_id + 0, due.jurisdiction_id + 0),
        *filtered(due, which, on_date),
    ).group_by(square)


def _squares_by_place(
    session: Session, scope: Scope, tile: tuple[int, int, int], on_date: date, which: DueFilter
) -> tuple[GridSquare, ...]:
    """Return squares of a tile that holds too many systems for marks, from their own places."""
    level = tile[0] + SQUARES_LEVEL
    box = Box(*tile_box(*tile))
    if session.get_bind().dialect.name == "postgresql":
        return _squares_by_postgis(session, scope, tile, on_date, which)
    due = due_of(which)
    late = cast(_late(session, due, which, on_date), Integer)
    asked: Rows = select(SiteRow.lon, SiteRow.lat, late)
    all_there = replace(which, late_days=None)
    rows = session.execute(_joined(session, due, asked, scope, box, on_date, all_there)).all()
    found = np.array([tuple(one) for one in rows], dtype=float).reshape(-1, 3)
    columns, along = tiles_of(found[:, 0], found[:, 1], level)
    counts = np.column_stack([np.ones(len(found)), found[:, 2]]).astype(np.int64)
    return _summed(level, columns, along, counts)


def _late(session: Session, due: Due, which: DueFilter, on_date: date) -> ColumnElement[bool]:
    """Return the condition that a square counts as overdue: by as many days as the filter asks."""
    return overdue(session, due.due_on, due.grace_days, on_date, which.late_days or 0)


def _squares_by_postgis(
    session: Session, scope: Scope, tile: tuple[int, int, int], on_date: date, which: DueFilter
) -> tuple[GridSquare, ...]:
    """Let PostGIS count the systems of each square of a tile."""
    level = tile[0] + SQUARES_LEVEL
    last = (1 << level) - 1
    across, along = (
        literal_column(
            f"least(greatest(floor({share} * {1 << level})::bigint, 0), {last})", BigInteger
        )
        for share in (
            f"(ST_X(site.geom3857) / {_WORLD_M} + 0.5)",
            f"(0.5 - ST_Y(site.geom3857) / {_WORLD_M})",
        )
    )
    due = due_of(which)
    late = case((_late(session, due, which, on_date), 1))
    counted: Rows = select(across, along, func.count(), func.count(late))
    all_there = replace(which, late_days=None)
    asked = _joined(session, due, counted, scope, Box(*tile_box(*tile)), on_date, all_there)
    rows = [tuple(one) for one in session.execute(asked.group_by(across, along))]
    found = np.array(rows, dtype=np.int64).reshape(-1, 4)
    return _summed(level, found[:, 0], found[:, 1], found[:, 2:])


def _joined(
    session: Session, due: Due, asked: Rows, scope: Scope, box: Box, on_date: date, which: DueFilter
) -> Rows:
    asked = asked.select_from(SiteRow).join(due, due.site_id == SiteRow.id)
    return in_box(session, asked, box).where(
        *site_scope(session, scope, which),
        *late_filter(session, due, which, on_date),
        *filtered(due, which, on_date),
    )


def _summed(
    level: int,
    columns: npt.NDArray[np.int64],
    rows: npt.NDArray[np.int64],
    counts: npt.NDArray[np.int64],
) -> tuple[GridSquare, ...]:
    """Add up the counts of each square; systems on a tile's far edge belong to the next one."""
    numbers, where = np.unique(columns << level | rows, return_inverse=True)
    n, n_overdue = (
        np.bincount(where, weights=counts[:, one], minlength=len(numbers)) for one in (0, 1)
    )
    last = (1 << level) - 1
    return tuple(
        GridSquare(centre_of(level, number >> level, number & last), int(a), int(b))
        for number, a, b in zip(numbers.tolist(), n, n_overdue, strict=True)
    )
