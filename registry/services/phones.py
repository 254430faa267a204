"""Phones of technicians: who is at the door, which are there, signing a lost one out."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from registry.privacy import require
from registry.records.changes import Viewer
from registry.records.phones import Phone
from registry.services.pair_phone import hashed
from registry.store import Session, phones, users

SESSION_LIFE = timedelta(days=30)
"""A phone that was not seen for so long must be paired again."""
SEEN_EVERY = timedelta(minutes=1)
"""How exactly it is kept when a phone was last seen."""


@dataclass(frozen=True, slots=True)
class PhoneAtDoor:
    """A phone that shows its secret; ``sign_in`` is as whom it may enter, None if it may not."""

    phone: Phone
    sign_in: users.SignIn | None
    must_wipe: bool
    stale: bool


def phone_at_door(session: Session, secret: str, now: datetime) -> PhoneAtDoor | None:
    """Return which phone shows a secret, None if none does."""
    phone = phones.phone_with(session, hashed(secret))
    if phone is None:
        return None
    enters = phone.signed_out_at is None and not has_expired(phone, now)
    sign_in = users.user_with_id(session, phone.user_id) if enters else None
    return PhoneAtDoor(
        phone=phone,
        sign_in=sign_in if sign_in and sign_in.active else None,
        must_wipe=phone.signed_out_at is not None,
        stale=now - phone.last_seen_at >= SEEN_EVERY,
    )


def has_expired(phone: Phone, now: datetime) -> bool:
    """Tell whether a phone was not seen for so long that it must be paired again."""
    return now - phone.last_seen_at > SESSION_LIFE


def note_seen(session: Session, phone: Phone, now: datetime) -> None:
    """Note that a phone was here; what is signed out is noted too, since it is lost."""
    phones.note_seen(session, phone.id, now)


def note_wiped(session: Session, phone: Phone, now: datetime) -> None:
    """Note that a phone says it destroyed what it carried; counts only after a signing out."""
    phones.note_wiped(session, phone.id, now)


def list_phones(session: Session, viewer: Viewer) -> list[Phone]:
    """Return the phones of the viewer's firm, or all; what is paired first."""
    require(viewer, "pair phones")
    return phones.phones(session, viewer.firm_id)


def sign_phone_out(session: Session, viewer: Viewer, phone_id: int, now: datetime) -> Phone:
    """End a phone's session; at its next contact it is told to destroy what it carries.

    Raises
    ------
    NotFoundError
        If there is no such phone in the viewer's firm.
    """
    require(viewer, "pair phones")
    phone = phones.phone(session, phone_id, viewer.firm_id)
    phones.sign_out(session, phone.id, viewer.name, now)
    return phones.phone(session, phone.id, viewer.firm_id)


def sign_itself_out(session: Session, phone: Phone, now: datetime) -> None:
    """End a phone's session because its technician signed out on it."""
    phones.sign_out(session, phone.id, phone.who, now)
