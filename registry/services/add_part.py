"""Adding a system, a component or an agreement to a site's file; taking it back is an undo."""

from collections.abc import Callable, Mapping
from datetime import date, datetime
from typing import Any

from registry.errors import AccessError, NotFoundError, RangeError
from registry.imports.cells import Fault
from registry.privacy import changes, for_role, require
from registry.records.changes import Viewer
from registry.records.places import Site
from registry.services.edit_checks import complaints_of
from registry.services.edit_site import ACT, Edited, EditedRow, after_edit
from registry.services.file_fields import FILE_FIELDS, RECORDS, read_text
from registry.services.seen_site import seen_site
from registry.store import Author, Session, file_values, places
from registry.store.locks import lock_site

FIRST = {"system": "kind", "component": "kind", "agreement": "starts_on"}
"""Kind of a part → the field without which there is none."""


def kinds_to_add(viewer: Viewer) -> frozenset[str]:
    """Return the kinds of parts that a viewer may add: those whose first field they may change."""
    return frozenset(one for one, name in FIRST.items() if changes(viewer.role, RECORDS[one], name))


def part_to_add(
    session: Session, viewer: Viewer, site_id: int, kind: str, under_id: int
) -> EditedRow:
    """Return the empty form of a part; ``under_id`` is the system of a component, else the site.

    Raises
    ------
    AccessError
        If the role adds no such parts.
    NotFoundError
        If the site or system is not there.
    """
    site = _site_of(session, viewer, site_id, kind, under_id)
    record = RECORDS[kind]
    fields = tuple(
        Edited(field=one, text="", at_once=True)
        for name, one in FILE_FIELDS[kind].items()
        if changes(viewer.role, record, name)
    )
    title = {"agreement": "A new service agreement"}.get(kind, f"A new {kind}")
    return EditedRow(
        site=for_role(site, viewer.role),
        kind=kind,
        row_id=under_id,
        title=title,
        at=site.lon_lat,
        fields=fields,
    )


def add_part(
    session: Session,
    viewer: Viewer,
    part: tuple[int, str, int],
    given: Mapping[str, str],
    now: datetime,
    today: Callable[[str], date],
) -> int:
    """Add a part to a site's file, note it in the history, and return its id.

    Parameters
    ----------
    part
        Site, kind, and the system of a component, else the site.
    given
        Texts by name of field; what is not given is empty.

    Raises
    ------
    AccessError, NotFoundError
        As ``part_to_add``; also for a field that is not the viewer's to change.
    RangeError
        If texts cannot be what they stand for; all complaints at once, and nothing is added.
    """
    site_id, kind, under_id = part
    site = _site_of(session, viewer, site_id, kind, under_id)
    lock_site(session, site.id)
    known = {one.field.name for one in part_to_add(session, viewer, *part).fields}
    if set(given) - known:
        raise NotFoundError("A field is not one that your sign-in may fill in here.")
    values: dict[str, Any] = {}
    wrong = []
    for name, field in FILE_FIELDS[kind].items():
        value = read_text(field, given.get(name, "")) if name in known else field.blank
        if isinstance(value, Fault):
            wrong.append(f"{field.label}: {value.wrong}. {value.remedy}.")
        else:
            values[name] = value
    box = places.jurisdiction(session, site.jurisdiction_id).box
    wrong += complaints_of(kind, values, box, site.lon_lat) if not wrong else []
    if wrong:
        raise RangeError("\n".join(wrong))
    by = Author(viewer.name, now, "site file")
    number = file_values.add_row(session, site, kind, under_id, values, by)
    after_edit(session, site, list(values), now, today)
    return number


def _site_of(session: Session, viewer: Viewer, site_id: int, kind: str, under_id: int) -> Site:
    require(viewer, ACT)
    site = seen_site(session, viewer, site_id)
    under = "system" if kind == "component" else "site"
    if kind in FIRST and kind not in kinds_to_add(viewer):
        raise AccessError("Such a part is not for your sign-in to add. Ask the office.")
    if kind not in FIRST or site.merged_into_id is not None:
        raise NotFoundError("There is no such part of this site's file.")
    if not file_values.is_of_site(session, site.id, under, under_id):
        raise NotFoundError("There is no such part of this site's file.")
    return site
