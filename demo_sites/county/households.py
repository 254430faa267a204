"""Who lives at a home, how one gets in, what can hurt, when the gate is open."""

from dataclasses import dataclass, field
from datetime import date, timedelta
from random import Random

from demo_sites.county.calendar import TODAY, months_before
from demo_sites.county.frame import Place
from demo_sites.county.homes import Spot
from demo_sites.county.landscape import house
from demo_sites.county.names import COUNTY, FAMILY_FIRST, FAMILY_LAST, GIVEN, TOWN

type Cells = dict[str, str]

KINDS = (
    "gravity", "pump to gravity", "pressure distribution", "mound", "at-grade", "sand filter",
    "secondary treatment", "holding tank", "cesspool", "unknown",
)  # fmt: skip
SHARES: dict[str, tuple[int, ...]] = {
    "floodway": (0, 10, 30, 30, 0, 20, 0, 10, 0, 0),
    "creek": (20, 20, 30, 10, 10, 10, 0, 0, 0, 0),
    "upper": (20, 20, 30, 20, 0, 10, 0, 0, 0, 0),
    "sheet": (20, 20, 40, 0, 20, 0, 0, 0, 0, 0),
    "undetermined": (50, 0, 50, 0, 0, 0, 0, 0, 0, 0),
    "shaded": (20, 20, 40, 10, 10, 0, 0, 0, 0, 0),
    "edge": (15, 20, 30, 12, 8, 10, 5, 0, 0, 0),
    "lake": (5, 10, 25, 15, 0, 25, 15, 5, 0, 0),
    "plain": (6, 12, 36, 22, 9, 10, 3, 2, 0, 0),
    "town": (42, 20, 18, 3, 2, 5, 8, 0, 2, 0),
    "terrace": (46, 14, 20, 4, 5, 6, 3, 0, 1, 1),
    "hill": (40, 12, 24, 4, 4, 10, 3, 1, 1, 1),
}
"""How often each kind of system stands on each kind of ground [%]."""
HAZARDS = (
    "dog: large and loose, owner ties it up when called",
    "dog: barks, stays in the yard",
    "bees: three hives behind the shed",
    "steep bank: keep the truck above the second gate",
    "soft ground: the lawn does not carry a truck before July",
    "low wire: 11 ft over the drive",
    "livestock: two bulls in the field that holds the mound",
    "wasps: nest under the panel's hood, seen last summer",
    "traffic: lids stand 4 ft from the road, set cones",
    "slippery: algae on the deck steps",
    "sharp rock: rip-rap beside the pump tank",
    "needles: found by the fence in 2024",
)
LID_HAZARDS = (
    "rotten lid: inlet lid is soft, do not step on it",
    "open riser: fastener missing on the pump tank's lid",
    "tank under deck: hatch in the deck, low head room",
)
ACCESS = (
    "Second drive after the white mailbox.",
    "Gate opens outward; leave it as you found it.",
    "Turn-around at the barn; do not use the lawn.",
    "Park on the road, the drive is too steep for a trailer.",
    "Blue reflector at the lane's mouth; no number on the house.",
    "Lane floods first at the dip; turn round if there is water in it.",
    "Drive shared with the neighbour; keep it clear.",
)
GATE = (
    "Chain on the post, key under the third stone.",
    "Keypad on the left post.",
    "Call from the gate; no keypad.",
    "Bolt on the inside, reach over.",
)
PRIVATE = (
    "Prefers to be called after noon.",
    "Was not content with the last bill; be patient.",
    "Hard of hearing: knock loudly.",
    "Owner pays late; office to be asked before extra work.",
    "Caretaker has the key to the panel.",
)
WEEKLY: tuple[tuple[tuple[str, str, str], ...], ...] = (
    (("mon-fri", "08:00", "12:00"),),
    (("mon-fri", "12:30", "17:00"),),
    (("mon-fri", "09:00", "15:00"),),
    (("mon, wed, fri", "08:00", "17:00"),),
    (("tue, thu", "08:30", "16:30"),),
    (("tue", "09:00", "11:30"), ("thu", "13:00", "17:00")),
    (("mon-thu", "07:00", "10:00"), ("mon-thu", "15:00", "18:00")),
    (("daily", "07:00", "19:00"),),
    (("mon-sat", "10:00", "16:00"),),
)
VILLAGES: tuple[tuple[str, float, float], ...] = (
    ("Sedgeby", 200, 1_400), ("Otterbank", 6_400, -500), ("Millhaver", 11_950, 860),
    ("Cindle Ford", 17_330, -380), ("Larkhollow", 20_500, 1_020), ("Upper Thane", 23_180, 620),
)  # fmt: skip


