"""A site is sold: the file stays with the parcel, what was the old owner's alone goes from it.

The old owner's name, phone, notes, gate code and hours stay in the history, for whom they may be
seen by; on the file they are asked anew. It is one change, and is taken back as one.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields
from datetime import date, datetime

from registry.errors import ConflictError, NotFoundError, RangeError
from registry.imports.cells import Fault
from registry.privacy import OWNER, for_role, require
from registry.records.changes import Change, Viewer
from registry.records.places import Agreement, Site
from registry.services.edit_site import after_edit
from registry.services.file_fields import FILE_FIELDS, label_of, read_text
from registry.services.seen_site import seen_site
from registry.store import Author, Session, file_values, history, places, systems
from registry.store.history import note_changes
from registry.store.locks import lock_site

ACT = "change the owner at a sale"
SOLD = "sold"
"""The field of the line in the history that says that a site was sold."""
TAKEN_BACK = "taken back"
ASKED_ANEW = (
    *("gate_code", "gate_note", "private_note", "windows", "exceptions"),
    *("occupied_share", "season_from", "season_to"),
)
"""Fields of a site that were the old owner's: the new one is asked."""
EARLIEST_YEAR = 1900


@dataclass(frozen=True, slots=True, kw_only=True)
class NewOwner:
    """Who bought it, as far as is known."""

    owner_name: str = ""
    owner_phone: str = ""
    owner_email: str = ""
    owner_address: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sale:
    """One sale in the history; ``stands`` is False once it was taken back."""

    change_id: int
    at: datetime
    who: str
    said: str
    stands: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SaleForm:
    """A site to be sold: its agreements in force, and the sales on file."""

    site: Site
    on_date: date
    agreements: tuple[Agreement, ...]
    sales: tuple[Sale, ...]


def sale_form(
    session: Session, viewer: Viewer, site_id: int, today: Callable[[str], date]
) -> SaleForm:
    """Return what is asked when a site was sold.

    Raises
    ------
    AccessError
        If the role may not change owners.
    NotFoundError
        If there is no such site, or it is not the viewer's.
    """
    require(viewer, ACT)
    site = seen_site(session, viewer, site_id)
    on_date = today(places.jurisdiction(session, site.jurisdiction_id).time_zone)
    return SaleForm(
        site=for_role(site, viewer.role),
        on_date=on_date,
        agreements=tuple(_in_force(session, site_id, on_date)),
        sales=tuple(_sales(history.history_of(session, site_id))),
    )


def change_owner(
    session: Session,
    viewer: Viewer,
    site_id: int,
    sold_on: date,
    new: NewOwner,
    now: datetime,
    today: Callable[[str], date],
    *,
    takes_over: bool,
) -> tuple[str, ...]:
    """Put the new owner on the file and empty what was the old one's; return labels of fields.

    Parameters
    ----------
    takes_over
        The new owner takes the service agreement over; otherwise it ends on the day of the sale.

    Raises
    ------
    AccessError
        If the role may not change owners.
    NotFoundError
        If there is no such site, or it is not the viewer's.
    RangeError
        If the day lies ahead or before a sale that stands, or a text cannot be what it stands for.
    """
    require(viewer, ACT)
    site = seen_site(session, viewer, site_id)
    lock_site(session, site_id)
    on_date = today(places.jurisdiction(session, site.jurisdiction_id).time_zone)
    by = Author(viewer.name, now, f"sale of {sold_on}")
    _check_day(session, site_id, sold_on, on_date)
    known = FILE_FIELDS["site"]
    values = {name: known[name].blank for name in (*sorted(OWNER), *ASKED_ANEW)}
    values |= _read(new)
    changed = file_values.put_values(session, site_id, "site", site_id, values, by)
    for system in systems.systems_of_site(session, site_id):
        changed += file_values.put_values(
            session, site_id, "system", system.id, {"people": None}, by
        )
    agreed = _in_force(session, site_id, sold_on)
    said = "the agreement is taken over" if agreed else "no agreement was in force"
    if agreed and not takes_over:
        said = "the agreement ends"
        for one in agreed:
            ends = {"ends_on": max(sold_on, one.starts_on), "renews_on": None}
            changed += file_values.put_values(session, site_id, "agreement", one.id, ends, by)
    line = by.change("site", site_id, SOLD, "", f"sold on {sold_on}; {said}", site_id)
    note_changes(session, [line])
    after_edit(session, site, changed, now, today)
    return tuple(dict.fromkeys(label_of(one) for one in changed))


