"""Numbers, dates and moments as people read them; units and zones turn to words here only.

Every function takes plain values or records and returns text. None and what cannot be known come
out as words, never as 0, never as -9999.
"""

import math
from collections.abc import Sequence
from datetime import UTC, date, datetime
from fractions import Fraction
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from registry.errors import ConfigError, RangeError
from registry.records.elevation import UNKNOWN_DATUM, Elevation
from registry.records.places import ServiceWindow
from registry.units import FT_PER_M, FT_PER_PACE, IN_PER_FT, M_PER_MI, MIN_PER_DAY, S_PER_MIN

MINUS = "−"
NOTHING = "not recorded"
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
"""Written out here, since a server's language is not the reader's."""
COMPASS = (
    *("N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE"),
    *("S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"),
)


# Numbers


def number(value: float | None, decimals: int = 0, sign: bool = False) -> str:
    """Return a number with thousands marked and a true minus; a rounded zero has no sign."""
    if value is None or not math.isfinite(value):
        return NOTHING
    text = f"{abs(value):,.{decimals}f}"
    if not any(digit in text for digit in "123456789"):
        return text
    if value < 0:
        return MINUS + text
    return "+" + text if sign else text


def count(n: int, thing: str, things: str = "") -> str:
    """Return ``1 site``, ``240 sites``."""
    return f"{number(n)} {thing if n == 1 else things or thing + 's'}"


def share(part: float | None) -> str:
    """Return a share of 0 to 1 as a percentage."""
    return NOTHING if part is None else f"{number(100 * part)} %"


DECIMALS = {"gal": 0, "gpd": 0, "min": 0, "turns": 2} | dict.fromkeys(
    ("ft", "in", "gpm", "psi", "h", "A"), 1
)
"""Digits after the point by unit: what the trade's instruments give."""
DETAIL_UNITS = frozenset({"in", "ft", "gal", "gpm", "min", "psi", "h"})
"""Units that end the name of a detail that a component's source gave."""
UNIT_WORDS = {"count": "", "-": "", "share": "%", "deg": "°", "gal/in": "gal per inch"}


def quantity(value: float | None, unit: str, decimals: int | None = None) -> str:
    """Return a value with its unit; more digits where a small value would read as zero."""
    if value is None or not math.isfinite(value):
        return NOTHING
    if unit == "share":
        return share(value)
    places = DECIMALS.get(unit, 0 if float(value).is_integer() else 2)
    places = places if decimals is None else decimals
    if value and decimals is None and abs(value) < 0.5 * 10.0**-places:
        places = min(places + 2, 4)
    word = UNIT_WORDS.get(unit, unit)
    return f"{number(value, places)} {word}".rstrip()


def feet(length_ft: float | None, decimals: int = 1) -> str:
    """Return a length in feet."""
    return quantity(length_ft, "ft", decimals)


def gallons(volume_gal: float | None) -> str:
    """Return a volume in US gallons."""
    return quantity(volume_gal, "gal")


def feet_inches(length_ft: float | None) -> str:
    """Return ``12 ft 6 in``, to the nearest inch."""
    if length_ft is None or not math.isfinite(length_ft):
        return NOTHING
    whole, inch = divmod(round(abs(length_ft) * IN_PER_FT), int(IN_PER_FT))
    sign = MINUS if length_ft < 0 and (whole or inch) else ""
    if not inch:
        return f"{sign}{whole} ft"
    return f"{sign}{whole} ft {inch} in" if whole else f"{sign}{inch} in"


def inches(length_in: float | None) -> str:
    """Return ``1/8 in``, ``1 1/4 in`` where the value is a whole part of 32, else decimals."""
    if length_in is None or not math.isfinite(length_in):
        return NOTHING
    parts = length_in * 32
    if abs(parts - round(parts)) > 1e-6:
        return quantity(length_in, "in", 2)
    whole, rest = divmod(round(abs(parts)), 32)
    sign = MINUS if parts < 0 else ""
    fraction = str(Fraction(rest, 32)) if rest else ""
    return f"{sign}{' '.join(filter(None, (str(whole) if whole or not rest else '', fraction)))} in"


def detail(name: str, value: str) -> str:
    """Return a detail of a component in words: ``off_in`` and ``14`` give ``off 14 in``."""
    said, _, unit = name.rpartition("_")
    if unit in DETAIL_UNITS and said:
        return f"{said.replace('_', ' ')} {value} {unit}"
    return f"{name.replace('_', ' ')} {value}"


# Heights


def elevation(height: Elevation | None) -> str:
    """Return a height with its vertical datum."""
    if height is None:
        return "elevation unknown"
    if height.datum == UNKNOWN_DATUM:
        return f"{feet(height.value_ft)}, datum unknown"
    return f"{feet(height.value_ft)} {height.datum}"


def freeboard(freeboard_ft: float | None, why: str = "") -> str:
    """Return a height against the base flood elevation (BFE); just under it never reads as 0."""
    if freeboard_ft is None:
        return f"height against BFE unknown: {why}" if why else "height against BFE unknown"
    if freeboard_ft == 0:
        return "at BFE"
    decimals = 1 if abs(freeboard_ft) >= 0.05 else 3
    said = number(freeboard_ft, decimals, sign=True)
    return f"{said} ft above BFE" if freeboard_ft > 0 else f"{said} ft, below BFE"


# Places


