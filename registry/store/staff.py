"""Everything kept about one of a firm's own people: a technician, a sign-in, or both in one.

Every table with a column that points at a technician or a sign-in, or that says who did something,
takes part without being named here, so a new one does too. Rows that hang on a site are told
without their free texts: those mean owners, and what was found there.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from sqlalchemy import JSON, ColumnElement, Text, false, func, or_, select
from sqlalchemy import Table as StoredTable
from sqlalchemy.orm import Session

from registry.store.tables import (
    Base,
    TechnicianRow,
    UserRow,
)

SECRETS = frozenset({"password_hash", "secret_hash", "code_hash", "session_key", "code_key"})
"""Columns that open something; nobody is handed them."""
AUTHORS = frozenset({"who", "technician", "asked_by"})
"""Columns that say who did something, beside those that end with ``_by``."""
FREE = frozenset({"note", "before", "after", "value", "answer", "caption", "owner_told", "why",
                  "to_name", "to_address", "agreed", "person", "reason"})  # fmt: skip
"""Texts that mean owners or say what was found."""


@dataclass(frozen=True, slots=True)
class Staff:
    """One of a firm's people; ``names`` as kept: the technician's, and those of sign-ins."""

    firm_id: int | None
    technician_id: int | None
    user_ids: tuple[int, ...]
    names: tuple[str, ...]
    is_here: bool
    """Whether they still take routes or may sign in."""


def find_staff(session: Session, said: str, firm_id: int | None) -> list[Staff]:
    """Return those whose name, phone or sign-in this is, in any case of letters."""
    wanted = said.strip().lower()
    people = select(TechnicianRow).where(
        or_(
            func.lower(TechnicianRow.name) == wanted,
            func.lower(TechnicianRow.phone) == wanted,
            TechnicianRow.id.in_(
                select(UserRow.technician_id).where(func.lower(UserRow.name) == wanted)
            ),
        )
    )
    alone = select(UserRow).where(
        func.lower(UserRow.name) == wanted, UserRow.technician_id.is_(None)
    )
    if firm_id is not None:
        people = people.where(TechnicianRow.firm_id == firm_id)
        alone = alone.where(UserRow.firm_id == firm_id)
    found = []
    for one in session.scalars(people.order_by(TechnicianRow.id)):
        its = list(session.scalars(select(UserRow).where(UserRow.technician_id == one.id)))
        found.append(_staff(one.firm_id, one.id, [one.name], its, is_here=one.active))
    return found + [
        _staff(one.firm_id, None, [], [one], is_here=False) for one in session.scalars(alone)
    ]


def held_of_staff(session: Session, who: Staff) -> dict[str, list[dict[str, Any]]]:
    """Return by table what is kept about one of a firm's people."""
    found = {}
    for table in Base.metadata.sorted_tables:
        shown = [one for one in table.columns if _is_shown(table, one)]
        asked = select(*shown).where(_theirs(table, who)).order_by(*table.primary_key.columns)
        rows = [dict(row) for row in session.execute(asked).mappings()]
        if rows:
            found[table.name] = rows
    return found


def _staff(
    firm_id: int | None, technician_id: int | None, names: list[str], users: list[UserRow],
    *, is_here: bool,
) -> Staff:  # fmt: skip
    return Staff(
        firm_id,
        technician_id,
        tuple(one.id for one in users),
        tuple(dict.fromkeys([*names, *(one.name for one in users)])),
        is_here=is_here or any(one.active for one in users),
    )


def _is_shown(table: StoredTable, column: Any) -> bool:  # noqa: ANN401 - any column
    if column.name in SECRETS or column.name == "body" or isinstance(column.type, JSON):
        return table.name == "technician" and isinstance(column.type, JSON)
    return column.name not in FREE or "site_id" not in table.c


def authors_of(table: StoredTable) -> Iterator[Any]:
    """Yield the columns of a table that say who did something."""
    for column in table.columns:
        said = column.name.endswith("_by") or column.name in AUTHORS
        if said and isinstance(column.type, Text):
            yield column


def _theirs(table: StoredTable, who: Staff) -> ColumnElement[bool]:
    """Tell which rows of a table are of somebody, or by them."""
    found: list[ColumnElement[bool]] = [false()]
    if table.name == "technician":
        found.append(table.c.id == who.technician_id)
    if table.name == "user_account":
        found.append(table.c.id.in_(who.user_ids))
    if "technician_id" in table.c and who.technician_id is not None:
        found.append(table.c.technician_id == who.technician_id)
    if "user_id" in table.c:
        found.append(table.c.user_id.in_(who.user_ids))
    names = [one.lower() for one in who.names]
    found += [func.lower(one).in_(names) & of_firm(table, who) for one in authors_of(table)]
    return or_(*found)


def of_firm(table: StoredTable, who: Staff) -> ColumnElement[bool]:
    """Keep to the own firm's rows: two firms may have people of one name."""
    if who.firm_id is None:
        return ~false()
    if "firm_id" in table.c:
        return or_(table.c.firm_id == who.firm_id, table.c.firm_id.is_(None))
    sites = Base.metadata.tables["site"]
    if "site_id" in table.c:
        theirs = select(sites.c.id).where(sites.c.firm_id == who.firm_id)
        return or_(table.c.site_id.in_(theirs), table.c.site_id.is_(None))
    return ~false()
