"""The crew file and the rules file of the invented county, as text."""

from datetime import date

from demo_sites.county.calendar import TODAY
from demo_sites.county.components import NAVD88_ABOVE_NGVD29_FT
from demo_sites.county.frame import lon_lat, place_at
from demo_sites.county.names import COUNTY, FIRM, TECHNICIANS, TOWN
from demo_sites.county.road_plan import bench_d, highway_d

TIME_ZONE = "America/Anchorage"
"""The zone whose standard time, nine hours behind UTC, is the nautical one at 140 W; it has summer
time, so that the demonstration shows that changes of the clock are handled."""
HOSPITAL = "Sedgeby Infirmary, 2 Poultice Lane, 555-0911"
YARD = (12_600.0, 1_640.0)
SHIFTS = (("07:30", "16:30"), ("08:00", "17:00"), ("08:00", "16:30"), ("06:30", "15:00"))
SKILLS = (
    ("panel", "pressure", "treatment"),
    ("panel", "pressure", "vacuum truck"),
    ("panel", "pressure"),
    ("panel",),
)
TRUCKS = (
    ("Heron", 200, 150, 11_000, 9.0),
    ("Bullfrog", 300, 200, 26_000, 10.5),
    ("Wagtail", 150, 100, 9_500, 8.5),
    ("Newt", 120, 100, 8_600, 8.0),
)


def _at(u: float, d: float) -> str:
    lon, lat = lon_lat(place_at(u, d))
    return f"[{lon:.6f}, {lat:.6f}]"


def _words(words: tuple[str, ...]) -> str:
    return "[" + ", ".join(f'"{word}"' for word in words) + "]"


def _licences(number: int) -> list[tuple[str, str, date, date, str]]:
    """Return kind, number, first day, last day and jurisdiction of a technician's licences."""
    far, near = date(2027, 12, 31), date(2026, 12, 31)
    start = date(2021, 1, 1)
    rows = [("maintenance", f"{4100 + number}", start, far if number % 2 else near, COUNTY)]
    town_end = date(2026, 5, 31) if number == 3 else far
    rows.append(("maintenance", f"M-{71 + number}", start, town_end, TOWN))
    if number == 1:
        rows.append(("pumper", "P-218", start, far, ""))
    return rows


def crew() -> str:
    """Return the crew file: the firm, its authorities, its people and what they drive."""
    lines = [
        "# Invented. No firm, person, place or authority in this file is real.",
        f'[firm]\nname = "{FIRM}"\nyard = {_at(*YARD)}\nphone = "555-0100"\n',
    ]
    west, south, east, north = -140.28, 44.84, -139.70, 45.07
    for name, rules, zone_of, offset, trigger, days in (
        (COUNTY, "wendmark", (west, south, east, north), NAVD88_ABOVE_NGVD29_FT, "MN", 30),
        (TOWN, "millhaver", _town_box(), None, "EPA", 15),
    ):
        box = ", ".join(f"{value:.3f}" for value in zone_of)
        lines.append(
            f'[[jurisdiction]]\nname = "{name}"\ntime_zone = "{TIME_ZONE}"\n'
            f'rule_set = "{rules}"\nbox = [{box}]\n'
            + (f"ngvd29_to_navd88_ft = {offset}\n" if offset is not None else "")
            + f'pump_out_trigger = "{trigger}"\nreport_days = {days}\n'
            + (f'hospital = "{HOSPITAL}"\n' if name == COUNTY else "")
        )
    for name, water, hose, weight, height in TRUCKS:
        lines.append(
            f'[[truck]]\nname = "{name}"\nwater_gal = {water}\nhose_ft = {hose}\n'
            f"weight_lb = {weight}\nheight_ft = {height}\n"
        )
    lines += [_technician(number) for number in range(len(TECHNICIANS))]
    for name, spot, minutes in (
        ("Standpipe at the yard", YARD, 12),
        ("Hydrant at Cindle Ford", (17_330.0, bench_d(17_330) - 25), 15),
    ):
        lines.append(
            f'[[fill_point]]\nname = "{name}"\nat = {_at(*spot)}\nminutes = {minutes}\n'
            'opens = "06:00"\ncloses = "18:00"\n'
        )
    lines.append(
        '[[disposal_site]]\nname = "Millhaver treatment works"\n'
        f'at = {_at(13_450.0, bench_d(13_450) - 60)}\nopens = "07:30"\ncloses = "15:30"\n'
        'weekdays = ["mon", "tue", "wed", "thu", "fri"]\nnote = "ticket at the gate"\n'
    )
    return "\n".join(lines)


