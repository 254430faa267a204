"""One sign-in per role for the invented county, written down beside its store."""

import os
import secrets
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from argon2 import PasswordHasher

from registry.errors import StoreError
from registry.records.changes import Role
from registry.services.new_viewer import viewer_for
from registry.services.users import add_user
from registry.store import Session, names, users

FILE = "sign-ins.txt"
HEAD = "Sign-ins of the invented county. They open nothing else."
ROLES = (Role.DISPATCHER, Role.TECHNICIAN, Role.COUNTY, Role.ADMINISTRATOR)


@dataclass(frozen=True, slots=True)
class DemoSignIn:
    """A name, which is also the role, and its password."""

    name: str
    password: str


def demo_sign_ins(session: Session, folder: Path, now: datetime) -> tuple[DemoSignIn, ...]:
    """Return one sign-in per role: those written down before, else new ones.

    The passwords are drawn by the system's own source of chance and stand in a file that only its
    owner can read. Where the file was lost, all get new passwords.

    Raises
    ------
    StoreError
        If the file cannot be written.
    """
    known = {one.viewer.name for one in users.users(session)}
    kept = _read(folder / FILE)
    if known >= {role.value for role in ROLES} and {one.name for one in kept} >= known:
        return kept
    made = tuple(DemoSignIn(role.value, _password()) for role in ROLES)
    for one in made:
        if one.name in known:
            hashed = PasswordHasher().hash(one.password)
            users.set_password(session, one.name, hashed, secrets.token_hex(16))
        else:
            _add(session, one, now)
    _write(folder / FILE, made)
    return made


def _add(session: Session, one: DemoSignIn, now: datetime) -> None:
    technician = None
    if one.name == Role.TECHNICIAN:
        firm_id = next(iter(names.firm_ids(session).values()))
        technician = min(names.technician_ids(session, firm_id))
    viewer = viewer_for(
        session, name=one.name, role=one.name, firm=None, technician=technician, jurisdictions=()
    )
    add_user(session, viewer, one.password, now)


def _password() -> str:
    """Return a password of three groups that can be read aloud: 60 bits of chance."""
    return "-".join(f"{secrets.randbelow(2**20):05x}" for _ in range(3))


def _read(path: Path) -> tuple[DemoSignIn, ...]:
    try:
        lines = path.read_text(encoding="utf-8").splitlines()[1:]
    except (OSError, UnicodeDecodeError):
        return ()
    parts = [line.split() for line in lines]
    return tuple(DemoSignIn(*one) for one in parts if len(one) == 2)


def _write(path: Path, made: tuple[DemoSignIn, ...]) -> None:
    text = "\n".join([HEAD, *(f"{one.name} {one.password}" for one in made)]) + "\n"
    try:
        path.unlink(missing_ok=True)
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "w", encoding="utf-8") as out:
            out.write(text)
    except OSError as wrong:
        raise StoreError(f"The sign-ins cannot be written to {path}: {wrong.strerror}.") from wrong
