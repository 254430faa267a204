"""Personal tokens: made once, shown once, known by a hash, slowed down where somebody guesses."""

import secrets
from datetime import datetime, timedelta

from registry.errors import AccessError, LimitError, NotFoundError, RangeError
from registry.privacy import may
from registry.records.changes import Viewer
from registry.records.tokens import FEATURES, MEASUREMENTS, AccessToken
from registry.services import users
from registry.services.pair_phone import hashed
from registry.store import Session, tokens
from registry.store.users import user_named, user_with_id

USED_EVERY = timedelta(minutes=1)
"""How exactly it is kept when a token was last used."""
LONGEST_LABEL = 60

ACT_OF = {FEATURES: "read features", MEASUREMENTS: "read the measurements"}
"""Scope → the act that the sign-in's role must be allowed."""


def make_token(
    session: Session, name: str, label: str, now: datetime, scope: str = FEATURES
) -> tuple[AccessToken, str]:
    """Make a token that reads as a sign-in may, what its scope says; return it and its secret.

    The secret is kept nowhere: whoever loses it makes another token.

    Raises
    ------
    NotFoundError
        If there is no such sign-in.
    AccessError
        If its role may not read what the scope says.
    RangeError
        If the sign-in is blocked, or the label is too long.
    """
    found = user_named(session, name)
    if found is None:
        raise NotFoundError(f"There is no sign-in named {name}. See them with: riserway user list.")
    if not found.active:
        raise RangeError(f"The sign-in {name} is blocked, so it gets no token.")
    if not may(found.viewer, ACT_OF[scope]):
        raise AccessError(
            f"The sign-in {name} may not {ACT_OF[scope]}, so it gets no token. See docs/roles.md."
        )
    called = " ".join(label.split())
    if len(called) > LONGEST_LABEL:
        raise RangeError(f"The label has at most {LONGEST_LABEL} letters. Shorten it.")
    secret = secrets.token_urlsafe(32)
    number = tokens.add_token(session, found.viewer.user_id, called, scope, hashed(secret), now)
    made = AccessToken(
        id=number,
        user_id=found.viewer.user_id,
        who=name,
        label=called,
        scope=scope,
        made_at=now,
    )
    return made, secret


def list_tokens(session: Session, name: str | None = None) -> list[AccessToken]:
    """Return the tokens of one sign-in or of all, those that ended too."""
    return tokens.tokens(session, name)


def revoke_token(session: Session, number: int, now: datetime) -> AccessToken:
    """End a token at its next request.

    Raises
    ------
    NotFoundError
        If there is no such token.
    """
    return tokens.revoke(session, number, now)


def holder_of(
    session: Session, scope: str, secret: str, name: str | None, subjects: list[str], now: datetime
) -> tuple[AccessToken, Viewer] | None:
    """Return the token of a secret and in whose name it reads, None if it opens nothing.

    Parameters
    ----------
    session
        A session; it may be one that only reads.
    scope
        What it is to open.
    secret
        As shown by the program that asks.
    name
        The sign-in that it claims to be, None where it names none.
    subjects
        Whose failures count: a name, an address.
    now
        This moment.

    Raises
    ------
    LimitError
        If a subject failed so often that no more tries are taken now.
    """
    if users.must_wait(session, subjects, now):
        raise LimitError(
            "There were too many failed tries. Wait a quarter of an hour, then try again.",
            round(users.WAIT.total_seconds()),
        )
    token = tokens.token_with(session, hashed(secret))
    if token is None or token.revoked_at is not None or token.scope != scope:
        return None
    if name is not None and name != token.who:
        return None
    found = user_with_id(session, token.user_id)
    return (token, found.viewer) if found is not None and found.active else None


def is_stale(token: AccessToken, now: datetime) -> bool:
    """Tell whether the last use on record is so old that this one is to be noted."""
    return token.last_used_at is None or now - token.last_used_at >= USED_EVERY


def note_used(session: Session, token: AccessToken, subjects: list[str], now: datetime) -> None:
    """Note that a token was used, and forget the failures of its name."""
    tokens.note_used(session, token.id, now)
    users.note_success(session, subjects)
