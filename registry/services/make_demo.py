"""The invented county as a store: its files, through the same services as anybody's files."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from functools import partial
from importlib.resources import files
from pathlib import Path

from registry.basemap.revisions import current_network
from registry.errors import ConflictError, FileError, StoreError
from registry.records.changes import ImportCounts
from registry.records.day import Day
from registry.services.demo_photos import keep_demo_photos
from registry.services.demo_visits import keep_demo_visits
from registry.services.flag_sites import flag_sites
from registry.services.high_water import work_out_stages
from registry.services.import_crew import import_crew
from registry.services.import_flood import import_flood
from registry.services.import_licences import import_licences
from registry.services.import_outcome import ImportOutcome, ImportRequest
from registry.services.import_parts import import_parts
from registry.services.import_river import import_river
from registry.services.import_roads import NetworkBuilder, import_roads
from registry.services.import_rules import import_rules
from registry.services.import_sites import import_sites
from registry.services.recompute_due import recompute_due, start_new_day
from registry.store import Session, Store, days, names, places, users
from registry.store.migrate import newest, revision, upgrade

CREDIT = "Invented county, no real place"
WHO = "demonstration"
STATE, FILLING, FILLED = "invented county", "being filled", "filled"
"""The setting that marks a store as the invented county's, and its two values."""
ROADS, ROADS_FOLDER = "roads.osm.pbf", "roads"

type Tell = Callable[[str], None]
type Importer = Callable[[Session, ImportRequest], ImportOutcome]


@dataclass(frozen=True, slots=True, kw_only=True)
class Making:
    """What making the county needs besides a store: where, when, who builds roads, who is told."""

    folder: Path
    now: datetime
    today: date
    build: NetworkBuilder
    tell: Tell


def county_folder() -> Path:
    """Return the folder of the county's files: in the wheel, or in a checkout.

    Raises
    ------
    FileError
        If the files were not installed.
    """
    package = Path(str(files("registry")))
    for folder in (package / "_inside" / "demo_sites", package.parent / "demo_sites" / "files"):
        if folder.is_dir():
            return folder
    raise FileError("The files of the invented county are not installed. Install Riserway again.")


def county_today() -> date:
    """Return the date on which the invented county lives."""
    return date.fromisoformat((county_folder() / "today.txt").read_text(encoding="utf-8").strip())


def importers(today: date) -> tuple[tuple[str, str, Importer], ...]:
    """Return what is read, from which file, by which service, in the order of docs/import.md."""
    rivers = (("gauges", "csv"), ("river", "geojson"), ("levels", "csv"), ("stages", "csv"))
    parts = ("systems", "components", "windows", "agreements", "conditions")
    return (
        ("crew", "crew.toml", import_crew),
        ("sites", "sites.csv", import_sites),
        *((kind, f"{kind}.csv", partial(import_parts, kind_name=kind)) for kind in parts),
        ("flood hazard areas", "flood_areas.geojson", import_flood),
        ("base flood elevation lines", "flood_lines.geojson", import_flood),
        *(
            (kind, f"{kind}.{ending}", partial(import_river, kind_name=kind))
            for kind, ending in rivers
        ),
        ("low points of roads", "low_points.csv", partial(import_river, kind_name="low-points")),
        ("rules", "rules.toml", partial(import_rules, today=today)),
        ("visits and readings", "readings.csv", partial(import_parts, kind_name="readings")),
        ("licences", "licences.csv", import_licences),
    )


def make_county(store: Store, making: Making) -> None:
    """Make the invented county in a store, unless it is there; then only begin the day.

    An interrupted making is taken up again: what was read is found unchanged.

    Raises
    ------
    ConflictError
        If the store holds sites of somebody else.
    StoreError
        If a file of the county is not taken whole, which would be our fault.
    """
    if revision(store) != newest():
        upgrade(store)
    with store.session() as session:
        state = users.setting(session, STATE)
        if not state and places.firms(session):
            raise ConflictError(
                f"{making.folder} holds a store that is not the invented county. "
                "Choose another folder with --folder."
            )
        if state == FILLED:
            start_new_day(session, making.today)
        else:
            users.set_setting(session, STATE, FILLING)
    if state != FILLED:
        _fill(store, making)
    elif current_network(making.folder / ROADS_FOLDER) is None:
        _roads(making)


def _fill(store: Store, making: Making) -> None:
    """Bring the files in, then work out flood facts and due dates."""
    making.tell("Making the invented county. Nothing in it is real.")
    with store.session() as session:
        for kind, name, importer in importers(making.today):
            request = ImportRequest(
                path=county_folder() / name, who=WHO, now=making.now, folder=making.folder
            )
            making.tell(f"  {told(kind, importer(session, request).counts)}")
    _roads(making)
    with store.session() as session:
        flags = flag_sites(session, making.now)
        making.tell(
            f"  {flags['in_hazard_area']} sites lie in a flood hazard area, "
            f"{flags['below_bfe']} have equipment below the base flood elevation"
        )
        work_out_stages(session)
        recompute_due(session, making.today)
        making.tell(f"  visits with what was found: {keep_demo_visits(session, making.now)}")
        making.tell(f"  photos: {keep_demo_photos(session, making.now)} drawn")
        users.set_setting(session, STATE, FILLED)


def told(kind: str, counts: ImportCounts) -> str:
    """Return what an import did in words.

    Raises
    ------
    StoreError
        If a row was rejected: the county's own files are to be taken whole.
    """
    if counts.rejected:
        raise StoreError(
            f"{counts.rejected} rows of the invented county's {kind} were rejected; "
            f"see {counts.rejects_file}."
        )
    return f"{kind}: {counts.read:,} read"


def _roads(making: Making) -> None:
    done = import_roads(
        county_folder() / ROADS,
        making.folder / ROADS_FOLDER,
        credit=CREDIT,
        now=making.now,
        build=making.build,
        progress=lambda _text, _share: None,
    )
    making.tell(f"  roads: {done.network.ways:,} ways, {done.network.length_km:,.0f} km")


def kept_day(store: Store, on_date: date) -> tuple[int, Day | None]:
    """Return the county's firm and its day if it was ordered before."""
    with store.reading() as session:
        firm_id = next(iter(names.firm_ids(session).values()))
        return firm_id, days.day_of(session, firm_id, on_date)
