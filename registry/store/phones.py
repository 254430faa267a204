"""Phones and pairings: kept with hashes of their secrets only."""

from datetime import datetime
from typing import Any

from sqlalchemy import Select, delete, func, or_, select, update
from sqlalchemy.orm import Session

from registry.errors import NotFoundError
from registry.records.phones import Pairing, Phone
from registry.store.tables import PairingRow, PhoneRow, TechnicianRow, UserRow


def add_pairing(
    session: Session, pairing: Pairing, code_hash: str, now: datetime, forget_before: datetime
) -> None:
    """Keep a pairing; those of the same technician and those that are too old are forgotten."""
    session.execute(
        delete(PairingRow).where(
            or_(
                PairingRow.technician_id == pairing.technician_id,
                PairingRow.made_at < forget_before,
            )
        )
    )
    session.add(
        PairingRow(
            technician_id=pairing.technician_id,
            phone_name=pairing.phone_name,
            code_hash=code_hash,
            made_by=pairing.made_by,
            made_at=now,
        )
    )


def pairing_of(session: Session, code_hash: str, since: datetime) -> Pairing | None:
    """Return the pairing of a code that was made since a moment and not used yet."""
    row = session.execute(
        select(PairingRow, TechnicianRow.name, TechnicianRow.firm_id)
        .join(TechnicianRow, TechnicianRow.id == PairingRow.technician_id)
        .where(PairingRow.code_hash == code_hash, PairingRow.made_at >= since)
    ).one_or_none()
    if row is None:
        return None
    kept, technician, firm_id = row
    return Pairing(
        technician_id=kept.technician_id,
        technician=technician,
        firm_id=firm_id,
        phone_name=kept.phone_name,
        made_by=kept.made_by,
    )


def use_up(session: Session, code_hash: str) -> bool:
    """Forget a pairing and tell whether it was still there: of two at once only one gets True."""
    done = session.execute(delete(PairingRow).where(PairingRow.code_hash == code_hash))
    return bool(done.rowcount)  # type: ignore[attr-defined]  # a DELETE's result has a row count


def put_phone(session: Session, phone: Phone, secret_hash: str) -> int:
    """Add a phone, or give the one with this id another secret; return its id."""
    fields: dict[str, Any] = {
        "user_id": phone.user_id,
        "name": phone.name,
        "secret_hash": secret_hash,
        "paired_at": phone.paired_at,
        "paired_by": phone.paired_by,
        "last_seen_at": phone.last_seen_at,
    }
    if phone.id:
        session.execute(update(PhoneRow).where(PhoneRow.id == phone.id).values(**fields))
        return phone.id
    row = PhoneRow(**fields)
    session.add(row)
    session.flush()
    return row.id


def phones(session: Session, firm_id: int | None) -> list[Phone]:
    """Return a firm's phones, or all; who is paired first, then those that were seen last."""
    found = _phones().order_by(
        PhoneRow.signed_out_at.is_not(None), func.lower(UserRow.name), PhoneRow.last_seen_at.desc()
    )
    if firm_id is not None:
        found = found.where(UserRow.firm_id == firm_id)
    return [_phone(*row) for row in session.execute(found)]


def phone(session: Session, phone_id: int, firm_id: int | None) -> Phone:
    """Return one phone of a firm, or any.

    Raises
    ------
    NotFoundError
        If there is none.
    """
    found = _phones().where(PhoneRow.id == phone_id)
    if firm_id is not None:
        found = found.where(UserRow.firm_id == firm_id)
    row = session.execute(found).one_or_none()
    if row is None:
        raise NotFoundError(
            f"There is no phone {phone_id}. The page Phones and riserway phone list show them."
        )
    return _phone(*row)


def phone_with(session: Session, secret_hash: str) -> Phone | None:
    """Return the phone that a secret belongs to."""
    row = session.execute(_phones().where(PhoneRow.secret_hash == secret_hash)).one_or_none()
    return None if row is None else _phone(*row)


def note_seen(session: Session, phone_id: int, now: datetime) -> None:
    """Note that a phone was here."""
    session.execute(update(PhoneRow).where(PhoneRow.id == phone_id).values(last_seen_at=now))


def note_wiped(session: Session, phone_id: int, now: datetime) -> None:
    """Note that a phone which was signed out says it destroyed what it carried."""
    session.execute(
        update(PhoneRow)
        .where(
            PhoneRow.id == phone_id,
            PhoneRow.signed_out_at.is_not(None),
            PhoneRow.wiped_at.is_(None),
        )
        .values(wiped_at=now)
    )


def sign_out(session: Session, phone_id: int, by: str, now: datetime) -> None:
    """End a phone's session; one that has ended stays as it is."""
    _sign_out(session, PhoneRow.id == phone_id, by, now)


def sign_out_all_of(session: Session, user_id: int, by: str, now: datetime) -> None:
    """End the sessions of all phones of a sign-in."""
    _sign_out(session, PhoneRow.user_id == user_id, by, now)


def _sign_out(session: Session, which: Any, by: str, now: datetime) -> None:  # noqa: ANN401 - a condition
    session.execute(
        update(PhoneRow)
        .where(which, PhoneRow.signed_out_at.is_(None))
        .values(signed_out_at=now, signed_out_by=by)
    )


def _phones() -> "Select[*tuple[Any, ...]]":
    """Select phones with the name of the technician, else of the sign-in."""
    return (
        select(PhoneRow, func.coalesce(TechnicianRow.name, UserRow.name))
        .join(UserRow, UserRow.id == PhoneRow.user_id)
        .outerjoin(TechnicianRow, TechnicianRow.id == UserRow.technician_id)
    )


def _phone(row: PhoneRow, who: str) -> Phone:
    return Phone(
        id=row.id,
        user_id=row.user_id,
        who=who,
        name=row.name,
        paired_at=row.paired_at,
        paired_by=row.paired_by,
        last_seen_at=row.last_seen_at,
        signed_out_at=row.signed_out_at,
        signed_out_by=row.signed_out_by,
        wiped_at=row.wiped_at,
    )
