"""Whether what a store holds hangs together."""

from sqlalchemy import ColumnElement, func, not_, or_, select
from sqlalchemy.orm import Session, aliased

from registry.records.systems import ComponentKind, SystemKind
from registry.store.append_only import unguarded
from registry.store.tables import (
    ComponentRow,
    ObligationRow,
    ReadingRow,
    SiteRow,
    SystemRow,
    VisitRow,
)


def site_count(session: Session) -> int:
    """Return how many sites are kept."""
    return session.scalar(select(func.count()).select_from(SiteRow)) or 0


def problems_in(session: Session) -> list[str]:
    """Return what is wrong in the store, in sentences; empty when all is well."""
    found = _file_problems(session)
    found += [
        f"Table {one} is only added to, but the database does not refuse changes of it."
        for one in unguarded(session)
    ]
    older = aliased(ReadingRow)
    checks: list[tuple[str, ColumnElement[bool], type]] = [
        (
            "sites have a position that is no longitude and latitude",
            or_(not_(SiteRow.lon.between(-180, 180)), not_(SiteRow.lat.between(-90, 90))),
            SiteRow,
        ),
        ("sites have half a position", SiteRow.lon.is_(None) != SiteRow.lat.is_(None), SiteRow),
        (
            "sites have no system",
            ~select(SystemRow.id).where(SystemRow.site_id == SiteRow.id).exists()
            & SiteRow.merged_into_id.is_(None),
            SiteRow,
        ),
        (
            "systems are of a kind that this program does not know",
            SystemRow.kind.not_in(list(SystemKind)),
            SystemRow,
        ),
        (
            "components are of a kind that this program does not know",
            ComponentRow.kind.not_in(list(ComponentKind)),
            ComponentRow,
        ),
        (
            "components have an elevation without a vertical datum",
            ComponentRow.elevation_ft.is_not(None) & (ComponentRow.elevation_datum == ""),
            ComponentRow,
        ),
        (
            "obligations belong to another site than their system",
            select(SystemRow.id)
            .where(
                SystemRow.id == ObligationRow.system_id, SystemRow.site_id != ObligationRow.site_id
            )
            .exists(),
            ObligationRow,
        ),
        (
            "readings belong to another site than their visit",
            select(VisitRow.id)
            .where(VisitRow.id == ReadingRow.visit_id, VisitRow.site_id != ReadingRow.site_id)
            .exists(),
            ReadingRow,
        ),
        (
            "readings correct a reading of another site",
            select(older.id)
            .where(older.id == ReadingRow.supersedes, older.site_id != ReadingRow.site_id)
            .exists(),
            ReadingRow,
        ),
    ]
    for said, condition, kind in checks:
        count = session.scalar(select(func.count()).select_from(kind).where(condition)) or 0
        if count:
            found.append(f"{count:,} {said}.")
    return found


def _file_problems(session: Session) -> list[str]:
    """Return what SQLite itself finds wrong with its file; PostgreSQL looks after its own."""
    if session.get_bind().dialect.name != "sqlite":
        return []
    connection = session.connection()
    said = [str(one[0]) for one in connection.exec_driver_sql("PRAGMA quick_check")]
    found = [f"The file is damaged: {one}." for one in said if one != "ok"]
    loose = connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall()
    if loose:
        tables = ", ".join(sorted({str(one[0]) for one in loose}))
        found.append(f"{len(loose):,} rows point at rows that are not there, in {tables}.")
    return found
