"""The declarative base: naming convention and the Python types that columns may have."""

from datetime import date, datetime
from typing import Any

from sqlalchemy import JSON, BigInteger, Date, Double, Integer, MetaData, Text
from sqlalchemy.orm import DeclarativeBase

from registry.store.types import Moment

Id = BigInteger().with_variant(Integer, "sqlite")
"""SQLite gives rowids to INTEGER PRIMARY KEY only."""


class Base(DeclarativeBase):
    """All tables; every constraint has a predictable name so that it can be migrated."""

    metadata = MetaData(
        naming_convention={
            "ix": "ix_%(table_name)s_%(column_0_N_name)s",
            "uq": "uq_%(table_name)s_%(column_0_N_name)s",
            "fk": "fk_%(table_name)s_%(column_0_name)s",
            "pk": "pk_%(table_name)s",
        }
    )
    type_annotation_map = {  # noqa: RUF012 - SQLAlchemy reads it from the class
        str: Text,
        float: Double,
        date: Date,
        datetime: Moment,
        dict[str, Any]: JSON,
        list[Any]: JSON,
    }
