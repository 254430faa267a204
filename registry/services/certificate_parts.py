"""Pieces of X.509 certificates (RFC 5280): names, limits, uses, keys on disk."""

import os
import re
from datetime import datetime, timedelta
from ipaddress import ip_address, ip_network
from pathlib import Path
from typing import TYPE_CHECKING

from registry.errors import RangeError

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ec import EllipticCurvePrivateKey
    from cryptography.hazmat.primitives.hashes import SHA256
    from cryptography.x509 import (
        Certificate,
        CertificateBuilder,
        GeneralName,
        KeyUsage,
        Name,
        NameConstraints,
    )

CLOCKS_DIFFER = timedelta(days=1)
"""A phone's clock may be behind ours when it first sees the certificate."""
LABEL = re.compile(r"(?!-)[a-z0-9-]{1,63}(?<!-)")


def general_name(name: str) -> "GeneralName":
    """Return a host name or an address as a certificate holds it.

    Raises
    ------
    RangeError
        If it is neither.
    """
    from cryptography import x509

    plain = name.strip().rstrip(".").lower()
    try:
        return x509.IPAddress(ip_address(plain))
    except ValueError:
        pass
    if len(plain) > 253 or not all(LABEL.fullmatch(one) for one in plain.split(".")):
        raise RangeError(
            f"“{name}” is neither a host name nor an address. Write it as office.lan or "
            "192.168.1.20, without https:// and without a port."
        )
    return x509.DNSName(plain)


def only_for(wanted: "list[GeneralName]") -> "NameConstraints":
    """Allow the names and what lies below them, and nothing of a kind that has no name here."""
    from cryptography import x509

    allowed: list[GeneralName] = []
    for one in wanted:
        known = isinstance(one, x509.IPAddress)
        allowed.append(x509.IPAddress(ip_network(str(one.value))) if known else one)
    refused: list[GeneralName] = []
    if not any(isinstance(one, x509.DNSName) for one in wanted):
        refused.append(x509.DNSName(""))
    if not any(isinstance(one, x509.IPAddress) for one in wanted):
        refused += [x509.IPAddress(ip_network(every)) for every in ("0.0.0.0/0", "::/0")]
    return x509.NameConstraints(allowed, refused or None)


def lies_in(one: "GeneralName", allowed: "GeneralName") -> bool:
    """Tell whether an authority that is allowed one name may sign for another."""
    from cryptography import x509

    if isinstance(one, x509.IPAddress) and isinstance(allowed, x509.IPAddress):
        return bool(ip_network(str(one.value)) == allowed.value)
    if isinstance(one, x509.DNSName) and isinstance(allowed, x509.DNSName):
        return f".{one.value}".endswith(f".{allowed.value}")
    return False


def builder(
    called: "Name", key: "EllipticCurvePrivateKey", now: datetime, ends_at: datetime
) -> "CertificateBuilder":
    """Begin a certificate for a key: its own name, its number, from when until when it holds."""
    from cryptography import x509

    public = key.public_key()
    return (
        x509.CertificateBuilder()
        .subject_name(called)
        .public_key(public)
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - CLOCKS_DIFFER)
        .not_valid_after(ends_at)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(public), critical=False)
    )


def called_name(name: str) -> "Name":
    """Return the name that a certificate shows to people."""
    from cryptography import x509

    return x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, name[:64])])


def usage(*, of_authority: bool) -> "KeyUsage":
    """Return what a key may do: sign certificates, or sign a connection."""
    from cryptography import x509

    return x509.KeyUsage(
        digital_signature=not of_authority,
        key_cert_sign=of_authority,
        crl_sign=of_authority,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        encipher_only=False,
        decipher_only=False,
    )


def sha256() -> "SHA256":
    """Return the hash that is signed."""
    from cryptography.hazmat.primitives.hashes import SHA256

    return SHA256()


def new_key() -> "EllipticCurvePrivateKey":
    """Draw a key on the curve P-256, which every phone knows."""
    from cryptography.hazmat.primitives.asymmetric import ec

    return ec.generate_private_key(ec.SECP256R1())


def pem(certificate: "Certificate") -> bytes:
    """Return a certificate as PEM."""
    from cryptography.hazmat.primitives.serialization import Encoding

    return certificate.public_bytes(Encoding.PEM)


def write_key(file: Path, key: "EllipticCurvePrivateKey") -> None:
    """Write a key that only its owner can read."""
    from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat

    file.unlink(missing_ok=True)
    handle = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "wb") as out:
        out.write(key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption()))