def bearing(bearing_deg: float | None) -> str:
    """Return a bearing from true north with its compass point."""
    if bearing_deg is None:
        return NOTHING
    turned = bearing_deg % 360
    return f"{round(turned) % 360}° {COMPASS[round(turned / 22.5) % 16]}"


def paces(distance_ft: float | None) -> str:
    """Return a distance in paces."""
    return NOTHING if distance_ft is None else count(round(distance_ft / FT_PER_PACE), "pace")


def miles(distance_m: float | None) -> str:
    """Return a road distance in miles, in feet under a tenth."""
    if distance_m is None:
        return NOTHING
    distance_mi = distance_m / M_PER_MI
    if distance_mi < 0.1:
        return f"{number(distance_m * FT_PER_M)} ft"
    return f"{number(distance_mi, 1 if distance_mi < 100 else 0)} mi"


def drive(distance_m: float | None, drive_s: float | None) -> str:
    """Return a drive as distance and time."""
    return f"{miles(distance_m)}, {duration(drive_s)}"


# Time


def duration(seconds: float | None) -> str:
    """Return ``1 h 25 min`` from seconds."""
    if seconds is None or not math.isfinite(seconds):
        return NOTHING
    whole = round(abs(seconds) / S_PER_MIN)
    if whole == 0:
        return "0 min" if seconds == 0 else "under 1 min"
    hours, rest = divmod(whole, 60)
    said = " ".join(filter(None, (f"{hours} h" if hours else "", f"{rest} min" if rest else "")))
    return MINUS + said if seconds < 0 else said


def minutes(length_min: float | None) -> str:
    """Return ``1 h 25 min`` from minutes."""
    return duration(None if length_min is None else length_min * S_PER_MIN)


def day(on_date: date | None) -> str:
    """Return ``3 March 2026``."""
    if on_date is None:
        return NOTHING
    return f"{on_date.day} {MONTHS[on_date.month - 1]} {on_date.year}"


def short_day(on_date: date | None) -> str:
    """Return ``3 Mar 2026``."""
    if on_date is None:
        return NOTHING
    return f"{on_date.day} {MONTHS[on_date.month - 1][:3]} {on_date.year}"


def weekday_day(on_date: date) -> str:
    """Return ``Tuesday 3 March 2026``."""
    return f"{WEEKDAYS[on_date.weekday()]} {day(on_date)}"


def local(moment: datetime, zone: str) -> datetime:
    """Return a moment in the county's zone.

    Raises
    ------
    RangeError
        If the moment has no zone of its own.
    ConfigError
        If there is no zone of that name.
    """
    if moment.tzinfo is None:
        raise RangeError(f"{moment} has no time zone, so it cannot be told in {zone}.")
    try:
        return moment.astimezone(ZoneInfo(zone))
    except (ZoneInfoNotFoundError, ValueError, OSError) as wrong:
        raise ConfigError(
            f"There is no time zone “{zone}”. Use a name of the IANA list, such as US/Pacific."
        ) from wrong


def clock(moment: datetime | None, zone: str) -> str:
    """Return the local time of day, ``9:06`` or ``14:30``."""
    if moment is None:
        return NOTHING
    there = local(moment, zone)
    return f"{there.hour}:{there.minute:02d}"


def moment_words(moment: datetime | None, zone: str) -> str:
    """Return day and local time with the zone's letters, which tell a clock's two 1:30s apart."""
    if moment is None:
        return NOTHING
    there = local(moment, zone)
    return f"{short_day(there.date())}, {clock(moment, zone)} {there.tzname()}"


def between(start: datetime, end: datetime) -> str:
    """Return how long it is from one moment to another, over a change of the clock too."""
    return duration((end.astimezone(UTC) - start.astimezone(UTC)).total_seconds())


def clock_of(minute: float) -> str:
    """Return a local time of day from minutes after midnight."""
    return f"{int(minute) // 60}:{int(minute) % 60:02d}"


def window(opens_min: float, closes_min: float) -> str:
    """Return the hours in which an owner opens."""
    if opens_min <= 0 and closes_min >= MIN_PER_DAY:
        return "open all day"
    return f"{clock_of(opens_min)}–{clock_of(closes_min)}"


def week(windows: Sequence[ServiceWindow]) -> list[str]:
    """Return a week's service windows in lines, equal days together; empty where none is set."""
    hours = {
        weekday: ", ".join(
            window(one.opens_min, one.closes_min)
            for one in sorted(windows, key=lambda one: one.opens_min)
            if one.weekday == weekday
        )
        for weekday in sorted({one.weekday for one in windows})
    }
    runs: list[list[int]] = []
    for weekday, said in hours.items():
        if runs and runs[-1][-1] == weekday - 1 and hours[runs[-1][-1]] == said:
            runs[-1].append(weekday)
        else:
            runs.append([weekday])
    return [f"{_run(run)}: {hours[run[0]]}" for run in runs]


def _run(run: list[int]) -> str:
    first, last = WEEKDAYS[run[0]], WEEKDAYS[run[-1]]
    return first if len(run) == 1 else f"{first} to {last}" if len(run) > 2 else f"{first}, {last}"


def lateness(days_overdue: int | None) -> str:
    """Return how late or early a due date is."""
    if days_overdue is None:
        return "no due date yet"
    if days_overdue == 0:
        return "due today"
    days = count(abs(days_overdue), "day")
    return f"{days} overdue" if days_overdue > 0 else f"due in {days}"
