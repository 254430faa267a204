"""Files out: each is made by a service that filters by role, and sent as a download."""

from flask import Blueprint, Response, request

from registry.records.filter_text import filter_of
from registry.services.base_map import base_map, simplified_base
from registry.services.hand_out_day import FileOut, hand_out_day
from registry.services.take_out import take_out_overdue, take_out_sites
from registry.services.viewer_zone import zone_of
from web.access import needs, viewer
from web.context import parts, reading, today
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


@pages.get("/overdue.<ending>")
@needs("take files out")
def overdue_file(ending: str) -> Response:
    """Send the overdue systems that the filters of the address name as one file."""
    which = filter_of(request.args)
    folder = parts().folder
    known = base_map(folder)
    with reading() as session:
        file = take_out_overdue(
            session,
            viewer(),
            today(zone_of(session, viewer())),
            which,
            ending,
            base=simplified_base(folder) if ending == "html" else None,
            credit=known.credit if known else "",
        )
    return send(file)


@pages.get("/sites.<ending>")
@needs("take files out")
def sites_file(ending: str) -> Response:
    """Send all sites that the viewer sees as one file."""
    with reading() as session:
        return send(take_out_sites(session, viewer(), ending))


def send(file: FileOut) -> Response:
    """Return a file as a download."""
    answer = Response(file.body, content_type=file.media_type)
    answer.headers["Content-Disposition"] = f'attachment; filename="{file.name}"'
    return answer
