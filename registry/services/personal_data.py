"""A person's data: what is kept about an owner, taken out for a records request, or erased."""

import io
import json
import zipfile
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from registry.errors import NotFoundError, RangeError
from registry.privacy import require
from registry.records.changes import Viewer
from registry.report.csv_text import csv_text
from registry.report.person_page import person_page
from registry.store import Session, erasures, history, personal, photos, sites

ACT = "handle personal data"
NOTE = "personal data"
"""The field under which an erasure stands in the history of a site."""
SAYS = (
    "All that this registry keeps and that was found by the name, phone or e-mail asked for.",
    "Read it through before you hand it out: free texts and photos may mean other people too.",
)


@dataclass(frozen=True, slots=True)
class Held:
    """What is kept about one person: by table its rows, and which sites are or were theirs."""

    said: str
    tables: dict[str, list[dict[str, Any]]]
    sites: tuple[str, ...]
    former_sites: tuple[str, ...]


def what_is_held(session: Session, viewer: Viewer, said: str) -> Held:
    """Return what is kept about the owner with a name, a phone or an e-mail address.

    Raises
    ------
    AccessError
        If the viewer may not handle personal data.
    NotFoundError
        If nobody is called that.
    """
    owner = _owner(session, viewer, said)
    return Held(
        said,
        personal.held(session, owner),
        _keys(session, owner.site_ids),
        _keys(session, owner.former_site_ids),
    )


def take_out_person(session: Session, viewer: Viewer, said: str) -> bytes:
    """Return all that is kept about a person as a .zip: CSV, JSON, photos, and a page to read.

    Raises as ``what_is_held``.
    """
    found = what_is_held(session, viewer, said)
    pictures = {
        f"photos/{one['id']}.{str(one['media_type']).rpartition('/')[2]}": photos.picture(
            session, one["digest"]
        )
        for one in found.tables.get("photo", [])
    }
    return packed(said, found.tables, pictures)


def packed(
    said: str, tables: Mapping[str, list[dict[str, Any]]], pictures: Mapping[str, bytes]
) -> bytes:
    """Return tables as a .zip: a page to read, all as JSON, one CSV each, and pictures by name."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
        made.writestr("read-me.html", person_page(f"Kept about {said}", SAYS, tables))
        made.writestr("all.json", json.dumps(tables, ensure_ascii=False, indent=1, default=str))
        for name, rows in tables.items():
            made.writestr(f"{name}.csv", csv_text(tuple(rows[0]), rows))
        for name, body in pictures.items():
            made.writestr(name, body)
    return out.getvalue()


def erase_person(
    session: Session, viewer: Viewer, said: str, reason: str, now: datetime
) -> dict[str, int]:
    """Blank what names an owner everywhere; return by table how many rows were changed.

    The technical record stays: systems, visits, readings, findings, reports, due dates. The history
    of each site says that personal data were erased, when, by whom and why.

    Raises
    ------
    RangeError
        If no reason is given, or the reason itself names the person.
    NotFoundError
        If nobody is called that.
    """
    owner = _owner(session, viewer, said)
    why = " ".join(reason.split())
    if not why:
        raise RangeError("Say why, for example: asked for by the owner on 1 June, letter on file.")
    if any(one.lower() in why.lower() for one in owner.words):
        raise RangeError("The reason stays in the history: write it without the person's name.")
    keys = _keys(session, owner.all_site_ids)
    changed = personal.erase_owner(session, owner)
    by = history.Author(viewer.name, now)
    history.note_changes(
        session,
        (by.change("site", one, NOTE, "", f"erased: {why}", one) for one in owner.all_site_ids),
    )
    subject = f"owner at {', '.join(keys)}"
    erasures.add_erasure(session, viewer.name, subject, why, changed, now)
    return changed


def past_erasures(session: Session, viewer: Viewer) -> list[erasures.Erasure]:
    """Return what was erased so far, the newest first, never what it held.

    Raises
    ------
    AccessError
        If the viewer may not handle personal data.
    """
    require(viewer, ACT)
    return erasures.erasures(session)


def _owner(session: Session, viewer: Viewer, said: str) -> personal.Owner:
    require(viewer, ACT)
    if len(said.strip()) < personal.SHORTEST:
        raise RangeError(
            f"Write the whole name, phone or e-mail address, {personal.SHORTEST} letters at least."
        )
    owner = personal.find_owner(session, said, viewer.firm_id)
    if not owner.all_site_ids:
        raise NotFoundError("Nobody is called that here. Write the name as the site file has it.")
    if owner.several:
        keys = ", ".join(_keys(session, owner.site_ids))
        raise RangeError(f"This means several owners, of the sites {keys}. Ask by name.")
    return owner


def _keys(session: Session, site_ids: Iterable[int]) -> tuple[str, ...]:
    return tuple(one.key for one in sites.sites(session, site_ids))
