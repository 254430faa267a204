"""One-time codes against the test values of their own standards."""

import base64
from datetime import UTC, datetime, timedelta

import pytest

from registry.services.one_time_codes import code_at, key_address, matching_step, new_key, step_of

KEY = b"12345678901234567890"
"""The key of both standards' test values."""
HOTP = (
    *("755224", "287082", "359152", "969429", "338314"),
    *("254676", "287922", "162583", "399871", "520489"),
)
"""RFC 4226, appendix D, counters 0 to 9."""
TOTP = {
    59: "94287082",
    1111111109: "07081804",
    1111111111: "14050471",
    1234567890: "89005924",
    2000000000: "69279037",
    20000000000: "65353130",
}
"""RFC 6238, appendix B, rows of SHA-1: seconds since 1970 → code of eight digits."""


def test_codes_of_counters_are_those_of_rfc_4226() -> None:
    assert [code_at(KEY, counter) for counter in range(10)] == list(HOTP)


@pytest.mark.parametrize("at", TOTP)
def test_codes_of_moments_are_those_of_rfc_6238(at: int) -> None:
    step = step_of(datetime.fromtimestamp(at, UTC))
    assert code_at(KEY, step, digits=8) == TOTP[at]


def test_a_code_counts_in_its_own_step_and_one_beside_it() -> None:
    """RFC 6238, 5.2: at most one step of delay is recommended."""
    at = datetime.fromtimestamp(1234567890, UTC)
    key, code = base64.b32encode(KEY).decode(), TOTP[1234567890][2:]
    taken = [
        steps
        for steps in range(-4, 5)
        if matching_step(key, code, at + timedelta(seconds=30 * steps)) == step_of(at)
    ]
    assert taken == [-1, 0, 1]


def test_a_key_is_as_long_as_its_hash_and_its_address_is_read_by_apps() -> None:
    key = new_key()
    assert len(base64.b32decode(key)) == 20
    assert new_key() != key
    assert key_address(key, "a clerk/é") == (
        f"otpauth://totp/Riserway:a%20clerk/%C3%A9?secret={key}&issuer=Riserway"
    )