@dataclass(slots=True)
class Home:
    """One site of the firm, with the house that stands on it."""

    key: str
    spot: Spot
    group: str
    kind: str
    cells: Cells
    outline: tuple[Place, ...]
    """The house; its first corner is the reference corner."""
    corner_b: Place | None
    back: float
    """Bearing from the road to the house: the system lies behind [deg]."""
    bedrooms: int
    people: int
    is_vacation: bool
    installed_on: date
    datum: str
    """Vertical datum in which its parts were surveyed; empty if they never were."""
    located: bool = True
    windows: list[Cells] = field(default_factory=list)
    further: list[tuple[str, str]] = field(default_factory=list)
    """Further systems of the site: number and kind."""

    @property
    def corner(self) -> Place:
        """The reference corner, from which everything is measured."""
        return self.outline[0]


def _feet(length_m: float) -> float:
    return length_m / 0.3048


def nearest_village(spot: Spot) -> str:
    """Return the town or village that a home's address names."""
    return min(VILLAGES, key=lambda v: (spot.u - v[1]) ** 2 + (spot.d - v[2]) ** 2)[0]


def household(number: int, group: str, spot: Spot, rng: Random) -> Home:
    """Return one home: its kind of system, its people, its notes and its hours."""
    from demo_sites.county.frame import bearing_deg, distance_m

    kind = rng.choices(KINDS, SHARES[group])[0]
    bedrooms = rng.choices((1, 2, 3, 4, 5), (4, 24, 44, 22, 6))[0]
    people = max(1, min(9, bedrooms + rng.choice((-2, -1, -1, 0, 0, 1))))
    vacation = rng.random() < {"lake": 0.55, "floodway": 0.5, "plain": 0.14, "hill": 0.12}.get(
        group, 0.03
    )
    outline = house(spot.place, spot.heading, rng.uniform(11, 16), rng.uniform(8, 10.5))
    back = _away_from_road(spot)
    corner, b = outline[0], outline[1]
    has_b = rng.random() < 0.3
    age = rng.choices(((1968, 1985), (1986, 2004), (2005, 2024)), (22, 43, 35))[0]
    installed = date(rng.randint(*age), rng.randint(4, 10), rng.randint(1, 28))
    low = spot.zone in {"AE", "A", "AO"} or "0.2" in spot.subtype or group == "edge"
    datum = rng.choices(("NAVD88", "NGVD29", ""), (70, 18, 12) if low else (12, 4, 84))[0]
    key = f"W-{1001 + number}"
    cells = _cells(key, spot, kind, installed.year, rng) | {
        "bedrooms": str(bedrooms),
        "people": str(people),
        "design_flow_gpd": str(max(240, 120 * bedrooms)),
        "installed_on": installed.isoformat(),
        "corner_note": f"{_compass(bearing_deg(spot.place, corner))} corner of the house",
    }
    if has_b:
        cells |= {
            "corner_b_note": f"{_compass(bearing_deg(spot.place, b))} corner of the house",
            "corner_b_bearing_deg": f"{bearing_deg(corner, b):.1f}",
            "corner_b_distance_ft": f"{_feet(distance_m(corner, b)):.1f}",
        }
    if vacation:
        cells |= _vacation(rng)
    home = Home(
        key, spot, group, kind, cells, outline, b if has_b else None, back, bedrooms, people,
        vacation, installed, datum,
    )  # fmt: skip
    home.windows = _windows(home, rng)
    return home


def _away_from_road(spot: Spot) -> float:
    """Return the bearing that leads straight away from the road."""
    from demo_sites.county.frame import bearing_deg
    from demo_sites.county.lines import between, nearest_on

    _, which, share = nearest_on(spot.road.line, spot.place)
    foot = between(spot.road.line[which], spot.road.line[which + 1], share)
    return bearing_deg(foot, spot.place)


def _compass(bearing: float) -> str:
    words = (
        "north",
        "north-east",
        "east",
        "south-east",
        "south",
        "south-west",
        "west",
        "north-west",
    )
    return words[round(bearing / 45) % 8]


def _person(rng: Random) -> tuple[str, str]:
    return rng.choice(GIVEN), rng.choice(FAMILY_FIRST) + rng.choice(FAMILY_LAST)


