"""Column types that mean the same on SQLite and on PostGIS."""

from datetime import UTC, datetime
from typing import Any

import shapely
from geoalchemy2 import Geometry, WKBElement
from geoalchemy2.shape import from_shape, to_shape
from sqlalchemy import DateTime, LargeBinary
from sqlalchemy.engine import Dialect
from sqlalchemy.types import TypeDecorator, TypeEngine


class Geo(TypeDecorator[Any]):
    """shapely in, shapely out: geometry(kind, srid) on PostGIS, plain WKB elsewhere.

    The decorator stands outside and Geometry inside: GeoAlchemy2's listeners look at the base type
    and would call spatial functions on SQLite, which has none. The three class attributes are read
    by those listeners.
    """

    impl = LargeBinary
    cache_ok = True
    spatial_index = False
    use_N_D_index = False  # noqa: N815 - the name the listeners read
    use_typmod = None
    comparator_factory = Geometry.comparator_factory

    def __init__(self, kind: str = "GEOMETRY", srid: int = 4326) -> None:
        super().__init__()
        self.kind, self.srid = kind, srid

    def load_dialect_impl(self, dialect: Dialect) -> TypeEngine[Any]:
        """Choose geometry on PostGIS, a blob elsewhere."""
        if dialect.name == "postgresql":
            return dialect.type_descriptor(Geometry(self.kind, srid=self.srid, spatial_index=False))
        return LargeBinary()

    def process_bind_param(self, value: Any, dialect: Dialect) -> Any:  # noqa: ANN401 - shapely in
        """Turn a shapely geometry into what the database takes."""
        if value is None:
            return None
        if dialect.name == "postgresql":
            return from_shape(value, srid=self.srid)
        return shapely.to_wkb(value)

    def process_result_value(self, value: Any, dialect: Dialect) -> Any:  # noqa: ANN401, ARG002
        """Turn what the database gives into a shapely geometry."""
        if value is None:
            return None
        if isinstance(value, WKBElement):
            return to_shape(value)
        return shapely.from_wkb(bytes(value))

    def __repr__(self) -> str:
        """Return the form in which migrations would name it."""
        return f"Geo({self.kind!r}, srid={self.srid})"


class Moment(TypeDecorator[datetime]):
    """An aware datetime, kept in UTC; SQLite forgets zones, so it is put back on the way out."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002
        """Refuse naive moments; store UTC."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("a moment needs a time zone")
        return value.astimezone(UTC)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002
        """Return an aware moment in UTC."""
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)
