"""The first request of a date brings up to date what a new day changes."""

from datetime import date

from flask import Flask, current_app, request

from registry.services.recompute_due import start_new_day
from web.context import today, writing

BEGUN = "riserway_begun_day"
QUIET = ("/static/", "/library/", "/tiles/", "/health", "/metrics")
"""Addresses that need no dates; a page comes before them."""


def install(app: Flask) -> None:
    """Look at the date before each page."""
    app.before_request(begin_day)


def begin_day() -> None:
    """Compute again what agreements that began or ended change, once a date."""
    if request.path.startswith(QUIET):
        return
    now: date = today()
    if current_app.extensions.get(BEGUN) == now:
        return
    with writing() as session:
        start_new_day(session, now)
    current_app.extensions[BEGUN] = now
