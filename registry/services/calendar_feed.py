"""A technician's routes, or an office's deadlines, as a calendar at an address that is a secret."""

import secrets
from datetime import date, datetime, timedelta

from registry.errors import NotFoundError, RangeError
from registry.records.changes import Role, Viewer
from registry.records.tokens import CALENDAR
from registry.report.day_calendar import day_calendar
from registry.report.deadline_calendar import deadline_calendar
from registry.services.deadlines import all_deadlines
from registry.services.pair_phone import hashed
from registry.services.see_day import see_day
from registry.store import Session, days, names, tokens
from registry.store.users import user_named, user_with_id

BACK, AHEAD = timedelta(days=14), timedelta(days=60)
"""How many days a calendar goes back and ahead."""


def make_feed(session: Session, name: str, now: datetime) -> tuple[int, str]:
    """Make the secret of a sign-in's calendar; return the token's number and the secret.

    A technician's holds the own routes, that of an office or an authority its deadlines. The secret
    is kept as a hash only.

    Raises
    ------
    NotFoundError
        If there is no such sign-in.
    RangeError
        If it is blocked.
    """
    found = user_named(session, name)
    if found is None:
        raise NotFoundError(f"There is no sign-in named {name}. See them with: riserway user list.")
    if not found.active:
        raise RangeError(f"The sign-in {name} is blocked, so it has no calendar of its own.")
    secret = secrets.token_urlsafe(32)
    number = tokens.add_token(
        session, found.viewer.user_id, "calendar", CALENDAR, hashed(secret), now
    )
    return number, secret


def feed(session: Session, secret: str, today: date, now: datetime) -> bytes:
    """Return the calendar whose address ends with a secret, as its holder may see it.

    Raises
    ------
    NotFoundError
        If there is none, or it was ended.
    """
    token = tokens.token_with(session, hashed(secret))
    found = None
    if token is not None and token.scope == CALENDAR and token.revoked_at is None:
        found = user_with_id(session, token.user_id)
    if found is None or not found.active:
        raise NotFoundError("There is no calendar at this address.")
    if found.viewer.role is Role.TECHNICIAN and found.viewer.firm_id is not None:
        return _routes(session, found.viewer, found.viewer.firm_id, today)
    coming = all_deadlines(session, found.viewer, today, AHEAD.days)
    return deadline_calendar(coming, now, name="Deadlines")


def _routes(session: Session, viewer: Viewer, firm_id: int, today: date) -> bytes:
    planned = days.planned_dates(session, firm_id, today - BACK, today + AHEAD)
    seen = [see_day(session, viewer, on_date).day for on_date in planned]
    own = names.technician_ids(session, firm_id)
    whose = next((name for name, one in own.items() if one == viewer.technician_id), "")
    return day_calendar(*(day for day in seen if day is not None), name=f"Route {whose}".strip())
