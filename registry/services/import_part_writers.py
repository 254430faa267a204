"""What puts each kind of file that hangs on sites into the store."""

from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

from registry.imports.column_map import ColumnMap
from registry.imports.fields import AGREEMENTS, COMPONENTS, CONDITIONS, SYSTEM, Field
from registry.imports.part_rows import PartKind, other_columns
from registry.imports.positions import Positions
from registry.imports.rows import Rows
from registry.imports.sheet import Source
from registry.records.elevation import datum_named
from registry.records.places import ServiceWindow
from registry.services.import_outcome import ImportRequest, Tally
from registry.services.import_row_owners import Owners, Writer
from registry.services.import_visits import VisitWriter
from registry.store import Session
from registry.store.matched_load import MatchedLoad, load_of
from registry.store.window_load import put_windows

OWNERS = {"site", "system", "lon", "lat"}


def writer_for(
    session: Session,
    request: ImportRequest,
    kind: PartKind,
    mapped: ColumnMap,
    source: Source,
    firm_id: int,
) -> Writer:
    """Return what writes the rows of one kind of file."""
    if kind.name == "readings":
        return VisitWriter(session=session, request=request, firm_id=firm_id, map=mapped)
    if kind.name == "windows":
        return WindowWriter(session=session, request=request)
    load = load_of(kind.name, session, request.author, blank_clears=request.blank_clears)
    if kind.name == "components":
        positions = Positions(file_name=source.name, crs=request.crs or mapped.crs)
        return ComponentWriter(load=load, map=mapped, positions=positions)
    if kind.name == "systems":
        return RowWriter(load=load, row=_system_row(mapped))
    if kind.name == "conditions":
        return RowWriter(load=load, row=_condition_row)
    return RowWriter(load=load, row=_agreement_row(firm_id))


@dataclass(kw_only=True)
class RowWriter:
    """Writes rows that are one row of the store each."""

    load: MatchedLoad
    row: Callable[[Rows, int, Owners], dict[str, Any]]

    def prepare(self, rows: Rows) -> None:
        """Nothing more is to be checked."""

    def put(self, rows: Rows, good: Sequence[int], owners: Owners) -> Sequence[str]:
        """Write rows and return what was done with each."""
        made = [self.row(rows, i, owners) for i in good]
        return self.load.put(made, [owners.site[i] for i in good])

    def close(self, tally: Tally, owners: Owners) -> None:  # noqa: ARG002 - the writers' signature
        """Hand on which sites were touched."""
        tally.touched += sorted(self.load.touched)


@dataclass(kw_only=True)
class ComponentWriter:
    """Writes components: place, elevation with its datum, and what else the source says."""

    load: MatchedLoad
    map: ColumnMap
    positions: Positions
    _details: list[dict[str, str]] = field(init=False, default_factory=list)
    _places: tuple[list[float | None], list[float | None]] | None = field(init=False, default=None)

    def prepare(self, rows: Rows) -> None:
        """Place the components that have a position of their own, and read other columns."""
        self._details = other_columns(self.map, rows)
        self._places = self.positions.place(rows) if "lon" in rows.values else None

    def put(self, rows: Rows, good: Sequence[int], owners: Owners) -> Sequence[str]:
        """Write components and return what was done with each."""
        made = []
        for i in good:
            row = {"system_id": owners.system[i], "label": ""} | _values(COMPONENTS, rows, i)
            if row.get("elevation_datum"):
                row["elevation_datum"] = datum_named(row["elevation_datum"])
            if self._places is not None:
                row |= {"lon": self._places[0][i], "lat": self._places[1][i]}
            made.append(row | {"details": self._details[i]})
        return self.load.put(made, [owners.site[i] for i in good])

    def close(self, tally: Tally, owners: Owners) -> None:  # noqa: ARG002 - the writers' signature
        """Hand on which sites were touched."""
        tally.touched += sorted(self.load.touched)


@dataclass(kw_only=True)
class WindowWriter:
    """Writes hours: dated ones row by row, weekly ones for each site as a whole at the end."""

    session: Session
    request: ImportRequest
    _load: MatchedLoad = field(init=False)
    _weekly: dict[int, list[ServiceWindow]] = field(init=False)
    _rows: list[tuple[int, tuple[ServiceWindow, ...]]] = field(init=False, default_factory=list)

    def __post_init__(self) -> None:
        """Prepare both kinds of hours; no hours on a date mean closed, so blanks count."""
        by = self.request.author
        self._load = load_of("exceptions", self.session, by, blank_clears=True)
        self._weekly = defaultdict(list)

    def prepare(self, rows: Rows) -> None:
        """Nothing more is to be checked."""

    def put(self, rows: Rows, good: Sequence[int], owners: Owners) -> Sequence[str]:
        """Write dated hours and keep the weekly ones until all are known."""
        dated: list[dict[str, Any]] = []
        sites: list[int] = []
        for i in good:
            site_id = owners.site[i]
            value: dict[str, Any] = {name: values[i] for name, values in rows.values.items()}
            opens, closes = value.get("opens"), value.get("closes")
            if value.get("weekday") is not None:
                windows = tuple(
                    ServiceWindow(day, value["opens"], value["closes"]) for day in value["weekday"]
                )
                self._weekly[site_id] += windows
                self._rows.append((site_id, windows))
                continue
            sites.append(site_id)
            dated.append(
                {
                    "site_id": site_id,
                    "on_date": value["date"],
                    "opens_min": opens,
                    "closes_min": closes,
                    "note": value.get("note") or "",
                }
            )
        return self._load.put(dated, sites)

    def close(self, tally: Tally, owners: Owners) -> None:
        """Write the weekly hours of each site."""
        new, gone = put_windows(
            self.session, self._weekly, self.request.author, keep=owners.faulty_sites
        )
        tally.count(
            [
                "added" if any((site_id, one) in new for one in windows) else "unchanged"
                for site_id, windows in self._rows
            ]
        )
        if gone:
            tally.notes.append(f"{gone:,} weekly hours that the file does not name any more went.")
        tally.touched += sorted(self._load.touched | {site_id for site_id, _ in new})


def _values(fields: Sequence[Field], rows: Rows, i: int) -> dict[str, Any]:
    """Return the fields of a row that the file says something about."""
    return {
        one.name: rows.values[one.name][i]
        for one in fields
        if one.name in rows.values and one.name not in OWNERS
    }


def _system_row(mapped: ColumnMap) -> Callable[[Rows, int, Owners], dict[str, Any]]:
    column = mapped.columns.get("kind")

    def row(rows: Rows, i: int, owners: Owners) -> dict[str, Any]:
        made = {"site_id": owners.site[i], "key": rows.values["system"][i], "kind": None}
        made |= _values(SYSTEM, rows, i)
        if column is not None:
            made["kind_as_given"] = rows.sheet.columns[column][i].strip()
        return made

    return row


def _condition_row(rows: Rows, i: int, owners: Owners) -> dict[str, Any]:
    made = {"system_id": owners.system[i], "is_waiver": False} | _values(CONDITIONS, rows, i)
    made["is_waiver"] = bool(made["is_waiver"])
    return made


def _agreement_row(firm_id: int) -> Callable[[Rows, int, Owners], dict[str, Any]]:
    def row(rows: Rows, i: int, owners: Owners) -> dict[str, Any]:
        return {"site_id": owners.site[i], "firm_id": firm_id} | _values(AGREEMENTS, rows, i)

    return row
