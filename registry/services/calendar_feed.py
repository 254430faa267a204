"""The calendar of a technician's routes, at an address that is a secret."""

import secrets
from datetime import date, datetime, timedelta

from registry.errors import NotFoundError, RangeError
from registry.records.changes import Role
from registry.records.tokens import CALENDAR
from registry.report.day_calendar import day_calendar
from registry.services.pair_phone import hashed
from registry.services.see_day import see_day
from registry.store import Session, days, names, tokens
from registry.store.users import user_named, user_with_id

BACK, AHEAD = timedelta(days=14), timedelta(days=60)
"""How many days a calendar goes back and ahead."""


def make_feed(session: Session, name: str, now: datetime) -> tuple[int, str]:
    """Make the secret of a technician's calendar; return the token's number and the secret.

    The secret is kept as a hash only.

    Raises
    ------
    NotFoundError
        If there is no such sign-in.
    RangeError
        If it is blocked, or no technician's.
    """
    found = user_named(session, name)
    if found is None:
        raise NotFoundError(f"There is no sign-in named {name}. See them with: riserway user list.")
    if not found.active or found.viewer.role is not Role.TECHNICIAN:
        raise RangeError(
            f"The sign-in {name} is blocked or no technician's, so it has no calendar of its own."
        )
    secret = secrets.token_urlsafe(32)
    number = tokens.add_token(
        session, found.viewer.user_id, "calendar", CALENDAR, hashed(secret), now
    )
    return number, secret


def feed(session: Session, secret: str, today: date) -> bytes:
    """Return the calendar whose address ends with a secret, as its technician may see it.

    Raises
    ------
    NotFoundError
        If there is none, or it was ended.
    """
    token = tokens.token_with(session, hashed(secret))
    found = None
    if token is not None and token.scope == CALENDAR and token.revoked_at is None:
        found = user_with_id(session, token.user_id)
    if found is None or not found.active or found.viewer.firm_id is None:
        raise NotFoundError("There is no calendar at this address.")
    viewer = found.viewer
    planned = days.planned_dates(session, found.viewer.firm_id, today - BACK, today + AHEAD)
    seen = [see_day(session, viewer, on_date).day for on_date in planned]
    own = names.technician_ids(session, found.viewer.firm_id)
    whose = next((name for name, one in own.items() if one == viewer.technician_id), "")
    return day_calendar(*(day for day in seen if day is not None), name=f"Route {whose}".strip())
