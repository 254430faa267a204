"""Sign-ins: who may enter, with which role, and how often somebody failed to."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import delete, func, select, text, update
from sqlalchemy.orm import Session

from registry.errors import ConflictError, NotFoundError
from registry.records.changes import Role, Viewer
from registry.store.tables import SettingRow, SignInTryRow, UserJurisdictionRow, UserRow


@dataclass(frozen=True, slots=True)
class SignIn:
    """A user as the sign-in needs it; ``session_key`` changes when all sessions must end.

    ``code_key`` is the key of its one-time codes, "" where it uses none.
    """

    viewer: Viewer
    password_hash: str
    session_key: str
    active: bool
    code_key: str = ""


def add_user(
    session: Session,
    viewer: Viewer,
    *,
    password_hash: str,
    session_key: str,
    now: datetime,
) -> int:
    """Add a sign-in and return its id.

    Raises
    ------
    ConflictError
        If the name is taken.
    """
    if session.scalar(select(UserRow.id).where(UserRow.name == viewer.name)) is not None:
        raise ConflictError(f"There is a sign-in named {viewer.name} already. Choose another name.")
    row = UserRow(
        name=viewer.name,
        password_hash=password_hash,
        role=viewer.role.value,
        firm_id=viewer.firm_id,
        technician_id=viewer.technician_id,
        session_key=session_key,
        made_at=now,
    )
    session.add(row)
    session.flush()
    for one in viewer.jurisdiction_ids:
        session.add(UserJurisdictionRow(user_id=row.id, jurisdiction_id=one))
    return row.id


def users(session: Session) -> list[SignIn]:
    """Return all sign-ins by name."""
    return [
        _sign_in(session, row) for row in session.scalars(select(UserRow).order_by(UserRow.name))
    ]


def user_named(session: Session, name: str) -> SignIn | None:
    """Return the sign-in with a name, None if there is none."""
    row = session.scalar(select(UserRow).where(UserRow.name == name))
    return None if row is None else _sign_in(session, row)


def user_of_session(session: Session, session_key: str) -> SignIn | None:
    """Return the sign-in that a session key belongs to."""
    row = session.scalar(select(UserRow).where(UserRow.session_key == session_key))
    return None if row is None else _sign_in(session, row)


def user_with_id(session: Session, user_id: int) -> SignIn | None:
    """Return the sign-in with an id."""
    row = session.get(UserRow, user_id)
    return None if row is None else _sign_in(session, row)


def user_of_technician(session: Session, technician_id: int) -> SignIn | None:
    """Return the sign-in that sees a technician's routes as the technician, the first made."""
    row = session.scalar(
        select(UserRow)
        .where(UserRow.technician_id == technician_id, UserRow.role == Role.TECHNICIAN.value)
        .order_by(UserRow.active.desc(), UserRow.id)
        .limit(1)
    )
    return None if row is None else _sign_in(session, row)


def end_sessions(session: Session, name: str, session_key: str, *, block: bool = False) -> int:
    """End a sign-in's sessions by giving it another session key; return its id.

    Raises
    ------
    NotFoundError
        If there is no such sign-in.
    """
    row = session.scalar(select(UserRow).where(UserRow.name == name))
    if row is None:
        raise NotFoundError(f"There is no sign-in named {name}. See them with: riserway user list.")
    row.session_key = session_key
    row.active = row.active and not block
    return row.id


def set_password(session: Session, name: str, password_hash: str, session_key: str) -> None:
    """Give a sign-in another password; its sessions end."""
    session.execute(
        update(UserRow)
        .where(UserRow.name == name)
        .values(password_hash=password_hash, session_key=session_key)
    )


def take_turns(session: Session) -> None:
    """Let one try be counted after the other until the transaction ends.

    On SQLite a writing transaction holds the whole file anyway.
    """
    if session.get_bind().dialect.name == "postgresql":
        session.execute(text("SELECT pg_advisory_xact_lock(hashtext('sign_in_try'))"))


def failed_tries(session: Session, subject: str, since: datetime) -> int:
    """Return how often a subject (a name, an address) failed to sign in since a moment."""
    return (
        session.scalar(
            select(func.count())
            .select_from(SignInTryRow)
            .where(SignInTryRow.subject == subject, SignInTryRow.at >= since)
        )
        or 0
    )


def note_failed_try(session: Session, subject: str, at: datetime, forget_before: datetime) -> None:
    """Count one failed sign-in and forget those that are too old to matter."""
    session.execute(delete(SignInTryRow).where(SignInTryRow.at < forget_before))
    session.add(SignInTryRow(subject=subject, at=at))


def forget_try(session: Session, subject: str, at: datetime) -> None:
    """Forget one try of a subject."""
    session.execute(
        delete(SignInTryRow).where(SignInTryRow.subject == subject, SignInTryRow.at == at)
    )


def forget_failed_tries(session: Session, subject: str) -> None:
    """Forget a subject's failures, after it signed in."""
    session.execute(delete(SignInTryRow).where(SignInTryRow.subject == subject))


def setting(session: Session, name: str) -> str:
    """Return a setting of the store, empty if it was never set."""
    return session.scalar(select(SettingRow.value).where(SettingRow.name == name)) or ""


def set_setting(session: Session, name: str, value: str) -> None:
    """Set a setting of the store."""
    session.merge(SettingRow(name=name, value=value))


def _sign_in(session: Session, row: UserRow) -> SignIn:
    ids = session.scalars(
        select(UserJurisdictionRow.jurisdiction_id).where(UserJurisdictionRow.user_id == row.id)
    )
    return SignIn(
        viewer=Viewer(
            name=row.name,
            role=Role(row.role),
            user_id=row.id,
            firm_id=row.firm_id,
            jurisdiction_ids=tuple(sorted(ids)),
            technician_id=row.technician_id,
        ),
        password_hash=row.password_hash,
        session_key=row.session_key,
        active=row.active,
        code_key=row.code_key,
    )
