"""A firm's own authority and certificate: what they allow, and every reason not to serve."""

import ssl
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.serialization import (
    BestAvailableEncryption,
    Encoding,
    PrivateFormat,
    load_pem_private_key,
)

from registry.errors import FileError, RangeError
from registry.services.check_certificate import covers, read_certificate, tls_context
from registry.services.make_certificate import (
    AUTHORITY,
    AUTHORITY_KEY,
    SERVER,
    SERVER_KEY,
    make_certificate,
)

NOW = datetime.now(UTC)
NAMES = ("office.lan", "192.168.1.20", "fd00::20")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with an authority and a certificate."""
    assert make_certificate(tmp_path / "https", NAMES, NOW)
    return tmp_path / "https"


def agreed(folder: Path, name: str, trusted: Path | None = None) -> None:
    """Let Python's own TLS client and server agree in memory; OpenSSL verifies the certificate."""
    server, _ = tls_context(folder / SERVER, folder / SERVER_KEY, NOW)
    client = ssl.create_default_context(cafile=trusted or folder / AUTHORITY)
    to_server, to_client = ssl.MemoryBIO(), ssl.MemoryBIO()
    here = client.wrap_bio(to_client, to_server, server_hostname=name)
    there = server.wrap_bio(to_server, to_client, server_side=True)
    for _ in range(4):
        for end in (here, there):
            try:
                end.do_handshake()
            except ssl.SSLWantReadError:
                continue
    here.do_handshake()


@pytest.mark.parametrize("name", NAMES)
def test_a_client_that_trusts_the_authority_takes_the_certificate(folder: Path, name: str) -> None:
    agreed(folder, name)


@pytest.mark.parametrize("name", ["other.lan", "192.168.1.21"])
def test_a_client_refuses_it_for_any_other_name(folder: Path, name: str) -> None:
    with pytest.raises(ssl.SSLCertVerificationError):
        agreed(folder, name)


def test_a_client_without_the_authority_refuses_it(folder: Path, tmp_path: Path) -> None:
    make_certificate(tmp_path / "another", NAMES, NOW)
    with pytest.raises(ssl.SSLCertVerificationError):
        agreed(folder, "office.lan", tmp_path / "another" / AUTHORITY)


