"""Personal tokens: hashed at rest, tied to a name, ended at once, slowed down on guesses."""

from datetime import timedelta

import pytest
from sqlalchemy import select

from registry.errors import AccessError, LimitError, NotFoundError, RangeError
from registry.records.changes import Role, Viewer
from registry.records.tokens import FEATURES
from registry.services import users
from registry.services.tokens import (
    holder_of,
    is_stale,
    list_tokens,
    make_token,
    note_used,
    revoke_token,
)
from registry.store import Session
from registry.store.tables import AccessTokenRow
from tests.store.rows import NOW, firm

SECRET = "a password for tests"  # noqa: S105
SUBJECTS = ["token:office", "token address:192.0.2.1"]


@pytest.fixture
def secret(session: Session) -> str:
    """The secret of the only token of the sign-in office."""
    viewer = Viewer(name="office", role=Role.DISPATCHER, firm_id=firm(session))
    users.add_user(session, viewer, SECRET, NOW)
    return make_token(session, "office", "  GIS  upstairs ", NOW)[1]


def opens(session: Session, secret: str, name: str | None = "office") -> bool:
    return holder_of(session, FEATURES, secret, name, SUBJECTS, NOW) is not None


def test_a_tokens_secret_is_not_in_the_store(session: Session, secret: str) -> None:
    row = session.scalars(select(AccessTokenRow)).one()
    kept = session.execute(select(*AccessTokenRow.__table__.columns)).one()
    assert not any(secret in str(value) for value in kept)
    assert (row.label, row.scope, len(row.secret_hash)) == ("GIS upstairs", "features", 64)
    assert len(secret) >= 43  # 256 bits of chance


def test_a_token_opens_for_its_own_name_or_alone(session: Session, secret: str) -> None:
    assert opens(session, secret)
    assert opens(session, secret, None)
    assert not opens(session, secret, "somebody else")
    assert not opens(session, secret[:-1])
    assert not opens(session, SECRET)
    assert not opens(session, "")


def test_a_revoked_token_and_one_of_a_blocked_sign_in_open_nothing(
    session: Session, secret: str
) -> None:
    other = make_token(session, "office", "", NOW)[1]
    assert revoke_token(session, 1, NOW).revoked_at == NOW
    assert revoke_token(session, 1, NOW + timedelta(days=1)).revoked_at == NOW
    assert not opens(session, secret)
    assert opens(session, other)
    users.block_user(session, "office", "a test", NOW)
    assert not opens(session, other)
    with pytest.raises(RangeError, match="blocked"):
        make_token(session, "office", "", NOW)


def test_the_list_says_when_a_token_was_last_used_to_the_minute(
    session: Session, secret: str
) -> None:
    found = holder_of(session, FEATURES, secret, "office", SUBJECTS, NOW)
    assert found is not None
    assert is_stale(found[0], NOW)
    note_used(session, found[0], SUBJECTS, NOW)
    (listed,) = list_tokens(session, "office")
    assert listed.last_used_at == NOW
    assert not is_stale(listed, NOW + timedelta(seconds=59))
    assert is_stale(listed, NOW + timedelta(seconds=60))
    assert list_tokens(session, "nobody") == []


def test_after_ten_failures_even_the_right_token_must_wait(session: Session, secret: str) -> None:
    for _ in range(users.TRIES):
        users.note_failed_try(session, SUBJECTS, NOW)
    with pytest.raises(LimitError, match="quarter of an hour"):
        opens(session, secret)
    later = NOW + users.WAIT + timedelta(seconds=1)
    assert holder_of(session, FEATURES, secret, "office", SUBJECTS, later) is not None


def test_a_technician_and_an_unknown_name_get_no_token(session: Session, secret: str) -> None:
    viewer = Viewer(name="hands", role=Role.TECHNICIAN, firm_id=firm(session))
    users.add_user(session, viewer, SECRET, NOW)
    with pytest.raises(AccessError, match="hands"):
        make_token(session, "hands", "", NOW)
    with pytest.raises(NotFoundError, match="user list"):
        make_token(session, "nobody", "", NOW)
    with pytest.raises(RangeError, match="60"):
        make_token(session, "office", "x" * 61, NOW)
    with pytest.raises(NotFoundError, match="user tokens"):
        revoke_token(session, 99, NOW)
