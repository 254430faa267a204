"""Every error the registry raises.

The text says what, where and what to do, and holds no private field: people see it.
"""

from dataclasses import dataclass


class RegistryError(Exception):
    """Whatever goes wrong in a way that the user can understand and act on."""


class FileError(RegistryError):
    """A file as a whole cannot be read or is not what the command takes."""


@dataclass(frozen=True, slots=True)
class Complaint:
    """One thing wrong with one row of an input.

    ``row`` counts from 1 as the user sees it (a CSV's header is row 1); ``field`` is the column's
    own name, empty where the whole row is meant.
    """

    file: str
    row: int
    field: str
    wrong: str
    remedy: str

    def __str__(self) -> str:
        """Return the complaint as one sentence for people."""
        where = f"{self.file}, row {self.row}" + (f", field “{self.field}”" if self.field else "")
        return f"{where}: {self.wrong}. {self.remedy}."


class RowError(RegistryError):
    """One or more rows of an input are wrong; all complaints are gathered before it is raised."""

    def __init__(self, complaints: list[Complaint]) -> None:
        self.complaints = complaints
        super().__init__("\n".join(str(one) for one in complaints))


class RangeError(RegistryError, ValueError):
    """A number lies outside the range in which a formula or field holds."""


class DatumError(RegistryError, ValueError):
    """Two elevations stand on different vertical datums and no offset was stated."""


class NotFoundError(RegistryError, LookupError):
    """What was asked for is not in the registry, or not for this role."""


class LimitError(RegistryError):
    """A sign-in sent more requests of one kind than the server takes in a time.

    ``wait_s`` is how long to wait until the next one is taken. [s]
    """

    def __init__(self, text: str, wait_s: int = 60) -> None:
        self.wait_s = wait_s
        super().__init__(text)


class AccessError(RegistryError, PermissionError):
    """The role may not see or do this."""


class ConflictError(RegistryError):
    """Somebody changed the same thing meanwhile, or it already exists."""


class RoadError(RegistryError):
    """The road network cannot be built, read or does not reach a place.

    ``far`` holds the numbers, from 0, of the places asked for that lie too far from any road.
    """

    def __init__(self, text: str, far: tuple[int, ...] = ()) -> None:
        self.far = far
        super().__init__(text)


class PlanError(RegistryError):
    """A plan breaks a limit, or the day cannot be planned as asked."""


class SignInError(RegistryError):
    """A county's own sign-in does not answer as it should."""


class StoreError(RegistryError):
    """The store cannot be opened, is at another revision or refuses the change."""


class ConfigError(RegistryError, ValueError):
    """A setting, a rule file or a column map is not usable."""