def test_a_stolen_authority_signs_for_nothing_else(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """OpenSSL itself checks the limits of RFC 5280, section 4.2.1.10."""
    monkeypatch.setattr("registry.services.make_certificate.lies_in", lambda *_: True)
    for stolen in ("bank.example", "10.0.0.1"):
        make_certificate(folder, (stolen,), NOW)
        with pytest.raises(ssl.SSLCertVerificationError, match="permitted subtree violation"):
            agreed(folder, stolen)


@pytest.mark.parametrize(
    ("names", "other"), [(("office.lan",), "10.0.0.1"), (("10.0.0.1",), "bank.example")]
)
def test_an_authority_without_names_of_a_kind_signs_for_none_of_that_kind(
    tmp_path: Path, names: tuple[str, ...], other: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    make_certificate(tmp_path, names, NOW)
    agreed(tmp_path, names[0])
    monkeypatch.setattr("registry.services.make_certificate.lies_in", lambda *_: True)
    make_certificate(tmp_path, (other,), NOW)
    with pytest.raises(ssl.SSLCertVerificationError):
        agreed(tmp_path, other)


def test_a_renewed_certificate_is_taken_by_phones_that_trust_the_authority(folder: Path) -> None:
    authority, before = (folder / AUTHORITY).read_bytes(), (folder / SERVER).read_bytes()
    assert not make_certificate(folder, ("office.lan", "field.office.lan"), NOW)
    assert (folder / AUTHORITY).read_bytes() == authority
    assert (folder / SERVER).read_bytes() != before
    agreed(folder, "field.office.lan")


def test_keys_are_for_their_owner_only(folder: Path) -> None:
    for key in (AUTHORITY_KEY, SERVER_KEY):
        assert (folder / key).stat().st_mode & 0o077 == 0


def test_the_authority_is_one_and_the_server_none(folder: Path) -> None:
    authority = x509.load_pem_x509_certificate((folder / AUTHORITY).read_bytes())
    server = x509.load_pem_x509_certificate((folder / SERVER).read_bytes())
    assert [
        one.extensions.get_extension_for_class(x509.BasicConstraints).value.ca
        for one in (authority, server)
    ] == [True, False]
    server.verify_directly_issued_by(authority)
    assert server.not_valid_after_utc - server.not_valid_before_utc < timedelta(days=825)


@pytest.mark.parametrize("name", ["https://office.lan", "office lan", "", "-x", "a" * 64, "x:8443"])
def test_what_is_no_name_is_refused(tmp_path: Path, name: str) -> None:
    with pytest.raises(RangeError, match="neither a host name nor an address"):
        make_certificate(tmp_path, (name,), NOW)


def test_an_authority_that_cannot_sign_says_why(folder: Path, tmp_path: Path) -> None:
    with pytest.raises(FileError, match=r"may not sign for other\.lan"):
        make_certificate(folder, ("other.lan",), NOW)
    with pytest.raises(FileError, match="ended on"):
        make_certificate(folder, NAMES, NOW + timedelta(days=3660))
    make_certificate(tmp_path / "another", NAMES, NOW)
    (folder / AUTHORITY_KEY).write_bytes((tmp_path / "another" / AUTHORITY_KEY).read_bytes())
    with pytest.raises(FileError, match="not the key of the authority"):
        make_certificate(folder, NAMES, NOW)
    (folder / AUTHORITY_KEY).unlink()
    with pytest.raises(FileError, match="Put the key back"):
        make_certificate(folder, NAMES, NOW)
    (folder / AUTHORITY_KEY).write_text("no key")
    with pytest.raises(FileError, match="not made by this command"):
        make_certificate(folder, NAMES, NOW)


def test_every_reason_not_to_serve_is_said(folder: Path, tmp_path: Path) -> None:
    certificate, key = folder / SERVER, folder / SERVER_KEY
    with pytest.raises(FileError, match="no certificate"):
        tls_context(tmp_path / "none.pem", key, NOW)
    with pytest.raises(FileError, match="no key"):
        tls_context(certificate, tmp_path / "none.pem", NOW)
    with pytest.raises(FileError, match="holds no certificate in PEM"):
        tls_context(key, key, NOW)
    with pytest.raises(FileError, match="cannot be read as PEM"):
        tls_context(certificate, certificate, NOW)
    with pytest.raises(FileError, match="does not belong to"):
        tls_context(certificate, folder / AUTHORITY_KEY, NOW)
    with pytest.raises(FileError, match="ended on"):
        tls_context(certificate, key, NOW + timedelta(days=400))
    with pytest.raises(FileError, match="Check this computer's date"):
        tls_context(certificate, key, NOW - timedelta(days=2))
    with pytest.raises(FileError, match="names no server"):
        read_certificate(folder / AUTHORITY, NOW)
    with pytest.raises(FileError, match="only for office.lan, 192.168.1.20".replace(".", r"\.")):
        read_certificate(certificate, NOW, "other.lan")


def test_a_locked_key_is_said_and_nobody_is_asked(folder: Path, tmp_path: Path) -> None:
    key = load_pem_private_key((folder / SERVER_KEY).read_bytes(), None)
    locked = key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, BestAvailableEncryption(b"x"))
    (tmp_path / "locked.pem").write_bytes(locked)
    with pytest.raises(FileError, match="locked by a pass phrase"):
        tls_context(folder / SERVER, tmp_path / "locked.pem", NOW)


def test_a_certificate_that_ends_soon_is_warned_of(folder: Path) -> None:
    assert read_certificate(folder / SERVER, NOW).warnings == ()
    (warning,) = read_certificate(folder / SERVER, NOW + timedelta(days=380)).warnings
    assert "ends in 16 days" in warning or "ends in 17 days" in warning


@pytest.mark.parametrize(
    ("named", "name", "is_covered"),
    [
        ("office.lan", "OFFICE.lan.", True),
        ("office.lan", "x.office.lan", False),
        ("*.office.lan", "x.office.lan", True),
        ("*.office.lan", "x.y.office.lan", False),
        ("*.office.lan", "office.lan", False),
        ("192.168.1.20", "192.168.1.20", True),
        ("192.168.1.20", "192.168.1.2", False),
        ("fd00::20", "FD00:0::20", True),
    ],
)
def test_a_name_covers_a_host_as_browsers_see_it(named: str, name: str, is_covered: bool) -> None:
    """RFC 6125, section 6.4.3: * stands for one whole label on the left."""
    assert covers(named, name) is is_covered
