"""Files out: each is made by a service that filters by role, and sent as a download."""

from flask import Blueprint, Response, request
from registry.services.base_map import simplified_base

from registry.services.hand_out_day import FileOut, hand_out_day
from web.access import needs, viewer
from web.context import parts, reading
from web.forms import date_in, number_in

pages = Blueprint("downloads", __name__, url_prefix="/files")


@pages.get("/day/<on>.<ending>")
@needs("see the day")
def day_file(on: str, ending: str) -> Response:
    """Send the day in force on a date as one file."""
    base = simplified_base(parts().folder) if ending == "html" else None
    with reading() as session:
        return send(
            hand_out_day(
                session,
                viewer(),
                date_in(on),
                ending,
                technician_id=number_in(request.args.get("technician", "")),
                base=base,
            )
        )


def send(file: FileOut) -> Response:
    """Return a file as a download."""
    answer = Response(file.body, content_type=file.media_type)
    answer.headers["Content-Disposition"] = f'attachment; filename="{file.name}"'
    return answer
