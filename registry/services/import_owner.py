"""Whose the imported rows are, and under whose rules: from names to ids."""

from dataclasses import dataclass, field

from registry.errors import FileError
from registry.records.places import Box, Firm, Jurisdiction
from registry.store import Author, Session, places

UNNAMED_FIRM = "Unnamed firm"
UNNAMED_JURISDICTION = "Unnamed jurisdiction"


def firm_of(session: Session, name: str, by: Author, notes: list[str]) -> int:
    """Return the id of the firm that is named, or of the only one; one is made if there is none.

    Raises
    ------
    FileError
        If several firms are kept and none is named.
    """
    known = {one.name: one.id for one in places.firms(session)}
    if not name and len(known) > 1:
        raise FileError(f"Say whose rows these are with --firm. Known: {', '.join(known)}.")
    if not name and known:
        return next(iter(known.values()))
    name = name or UNNAMED_FIRM
    if name in known:
        return known[name]
    notes.append(f"The firm “{name}” was not known and is added.")
    return places.put_firm(session, Firm(name=name), by)[0]


@dataclass
class Jurisdictions:
    """The jurisdictions of an import: by name, with the one for rows that name none."""

    session: Session
    by: Author
    notes: list[str]
    default: str = ""
    _ids: dict[str, int] = field(init=False, default_factory=dict)
    _boxes: dict[str, Box] = field(init=False, default_factory=dict)
    _new: list[str] = field(init=False, default_factory=list)

    def __post_init__(self) -> None:
        """Read those that are kept."""
        for one in places.jurisdictions(self.session):
            self._ids[one.name] = one.id
            if one.box is not None:
                self._boxes[one.name] = one.box
        if not self.default and len(self._ids) == 1:
            self.default = next(iter(self._ids))

    @property
    def boxes(self) -> dict[str, Box]:
        """The boxes of the jurisdictions that have one, by name."""
        return self._boxes

    @property
    def default_box(self) -> Box | None:
        """The box for rows that name no jurisdiction."""
        return self._boxes.get(self.default)

    def require_default(self) -> None:
        """Settle which jurisdiction holds for rows that name none.

        Raises
        ------
        FileError
            If several are kept and none is named.
        """
        if not self.default and len(self._ids) > 1:
            raise FileError(
                "Say whose rules hold with --jurisdiction, or with a column of the file. "
                f"Known: {', '.join(self._ids)}."
            )
        self.default = self.default or UNNAMED_JURISDICTION

    def note_new(self) -> None:
        """Say which jurisdictions were added."""
        if self._new:
            self.notes.append(
                f"Jurisdictions that were not known are added: {', '.join(self._new)}; in time "
                "zone UTC and without rule set or box until riserway import crew states them."
            )

    def id_of(self, name: str) -> int:
        """Return the id of a jurisdiction, "" for the default; a new name is added."""
        name = name or self.default
        if name not in self._ids:
            self._ids[name] = places.put_jurisdiction(
                self.session, Jurisdiction(name=name), self.by
            )[0]
            self._new.append(name)
        return self._ids[name]
