"""One-time codes from an app on a phone (RFC 6238), and recovery codes for when it is lost."""

import base64
import binascii
import hmac
import secrets
import struct
from datetime import datetime
from urllib.parse import quote

from registry.errors import RangeError
from registry.services.pair_phone import LETTERS, hashed, plain
from registry.store import Session, codes, users

STEP_S = 30
DIGITS = 6
"""Time step and digits that every app knows (RFC 6238, 4.1; RFC 4226, 5.3)."""
DRIFT_STEPS = 1
"""A code of the step before and after counts too: clocks differ (RFC 6238, 5.2 and 6)."""
KEY_BYTES = 20
"""As long as the hash SHA-1 (RFC 4226, 4, R6: 160 bits recommended)."""
RECOVERY_CODES, GROUPS, GROUP = 10, 4, 4
"""A recovery code has 16 signs, 80 bits of chance. Their number is common practice, no source."""


def new_key() -> str:
    """Return a new key in base 32."""
    return base64.b32encode(secrets.token_bytes(KEY_BYTES)).decode()


def key_address(key: str, name: str) -> str:
    """Return the address that an app reads from a QR code (otpauth, a convention of such apps)."""
    return f"otpauth://totp/Riserway:{quote(name)}?secret={key}&issuer=Riserway"


def code_at(key: bytes, counter: int, digits: int = DIGITS) -> str:
    """Return the code of a counter: HMAC-SHA-1, truncated (RFC 4226, 5.3)."""
    digest = hmac.digest(key, struct.pack(">Q", counter), "sha1")
    at = digest[-1] & 0x0F
    number = int.from_bytes(digest[at : at + 4]) & 0x7FFF_FFFF
    return f"{number % 10**digits:0{digits}d}"


def step_of(now: datetime) -> int:
    """Return the time step of a moment, counted from 1970 in UTC (RFC 6238, 4.2)."""
    return int(now.timestamp()) // STEP_S


def matching_step(key: str, code: str, now: datetime) -> int | None:
    """Return the time step that a code belongs to, None if it is of none that counts now."""
    raw = base64.b32decode(key)
    here = step_of(now)
    for step in range(here - DRIFT_STEPS, here + DRIFT_STEPS + 1):
        if hmac.compare_digest(code_at(raw, step), code):
            return step
    return None


def turn_on(session: Session, name: str, key: str, code: str, now: datetime) -> tuple[str, ...]:
    """Let a sign-in use one-time codes from now on; return its recovery codes, kept as hashes only.

    Raises
    ------
    RangeError
        If the key is none of ours, or the code is not its code now.
    NotFoundError
        If there is no such sign-in.
    """
    step = matching_step(_checked(key), _digits(code), now)
    if step is None:
        raise RangeError(
            "This is not the code that the key gives now. Check the clock of the phone, then type "
            "the newest six digits."
        )
    made = tuple(_recovery_code() for _ in range(RECOVERY_CODES))
    codes.set_key(session, name, key, step, secrets.token_hex(16))
    codes.replace_recovery(session, name, [hashed(plain(one)) for one in made])
    return made


def turn_off(session: Session, name: str) -> None:
    """Let a sign-in enter without codes again; its sessions end.

    Raises
    ------
    NotFoundError
        If there is no such sign-in.
    """
    codes.set_key(session, name, "", None, secrets.token_hex(16))
    codes.replace_recovery(session, name, [])


def passes(session: Session, sign_in: users.SignIn, code: str, now: datetime) -> bool:
    """Tell whether a sign-in may enter with what was typed as its code, and use that up.

    Whoever uses no codes passes with anything. No code passes twice (RFC 6238, 5.2).
    """
    if not sign_in.code_key:
        return True
    user_id = sign_in.viewer.user_id
    digits = _digits(code)
    if len(digits) == DIGITS:
        step = matching_step(sign_in.code_key, digits, now)
        return step is not None and codes.use_step(session, user_id, step)
    return codes.use_recovery(session, user_id, hashed(plain(code)))


def recovery_left(session: Session, user_id: int) -> int:
    """Return how many recovery codes a sign-in has left."""
    return codes.count_recovery(session, user_id)


def _checked(key: str) -> str:
    try:
        fits = len(base64.b32decode(key)) == KEY_BYTES
    except (binascii.Error, ValueError):
        fits = False
    if not fits:
        raise RangeError("The key of the codes came back changed. Start again.")
    return key


def _digits(code: str) -> str:
    """Return a code without the blank that apps show in its middle."""
    plain = "".join(code.split())
    return plain if plain.isascii() and plain.isdigit() else ""


def _recovery_code() -> str:
    groups = ("".join(secrets.choice(LETTERS) for _ in range(GROUP)) for _ in range(GROUPS))
    return "-".join(groups)
