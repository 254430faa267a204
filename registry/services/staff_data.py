"""What is kept about a technician or another sign-in: shown, taken out, erased once they left."""

from datetime import datetime
from typing import Any

from registry.errors import ConflictError, NotFoundError, RangeError
from registry.privacy import require
from registry.records.changes import Viewer
from registry.services.personal_data import ACT, packed
from registry.store import Session, erasures, staff, staff_erasing

type Tables = dict[str, list[dict[str, Any]]]


def what_is_held_of_staff(session: Session, viewer: Viewer, said: str) -> Tables:
    """Return by table what is kept about one of a firm's people, by name, phone or sign-in.

    Raises
    ------
    AccessError
        If the viewer may not handle personal data.
    NotFoundError
        If nobody is called that.
    RangeError
        If several people are.
    """
    return staff.held_of_staff(session, _found(session, viewer, said))


def take_out_staff(session: Session, viewer: Viewer, said: str) -> bytes:
    """Return it as a .zip; raises as ``what_is_held_of_staff``."""
    return packed(said, what_is_held_of_staff(session, viewer, said), {})


def erase_staff(
    session: Session, viewer: Viewer, said: str, reason: str, now: datetime
) -> dict[str, int]:
    """Let a name that tells nothing stand for who left; return by table how many rows changed.

    The technical record stays, and that the same hand did it: visits, readings, photos, licences.

    Raises
    ------
    RangeError
        If no reason is given, or the reason itself names the person.
    ConflictError
        If they still take routes or may sign in.
    """
    who = _found(session, viewer, said)
    why = " ".join(reason.split())
    if not why:
        raise RangeError("Say why, for example: left on 1 June, asked for by letter.")
    if any(one.lower() in why.lower() for one in who.names):
        raise RangeError("The reason stays in the store: write it without the person's name.")
    if who.is_here:
        raise ConflictError(
            f"{said} still takes routes or may sign in. Import the crew with active = false for "
            "them, end each sign-in with riserway user block, then erase."
        )
    number = who.technician_id or f"S{who.user_ids[0]}"
    changed = staff_erasing.erase_staff(session, who, f"Former colleague {number}")
    erasures.add_erasure(session, viewer.name, f"Former colleague {number}", why, changed, now)
    return changed


def _found(session: Session, viewer: Viewer, said: str) -> staff.Staff:
    require(viewer, ACT)
    found = staff.find_staff(session, said, viewer.firm_id)
    if not found:
        raise NotFoundError(
            f"No technician and no sign-in is called “{said}”, and no technician has that phone."
        )
    if len(found) > 1:
        raise RangeError(
            f"Several people are called “{said}”. Name one by the sign-in or the phone."
        )
    return found[0]
