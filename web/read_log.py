"""Notes who is shown pages and files with private fields; the administrator reads the notes."""

import threading
from datetime import date, datetime, timedelta

from flask import Flask, Response, g, request

from registry.records.changes import Viewer
from registry.services.private_reads import note_read, sees_private_fields
from web import access
from web.context import parts, writing

READS = {
    "site_file.show": "site file",
    "site_edit.show": "site file",
    "site_edit.new": "site file",
    "settle.show": "site file",
    "merge.show": "site file",
    "merge.pairs": "sites on file twice",
    "sale.show": "site file",
    "gate_sheet.show": "gate sheet",
    "record.show": "gate sheet",
    "record.form_json": "gate sheet",
    "record.correct": "visit",
    "record.report": "visit",
    "photos.show": "photo",
    "hydraulics.show": "hydraulics",
    "day.show": "day",
    "day.show_date": "day",
    "day.progress": "day",
    "day.routes_geojson": "day",
    "day_edit.hand": "day",
    "day_run.running_json": "day",
    "day_run.version": "day",
    "day_run.why": "day",
    "day_run.ask_what_if": "day",
    "own_route.change": "own route",
    "carry.day_json": "own route, carried along",
    "downloads.day_file": "file of a day",
    "downloads.sites_file": "file of sites",
    "due_list.show": "due list",
    "reports.show": "reports",
    "reports_in.show": "reports from firms",
    "deadlines.show": "deadlines",
    "deadlines.file": "deadlines",
    "letters.show": "letters",
    "letters.batch": "letters",
    "letters.as_csv": "letters",
    "moving_in.show": "moving in",
    "moving_in.place": "moving in",
    "moving_in.row": "moving in",
    "moving_in.undoing": "moving in",
    "features.items": "map features",
    "features.item": "map features",
}
"""Endpoint → what is noted. Every address at which a private field can be found must be here."""

AGAIN = timedelta(minutes=10)
"""The same person at the same thing is noted once in so long."""
MOST_KNOWN = 10_000


class Noted:
    """What this process has noted last, so that pages that ask again do not write each time."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._at: dict[tuple[object, ...], datetime] = {}

    def is_new(self, key: tuple[object, ...], now: datetime) -> bool:
        """Tell whether this is to be noted now, and take it as noted."""
        with self._lock:
            last = self._at.get(key)
            if last is not None and now - last < AGAIN:
                return False
            if len(self._at) >= MOST_KNOWN:
                self._at.clear()
            self._at[key] = now
            return True


def install(app: Flask) -> None:
    """Note each answer that may hold private fields; what cannot be noted is not shown."""
    noted = Noted()

    def note(answer: Response) -> Response:
        what = READS.get(request.endpoint or "")
        if what is None or answer.status_code not in {200, 206, 304}:
            return answer
        who = _reader()
        if who is None or not sees_private_fields(who):
            return answer
        site_id, on_date, now = _site(), _date(), parts().now()
        if noted.is_new((who.user_id, what, site_id, on_date), now):
            with writing() as session:
                note_read(session, who, what, now, site_id=site_id, on_date=on_date)
        return answer

    app.after_request(note)


def read_of(site_id: int) -> None:
    """Say of which one site a page is whose address does not name it."""
    g.site_read = site_id


def _reader() -> Viewer | None:
    """Return as whom the page was made: the holder of a token, or who is signed in."""
    held = g.get("reader")
    if isinstance(held, Viewer):
        return held
    return access.viewer() if access.signed_in() else None


def _site() -> int | None:
    known = (request.view_args or {}).get("site_id")
    return known if isinstance(known, int) else g.get("site_read")


def _date() -> date | None:
    try:
        return date.fromisoformat((request.view_args or {}).get("on", ""))
    except (TypeError, ValueError):
        return None
