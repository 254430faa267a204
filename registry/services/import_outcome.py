"""What every import command asks for and gives back."""

import hashlib
from collections.abc import Callable, Sequence
from contextlib import contextmanager
from dataclasses import asdict, dataclass, field
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from registry.errors import Complaint, RegistryError
from registry.imports.opening import Reading
from registry.imports.rejects import RejectsFile
from registry.records.changes import ImportCounts
from registry.store import Author, Session
from registry.store.import_runs import ImportRun, note_import

if TYPE_CHECKING:
    from collections.abc import Iterator

    from registry.imports.sheet import Source

type Progress = Callable[[int, int], None]
"""Called with the rows read so far and about how many there are."""


def no_progress(_done: int, _of: int) -> None:
    """Say nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportRequest:
    """A file to import and how to read it.

    ``zone`` is the flood zone of polygons that name none, ``accuracy_m`` how exact points are that
    sites are located by. ``source`` names another source, whose numbers are not the firm's own.
    ``rejects`` names the rejects file; else
    it is made in ``folder`` under a name of its own.
    """

    path: Path
    who: str
    now: datetime
    map_path: Path | None = None
    write_map: Path | None = None
    crs: str = ""
    zone: str = ""
    accuracy_m: float | None = None
    source: str = ""
    firm: str = ""
    jurisdiction: str = ""
    reading: Reading = field(default_factory=Reading)
    rejects: Path | None = None
    folder: Path = Path()
    blank_clears: bool = False
    progress: Progress = no_progress

    @property
    def author(self) -> Author:
        """Who the history names, and the file as the source."""
        return Author(self.who, self.now, self.path.name)


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportOutcome:
    """What an import did; ``complaints`` are the first that were made, for showing.

    ``touched_site_ids`` are the sites that were added or changed: their obligations and flood
    facts have to be worked out again.
    """

    counts: ImportCounts
    complaints: tuple[Complaint, ...] = ()
    touched_site_ids: tuple[int, ...] = ()


@dataclass(kw_only=True)
class Tally:
    """Counts of a running import."""

    read: int = 0
    added: int = 0
    changed: int = 0
    unchanged: int = 0
    warnings: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    touched: list[int] = field(default_factory=list)

    def count(self, done: Sequence[str]) -> None:
        """Count what was done with some rows."""
        self.added += sum(one == "added" for one in done)
        self.changed += sum(one == "changed" for one in done)
        self.unchanged += sum(one == "unchanged" for one in done)


@contextmanager
def rejects_of(source: "Source", request: ImportRequest) -> "Iterator[RejectsFile]":
    """Yield the rejects file of an import; what was written goes if the import fails."""
    rejects = RejectsFile(source, request.path, request.rejects, request.folder)
    try:
        yield rejects
    except BaseException:
        rejects.discard()
        raise


def finished(
    session: Session, kind: str, request: ImportRequest, tally: Tally, rejects: RejectsFile
) -> ImportOutcome:
    """Close the rejects file, keep a line about the import and return what it did."""
    path = rejects.close()
    counts = ImportCounts(
        read=tally.read,
        added=tally.added,
        changed=tally.changed,
        unchanged=tally.unchanged,
        rejected=rejects.count,
        rejects_file=None if path is None else str(path),
        warnings=tuple(tally.warnings),
        notes=tuple(tally.notes),
    )
    keep_line(session, kind, request, counts)
    return ImportOutcome(
        counts=counts,
        complaints=tuple(rejects.complaints),
        touched_site_ids=tuple(tally.touched),
    )


def keep_line(session: Session, kind: str, request: ImportRequest, counts: ImportCounts) -> None:
    """Keep a line about an import in the store."""
    short = {name: value for name, value in asdict(counts).items() if isinstance(value, int)}
    note_import(
        session,
        ImportRun(
            at=request.now,
            who=request.who,
            kind=kind,
            file_name=request.path.name,
            digest=digest_of(request.path),
            counts=short,
        ),
    )


def digest_of(path: Path) -> str:
    """Return the SHA-256 of a file."""
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError as wrong:
        raise RegistryError(f"{path.name} cannot be read any more: {wrong.strerror}.") from wrong
