"""Who read what: the administrator sees who was shown private fields, of which sites, when."""

from datetime import date

from flask import Blueprint, render_template, request

from registry.errors import RangeError
from registry.services.private_reads import MOST_READS, see_reads
from registry.services.viewer_zone import zone_of
from web import present
from web.access import needs, viewer
from web.context import reading

pages = Blueprint("reads", __name__, url_prefix="/reads")


@pages.get("/")
@needs("see who read what")
def show() -> str:
    """List the newest looks: all, of one site, by one sign-in, since a date."""
    asked = {name: request.args.get(name, "").strip() for name in ("site", "who", "since")}
    with reading() as session:
        found = see_reads(
            session, viewer(), site=asked["site"], who=asked["who"], since=_since(asked["since"])
        )
        zone = zone_of(session, viewer())
    return render_template(
        "reads.html", reads=found, asked=asked, zone=zone, most=MOST_READS, present=present
    )


def _since(text: str) -> date | None:
    try:
        return date.fromisoformat(text) if text else None
    except ValueError as wrong:
        raise RangeError("Write the date as 2026-06-15.") from wrong
