"""A firm's own authority for https on its network, and the server's certificate signed by it."""

from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from registry.errors import FileError
from registry.services.certificate_parts import (
    builder,
    called_name,
    general_name,
    lies_in,
    new_key,
    only_for,
    pem,
    sha256,
    usage,
    write_key,
)

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ec import EllipticCurvePrivateKey
    from cryptography.x509 import Certificate, GeneralName

AUTHORITY, AUTHORITY_KEY = "authority.crt", "authority-key.pem"
SERVER, SERVER_KEY = "server.pem", "server-key.pem"
AUTHORITY_LIFE = timedelta(days=3650)
SERVER_CALLED = "Riserway server"
"""Two words, since OpenSSL holds one that could be a host name against the authority's limits."""
SERVER_LIFE = timedelta(days=397)
"""Some phones refuse a server's certificate that holds longer than 825 days (from memory)."""


def make_certificate(folder: Path, names: tuple[str, ...], now: datetime) -> bool:
    """Write a server's certificate and key into a folder; its authority is made if none is there.

    The authority may sign for these names only (name constraints, RFC 5280, section 4.2.1.10), so
    a phone that trusts it takes nothing else from it, even if its key is stolen.

    Returns
    -------
    bool
        Whether the authority is new, so that phones have to learn to trust it.

    Raises
    ------
    RangeError
        If a name is neither a host name nor an address.
    FileError
        If the folder cannot be written, or the authority there is not usable for the names.
    """
    wanted = [general_name(one) for one in names]
    try:
        folder.mkdir(parents=True, exist_ok=True)
        is_new = not (folder / AUTHORITY).exists()
        if is_new:
            key, authority = _new_authority(wanted, names[0], now)
            write_key(folder / AUTHORITY_KEY, key)
            (folder / AUTHORITY).write_bytes(pem(authority))
        else:
            key, authority = _authority_in(folder, wanted, now)
        server_key, server = _new_server(wanted, key, authority, now)
        write_key(folder / SERVER_KEY, server_key)
        (folder / SERVER).write_bytes(pem(server))
    except OSError as wrong:
        raise FileError(
            f"The certificate cannot be written to {folder}: {wrong.strerror}."
        ) from wrong
    return is_new


def _new_authority(
    wanted: "list[GeneralName]", name: str, now: datetime
) -> "tuple[EllipticCurvePrivateKey, Certificate]":
    from cryptography import x509

    key = new_key()
    called = called_name(f"Riserway authority of {name}, {now:%Y-%m-%d}")
    made = (
        builder(called, key, now, now + AUTHORITY_LIFE)
        .issuer_name(called)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(usage(of_authority=True), critical=True)
        .add_extension(only_for(wanted), critical=True)
    )
    return key, made.sign(key, sha256())


def _new_server(
    wanted: "list[GeneralName]",
    authority_key: "EllipticCurvePrivateKey",
    authority: "Certificate",
    now: datetime,
) -> "tuple[EllipticCurvePrivateKey, Certificate]":
    from cryptography import x509
    from cryptography.x509.oid import ExtendedKeyUsageOID

    key = new_key()
    ends_at = min(now + SERVER_LIFE, authority.not_valid_after_utc)
    use = x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH])
    by = x509.AuthorityKeyIdentifier.from_issuer_public_key(authority_key.public_key())
    made = (
        builder(called_name(SERVER_CALLED), key, now, ends_at)
        .issuer_name(authority.subject)
        .add_extension(x509.SubjectAlternativeName(wanted), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(usage(of_authority=False), critical=True)
        .add_extension(use, critical=False)
        .add_extension(by, critical=False)
    )
    return key, made.sign(authority_key, sha256())


def _authority_in(
    folder: Path, wanted: "list[GeneralName]", now: datetime
) -> "tuple[EllipticCurvePrivateKey, Certificate]":
    from cryptography import x509
    from cryptography.hazmat.primitives.asymmetric.ec import EllipticCurvePrivateKey
    from cryptography.hazmat.primitives.serialization import load_pem_private_key

    another = "Make another in another folder, and let each phone trust that one."
    if not (folder / AUTHORITY_KEY).exists():
        raise FileError(
            f"{folder} has the authority but not its key {AUTHORITY_KEY}. Put the key back, or "
            f"{another[0].lower()}{another[1:]}"
        )
    try:
        authority = x509.load_pem_x509_certificate((folder / AUTHORITY).read_bytes())
        key = load_pem_private_key((folder / AUTHORITY_KEY).read_bytes(), password=None)
        limits = authority.extensions.get_extension_for_class(x509.NameConstraints).value
    except (ValueError, TypeError, x509.ExtensionNotFound) as wrong:
        raise FileError(
            f"The authority in {folder} was not made by this command. {another}"
        ) from wrong
    if not isinstance(key, EllipticCurvePrivateKey) or key.public_key() != authority.public_key():
        raise FileError(f"{AUTHORITY_KEY} is not the key of the authority in {folder}. {another}")
    if now > authority.not_valid_after_utc:
        ended = f"{authority.not_valid_after_utc:%Y-%m-%d}"
        raise FileError(f"The authority in {folder} ended on {ended}. {another}")
    for one in wanted:
        if not any(lies_in(one, allowed) for allowed in limits.permitted_subtrees or ()):
            raise FileError(
                f"The authority in {folder} may not sign for {one.value}, only for the names that "
                f"it was made for. {another}"
            )
    return key, authority
