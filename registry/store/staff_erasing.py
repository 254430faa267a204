"""Letting a name that tells nothing stand for one of a firm's people, everywhere at once."""

import json
import secrets
from collections.abc import Iterator
from typing import Any

from sqlalchemy import ColumnElement, Text, cast, delete, false, func, or_, select, update
from sqlalchemy.orm import Session

from registry.store.append_only import APPEND_ONLY, PERSONAL, erase
from registry.store.personal import SHORTEST, without
from registry.store.staff import Staff, authors_of, of_firm
from registry.store.tables import (
    AccessTokenRow,
    Base,
    DayOffRow,
    DayRow,
    PairingRow,
    PhoneRow,
    RecoveryCodeRow,
    RouteRow,
    SavedViewRow,
    TechnicianRow,
    UserRow,
)


def erase_staff(session: Session, who: Staff, called: str) -> dict[str, int]:
    """Let a name that tells nothing stand for a person; return how many rows changed, by table.

    Phone, home, days off, password and codes go, tokens end. What was done, when, and by the same
    hand stays; so do licences, which show that the work was lawful.
    """
    changed: dict[str, int] = {}
    for name, number in _private_rows(session, who, called):
        if number:
            changed[name] = changed.get(name, 0) + number
    names = [one.lower() for one in who.names]
    for table in Base.metadata.sorted_tables:
        for column in authors_of(table):
            if table.name in APPEND_ONLY and column.name not in PERSONAL[table.name]:
                continue
            its = func.lower(column).in_(names) & of_firm(table, who)
            statement = update(table).where(its).values({column.name: called})
            number = (
                erase(session, statement)
                if table.name in APPEND_ONLY
                else _done(session, statement)
            )
            if number:
                changed[table.name] = changed.get(table.name, 0) + number
    return changed


def _private_rows(session: Session, who: Staff, called: str) -> Iterator[tuple[str, int]]:
    """Empty or remove what is about the person alone; yield table and number of rows."""
    person = who.technician_id
    gone = {"name": called, "initials": "--", "phone": "", "home_lon": None, "home_lat": None}
    yield "route", _hide_homes(session, who, called)
    if person is not None:
        yield "day", _rename_in_plans(session, who, called)
    yield (
        "technician",
        _done(session, update(TechnicianRow).where(TechnicianRow.id == person).values(gone)),
    )
    of_phone = update(PhoneRow).where(PhoneRow.user_id.in_(who.user_ids)).values(name="")
    yield "phone", _done(session, of_phone)
    yield "day_off", _done(session, delete(DayOffRow).where(DayOffRow.technician_id == person))
    yield "pairing", _done(session, delete(PairingRow).where(PairingRow.technician_id == person))
    for kind in (SavedViewRow, RecoveryCodeRow, AccessTokenRow):
        yield kind.__tablename__, _done(session, delete(kind).where(kind.user_id.in_(who.user_ids)))
    for number, user_id in enumerate(who.user_ids, 1):
        closed = {
            "name": called if number == 1 else f"{called}, {number}",
            "password_hash": "",
            "session_key": secrets.token_hex(16),
            "code_key": "",
            "active": False,
        }
        its = update(UserRow).where(UserRow.id == user_id).values(closed)
        yield "user_account", _done(session, its)


def _hide_homes(session: Session, who: Staff, called: str) -> int:
    """Take name and home out of plans that are kept: a route then begins and ends at its stops."""
    asked = select(RouteRow).where(RouteRow.technician_id == who.technician_id)
    number = 0
    for row in session.scalars(asked):
        places = [one["lon_lat"] for one in row.body.get("stops", []) if one.get("lon_lat")]
        row.body = row.body | {"technician": called, "initials": "--", "line": []}
        if places:
            row.body |= {"start": places[0], "end": places[-1]}
        number += 1
    return number


def _rename_in_plans(session: Session, who: Staff, called: str) -> int:
    """Put another name for a technician's in what a plan says of others and of waiting visits."""
    names = [one for one in who.names[:1] if len(one) >= SHORTEST]  # sign-ins may be plain words
    number = 0
    days = session.scalars(select(DayRow).where(_mentions(DayRow.body, names)))
    routes = session.scalars(select(RouteRow).where(_mentions(RouteRow.body, names)))
    for row in (*days, *routes):
        row.body = without(row.body, names, called)
        number += 1
    return number


def _mentions(body: Any, names: list[str]) -> ColumnElement[bool]:  # noqa: ANN401 - a column
    """Tell whether a JSON document may hold one of some names, whatever its letters are."""
    said = func.lower(cast(body, Text))
    return or_(
        false(), *(said.contains(json.dumps(one)[1:-1].lower(), autoescape=True) for one in names)
    )


def _done(session: Session, statement: Any) -> int:  # noqa: ANN401 - an update or a delete
    return int(session.connection().execute(statement).rowcount)