def undo_sale(
    session: Session,
    viewer: Viewer,
    change_id: int,
    now: datetime,
    today: Callable[[str], date],
) -> int:
    """Take a whole sale back, as one change; return the site.

    Raises
    ------
    AccessError
        If the role may not change owners.
    NotFoundError
        If there is no such sale, or it is not the viewer's.
    ConflictError
        If it was taken back before, or a field was changed since; nothing is changed then.
    """
    require(viewer, ACT)
    line = history.line_of(session, change_id)
    if line is None or line.site_id is None or line.field != SOLD or line.after == TAKEN_BACK:
        raise NotFoundError("There is no such sale, or it is not for your sign-in.")
    site = seen_site(session, viewer, line.site_id)
    lock_site(session, site.id)
    lines = history.history_of(session, site.id)
    if not next(one.stands for one in _sales(lines) if one.change_id == change_id):
        raise ConflictError("This sale was taken back before. Nothing was changed.")
    together = [
        one
        for one in lines
        if (one.at, one.who, one.source) == (line.at, line.who, line.source) and one.field != SOLD
    ]
    back = {(one.kind, int(one.row_id), one.field): _before(session, one) for one in together}
    by = Author(viewer.name, now, f"undo of change {line.id}")
    changed = []
    for kind, row_id in sorted({spot[:2] for spot in back}):
        values = {spot[2]: value for spot, value in back.items() if spot[:2] == (kind, row_id)}
        changed += file_values.put_values(session, site.id, kind, row_id, values, by)
    mark = by.change("site", site.id, SOLD, line.after, TAKEN_BACK, site.id)
    note_changes(session, [mark])
    after_edit(session, site, changed, now, today)
    return site.id


def _check_day(session: Session, site_id: int, sold_on: date, on_date: date) -> None:
    if sold_on > on_date:
        raise RangeError(f"The sale of {sold_on} lies ahead. Note it on the day of the sale.")
    if sold_on.year < EARLIEST_YEAR:
        raise RangeError(f"{sold_on} is too long ago. Correct the day of the sale.")
    past = [one.said for one in _sales(history.history_of(session, site_id)) if one.stands]
    later = [one for one in past if one.split(";")[0].removeprefix("sold on ") >= str(sold_on)]
    if later:
        raise RangeError(f"The site was {later[0].split(';')[0]} already. Correct the day.")


def _read(new: NewOwner) -> dict[str, str]:
    """Return the new owner's fields as values."""
    values, complaints = {}, []
    for one in fields(new):
        value = read_text(FILE_FIELDS["site"][one.name], getattr(new, one.name))
        if isinstance(value, Fault):
            complaints.append(f"{label_of(one.name)}: {value.wrong}. {value.remedy}.")
        else:
            values[one.name] = value
    if complaints:
        raise RangeError("\n".join(complaints))
    return values


def _in_force(session: Session, site_id: int, on_date: date) -> list[Agreement]:
    return [
        one
        for one in places.agreements_of_sites(session, [site_id])
        if one.ends_on is None or one.ends_on >= on_date
    ]


def _sales(lines: Sequence[Change]) -> list[Sale]:
    """Return the sales of a site's history, the last first."""
    sold = [one for one in lines if one.kind == "site" and one.field == SOLD]
    undone = {one.source for one in sold if one.after == TAKEN_BACK}
    return [
        Sale(
            change_id=one.id,
            at=one.at,
            who=one.who,
            said=one.after,
            stands=f"undo of change {one.id}" not in undone,
        )
        for one in sold
        if one.after != TAKEN_BACK
    ]


def _before(session: Session, line: Change) -> object:
    """Return what stood in a field before the sale, unless it changed since."""
    kept = file_values.values_of(session, line.kind, int(line.row_id), [line.field])[line.field]
    if file_values.said_of(line.field, kept) != line.after:
        raise ConflictError(
            f"{label_of(line.field)} was changed since the sale. Set single fields back in the "
            "history instead."
        )
    value = read_text(FILE_FIELDS[line.kind][line.field], line.before)
    if isinstance(value, Fault) or file_values.said_of(line.field, value) != line.before:
        raise ConflictError(
            f"What stood in {label_of(line.field)} before the sale cannot be read back exactly. "
            "Type it in on the page instead."
        )
    return value
