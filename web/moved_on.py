"""The address of a record that was merged answers with the site that it points to, and says so."""

from flask import Flask, flash, redirect, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from registry.errors import NotFoundError
from registry.services.merge_sites import points_to
from web import access
from web.context import reading

SAME_PAGE = frozenset({"site_file.show", "gate_sheet.show", "record.show", "settle.show"})
"""Endpoints that answer with the same page of the site that holds."""
ITS_FILE = frozenset({"site_edit.show"})
"""Endpoints that answer with the site file."""


def install(app: Flask) -> None:
    """Send on whoever asks for a page of a record that points on."""

    def send_on() -> AnyResponse | None:
        endpoint, args = request.endpoint or "", dict(request.view_args or {})
        if request.method != "GET" or endpoint not in SAME_PAGE | ITS_FILE:
            return None
        if not access.signed_in():
            return None
        try:
            with reading() as session:
                found = points_to(session, access.viewer(), args["site_id"])
        except NotFoundError:
            return None  # the page answers that itself
        if found is None:
            return None
        record, holds = found
        flash(f"Record {record.key} was merged into {holds.key}, which is shown here.")
        if endpoint in ITS_FILE:
            return redirect(url_for("site_file.show", site_id=holds.id))
        return redirect(url_for(endpoint, **{**args, "site_id": holds.id}))

    app.before_request(send_on)
