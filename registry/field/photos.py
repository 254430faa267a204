"""What is said of photos: read as it was sent, and joined to the visits and findings in force."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from registry.errors import RangeError
from registry.field.record_fields import NO_DAY, Body, FieldReader
from registry.records.gate_visit import Finding
from registry.records.photos import Photo

LONGEST_CAPTION = 200


def read_photo(body: Body, photo_id: str, taken: datetime, zone: str) -> Photo:
    """Return the photo that a body says, see docs/gate.md.

    Parameters
    ----------
    body
        The keys and values that came with the picture.
    photo_id
        The id where the body names none, as a plain form does.
    taken
        When it was taken where the body does not say so; without a zone it is local.
    zone
        The site's time zone.

    Raises
    ------
    RangeError
        With every complaint.
    """
    reader = FieldReader()
    caption = " ".join(reader.text(body, "caption").split())
    if len(caption) > LONGEST_CAPTION:
        reader.wrong("caption", f"is longer than {LONGEST_CAPTION} characters.", None)
    local = taken if taken.tzinfo else taken.replace(tzinfo=ZoneInfo(zone))
    photo = Photo(
        id=reader.uuid(body, "id") if body.get("id") else photo_id,
        site_id=reader.id(body, "site_id") or 0,
        visit_id=reader.uuid(body, "visit_id") if body.get("visit_id") else "",
        finding_id=reader.uuid(body, "finding_id") if body.get("finding_id") else "",
        component_id=reader.id(body, "component_id"),
        taken_at=reader.moment(body, "taken_at", NO_DAY, zone) or local,
        device_offset_s=reader.number(body, "device_offset_s", (-1e9, 1e9)),
        technician_id=reader.id(body, "technician_id"),
        caption=caption,
    )
    if reader.complaints:
        raise RangeError("\n".join(reader.complaints))
    return photo


def taken_at(photo: Photo) -> datetime:
    """Return when a photo was taken, by the server's clock."""
    return photo.taken_at + timedelta(seconds=photo.device_offset_s or 0.0)


def with_heirs(
    photos: Iterable[Photo], findings: Iterable[Finding], newer: Mapping[str, str]
) -> list[Photo]:
    """Return photos with the visit and the finding that stand in the place of those they name.

    A correction is a visit of its own, and its findings have ids of their own: a photo goes with
    the finding of the same kind, at the same component where there are several. A finding that was
    taken back, or is not kept yet, is left out.

    Parameters
    ----------
    photos
        Of one site.
    findings
        All that was found there, what corrections took back among it.
    newer
        Visit → the visit that corrects it.
    """
    known = {one.id: one for one in findings}
    return [
        replace(
            one,
            visit_id=_newest(one.visit_id, newer),
            finding_id=_heir(known.get(one.finding_id), known.values(), newer),
        )
        for one in photos
    ]


def photo_words(photo: Photo, findings: Mapping[str, Finding], on_day: str) -> str:
    """Return a photo in words, for who does not see it: its caption, or what it is of and when."""
    if photo.caption:
        return photo.caption
    found = findings.get(photo.finding_id)
    return f"Photo of {found.kind if found else 'the site'}, {on_day}"


def _newest(visit_id: str, newer: Mapping[str, str]) -> str:
    while visit_id in newer:
        visit_id = newer[visit_id]
    return visit_id


def _heir(found: Finding | None, known: Iterable[Finding], newer: Mapping[str, str]) -> str:
    if found is None:
        return ""
    visit_id = _newest(found.visit_id, newer)
    alike = [one for one in known if one.visit_id == visit_id and one.kind == found.kind]
    alike.sort(key=lambda one: (one.id != found.id, one.component_id != found.component_id))
    return alike[0].id if alike else ""
