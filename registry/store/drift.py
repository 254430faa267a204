"""What Alembic compares and what it leaves alone, for migrations and for the drift check."""

from typing import Any

from registry.store.types import Geo, Moment

POSTGIS_ONLY = {
    ("site", "geom"),
    ("site", "geom3857"),
    ("site", "ix_site_geom"),
    ("site", "ix_site_geom3857"),
    ("flood_area", "ix_flood_area_geom"),
    ("bfe_line", "ix_bfe_line_geom"),
}
"""Columns and indexes that the migrations add on PostGIS by hand: (table, name)."""

NOT_OURS = {"spatial_ref_sys", "due_grid"}
"""Tables without a model: PostGIS's own, and the map's grid that the migrations add by hand."""


def options() -> dict[str, Any]:
    """Return the options of Alembic's migration context."""
    return {
        "render_as_batch": True,
        "compare_type": _compare_type,
        "include_object": _include_object,
        "include_name": _include_name,
        "render_item": _render_item,
    }


def _compare_type(
    _context: Any, _inspected: Any, _meta: Any, _there: Any, ours: Any
) -> bool | None:
    return False if isinstance(ours, Geo | Moment) else None


def _include_object(thing: Any, name: str | None, kind: str, reflected: bool, _other: Any) -> bool:
    table = getattr(getattr(thing, "table", None), "name", None)
    return not (reflected and kind in {"column", "index"} and (table, name) in POSTGIS_ONLY)


def _include_name(name: str | None, kind: str, _parents: Any) -> bool:
    return not (kind == "table" and name in NOT_OURS)


def _render_item(kind: str, thing: Any, _context: Any) -> str | bool:
    if kind == "type" and isinstance(thing, Geo):
        return f"geo({thing.kind!r})"
    if kind == "type" and isinstance(thing, Moment):
        return "sa.DateTime(timezone=True)"
    return False
