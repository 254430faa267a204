"""Who reads without a page: a personal token by HTTP Basic or Bearer, or whoever is signed in."""

from flask import g, request

from registry.errors import LimitError
from registry.records.changes import Viewer
from registry.services import tokens, users
from web import access
from web.context import parts, reading, writing


def reader(scope: str) -> Viewer | None:
    """Return in whose name this request reads, None if nobody's or by a token for something else.

    A token by Basic (RFC 7617) is the password of its sign-in's name; by Bearer (RFC 6750) it
    stands alone. Whoever shows a wrong one is counted like a wrong password.

    Raises
    ------
    LimitError
        If this name or address failed too often.
    """
    shown = request.authorization
    if shown is None:
        return access.viewer() if access.signed_in() else None
    if shown.type == "basic":
        return _holder(scope, shown.password or "", (shown.username or "").strip())
    return _holder(scope, shown.token or "", None) if shown.type == "bearer" else None


def _holder(scope: str, secret: str, name: str | None) -> Viewer | None:
    named = [] if name is None else [f"token:{name.lower()[:200]}"]
    subjects = [*named, f"token address:{request.remote_addr}"]
    now = parts().now()
    try:
        with reading() as session:
            found = tokens.holder_of(session, scope, secret, name, subjects, now)
    except LimitError as reached:
        g.wait_s = reached.wait_s
        raise
    if found is None:
        with writing() as session:
            users.note_failed_try(session, subjects, now)
        return None
    token, viewer = found
    if tokens.is_stale(token, now):
        with writing() as session:
            tokens.note_used(session, token, named, now)
    return viewer