def _cells(key: str, spot: Spot, kind: str, year: int, rng: Random) -> Cells:
    from demo_sites.county.frame import lon_lat

    given, family = _person(rng)
    lon, lat = lon_lat(spot.place)
    source, exact = rng.choices(
        (("survey", "1"), ("address point", "8"), ("parcel centre", "25")), (35, 45, 20)
    )[0]
    cells = {
        "key": key,
        "lon": f"{lon:.6f}",
        "lat": f"{lat:.6f}",
        "position_source": source,
        "position_accuracy_m": exact,
        "address": f"{spot.number} {spot.road.name or spot.road.address}",
        "town": nearest_village(spot),
        "parcel": f"{int(spot.u // 1000) + 10}-{rng.randint(100, 999)}-{rng.randint(1, 99):03d}",
        "jurisdiction": TOWN if spot.in_town else COUNTY,
        "owner_name": f"{given} {family}",
        "owner_phone": f"555-01{rng.randint(1, 99):02d}",
        "kind": "old tank, field not found" if kind == "unknown" else kind,
        "permit_no": f"{'MH' if spot.in_town else 'WC'}-{year % 100:02d}-{rng.randint(1, 999):04d}",
        "permit_status": rng.choices(("operating", "final", "provisional"), (70, 26, 4))[0],
    }
    if rng.random() < 0.3:
        cells["owner_email"] = f"{given}.{family}@example.org".lower()
    if rng.random() < 0.55:
        cells["access_note"] = rng.choice(ACCESS)
    if rng.random() < 0.3:
        cells["gate_note"] = rng.choice(GATE)
        if "Keypad" in cells["gate_note"]:
            cells["gate_code"] = f"{rng.randint(0, 9999):04d}"
    if rng.random() < 0.15:
        cells["private_note"] = rng.choice(PRIVATE)
    dangers = [rng.choice(HAZARDS)] if rng.random() < 0.36 else []
    dangers += [rng.choice(LID_HAZARDS)] if rng.random() < 0.08 else []
    cells["hazards"] = "; ".join(dangers)
    if rng.random() < 0.24:
        cells["water_available_gal"] = str(rng.choice((30, 50, 100, 200)))
    return cells


def _vacation(rng: Random) -> Cells:
    start, end, share = rng.choice(
        (("05-20", "09-15", "0.32"), ("06-15", "08-31", "0.2"), ("04-15", "10-15", "0.45"))
    )
    return {"occupied_share": share, "season_from": start, "season_to": end}


def _windows(home: Home, rng: Random) -> list[Cells]:
    rows: list[Cells] = []
    if rng.random() < 0.42:
        for weekday, opens, closes in rng.choice(WEEKLY):
            rows.append({"site": home.key, "weekday": weekday, "opens": opens, "closes": closes})
    draw = rng.random()
    if draw < 0.03:
        note = rng.choice(("family gathering", "hay is being cut", "painters on the drive"))
        rows.append({"site": home.key, "date": TODAY.isoformat(), "note": note})
    elif draw < 0.16:
        day = TODAY + timedelta(days=rng.randint(1, 28))
        rows.append({"site": home.key, "date": day.isoformat(), "note": "owner away"})
    elif draw < 0.19:
        rows.append(
            {
                "site": home.key, "date": TODAY.isoformat(), "opens": "13:00", "closes": "15:30",
                "note": "promised on the phone",
            }
        )  # fmt: skip
    return rows


def agreements(homes: list[Home], with_filter: set[str], rng: Random) -> list[Cells]:
    """Return the service agreements: most in force, some lapsed, some homes without one.

    ``with_filter`` holds the numbers of the homes whose tank has an effluent filter.
    """
    rows = []
    for home in homes:
        if rng.random() < 0.14:
            continue
        starts = months_before(TODAY, rng.randint(3, 34))
        term = rng.choice((12, 24, 36))
        ends = months_before(starts, -term) - timedelta(days=1)
        renewal = rng.choice(("by itself, a year at a time", "owner is asked 60 days before"))
        if ends < TODAY and renewal.startswith("by itself"):
            while ends < TODAY:
                ends = months_before(ends + timedelta(days=1), -12) - timedelta(days=1)
        visits, includes = _terms(home, home.key in with_filter)
        rows.append(
            {
                "site": home.key, "starts_on": starts.isoformat(), "ends_on": ends.isoformat(),
                "visits_a_year": visits, "includes": "; ".join(includes),
                "renewal": renewal, "renews_on": (ends + timedelta(days=1)).isoformat(),
            }
        )  # fmt: skip
    return rows


def _terms(home: Home, has_filter: bool) -> tuple[str, list[str]]:
    """Return the visits a year of an agreement and what each includes."""
    if home.further:
        return "1", ["inspection"]
    if home.kind == "secondary treatment":
        return "2", ["treatment check"]
    more = ["filter"] if has_filter else []
    if home.kind in {"gravity", "cesspool", "unknown"}:
        return ("1", more) if more else ("0.5" if home.spot.in_town else "0.333", ["inspection"])
    if home.kind == "holding tank":
        return "1", ["inspection"]
    return "1", ["inspection", *more, "pump test"]
