"""Photos: the address that takes them, that shows one, and that takes one back."""

import json
from datetime import datetime
from typing import Any

from flask import Blueprint, Response, flash, jsonify, redirect, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from registry.errors import RangeError, RegistryError, StoreError
from registry.field.pictures.clean import ENDINGS, MOST_BYTES, kind_of, too_large
from registry.services.keep_photo import KeptPhoto, keep_photo, take_back_photo
from registry.services.see_photos import ACT, see_picture
from registry.services.visit_form import ACT as RECORDING
from web.access import needs, signed_in, viewer
from web.context import parts, reading, writing
from web.errors import status_of
from web.read_log import read_of

pages = Blueprint("photos", __name__)

AROUND_BYTES = 2**17
"""What comes with a photo: its body with a preview, and the form's own lines."""


@pages.post("/photos")
def take() -> AnyResponse | tuple[Response, int]:
    """Keep a photo: a page or a phone is answered as JSON, a plain form with a page.

    A phone sends a field ``body`` with JSON; a form has a field for each of its keys.
    """
    by_script = "text/html" not in request.headers.get("Accept", "")
    if not signed_in():
        if by_script:
            return jsonify(complaints=["Sign in, then send the photo again."]), 401
        return redirect(url_for("security.login"))
    try:
        body, data = _sent()
        with writing() as session:
            done = keep_photo(
                session, viewer(), body, data, parts().now(), sent_at=_moment(body.get("sent_at"))
            )
    except RegistryError as wrong:
        if not by_script:
            raise
        complaints = str(wrong).splitlines()
        return jsonify(status="refused", complaints=complaints), status_of(type(wrong))
    if by_script:
        return jsonify(_kept(done)), 200
    flash("The photo is kept." if done.is_new else "This photo was kept before.")
    return redirect(url_for("site_file.show", site_id=done.photo.site_id, _anchor="photos-title"))


@pages.get("/photos/<digest>")
@needs(ACT)
def show(digest: str) -> Response:
    """Show a picture or its preview to who may see one of its photos; asked anew, never shared."""
    with reading() as session:
        photo, body = see_picture(session, viewer(), digest)
    read_of(photo.site_id)
    kind = kind_of(body)
    if not kind:
        raise StoreError("This photo is damaged in the store. Bring it back from a backup.")
    answer = Response(body, content_type=kind)
    name = f"photo-{photo.taken_at:%Y-%m-%d}-{digest[:8]}.{ENDINGS[kind]}"
    answer.headers["Content-Disposition"] = f'inline; filename="{name}"'
    answer.headers["Cache-Control"] = "private, no-cache"
    answer.headers["Content-Security-Policy"] = (
        "default-src 'none'; frame-ancestors 'none'; sandbox"
    )
    answer.set_etag(digest)
    answer.make_conditional(request)
    return answer


@pages.post("/photos/<photo_id>/take-back")
@needs(RECORDING)
def take_back(photo_id: str) -> AnyResponse:
    """Show a photo to nobody any more."""
    with writing() as session:
        photo = take_back_photo(
            session, viewer(), photo_id, request.form.get("why", ""), parts().now()
        )
    flash("The photo is taken back. It stays in the store, with your reason.")
    return redirect(url_for("site_file.show", site_id=photo.site_id, _anchor="photos-title"))


def _sent() -> tuple[dict[str, Any], bytes]:
    """Return what was said of a photo, and its file."""
    request.max_content_length = MOST_BYTES + AROUND_BYTES
    if (request.content_length or 0) > MOST_BYTES + AROUND_BYTES:
        raise RangeError(too_large(request.content_length or 0))
    fields, file = request.form, request.files.get("file")
    if file is None:
        raise RangeError("No photo came with it. Choose one, then send it again.")
    data = file.read()
    file.close()
    if "body" not in fields:
        return dict(fields), data
    try:
        body = json.loads(fields["body"])
    except ValueError:
        body = None
    if not isinstance(body, dict):
        raise RangeError("“body” is no JSON object. Load the page again.")
    return body | {"sent_at": fields.get("sent_at")}, data


def _kept(done: KeptPhoto) -> dict[str, Any]:
    photo = done.photo
    return {
        "id": photo.id,
        "status": "kept" if done.is_new else "kept before",
        "photo": url_for("photos.show", digest=photo.digest),
        "width_px": photo.width_px,
        "height_px": photo.height_px,
        "server_time": parts().now().isoformat(),
    }


def _moment(said: object) -> datetime | None:
    try:
        moment = datetime.fromisoformat(str(said))
    except ValueError:
        return None
    return moment if moment.tzinfo else None
