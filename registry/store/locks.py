"""Who may write what at the same time."""

from sqlalchemy import select
from sqlalchemy.orm import Session

from registry.errors import NotFoundError
from registry.store.tables import Base, SiteRow


def lock_tables(session: Session, *rows: type[Base]) -> None:
    """Let nobody else write these tables until the transaction ends; reading goes on.

    An import compares a file with what is kept and then writes the difference: nothing may come
    in between. On SQLite a writing transaction holds the whole file anyway. A visit that is stored
    meanwhile only reads its site's key, which this lock allows.
    """
    if session.get_bind().dialect.name == "postgresql":
        names = ", ".join(row.__tablename__ for row in rows)
        session.connection().exec_driver_sql(f"LOCK TABLE {names} IN SHARE ROW EXCLUSIVE MODE")


def lock_site(session: Session, site_id: int) -> None:
    """Hold one site until the transaction ends, so that what is read now is what is changed then.

    Raises
    ------
    NotFoundError
        If there is no such site.
    """
    found = session.scalar(select(SiteRow.id).where(SiteRow.id == site_id).with_for_update())
    if found is None:
        raise NotFoundError("There is no such site in this registry.")
