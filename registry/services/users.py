"""Sign-ins: adding, listing, blocking, and slowing down whoever guesses passwords."""

import secrets
import unicodedata
from datetime import datetime, timedelta

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

from registry.errors import NotFoundError, RangeError
from registry.privacy import require
from registry.records.changes import Role, Viewer
from registry.store import Session, names, phones, users

LEAST_LETTERS = 10
"""Shortest password taken; length is what counts (NIST SP 800-63B, from memory)."""
MOST_LETTERS = 200
TRIES = 10
"""Failed tries for one name or one address before both must wait."""
WAIT = timedelta(minutes=15)


def add_user(session: Session, viewer: Viewer, password: str, now: datetime) -> int:
    """Add a sign-in with an argon2id hash of its password and return its id.

    Raises
    ------
    RangeError
        If the password is too short or too long.
    ConflictError
        If the name is taken.
    """
    return users.add_user(
        session,
        viewer,
        password_hash=hash_password(password),
        session_key=secrets.token_hex(16),
        now=now,
    )


def list_users(session: Session) -> list[users.SignIn]:
    """Return all sign-ins by name."""
    return users.users(session)


def block_user(session: Session, name: str, by: str, now: datetime) -> None:
    """Block a sign-in, end its sessions and sign its phones out."""
    user_id = users.end_sessions(session, name, secrets.token_hex(16), block=True)
    phones.sign_out_all_of(session, user_id, by, now)


def end_sessions(session: Session, name: str, by: str, now: datetime) -> None:
    """End every session of a sign-in and sign its phones out; it may sign in again."""
    user_id = users.end_sessions(session, name, secrets.token_hex(16))
    phones.sign_out_all_of(session, user_id, by, now)


def end_own_sessions(session: Session, viewer: Viewer) -> None:
    """End every session of the viewer's own sign-in; phones stay paired."""
    users.end_sessions(session, viewer.name, secrets.token_hex(16))


def sign_in_named(session: Session, name: str) -> users.SignIn | None:
    """Return the sign-in with a name."""
    return users.user_named(session, name)


def county_staff_named(
    session: Session, name: str, jurisdictions: tuple[str, ...]
) -> users.SignIn | None:
    """Return the sign-in of county staff with a name that sees nothing but some jurisdictions.

    None for a blocked one, for every other role, and where it sees a jurisdiction beside these: a
    county's own sign-in opens nobody else's.
    """
    found = users.user_named(session, name)
    known = names.jurisdiction_ids(session)
    own = {known[one] for one in jurisdictions if one in known}
    if found is None or not found.active or found.viewer.role is not Role.COUNTY:
        return None
    theirs = set(found.viewer.jurisdiction_ids)
    return found if theirs and theirs <= own else None


def sign_in_of_session(session: Session, session_key: str) -> users.SignIn | None:
    """Return the sign-in that a session key belongs to."""
    return users.user_of_session(session, session_key)


def must_wait(session: Session, subjects: list[str], now: datetime) -> bool:
    """Tell whether one of the subjects failed so often that no more tries are taken now."""
    return any(users.failed_tries(session, one, now - WAIT) >= TRIES for one in subjects)


def take_try(session: Session, subjects: list[str], now: datetime) -> bool:
    """Count a try before its password is looked at; False where no more are taken now.

    Tries that arrive together, in several processes too, are counted one after the other.
    """
    users.take_turns(session)
    if must_wait(session, subjects, now):
        return False
    note_failed_try(session, subjects, now)
    return True


def note_failed_try(session: Session, subjects: list[str], now: datetime) -> None:
    """Count a failed try for a name and for an address."""
    for one in subjects:
        users.note_failed_try(session, one, now, now - WAIT)


def note_success(session: Session, subjects: list[str]) -> None:
    """Forget the failures of who signed in."""
    for one in subjects:
        users.forget_failed_tries(session, one)


def take_back_try(session: Session, subjects: list[str], at: datetime) -> None:
    """Forget the failures of a name that signed in, and this one try of its address."""
    name, address = subjects
    users.forget_failed_tries(session, name)
    users.forget_try(session, address, at)


def change_password(session: Session, name: str, password: str) -> None:
    """Give a sign-in another password; its sessions end.

    Raises
    ------
    RangeError
        If the password is too short or too long.
    NotFoundError
        If there is no such sign-in.
    """
    hashed, session_key = hash_password(password), secrets.token_hex(16)
    users.end_sessions(session, name, session_key)
    users.set_password(session, name, hashed, session_key)


def is_password(sign_in: users.SignIn, password: str) -> bool:
    """Tell whether a password is the one of a sign-in."""
    try:
        return PasswordHasher().verify(sign_in.password_hash, _normal(password))
    except (VerificationError, InvalidHashError):
        return False


def hash_password(password: str) -> str:
    """Return the argon2id hash of a password.

    Raises
    ------
    RangeError
        If it is too short or too long.
    """
    if not LEAST_LETTERS <= len(password) <= MOST_LETTERS:
        raise RangeError(
            f"A password has {LEAST_LETTERS} to {MOST_LETTERS} letters. Choose another one."
        )
    return PasswordHasher().hash(_normal(password))


def _normal(password: str) -> str:
    """Return one spelling of letters that can be written in several ways (NIST SP 800-63B)."""
    return unicodedata.normalize("NFKD", password)


def sign_ins_of(session: Session, viewer: Viewer) -> list[users.SignIn]:
    """Return the sign-ins that an administrator manages: the firm's, or all without a firm."""
    require(viewer, "manage sign-ins")
    return [
        one
        for one in users.users(session)
        if viewer.firm_id is None or one.viewer.firm_id == viewer.firm_id
    ]


def end_sessions_for(session: Session, viewer: Viewer, name: str, now: datetime) -> None:
    """End every session of a sign-in that the viewer manages.

    Raises
    ------
    NotFoundError
        If there is no such sign-in for the viewer.
    """
    if name not in {one.viewer.name for one in sign_ins_of(session, viewer)}:
        raise NotFoundError("There is no such sign-in. Choose one from the list.")
    end_sessions(session, name, viewer.name, now)
