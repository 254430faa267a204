"""Rows of a file as sites with their systems, and those that are to be mended first."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from registry.imports.cells import Fault
from registry.imports.column_map import ColumnMap
from registry.imports.fields import SITE, SITES, SYSTEM, SYSTEM_WORDS
from registry.imports.positions import Positions
from registry.imports.row_keys import RowKeys
from registry.imports.rows import RowReader, Rows
from registry.imports.sheet import Sheet

SITE_COLUMNS = tuple(one.name for one in SITE if one.name not in {"lon", "lat", "jurisdiction"})
SHOWN = 12


@dataclass(slots=True, kw_only=True)
class SiteRows:
    """The good rows of one sheet, column by column, named as the store names them.

    ``further_keys`` and ``further_systems`` hold the rows that are further systems of sites which
    other rows describe. ``jurisdictions`` holds a name for each site where the file names them.
    ``rejected`` holds, for the others, what the rejects file needs: row index → key.
    """

    rows: Rows
    keys: list[str]
    site: dict[str, list[Any]]
    system: dict[str, list[Any]]
    further_keys: list[str]
    further_systems: dict[str, list[Any]]
    jurisdictions: list[str] | None
    rejected: dict[int, str]


@dataclass
class SiteReader:
    """Reads sheet after sheet of a file of sites.

    ``has_jurisdiction`` tells whether rows that name no jurisdiction have one all the same.
    ``to_be_located`` counts sites without a position that are kept, ``further`` the rows that are
    further systems of a site.
    """

    file_name: str
    map: ColumnMap
    positions: Positions
    has_jurisdiction: bool = True
    to_be_located: int = 0
    further: int = 0
    _reader: RowReader = field(init=False)
    _keys: RowKeys = field(init=False)
    _repairs: Counter[str] = field(init=False, default_factory=Counter)
    _sites: dict[str, tuple[int, int]] = field(init=False, default_factory=dict)

    def __post_init__(self) -> None:
        """Prepare what is remembered over all sheets."""
        self._reader = RowReader(
            self.file_name,
            SITES,
            self.map,
            keeps_unknown=frozenset({"kind"}),
            synonyms={"kind": {word: kind.value for word, kind in SYSTEM_WORDS.items()}},
        )
        self._keys = RowKeys(self.map.key)

    def read(self, sheet: Sheet) -> SiteRows:
        """Return the rows of a sheet as sites."""
        rows = self._reader.read(sheet)
        keys = self._keys.of(rows, [key or "" for key in rows.values.get("system_key", ())])
        lon, lat = self.positions.place(rows)
        self._require_place(rows, lon)
        self._require_jurisdiction(rows)
        self._repairs.update(sheet.repairs.values())
        further = self._further(rows, keys, lon, lat)
        good = [i for i in rows.good() if i not in further]
        self.to_be_located += sum(lon[i] is None for i in good)
        columns = {name: rows.values[name] for name in SITE_COLUMNS if name in rows.values}
        system = {one.name: rows.values[one.name] for one in SYSTEM if one.name in rows.values}
        if "kind" in self.map.columns:
            raw = sheet.columns[self.map.columns["kind"]]
            system["kind_as_given"] = [cell.strip() for cell in raw]
        if "system_key" in rows.values:
            system["key"] = rows.values["system_key"]
        names = rows.values.get("jurisdiction")
        return SiteRows(
            rows=rows,
            keys=_of(keys, good),
            site={"lon": _of(lon, good), "lat": _of(lat, good)}
            | {name: _of(values, good) for name, values in columns.items()},
            system={name: _of(values, good) for name, values in system.items()},
            further_keys=_of(keys, further),
            further_systems={name: _of(values, further) for name, values in system.items()},
            jurisdictions=None if names is None else _of(names, good),
            rejected={i: keys[i] for i in rows.faults},
        )

    def notes(self) -> list[str]:
        """Return how rows were read together."""
        if not self.further:
            return []
        return [
            f"{self.further:,} rows name a further system of a site that another row describes: "
            "the key is the same, the system's own is not."
        ]

    def warnings(self) -> list[str]:
        """Return what a person should know of the rows that were taken."""
        said = self._keys.warnings()
        unknown = self._reader.unknown_words
        if unknown:
            shown = ", ".join(f"“{word}” {n:,}" for word, n in unknown.most_common(SHOWN))
            more = f" and {len(unknown) - SHOWN:,} more words" if len(unknown) > SHOWN else ""
            said.append(
                f"{unknown.total():,} systems are of a kind that is not known and kept as "
                f"“unknown” with their own word: {shown}{more}. Map the words in [values.kind]."
            )
        if self._reader.without_word:
            said.append(
                f"{self._reader.without_word:,} rows do not say of which kind the system is; "
                "it is kept as “unknown”."
            )
        if not {"kind"} & (set(self.map.columns) | set(self.map.constants)):
            said.append("No column says of which kind the systems are; they are kept as “unknown”.")
        if self.to_be_located:
            said.append(f"{self.to_be_located:,} sites have no position and are to be located.")
        said += [f"In {n:,} records {repair}." for repair, n in self._repairs.items()]
        return said

    def _further(
        self,
        rows: Rows,
        keys: list[str],
        lon: Sequence[float | None],
        lat: Sequence[float | None],
    ) -> list[int]:
        """Return the good rows that are further systems of a site that another row describes.

        What such a row says of the site must be the same; otherwise one of the two is wrong, and a
        person has to say which. Only a digest of each site is remembered.
        """
        if "system_key" not in rows.values:
            return []
        cells = [
            rows.sheet.columns[column]
            for name, column in self.map.columns.items()
            if name in {*SITE_COLUMNS, "jurisdiction"}
        ]
        found = []
        for i in rows.good():
            number = rows.sheet.numbers[i]
            told = hash((lon[i], lat[i], *(column[i].strip() for column in cells)))
            first, before = self._sites.setdefault(keys[i], (number, told))
            if first == number:
                continue
            if told != before:
                wrong = (
                    f"it names a further system of the site in row {first}, but not the same site"
                )
                fault = Fault(
                    wrong, "Write the same of the site in both rows, or give it another key"
                )
                rows.fault(i, ", ".join(self.map.key), fault)
            else:
                found.append(i)
        self.further += len(found)
        return found

    def _require_jurisdiction(self, rows: Rows) -> None:
        """Reject rows that name no jurisdiction where none holds for the whole file."""
        if self.has_jurisdiction:
            return
        column = self.map.columns.get("jurisdiction", "jurisdiction")
        for i, name in enumerate(rows.values.get("jurisdiction", [])):
            if not name:
                fault = Fault("no jurisdiction is named", "Name it, or say --jurisdiction")
                rows.fault(i, column, fault)

    @staticmethod
    def _require_place(rows: Rows, lon: Sequence[float | None]) -> None:
        """Reject rows that have no position and nothing to find one by."""
        address, parcel = rows.values.get("address"), rows.values.get("parcel")
        for i, one in enumerate(lon):
            if one is None and i not in rows.faults:
                if (address and address[i]) or (parcel and parcel[i]):
                    continue
                rows.faults[i] = [
                    (
                        "",
                        "there is no position, and neither an address nor a parcel to find one by",
                        "Give one of the three",
                    )
                ]


def _of(values: Sequence[Any], good: list[int]) -> list[Any]:
    return list(values) if len(good) == len(values) else [values[i] for i in good]
