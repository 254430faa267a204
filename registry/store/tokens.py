"""Personal tokens: kept with hashes of their secrets only."""

from datetime import datetime
from typing import Any

from sqlalchemy import Select, select, update
from sqlalchemy.orm import Session

from registry.errors import NotFoundError
from registry.records.tokens import AccessToken
from registry.store.tables import AccessTokenRow, UserRow


def add_token(
    session: Session, user_id: int, label: str, scope: str, secret_hash: str, now: datetime
) -> int:
    """Keep a token and return its number."""
    row = AccessTokenRow(
        user_id=user_id, label=label, scope=scope, secret_hash=secret_hash, made_at=now
    )
    session.add(row)
    session.flush()
    return row.id


def tokens(session: Session, name: str | None = None) -> list[AccessToken]:
    """Return the tokens of one sign-in or of all, by number."""
    asked = _tokens().order_by(AccessTokenRow.id)
    if name is not None:
        asked = asked.where(UserRow.name == name)
    return [_token(row, who) for row, who in session.execute(asked)]


def token_with(session: Session, secret_hash: str) -> AccessToken | None:
    """Return the token of a secret, also one that was revoked; None if there is none."""
    asked = _tokens().where(AccessTokenRow.secret_hash == secret_hash)
    found = session.execute(asked).one_or_none()
    return None if found is None else _token(*found)


def revoke(session: Session, number: int, now: datetime) -> AccessToken:
    """End a token for good; the moment at which it first ended stays.

    Raises
    ------
    NotFoundError
        If there is no such token.
    """
    found = session.execute(_tokens().where(AccessTokenRow.id == number)).one_or_none()
    if found is None:
        raise NotFoundError(f"There is no token {number}. See them with: riserway user tokens.")
    row, who = found
    row.revoked_at = row.revoked_at or now
    return _token(row, who)


def note_used(session: Session, number: int, now: datetime) -> None:
    """Note that a token was used."""
    session.execute(
        update(AccessTokenRow).where(AccessTokenRow.id == number).values(last_used_at=now)
    )


def _tokens() -> "Select[*tuple[Any, ...]]":
    return select(AccessTokenRow, UserRow.name).join(UserRow, UserRow.id == AccessTokenRow.user_id)


def _token(row: AccessTokenRow, who: str) -> AccessToken:
    return AccessToken(
        id=row.id,
        user_id=row.user_id,
        who=who,
        label=row.label,
        scope=row.scope,
        made_at=row.made_at,
        last_used_at=row.last_used_at,
        revoked_at=row.revoked_at,
    )
