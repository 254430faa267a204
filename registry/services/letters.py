"""Letters to owners of overdue systems: the text, who is overdue, writing and reading a batch."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from uuid import uuid4

from registry.errors import NotFoundError, RangeError
from registry.privacy import for_role, require
from registry.records.changes import Role, Viewer
from registry.records.due_rows import DueRow
from registry.records.letters import Letter
from registry.records.places import Site
from registry.report.csv_text import csv_text
from registry.report.letter_text import OWN_TEXT, checked, day_words, merged
from registry.services.due_list import due_list
from registry.services.see_day import firm_of
from registry.store import Session, letters, places, rules, sites, users
from registry.store.scope import scope_of

ACT = "write letters"
MOST_LETTERS = 500
"""Letters of one batch."""
CSV_COLUMNS = ("site", "to_name", "to_address", "written_on", "sender_name", "body")


@dataclass(frozen=True, slots=True, kw_only=True)
class OverdueSite:
    """A site with what is overdue there, the oldest first."""

    site_id: int
    site: str
    rows: tuple[DueRow, ...]

    @property
    def days_overdue(self) -> int:
        """How many days the oldest of them is overdue."""
        return max(one.days_overdue for one in self.rows)


def letter_text(session: Session, viewer: Viewer) -> str:
    """Return the text that the viewer's firm or authority writes.

    Raises
    ------
    AccessError
        If the role may not write letters.
    """
    require(viewer, ACT)
    return users.setting(session, f"letter text {_sender(session, viewer)}") or OWN_TEXT


def keep_letter_text(session: Session, viewer: Viewer, text: str) -> None:
    """Keep another text for the letters of the viewer's firm or authority.

    Raises
    ------
    AccessError
        If the role may not write letters.
    RangeError
        If a field in it is not known.
    """
    require(viewer, ACT)
    users.set_setting(session, f"letter text {_sender(session, viewer)}", checked(text))


def overdue_sites(
    session: Session, viewer: Viewer, on_date: date, at_least_days: int = 1
) -> list[OverdueSite]:
    """Return the sites of the viewer at which something is overdue so many days, the worst first.

    A date that rests on an estimate is no reason to write to anybody.

    Raises
    ------
    AccessError
        If the role may not write letters.
    """
    require(viewer, ACT)
    found: dict[int, list[DueRow]] = {}
    for one in due_list(session, scope_of(viewer), on_date, 0):
        if one.days_overdue > one.grace_days and not one.estimated:
            found.setdefault(one.site_id, []).append(one)
    listed = [
        OverdueSite(site_id=site_id, site=rows[0].site, rows=tuple(rows))
        for site_id, rows in found.items()
    ]
    return sorted(
        (one for one in listed if one.days_overdue >= at_least_days),
        key=lambda one: (-one.days_overdue, one.site),
    )


def write_letters(
    session: Session, viewer: Viewer, site_ids: Collection[int], on_date: date, now: datetime
) -> tuple[str, int]:
    """Write a letter to the owner of each chosen site that is overdue; return batch and number.

    Each is noted on the file of its site. A field that the viewer may not see is not in a letter.

    Raises
    ------
    AccessError
        If the role may not write letters.
    RangeError
        If none of the sites is overdue, or there are too many.
    """
    require(viewer, ACT)
    chosen = [one for one in overdue_sites(session, viewer, on_date) if one.site_id in site_ids]
    if not chosen:
        raise RangeError("Choose at least one site at which something is overdue.")
    if len(chosen) > MOST_LETTERS:
        raise RangeError(f"Choose at most {MOST_LETTERS} sites at once.")
    text = letter_text(session, viewer)
    tasks = {one.code: one.name for one in rules.task_kinds(session)}
    known = {one.id: one for one in sites.sites(session, [one.site_id for one in chosen])}
    names = {one.id: one.name for one in places.jurisdictions(session)}
    firm = "" if viewer.role is Role.COUNTY else places.firm(session, firm_of(session, viewer)).name
    written = []
    for one in chosen:
        site = for_role(known[one.site_id], viewer.role)
        sender = firm or names[site.jurisdiction_id]
        fields = _fields(site, one, tasks, on_date, sender)
        written.append(
            Letter(
                site_id=site.id,
                site=site.key,
                written_on=on_date,
                sender_name=sender,
                to_name=fields["owner"],
                to_address=fields["owner_address"],
                body=merged(text, fields),
            )
        )
    batch = str(uuid4())
    sender = _sender(session, viewer)
    letters.add_letters(
        session, written, batch=batch, sender=sender, written_by=viewer.name, now=now
    )
    return batch, len(written)


def see_letters(session: Session, viewer: Viewer, batch: str) -> list[Letter]:
    """Return the letters of a batch; only their sender reads them.

    Raises
    ------
    AccessError
        If the role may not write letters.
    NotFoundError
        If there is no such batch, or it is another sender's.
    """
    require(viewer, ACT)
    found = letters.letters_of_batch(session, batch, _sender(session, viewer))
    if not found:
        raise NotFoundError("There are no such letters, or they are not for your sign-in.")
    return found


def letters_csv(written: list[Letter]) -> str:
    """Return letters as CSV, for a printing house or a word processor."""
    return csv_text(
        CSV_COLUMNS,
        [{name: getattr(one, name) for name in CSV_COLUMNS} for one in written],
    )


def _sender(session: Session, viewer: Viewer) -> str:
    if viewer.role is Role.COUNTY:
        return "authority " + ",".join(str(one) for one in sorted(viewer.jurisdiction_ids))
    return f"firm {firm_of(session, viewer)}"


def _fields(
    site: Site, one: OverdueSite, tasks: dict[str, str], on_date: date, sender: str
) -> dict[str, str]:
    home = ", ".join(filter(None, (site.address, site.town)))
    lines = [
        f"- {tasks.get(row.task, row.task)}: was due on {day_words(row.due_on)}, "
        f"{row.days_overdue} day{'s' if row.days_overdue != 1 else ''} ago"
        + (f" ({row.source})" if row.source else "")
        for row in one.rows
    ]
    return {
        "date": day_words(on_date),
        "owner": site.owner_name or "The owner",
        "owner_address": site.owner_address or home,
        "site": site.key,
        "address": site.address,
        "town": site.town,
        "parcel": site.parcel,
        "overdue": "\n".join(lines),
        "sender": sender,
    }
