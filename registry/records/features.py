"""Map features as other programs read them: collections, their columns, what is asked, a page."""

from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum

from registry.records.feature_filter import Condition
from registry.records.places import Box, LonLat, Site
from registry.records.systems import System
from registry.records.visits import VisitRecord


class ColumnKind(StrEnum):
    """What a column holds, by JSON Schema's words and a date."""

    TEXT = "string"
    NUMBER = "number"
    WHOLE = "integer"
    YES_NO = "boolean"
    DATE = "date"


type Value = str | float | bool | date | None
"""A value in a column."""


@dataclass(frozen=True, slots=True)
class Column:
    """A column: ``field`` of ``of`` is what it shows, and it is as private as that field.

    ``asked`` tells whether features can be chosen by it.
    """

    name: str
    kind: ColumnKind
    says: str
    of: type | None = None
    field: str = ""
    asked: bool = True


@dataclass(frozen=True, slots=True)
class Collection:
    """A kind of feature; ``act`` of ``registry.privacy`` opens it, ``moment`` is its date."""

    id: str
    title: str
    says: str
    act: str
    columns: tuple[Column, ...]
    moment: str = ""

    def column(self, name: str) -> Column | None:
        """Return the column with a name, None if there is none."""
        return next((one for one in self.columns if one.name == name), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class FeatureQuery:
    """Which features of a collection are asked for; None and empty = all.

    ``where`` is what a filter says beside the rest. A ``box`` whose west is greater than its east
    crosses the date line. ``first`` and ``last`` are dates, both included; a feature without a date
    is in every span. ``after`` is the id of the last feature of the page before.
    """

    limit: int = 100
    box: Box | None = None
    has_dates: bool = False
    first: date | None = None
    last: date | None = None
    equal: dict[str, Value] = field(default_factory=dict)
    where: Condition | None = None
    after: str = ""


@dataclass(frozen=True, slots=True)
class Feature:
    """One feature: its id, where it is (None = to be located), its columns by name."""

    id: int | str
    lon_lat: LonLat | None
    values: dict[str, Value]


@dataclass(frozen=True, slots=True)
class FeaturePage:
    """Features in the order of their ids; ``more`` tells whether others follow."""

    features: tuple[Feature, ...]
    more: bool


def _site(name: str, says: str, kind: ColumnKind = ColumnKind.TEXT) -> Column:
    return Column(name, kind, says, Site, name)


def _system(name: str, says: str, kind: ColumnKind = ColumnKind.TEXT) -> Column:
    return Column(name, kind, says, System, name)


SITE = Column("site", ColumnKind.TEXT, "The site's number", Site, "key")
KIND = Column("kind", ColumnKind.TEXT, "Kind of system", System, "kind")
JURISDICTION = Column("jurisdiction", ColumnKind.TEXT, "The authority it belongs to")
IN_AREA = Column(
    "in_hazard_area", ColumnKind.YES_NO, "In a special flood hazard area; empty = unknown"
)
BELOW_BFE = Column(
    "below_bfe", ColumnKind.YES_NO, "A component lies below the base flood elevation"
)
NO_DETERMINATION = "Read from the flood layers on file. It is not a flood determination."

SYSTEMS = Collection(
    "systems",
    "Systems",
    "Onsite systems at their sites, those whose service ended too.",
    "read features",
    (
        SITE,
        Column("system_key", ColumnKind.TEXT, "The system's number at its site", System, "key"),
        KIND,
        _system("permit_no", "Permit number"),
        _system("permit_status", "State of the permit"),
        _system("rule_set", "Rules that hold for it"),
        _system("design_flow_gpd", "Design flow, gallons per day", ColumnKind.NUMBER),
        _system("bedrooms", "Bedrooms", ColumnKind.NUMBER),
        _system("people", "People", ColumnKind.NUMBER),
        _system("installed_on", "Date of installation", ColumnKind.DATE),
        _site("address", "Address"),
        _site("town", "Town"),
        _site("parcel", "Parcel number"),
        JURISDICTION,
        _site("position_source", "Where the position is from"),
        _site("position_accuracy_m", "How exact the position is, metres", ColumnKind.NUMBER),
        _site("active", "Whether the site is served", ColumnKind.YES_NO),
        _site("owner_name", "Owner"),
        _site("owner_phone", "Owner's phone"),
        _site("owner_email", "Owner's e-mail address"),
        _site("owner_address", "Owner's address"),
        _site("access_note", "How to get there"),
        _site("note", "Note on the site"),
        _site("water_available_gal", "Water on the site, gallons", ColumnKind.NUMBER),
        _site("occupied_share", "Share of a year that is lived in", ColumnKind.NUMBER),
    ),
    "installed_on",
)
OVERDUE = Collection(
    "overdue",
    "Overdue systems",
    "Systems with an obligation past its due date and days of grace, by the one due first.",
    "see the county map",
    (
        SITE,
        KIND,
        Column("task", ColumnKind.TEXT, "What is owed"),
        Column("due_on", ColumnKind.DATE, "Due date"),
        Column("days_overdue", ColumnKind.WHOLE, "Days since the due date", asked=False),
        Column(
            "share_passed",
            ColumnKind.NUMBER,
            "Share of the interval that has passed, above 1 past the due date",
            asked=False,
        ),
        JURISDICTION,
        IN_AREA,
        BELOW_BFE,
    ),
    "due_on",
)
FLOOD_FLAGS = Collection(
    "flood-flags",
    "Flood flags",
    f"What flood layers say of each site. {NO_DETERMINATION}",
    "see the county map",
    (
        SITE,
        Column("zone", ColumnKind.TEXT, "Flood zone"),
        Column("subtype", ColumnKind.TEXT, "Subtype of the zone"),
        IN_AREA,
        Column("near_edge", ColumnKind.YES_NO, "Too near an edge of a hazard area to be certain"),
        Column("edge_m", ColumnKind.NUMBER, "Distance to that edge, metres"),
        Column("bfe_ft", ColumnKind.NUMBER, "Base flood elevation, feet on its datum"),
        Column("bfe_datum", ColumnKind.TEXT, "Datum of that elevation"),
        Column("bfe_method", ColumnKind.TEXT, "How that elevation was found"),
        BELOW_BFE,
        Column("lowest_freeboard_ft", ColumnKind.NUMBER, "Least freeboard of all components, feet"),
        Column("lowest_component", ColumnKind.TEXT, "The component with that freeboard"),
        Column("unknown_why", ColumnKind.TEXT, "Why something is unknown"),
        JURISDICTION,
    ),
)
VISITS = Collection(
    "visits",
    "Visits",
    "Visits that were made, as last corrected.",
    "read a site file",
    (
        SITE,
        Column("on_date", ColumnKind.DATE, "Date of the visit", VisitRecord, "on_date"),
        Column("technician", ColumnKind.TEXT, "Who was there", VisitRecord, "technician"),
        Column("outcome", ColumnKind.TEXT, "How it ended", VisitRecord, "outcome"),
        Column("tasks", ColumnKind.TEXT, "What was done", VisitRecord, "done", asked=False),
        Column("visit_note", ColumnKind.TEXT, "Note on the visit", VisitRecord, "note"),
        JURISDICTION,
    ),
    "on_date",
)
COLLECTIONS = (SYSTEMS, OVERDUE, FLOOD_FLAGS, VISITS)
"""Every collection with every column; what a role sees of them is ``services.features``'s part.

Gate codes, gate notes and private notes are in none: a token lives long and lies on a disk.
"""
