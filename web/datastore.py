"""Accounts as Flask-Security wants them, kept in the registry's own store through services."""

from typing import Any

from flask_security import UserDatastore
from flask_security.core import RoleMixin, UserMixin

from registry.records.changes import Viewer
from registry.services import users
from web.context import reading


class Role(RoleMixin):
    """A role by its name."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.permissions: list[str] = []


class User(UserMixin):
    """A sign-in as Flask-Security sees it; ``viewer`` is what the rest of the pages use."""

    fs_uniquifier = ""

    def __init__(self, viewer: Viewer, password: str, session_key: str, *, active: bool) -> None:
        self.viewer = viewer
        self.id = viewer.user_id
        self.username = self.email = viewer.name
        self.password = password
        self.fs_uniquifier = session_key
        self.active = active
        self.roles = [Role(viewer.role.value)]


class RegistryUsers(UserDatastore):
    """Finds sign-ins; they are added and blocked by the command line, never by a page."""

    def __init__(self) -> None:
        super().__init__(User, Role)

    def find_user(
        self,
        case_insensitive: bool = False,  # noqa: ARG002 - Flask-Security's signature
        **asked: Any,  # noqa: ANN401
    ) -> User | None:
        """Return the user with a name or a session key."""
        with reading() as session:
            if "fs_uniquifier" in asked:
                found = users.sign_in_of_session(session, str(asked["fs_uniquifier"]))
            else:
                found = users.sign_in_named(session, str(asked.get("username") or ""))
        if found is None:
            return None
        return User(found.viewer, found.password_hash, found.session_key, active=found.active)

    def put(self, model: Any) -> Any:  # noqa: ANN401
        """Keep nothing: what Flask-Security would note (dates, addresses) is not wanted here."""
        return model

    def commit(self) -> None:
        """Have nothing to commit."""

    def find_role(self, role: str) -> Role:
        """Return the role with a name."""
        return Role(role)
