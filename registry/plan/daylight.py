"""Sunrise and sunset, so that nobody opens a tank in the dark.

Low-accuracy solar coordinates and the equation of time after Meeus, Astronomical Algorithms, 2nd
edition, chapters 25 and 28; the sun's centre stands 50 arc minutes below the horizon (refraction
and half its width), as almanacs take it. Good to about a minute between the polar circles.
"""

import math
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from registry.records.places import LonLat

SUN_BELOW_HORIZON_DEG = 50 / 60
DEG_PER_H = 15
J2000 = datetime(2000, 1, 1, 12, tzinfo=UTC)
DAYS_PER_CENTURY = 36_525


def sun_up(place: LonLat, on_date: date, zone: ZoneInfo) -> tuple[datetime, datetime] | None:
    """Return when the sun rises and sets at a place on a local date; None where it does not.

    None stands for a day without sunrise or without sunset, near the poles.
    """
    noon = datetime.combine(on_date, time(12), zone).astimezone(UTC)
    midnight = datetime.combine(noon.date(), time(), UTC)
    moments = []
    for sign in (-1, 1):
        moment = noon
        for _ in range(3):  # the sun moves on between noon and its setting
            declination, equation = _sun(moment)
            half = _half_day(place.lat, declination)
            if half is None:
                return None
            highest = midnight + timedelta(hours=12 - place.lon / DEG_PER_H - equation)
            highest += timedelta(days=round((noon - highest) / timedelta(days=1)))
            moment = highest + sign * timedelta(hours=half)
        moments.append(moment.astimezone(zone))
    return moments[0], moments[1]


def _sun(moment: datetime) -> tuple[float, float]:
    """Return the sun's declination in degrees, and the equation of time in hours."""
    century = (moment - J2000) / timedelta(days=DAYS_PER_CENTURY)
    mean_longitude = 280.46646 + century * (36_000.76983 + 0.0003032 * century)
    anomaly = math.radians(357.52911 + century * (35_999.05029 - 0.0001537 * century))
    centre = (
        (1.914602 - century * (0.004817 + 0.000014 * century)) * math.sin(anomaly)
        + (0.019993 - 0.000101 * century) * math.sin(2 * anomaly)
        + 0.000289 * math.sin(3 * anomaly)
    )
    node = math.radians(125.04 - 1934.136 * century)
    longitude = math.radians(mean_longitude + centre - 0.00569 - 0.00478 * math.sin(node))
    tilt = math.radians(23.439291 - 0.0130042 * century + 0.00256 * math.cos(node))
    declination = math.asin(math.sin(tilt) * math.sin(longitude))
    ascension = math.degrees(math.atan2(math.cos(tilt) * math.sin(longitude), math.cos(longitude)))
    equation_deg = (mean_longitude - 0.0057183 - ascension + 180) % 360 - 180
    return math.degrees(declination), equation_deg / DEG_PER_H


def _half_day(lat: float, declination_deg: float) -> float | None:
    """Return the hours between noon and sunset, None where the sun does not cross the horizon."""
    here, there = math.radians(lat), math.radians(declination_deg)
    low = -math.sin(math.radians(SUN_BELOW_HORIZON_DEG))
    cosine = (low - math.sin(here) * math.sin(there)) / (math.cos(here) * math.cos(there))
    return math.degrees(math.acos(cosine)) / DEG_PER_H if abs(cosine) <= 1 else None
