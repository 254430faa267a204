"""What a column can mean, for every kind of file."""

from dataclasses import dataclass
from typing import Literal

from registry.records.systems import ComponentKind, SystemKind

type Kind = Literal[
    "text",
    "name",
    "number",
    "count",
    "date",
    "yes-no",
    "word",
    "hazards",
    "list",
    "month-day",
    "clock",
    "moment",
    "weekdays",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One thing that a column may hold.

    ``kind`` "name" is text in which words such as "none" and "null" are taken as they stand; in all
    other kinds they mean an empty cell. ``low`` and ``high`` bound numbers, both included, in
    ``unit``. ``words`` are those a "word" may be; ``also`` other names by which a column is known,
    in small letters without signs.
    """

    name: str
    kind: Kind = "text"
    unit: str = ""
    low: float = 0.0
    high: float = 1e9
    words: tuple[str, ...] = ()
    also: tuple[str, ...] = ()


def _text(*names: str) -> tuple[Field, ...]:
    return tuple(Field(name=one) for one in names)


LON = Field(
    name="lon", kind="number", low=-1e9,
    also=("longitude", "long", "lng", "x", "xcoord", "xcoordinate", "pointx", "easting"),
)  # fmt: skip
LAT = Field(
    name="lat", kind="number", low=-1e9,
    also=("latitude", "y", "ycoord", "ycoordinate", "pointy", "northing"),
)  # fmt: skip
KEY_NAMES = (
    "site", "siteid", "siteno", "sitenumber", "sitekey", "id", "account", "accountno",
    "accountnumber", "facilityid", "systemid", "recordid",
)  # fmt: skip
"""Names of columns that may hold the key, besides ``key`` itself."""

SYSTEM: tuple[Field, ...] = (
    Field(
        name="kind", kind="word", words=tuple(SystemKind),
        also=("systemtype", "systemkind", "septictype", "osstype", "ostdstype", "typeofsystem"),
    ),
    Field(name="permit_no", also=("permit", "permitnumber", "permitid")),
    Field(name="permit_status"),
    Field(
        name="design_flow_gpd", kind="number", unit="gpd", high=10_000_000,
        also=("designflow", "designgpd", "flowgpd", "gpd"),
    ),
    Field(
        name="bedrooms", kind="number", high=10_000, also=("beds", "brooms", "bdrms"),
    ),
    Field(name="people", kind="number", high=100_000, also=("occupants", "residents", "persons")),
    Field(
        name="installed_on", kind="date",
        also=("installdate", "installed", "dateinstalled", "installationdate"),
    ),
    Field(name="rule_set"),
)  # fmt: skip
"""What a file may say of a system."""

SITE: tuple[Field, ...] = (
    LON,
    LAT,
    Field(name="position_source", also=("locationsource",)),
    Field(name="position_accuracy_m", kind="number", unit="m", high=100_000),
    Field(name="address", also=("siteaddress", "streetaddress", "situsaddress", "situs", "street")),
    Field(name="town", also=("city", "townname", "municipality", "community")),
    Field(
        name="parcel",
        also=("parcelid", "parcelno", "parcelnumber", "apn", "tmk", "taxlot", "taxlotid", "pin"),
    ),
    Field(name="jurisdiction", also=("county", "countyname", "healthdistrict")),
    *_text("access_note", "gate_note"),
    Field(name="gate_code", kind="name"),
    *_text("private_note", "note"),
    Field(name="hazards", kind="hazards", also=("hazard",)),
    *_text("corner_note", "corner_b_note"),
    Field(name="corner_b_bearing_deg", kind="number", unit="deg", high=360),
    Field(name="corner_b_distance_ft", kind="number", unit="ft", high=10_000),
    Field(name="owner_name", kind="name", also=("owner", "ownername1")),
    Field(name="owner_phone", also=("phone", "telephone", "ownertelephone")),
    Field(name="owner_email", also=("email", "ownermail")),
    Field(name="owner_address", also=("mailingaddress", "mailaddress")),
    Field(name="water_available_gal", kind="number", unit="gal", high=1_000_000),
    Field(name="occupied_share", kind="number", high=1),
    Field(name="season_from", kind="month-day"),
    Field(name="season_to", kind="month-day"),
    Field(name="active", kind="yes-no"),
)
"""What a file of sites may say of a site, besides its key."""

SITES = (*SITE, Field(name="system_key", also=("systemno", "systemnumber")), *SYSTEM)

PLACES = tuple(one for one in SITE if one.name in {"address", "town", "parcel"})
"""What a layer of parcels or address points may say of a place."""

_OF_SITE = (
    Field(name="site", kind="name", also=("sitekey", "siteid", "siteno", "sitenumber", "key")),
    Field(name="system", kind="name", also=("systemkey", "systemid", "systemno")),
)
"""By which columns the rows of other files name their site and system."""

_ELEVATION_FT = (-1400, 30_000)
"""Lowest and highest dry land, rounded outward; from memory."""

SYSTEMS = (*_OF_SITE, *SYSTEM)
COMPONENTS = (
    *_OF_SITE,
    Field(name="kind", kind="word", words=tuple(ComponentKind), also=("component", "type")),
    Field(name="label", kind="name"),
    Field(name="bearing_deg", kind="number", unit="deg", high=360, also=("bearing", "azimuth")),
    Field(name="distance_ft", kind="number", unit="ft", high=10_000, also=("distance",)),
    Field(name="tie_a_ft", kind="number", unit="ft", high=10_000, also=("tiea",)),
    Field(name="tie_b_ft", kind="number", unit="ft", high=10_000, also=("tieb",)),
    LON,
    LAT,
    Field(name="cover_in", kind="number", unit="in", high=1_200, also=("cover",)),
    Field(
        name="elevation_ft", kind="number", unit="ft", low=_ELEVATION_FT[0], high=_ELEVATION_FT[1],
        also=("elevation", "elev"),
    ),
    Field(name="elevation_datum", also=("datum", "verticaldatum", "vdatum")),
    Field(name="count", kind="count", high=10_000, also=("number", "quantity")),
    Field(name="length_ft", kind="number", unit="ft", high=100_000, also=("length",)),
    Field(name="pipe_in", kind="number", unit="in", high=120, also=("pipe", "pipediameterin")),
    Field(name="orifice_in", kind="number", unit="in", high=12, also=("orifice",)),
    Field(name="spacing_ft", kind="number", unit="ft", high=1_000, also=("spacing",)),
    Field(name="turns_open", kind="number", high=1_000, also=("turns",)),
    Field(name="capacity_gal", kind="number", unit="gal", high=10_000_000, also=("capacity",)),
    Field(name="gal_per_in", kind="number", unit="", high=100_000),
    Field(name="has_riser", kind="yes-no", also=("riser",)),
)  # fmt: skip
WINDOWS = (
    _OF_SITE[0],
    Field(name="weekday", kind="weekdays", also=("weekdays", "day", "days")),
    Field(name="date", kind="date", also=("ondate",)),
    Field(name="opens", kind="clock", also=("open", "from")),
    Field(name="closes", kind="clock", also=("close", "to", "until")),
    Field(name="note"),
)
AGREEMENTS = (
    _OF_SITE[0],
    Field(name="starts_on", kind="date", also=("start", "startdate")),
    Field(name="ends_on", kind="date", also=("end", "enddate")),
    Field(name="visits_a_year", kind="number", high=366),
    Field(name="includes", kind="list"),
    Field(name="renewal"),
    Field(name="renews_on", kind="date", also=("renewaldate",)),
)
CONDITIONS = (
    *_OF_SITE,
    Field(name="task"),
    Field(name="months", kind="count", low=1, high=1_200),
    Field(name="citation", kind="name"),
    Field(name="is_waiver", kind="yes-no", also=("waiver",)),
)
READINGS = (
    *_OF_SITE,
    Field(name="date", kind="date", also=("visitdate", "readon", "ondate")),
    Field(name="technician", kind="name"),
    Field(name="visit", kind="name"),
    Field(
        name="outcome", kind="word", words=("in order", "follow-up owed", "not reached"),
    ),
    Field(name="visit_note", kind="name"),
    Field(name="task"),
    Field(name="kind", also=("reading", "readingkind")),
    Field(name="value", kind="name"),
    Field(name="unit", kind="name"),
    Field(name="component", kind="name"),
    Field(name="note", kind="name"),
)  # fmt: skip

SYSTEM_WORDS = {
    "pressure": SystemKind.PRESSURE,
    "pressure dosed": SystemKind.PRESSURE,
    "at grade": SystemKind.AT_GRADE,
    "atgrade": SystemKind.AT_GRADE,
    "sandfilter": SystemKind.SAND_FILTER,
    "aerobic treatment unit": SystemKind.SECONDARY,
    "atu": SystemKind.SECONDARY,
    "cess pool": SystemKind.CESSPOOL,
}
"""Other spellings of system kinds that leave no doubt; every other word has to be mapped."""