def _town_box() -> tuple[float, float, float, float]:
    corners = [lon_lat(place_at(u, d)) for u in (10_700, 13_200) for d in (0, 1_900)]
    lons, lats = [one[0] for one in corners], [one[1] for one in corners]
    return min(lons), min(lats), max(lons), max(lats)


def _technician(number: int) -> str:
    name, initials = TECHNICIANS[number]
    shift = SHIFTS[number]
    text = f'[[technician]]\nname = "{name}"\ninitials = "{initials}"\n'
    if number == 2:
        text += f"home = {_at(20_430.0, highway_d(20_430) - 60)}\n"
    text += (
        f'shift = ["{shift[0]}", "{shift[1]}"]\nlunch = ["11:00", "13:30"]\nlunch_min = 30\n'
        f'workdays = ["mon", "tue", "wed", "thu", "fri"]\nskills = {_words(SKILLS[number])}\n'
        f'truck = "{TRUCKS[number][0]}"\n'
    )
    text += f'phone = "555 01{10 + number}"\n'
    if number == 0:
        text += "days_off = [2026-07-03, 2026-08-10]\n"
    for kind, no, first, last, where in _licences(number):
        text += (
            f'\n  [[technician.licence]]\n  kind = "{kind}"\n  number = "{no}"\n'
            f"  valid_from = {first}\n  valid_to = {last}\n"
            + (f'  jurisdiction = "{where}"\n' if where else "")
        )
    return text


def rules() -> str:
    """Return the rules file: the county's and the town's intervals, all invented."""
    pumped = _words(
        ("pump to gravity", "pressure distribution", "mound", "at-grade", "sand filter")
    )
    pressed = _words(("pressure distribution", "mound", "at-grade", "sand filter"))
    return f"""# Invented rules of an invented county and an invented town, as of {TODAY}.
format = "riserway-rules/1"

[rules.wendmark-gravity]
task = "inspection"
months = 36
system_kinds = ["gravity", "cesspool", "unknown"]
jurisdiction = "wendmark"
status = "law"
citation = "Wendmark County Code 8.20.110 (1), invented"

[rules.wendmark-pumped]
task = "inspection"
months = 12
system_kinds = {pumped}
jurisdiction = "wendmark"
status = "law"
citation = "Wendmark County Code 8.20.110 (2), invented"

[rules.wendmark-purge]
task = "purge"
months = 12
system_kinds = {pressed}
jurisdiction = "wendmark"
status = "law"
citation = "Wendmark County Code 8.20.130, invented"

[rules.wendmark-treatment]
task = "treatment check"
months = 6
system_kinds = ["secondary treatment"]
jurisdiction = "wendmark"
status = "law"
citation = "Wendmark County Code 8.20.150, invented"

[rules.wendmark-holding-tank]
task = "inspection"
months = 12
system_kinds = ["holding tank"]
jurisdiction = "wendmark"
status = "law"
citation = "Wendmark County Code 8.20.170, invented"

[rules.millhaver-inspection]
task = "inspection"
months = 24
system_kinds = ["gravity", "cesspool", "unknown"]
jurisdiction = "millhaver"
status = "law"
citation = "Millhaver Town Ordinance 41 section 6, invented"
note = "The town looks at gravity systems more often than the county."

[rules.millhaver-pump-test]
task = "pump test"
yearly_by = "06-30"
system_kinds = {pumped}
jurisdiction = "millhaver"
status = "law"
citation = "Millhaver Town Ordinance 41 section 7, invented"
note = "By 30 June each year, whenever the last test was."
"""
