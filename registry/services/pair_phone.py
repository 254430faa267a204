"""Pairing a phone with a technician: a one-time code, asked back once, then a secret of its own."""

import hashlib
import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta

from registry.errors import NotFoundError, RangeError
from registry.privacy import require
from registry.records.changes import Role, Viewer
from registry.records.phones import Pairing, Phone
from registry.store import Session, names, phones, users

CODE_LIFE = timedelta(minutes=10)
"""How long a pairing code can be used."""
LETTERS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
"""Signs that are not taken for one another when read aloud (Crockford's base 32, from memory)."""
GROUPS, GROUP = 4, 4
"""A code has four groups of four signs: 80 bits of chance."""
LONGEST_NAME = 60
MISREAD = str.maketrans("OIL", "011")


@dataclass(frozen=True, slots=True)
class PairedPhone:
    """A phone that was just paired and its secret, which only the phone will know.

    ``replaced`` is a phone of somebody else that the same device was until now.
    """

    phone: Phone
    secret: str
    replaced: Phone | None = None


def technicians_to_pair(session: Session, viewer: Viewer) -> dict[int, str]:
    """Return the technicians for whom the viewer may pair a phone: id → name."""
    require(viewer, "pair phones")
    firms = names.firm_ids(session)
    own = [firm for firm in firms.values() if viewer.firm_id in {None, firm}]
    several = len(own) > 1
    return {
        technician_id: f"{name}, {firm}" if several else name
        for firm, firm_id in sorted(firms.items())
        if firm_id in own
        for name, technician_id in sorted(names.technician_ids(session, firm_id).items())
    }


def offer_pairing(
    session: Session, viewer: Viewer, technician_id: int, phone_name: str, now: datetime
) -> str:
    """Make a code that pairs one phone within ``CODE_LIFE``; an earlier one no longer counts.

    Raises
    ------
    NotFoundError
        If the technician is not the viewer's.
    RangeError
        If the phone's name is too long.
    """
    known = technicians_to_pair(session, viewer)
    if technician_id not in known:
        raise NotFoundError("Choose a technician from the list.")
    called = " ".join(phone_name.split())
    if len(called) > LONGEST_NAME:
        raise RangeError(f"The phone's name has at most {LONGEST_NAME} letters. Shorten it.")
    signs = "".join(secrets.choice(LETTERS) for _ in range(GROUPS * GROUP))
    pairing = Pairing(
        technician_id=technician_id,
        technician=known[technician_id],
        firm_id=viewer.firm_id or 0,
        phone_name=called or "phone",
        made_by=viewer.name,
    )
    phones.add_pairing(session, pairing, hashed(signs), now, now - CODE_LIFE)
    return "-".join(signs[start : start + GROUP] for start in range(0, len(signs), GROUP))


def pairing_for(session: Session, code: str, now: datetime) -> Pairing | None:
    """Return what a code as typed or scanned pairs, None if it is used, too old or none."""
    return phones.pairing_of(session, hashed(plain(code)), now - CODE_LIFE)


def pair(session: Session, code: str, held: Phone | None, now: datetime) -> PairedPhone | None:
    """Use a code up and make its phone; None if the code is used, too old or none.

    Parameters
    ----------
    session
        A session that commits.
    code
        As typed or scanned.
    held
        The phone that this device is already, if any. For the same sign-in it stays that phone and
        gets another secret; a phone of somebody else is signed out.
    now
        This moment.
    """
    pairing = pairing_for(session, code, now)
    if pairing is None or not phones.use_up(session, hashed(plain(code))):
        return None
    user_id = _sign_in_of(session, pairing, now)
    same = held if held and held.user_id == user_id and held.signed_out_at is None else None
    replaced = held if held and held.user_id != user_id else None
    if replaced:
        phones.sign_out(session, replaced.id, pairing.made_by, now)
    secret = secrets.token_urlsafe(32)
    phone = Phone(
        id=same.id if same else 0,
        user_id=user_id,
        who=pairing.technician,
        name=pairing.phone_name,
        paired_at=now,
        paired_by=pairing.made_by,
        last_seen_at=now,
    )
    kept = phones.put_phone(session, phone, hashed(secret))
    return PairedPhone(phones.phone(session, kept, None), secret, replaced)


def hashed(secret: str) -> str:
    """Return the hash under which a code or a secret is kept.

    A plain SHA-256 does: what is hashed is drawn by chance, 80 bits and more, not chosen.
    """
    return hashlib.sha256(secret.encode()).hexdigest()


def plain(code: str) -> str:
    """Return a code without the dashes and spaces of reading, look-alikes put right."""
    return "".join(one for one in code.upper().translate(MISREAD) if one.isalnum())


def _sign_in_of(session: Session, pairing: Pairing, now: datetime) -> int:
    """Return the technician's sign-in; one is made, without any password, where there is none."""
    known = users.user_of_technician(session, pairing.technician_id)
    if known is not None:
        if not known.active:
            raise RangeError(
                f"The sign-in {known.viewer.name} is blocked, so no phone is paired with it. "
                "Ask the administrator."
            )
        return known.viewer.user_id
    name, number = pairing.technician, 1
    while users.user_named(session, name) is not None:
        number += 1
        name = f"{pairing.technician} {number}"
    viewer = Viewer(
        name=name,
        role=Role.TECHNICIAN,
        firm_id=pairing.firm_id,
        technician_id=pairing.technician_id,
    )
    key = secrets.token_hex(16)
    return users.add_user(session, viewer, password_hash="", session_key=key, now=now)
