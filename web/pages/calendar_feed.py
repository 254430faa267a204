"""A calendar for programs that subscribe to it; its address is the secret."""

from flask import Blueprint, Response

from registry.services.calendar_feed import feed
from registry.services.hand_out_day import ENDINGS
from web.context import parts, reading

pages = Blueprint("calendar_feed", __name__)


@pages.get("/calendar/<secret>.ics")
def show(secret: str) -> Response:
    """Send the routes or deadlines of whose secret it is; nobody signs in."""
    with reading() as session:
        body = feed(session, secret, parts().today(), parts().now())
    answer = Response(body, content_type=ENDINGS["ics"])
    answer.headers["Cache-Control"] = "no-store"
    return answer
