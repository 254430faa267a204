"""Keys of one-time codes and hashes of recovery codes; each code is used up in one statement."""

from collections.abc import Iterable

from sqlalchemy import delete, func, insert, or_, select, update
from sqlalchemy.orm import Session

from registry.store.tables import RecoveryCodeRow, UserRow
from registry.store.users import end_sessions


def set_key(session: Session, name: str, key: str, step: int | None, session_key: str) -> None:
    """Give a sign-in another key, "" = none, and end its sessions.

    Raises
    ------
    NotFoundError
        If there is no such sign-in.
    """
    user_id = end_sessions(session, name, session_key)
    session.execute(
        update(UserRow).where(UserRow.id == user_id).values(code_key=key, code_step=step)
    )


def use_step(session: Session, user_id: int, step: int) -> bool:
    """Note the time step of a code; False if a code of it or of a later one was taken before."""
    unused = or_(UserRow.code_step.is_(None), UserRow.code_step < step)
    noted = session.execute(
        update(UserRow)
        .where(UserRow.id == user_id, unused)
        .values(code_step=step)
        .returning(UserRow.id)
    )
    return noted.first() is not None


def replace_recovery(session: Session, name: str, hashes: Iterable[str]) -> None:
    """Keep other recovery codes of a sign-in instead of those that it had."""
    user_id = session.scalar(select(UserRow.id).where(UserRow.name == name))
    session.execute(delete(RecoveryCodeRow).where(RecoveryCodeRow.user_id == user_id))
    rows = [{"user_id": user_id, "code_hash": one} for one in hashes]
    if rows:
        session.execute(insert(RecoveryCodeRow), rows)


def use_recovery(session: Session, user_id: int, code_hash: str) -> bool:
    """Use up a recovery code; False if the sign-in has no such code any more."""
    gone = session.execute(
        delete(RecoveryCodeRow)
        .where(RecoveryCodeRow.user_id == user_id, RecoveryCodeRow.code_hash == code_hash)
        .returning(RecoveryCodeRow.id)
    )
    return gone.first() is not None


def count_recovery(session: Session, user_id: int) -> int:
    """Return how many recovery codes a sign-in has left."""
    asked = select(func.count()).where(RecoveryCodeRow.user_id == user_id)
    return session.scalar(asked) or 0
