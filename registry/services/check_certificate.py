"""What a certificate is for, and every reason why a server should not start with it."""

import ssl
from dataclasses import dataclass
from datetime import datetime, timedelta
from ipaddress import ip_address
from pathlib import Path
from typing import TYPE_CHECKING

from registry.errors import FileError

if TYPE_CHECKING:
    from cryptography.x509 import Certificate

SOON = timedelta(days=30)
"""How long before its end a certificate is warned of."""


@dataclass(frozen=True, slots=True)
class AboutCertificate:
    """The names that a certificate is for, its end, and what is to be said about it."""

    names: tuple[str, ...]
    ends_at: datetime
    warnings: tuple[str, ...] = ()


class _LockedKeyError(Exception):
    """The key asks for a pass phrase."""


def tls_context(
    certificate: Path, key: Path, now: datetime
) -> tuple[ssl.SSLContext, AboutCertificate]:
    """Return what a server needs for https, and what its certificate is for.

    Raises
    ------
    FileError
        If a file is missing or is not PEM, the key is that of another certificate, or the
        certificate does not hold now or names nothing.
    """
    about = read_certificate(certificate, now)
    if not key.is_file():
        raise FileError(f"There is no key {key}. Name the PEM file of the certificate's key.")
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.minimum_version = ssl.TLSVersion.TLSv1_2
    try:
        context.load_cert_chain(certificate, key, password=_no_pass_phrase)
    except _LockedKeyError as wrong:
        raise FileError(
            f"The key {key} is locked by a pass phrase. Give one without: a server starts alone."
        ) from wrong
    except ssl.SSLError as wrong:
        said = f"The key {key} cannot be read as PEM."
        if wrong.reason == "KEY_VALUES_MISMATCH":
            said = f"The key {key} does not belong to the certificate {certificate}."
        raise FileError(f"{said} Name the key that the certificate was made with.") from wrong
    except OSError as wrong:
        raise FileError(f"The key {key} cannot be read: {wrong.strerror}.") from wrong
    return context, about


def read_certificate(file: Path, now: datetime, name: str = "") -> AboutCertificate:
    """Return what a certificate is for, and what is soon to be done about it.

    Parameters
    ----------
    file
        PEM; the server's own certificate comes first.
    now
        This moment.
    name
        A name or an address that it must cover, "" = none.

    Raises
    ------
    FileError
        If it cannot be read, does not hold now, names nothing, or not ``name``.
    """
    found = _first_of(file)
    names, ends_at = _names_of(found), found.not_valid_after_utc
    if now > ends_at:
        raise FileError(
            f"The certificate {file} ended on {ends_at:%Y-%m-%d}. Renew it; one of your own with: "
            "riserway certificate make."
        )
    if now < found.not_valid_before_utc:
        raise FileError(
            f"The certificate {file} holds only from {found.not_valid_before_utc:%Y-%m-%d} on. "
            "Check this computer's date."
        )
    if not names:
        raise FileError(
            f"The certificate {file} names no server (it has no subjectAltName), so no phone takes "
            "it. Use one that does."
        )
    if name and not any(covers(one, name) for one in names):
        raise FileError(
            f"The certificate {file} is not for {name}, only for {', '.join(names)}. Use one of "
            "these names, or a certificate that has this one."
        )
    left = ends_at - now
    soon = f"The certificate ends in {left.days} days, on {ends_at:%Y-%m-%d}. Renew it."
    return AboutCertificate(names, ends_at, (soon,) if left < SOON else ())


def covers(named: str, name: str) -> bool:
    """Tell whether a name in a certificate covers a host; * is one label (RFC 6125, 6.4.3)."""
    here, asked = named.lower(), name.strip().rstrip(".").lower()
    try:
        return ip_address(here) == ip_address(asked)
    except ValueError:
        pass
    if here.startswith("*."):
        return here[2:] == asked.partition(".")[2]
    return here == asked


def _first_of(file: Path) -> "Certificate":
    from cryptography import x509

    try:
        return x509.load_pem_x509_certificates(file.read_bytes())[0]
    except FileNotFoundError as wrong:
        raise FileError(f"There is no certificate {file}. Name a PEM file.") from wrong
    except OSError as wrong:
        raise FileError(f"The certificate {file} cannot be read: {wrong.strerror}.") from wrong
    except ValueError as wrong:
        raise FileError(
            f"{file} holds no certificate in PEM (it begins with -----BEGIN CERTIFICATE-----)."
        ) from wrong


def _names_of(found: "Certificate") -> tuple[str, ...]:
    from cryptography import x509

    try:
        named = found.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    except x509.ExtensionNotFound:
        return ()
    addresses = [str(one) for one in named.get_values_for_type(x509.IPAddress)]
    return (*named.get_values_for_type(x509.DNSName), *addresses)


def _no_pass_phrase() -> str:
    raise _LockedKeyError
