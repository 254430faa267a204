"""Views in a PostGIS database through which one database role reads what one sign-in may see.

The views of a role lie in a schema of its name, whose comment says whose eyes they are. Which rows
they give is asked of the sign-in each time, so that a block or another jurisdiction holds at once.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import (
    ColumnElement,
    Date,
    Double,
    Integer,
    Numeric,
    SQLColumnExpression,
    and_,
    case,
    cast,
    false,
    func,
    literal_column,
    select,
    text,
    type_coerce,
)
from sqlalchemy.dialects.postgresql import aggregate_order_by
from sqlalchemy.orm import Session

from registry.records.changes import Role, Viewer
from registry.store.features import SOURCES
from registry.store.replaced import is_replaced
from registry.store.tables import (
    Base,
    JurisdictionRow,
    SiteRow,
    SystemDueRow,
    UserJurisdictionRow,
    UserRow,
    VisitRow,
    VisitTaskRow,
)

ROLE_NAME = re.compile(r"[a-z][a-z0-9_]{0,62}", re.ASCII)
_MARK = "Riserway: what sign-in {} may see"
_MARKED = re.compile(r"Riserway: what sign-in (\d+) may see")

type Columns = Mapping[str, Sequence[str]]
"""Collection → the columns that are shown of it."""


@dataclass(frozen=True, slots=True)
class ViewSet:
    """The views of one database role, and the id of the sign-in that they see for."""

    database_role: str
    user_id: int
    views: tuple[str, ...]


def view_sets(session: Session) -> list[ViewSet]:
    """Return all views that were made, by database role."""
    asked = text(
        "SELECT n.nspname, obj_description(n.oid, 'pg_namespace'), (SELECT array_agg(c.relname "
        "ORDER BY c.relname) FROM pg_class c WHERE c.relnamespace = n.oid AND c.relkind = 'v') "
        "FROM pg_namespace n WHERE obj_description(n.oid, 'pg_namespace') LIKE 'Riserway: %' "
        "ORDER BY n.nspname"
    )
    found = []
    for name, comment, views in session.execute(asked):
        if marked := _MARKED.fullmatch(comment):
            found.append(ViewSet(name, int(marked[1]), tuple(views or ())))
    return found


def why_not(session: Session, database_role: str) -> str:
    """Return why a database role must not get views, empty when it may."""
    if not ROLE_NAME.fullmatch(database_role):
        return (
            "A database role's name has small letters, digits and _ here, and begins with a letter"
        )
    asked = text(
        "SELECT rolsuper, pg_has_role(oid, current_user, 'MEMBER') FROM pg_roles "
        "WHERE rolname = :role"
    )
    known = session.execute(asked, {"role": database_role}).first()
    if known is None:
        return (
            f"There is no database role {database_role}. Make one first, in psql: "
            f"CREATE ROLE {database_role} LOGIN PASSWORD '…'"
        )
    if known[0] or known[1]:
        return f"The database role {database_role} may read everything anyway. Make another one"
    may_read = text(
        "SELECT has_table_privilege(:role, CAST(:table AS text), 'SELECT') OR "
        "has_any_column_privilege(:role, CAST(:table AS text), 'SELECT')"
    )
    for table in sorted(Base.metadata.tables):
        if session.scalar(may_read, {"role": database_role, "table": table}):
            return (
                f"The database role {database_role} may read the table {table} itself, past any "
                f"view. Take that away first: REVOKE ALL ON ALL TABLES IN SCHEMA public FROM "
                f"{database_role}, PUBLIC"
            )
    taken = text("SELECT 1 FROM pg_namespace WHERE nspname = :role")
    ours = {one.database_role for one in view_sets(session)}
    if database_role not in ours and session.scalar(taken, {"role": database_role}):
        return f"There is a schema {database_role} already that is not of our making. Move it away"
    return ""


def make(session: Session, database_role: str, viewer: Viewer, columns: Columns) -> None:
    """Make the views of a database role, in place of any that it has."""
    drop_views(session, database_role)
    session.execute(text(f'CREATE SCHEMA IF NOT EXISTS "{database_role}"'))
    mark = _MARK.format(viewer.user_id)
    session.execute(text(f"COMMENT ON SCHEMA \"{database_role}\" IS '{mark}'"))
    for collection, names in columns.items():
        view = f'"{database_role}"."{collection.replace("-", "_")}"'
        # the barrier keeps a condition of the reader's own from looking at rows that are hidden
        session.execute(
            text(
                f"CREATE VIEW {view} WITH (security_barrier) AS "
                + _statement(session, viewer, collection, names)
            )
        )
        session.execute(text(f'GRANT SELECT ON {view} TO "{database_role}"'))
    session.execute(text(f'GRANT USAGE ON SCHEMA "{database_role}" TO "{database_role}"'))


def drop_views(session: Session, database_role: str) -> None:
    """Drop the views of a database role; its schema stays, and tells whose eyes they were."""
    for one in view_sets(session):
        for view in one.views if one.database_role == database_role else ():
            session.execute(text(f'DROP VIEW "{database_role}"."{view}"'))


def drop_schema(session: Session, database_role: str) -> None:
    """Drop the schema of a database role, which is empty."""
    session.execute(text(f'DROP SCHEMA "{database_role}"'))


def _statement(session: Session, viewer: Viewer, collection: str, names: Iterable[str]) -> str:
    """Return the SELECT of a view; it has no value in it that anybody typed."""
    source = SOURCES[collection]
    known = {**source.columns, **_computed()}
    asked = select(source.id.label("id"), *(known[name].label(name) for name in names))
    asked = asked.add_columns(literal_column("site.geom").label("geom")).select_from(SiteRow)
    asked = asked.join(JurisdictionRow, JurisdictionRow.id == SiteRow.jurisdiction_id)
    for table, on in source.tables:
        asked = asked.join(table, on)
    for table, on in source.optional:
        asked = asked.join(table, on, isouter=True)
    asked = asked.where(_rows_of(viewer))
    if collection == "overdue":
        late = SystemDueRow.due_on + SystemDueRow.grace_days < _today()
        asked = asked.where(SystemDueRow.due_on < _today(), late)
    if collection == "visits":
        asked = asked.where(~is_replaced(VisitRow.id))
    made = asked.compile(session.connection(), compile_kwargs={"literal_binds": True})
    return str(made).replace(":", r"\:")  # text() reads no parameter in it


def _rows_of(viewer: Viewer) -> ColumnElement[bool]:
    """Return the condition on sites that a sign-in sees, none once it is blocked or changed."""
    active = and_(UserRow.id == viewer.user_id, UserRow.active, UserRow.role == _word(viewer.role))
    if viewer.role is Role.COUNTY:
        places = select(UserJurisdictionRow.jurisdiction_id).join(
            UserRow, UserRow.id == UserJurisdictionRow.user_id
        )
        return SiteRow.jurisdiction_id.in_(places.where(active))
    if viewer.firm_id is not None:
        return SiteRow.firm_id.in_(select(UserRow.firm_id).where(active))
    if viewer.role is Role.ADMINISTRATOR:
        return select(UserRow.id).where(active, UserRow.firm_id.is_(None)).exists()
    return false()


def _word(role: Role) -> ColumnElement[str]:
    """Return one of our own words as SQL."""
    return literal_column(f"'{role.value}'")


def _today() -> SQLColumnExpression[object]:
    """Return today where the site is."""
    return cast(func.timezone(JurisdictionRow.time_zone, func.now()), Date)


def _computed() -> dict[str, SQLColumnExpression[object]]:
    """Return the columns that the pages work out after reading."""
    days = type_coerce(_today() - SystemDueRow.due_on, Integer)
    interval = type_coerce(SystemDueRow.due_on - SystemDueRow.counted_from, Integer)
    passed = type_coerce(_today() - SystemDueRow.counted_from, Integer)
    share = case(
        (interval > 0, cast(passed, Double) / interval), else_=1 + cast(days, Double) / 365
    )
    listed: Any = aggregate_order_by(literal_column("'; '"), VisitTaskRow.task)
    done = select(func.string_agg(VisitTaskRow.task.distinct(), listed))
    done = done.where(VisitTaskRow.visit_id == VisitRow.id)
    return {
        "days_overdue": days,
        "share_passed": cast(func.round(cast(share, Numeric), 3), Double),
        "tasks": func.coalesce(done.scalar_subquery(), literal_column("''")),
    }
