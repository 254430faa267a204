"""Changing fields of a site's file, each by whoever may; nobody's words get lost on the way."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from registry.errors import NotFoundError, RangeError
from registry.imports.cells import Fault
from registry.privacy import WHERE, changes, for_role, proposes, require
from registry.records.changes import Role, Viewer
from registry.records.places import LonLat, Site
from registry.records.proposals import Proposal, Why
from registry.services.edit_checks import complaints_of
from registry.services.file_fields import FILE_FIELDS, RECORDS, FileField, read_text
from registry.services.flag_sites import flag_sites
from registry.services.recompute_due import recompute_due
from registry.services.seen_site import seen_site
from registry.store import Author, Session, file_values, places, proposals
from registry.store.flood_load import has_layers
from registry.store.locks import lock_site

ACT = "change a site file"
TYPED_IN = "typed in"
"""How a position is known that was changed without saying how."""
PLACED = frozenset({"position", "elevation_ft", "elevation_datum", "cover_in"})
"""Fields that flood facts hang on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Edited:
    """One field as a person edits it: ``text`` is what stands there now.

    ``at_once`` False = what is written is proposed to the office.
    """

    field: FileField
    text: str
    at_once: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class EditedRow:
    """One row of a site's file with the fields that a viewer may change or propose.

    ``title`` says which row it is; ``at`` is its place, or its site's while it has none.
    """

    site: Site
    kind: str
    row_id: int
    title: str
    at: LonLat | None
    fields: tuple[Edited, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class EditOutcome:
    """What became of an edit, by names of fields."""

    changed: tuple[str, ...] = ()
    proposed: tuple[str, ...] = ()
    kept_beside: tuple[str, ...] = ()


def row_to_edit(
    session: Session, viewer: Viewer, site_id: int, kind: str, row_id: int
) -> EditedRow:
    """Return a row of a site's file with the fields that the viewer may change or propose.

    Raises
    ------
    AccessError
        If the role changes no site files.
    NotFoundError
        If there is no such row, it is not the viewer's, or nothing of it is theirs to change.
    """
    site = _site_of(session, viewer, site_id, kind, row_id)
    known = FILE_FIELDS[kind]
    record = RECORDS[kind]
    mine = [
        one
        for one in known
        if changes(viewer.role, record, one) or proposes(viewer.role, record, one)
    ]
    if not mine:
        raise NotFoundError("Nothing here is for your sign-in to change.")
    now = file_values.values_of(session, kind, row_id, mine)
    found = tuple(
        Edited(
            field=known[name],
            text=file_values.said_of(name, value),
            at_once=changes(viewer.role, record, name),
        )
        for name, value in now.items()
    )
    is_placed = "position" in known
    place = file_values.values_of(session, kind, row_id, ["position"]) if is_placed else {}
    return EditedRow(
        site=for_role(site, viewer.role),
        kind=kind,
        row_id=row_id,
        title=_title(session, site, kind, row_id),
        at=place.get("position") or site.lon_lat,
        fields=found,
    )


def edit_row(
    session: Session,
    viewer: Viewer,
    row: tuple[int, str, int],
    given: Mapping[str, str],
    seen: Mapping[str, str],
    now: datetime,
    today: Callable[[str], date],
    source: str = "site file",
) -> EditOutcome:
    """Change fields of a row: at once what the role may, the rest is kept for the office to settle.

    A field that somebody changed since ``seen`` is not written over: the given value is kept beside
    the one in force.

    Parameters
    ----------
    row
        Site, kind of row and its id.
    given
        Texts by name of field.
    seen
        The texts that stood there when the person began; a field that is not named was seen as it
        is now.
    now, today
        The moment, and what gives the date in a time zone.
    source
        Where the edit comes from, for the history.

    Raises
    ------
    AccessError
        If the role changes no site files.
    NotFoundError
        If there is no such row, it is not the viewer's, or a field is not theirs to change.
    RangeError
        If texts cannot be what they stand for; all complaints at once, and nothing is changed.
    """
    site_id, kind, row_id = row
    _site_of(session, viewer, site_id, kind, row_id)
    lock_site(session, site_id)
    edit = row_to_edit(session, viewer, site_id, kind, row_id)
    known = {one.field.name: one for one in edit.fields}
    for name in given:
        if name not in known:
            raise NotFoundError(f"“{name[:40]}” is no field here that your sign-in may change.")
    wanted, complaints = _wanted(known, given, seen)
    _say_how_known(wanted, given, seen, known)
    force = {
        name: value
        for name, value in wanted.items()
        if known[name].at_once and not _is_stale(name, known, seen)
    }
    complaints += _complaints(session, edit, wanted, viewer)
    if complaints:
        raise RangeError("\n".join(complaints))
    by = Author(viewer.name, now, source)
    changed = file_values.put_values(session, site_id, kind, row_id, force, by)
    beside = [name for name in wanted if name not in force]
    waits = [
        Proposal(
            site_id=site_id,
            kind=kind,
            row_id=row_id,
            field=name,
            before=seen.get(name, known[name].text),
            value=file_values.said_of(name, wanted[name]),
            why=Why.CHANGED_MEANWHILE if known[name].at_once else Why.PROPOSED,
            who=viewer.name,
            at=now,
        )
        for name in beside
    ]
    proposals.add_proposals(session, waits)
    after_edit(session, edit.site, changed, now, today)
    return EditOutcome(
        changed=tuple(changed),
        proposed=tuple(one.field for one in waits if one.why is Why.PROPOSED),
        kept_beside=tuple(one.field for one in waits if one.why is Why.CHANGED_MEANWHILE),
    )


def after_edit(
    session: Session,
    site: Site,
    changed: list[str],
    now: datetime,
    today: Callable[[str], date],
) -> None:
    """Work out again what hangs on fields that were changed: due dates, and flood facts."""
    if not changed:
        return
    zone = places.jurisdiction(session, site.jurisdiction_id).time_zone
    recompute_due(session, today(zone), [site.id])
    if PLACED & set(changed) and has_layers(session):
        flag_sites(session, now, [site.id])


def _title(session: Session, site: Site, kind: str, row_id: int) -> str:
    if kind == "site":
        return ", ".join(filter(None, (site.address, site.town))) or "no address"
    names = {"system": ("kind", "key"), "component": ("label", "kind")}.get(kind, ("starts_on",))
    told = file_values.values_of(session, kind, row_id, names)
    said = " ".join(filter(None, (file_values.said_of(*one) for one in told.items())))
    return f"Service agreement from {said}" if kind == "agreement" else said.capitalize()


def _wanted(
    known: Mapping[str, Edited], given: Mapping[str, str], seen: Mapping[str, str]
) -> tuple[dict[str, Any], list[str]]:
    """Return the values that differ from what was seen and from what stands, and complaints."""
    wanted: dict[str, Any] = {}
    complaints = []
    for name, text in given.items():
        one = known[name]
        was = seen.get(name, one.text)
        if _plain(text) == _plain(was):
            continue
        value = read_text(one.field, text)
        if isinstance(value, Fault):
            complaints.append(f"{one.field.label}: {value.wrong}. {value.remedy}.")
            continue
        said = file_values.said_of(name, value)
        if said not in {_plain(was), _plain(one.text)}:
            wanted[name] = value
    return wanted, complaints


def _is_stale(name: str, known: Mapping[str, Edited], seen: Mapping[str, str]) -> bool:
    """Tell whether somebody changed a field since; a place goes with how it is known."""
    together = sorted(WHERE & set(known)) if name in WHERE else [name]
    return any(
        _plain(seen.get(one, known[one].text)) != _plain(known[one].text) for one in together
    )


def _plain(text: str) -> str:
    """Return a text as it is compared: several lines are one, as the history shows them."""
    return text.replace("\r\n", "\n").strip()


def _say_how_known(
    wanted: dict[str, Any],
    given: Mapping[str, str],
    seen: Mapping[str, str],
    known: Mapping[str, Edited],
) -> None:
    """Let a position that moved not keep the words about the old one."""
    if "position" not in wanted:
        return
    for name, instead in (("position_source", TYPED_IN), ("position_accuracy_m", None)):
        if name not in known or name in wanted:
            continue
        text = given.get(name, known[name].text)
        if _plain(text) == _plain(seen.get(name, known[name].text)) != "":
            wanted[name] = instead if wanted["position"] else known[name].field.blank
        elif name == "position_source" and not text.strip() and wanted["position"]:
            wanted[name] = instead


def _complaints(
    session: Session, edit: EditedRow, wanted: Mapping[str, Any], viewer: Viewer
) -> list[str]:
    names = tuple(FILE_FIELDS[edit.kind])
    would = file_values.values_of(session, edit.kind, edit.row_id, names) | dict(wanted)
    place = places.jurisdiction(session, edit.site.jurisdiction_id)
    found = []
    if "jurisdiction" in wanted:
        found += _of_jurisdiction(session, viewer, wanted["jurisdiction"])
    else:
        found += complaints_of(edit.kind, would, place.box, edit.site.lon_lat)
    return found


def _of_jurisdiction(session: Session, viewer: Viewer, name: str) -> list[str]:
    mine = [
        one.name
        for one in places.jurisdictions(session)
        if viewer.role is not Role.COUNTY or one.id in viewer.jurisdiction_ids
    ]
    return [] if name in mine else [f"Jurisdiction: write one of {', '.join(mine)}."]


def _site_of(session: Session, viewer: Viewer, site_id: int, kind: str, row_id: int) -> Site:
    require(viewer, ACT)
    site = seen_site(session, viewer, site_id)
    if site.merged_into_id is not None:
        raise NotFoundError(f"Record {site.key} was merged into another, which holds. Change that.")
    if kind not in RECORDS or not file_values.is_of_site(session, site.id, kind, row_id):
        raise NotFoundError("There is no such part of this site's file.")
    return site
