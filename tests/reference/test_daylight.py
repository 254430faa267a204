"""Sunrise and sunset against a published worked example.

Reda and Andreas, "Solar Position Algorithm for Solar Radiation Applications", NREL/TP-560-34302,
2008, table A5.1 (values from memory): 39.742476 N, 105.1786 W, 17 October 2003, zone -7 h: sunrise
06:12:43, sunset 17:20:19. That report takes the sunset of the same day in UT, which is the local
evening before.
"""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from registry.plan.daylight import sun_up
from registry.records.places import LonLat

ZONE = ZoneInfo("Etc/GMT+7")
GOLDEN = LonLat(-105.1786, 39.742476)
NEAR = timedelta(seconds=30)


def test_sunrise_is_that_of_the_worked_example():
    sun = sun_up(GOLDEN, date(2003, 10, 17), ZONE)
    assert sun is not None
    assert abs(sun[0] - datetime(2003, 10, 17, 6, 12, 43, tzinfo=ZONE)) < NEAR


def test_sunset_is_that_of_the_worked_example():
    sun = sun_up(GOLDEN, date(2003, 10, 16), ZONE)
    assert sun is not None
    assert abs(sun[1] - datetime(2003, 10, 16, 17, 20, 19, tzinfo=ZONE)) < NEAR


@pytest.mark.parametrize("zone", ["America/Anchorage", "Pacific/Auckland", "UTC", "Asia/Tokyo"])
@pytest.mark.parametrize("lon", [-170.0, -60.0, 0.0, 100.0, 175.0])
def test_sunset_follows_sunrise_also_where_the_zone_does_not_fit_the_place(zone, lon):
    sun = sun_up(LonLat(lon, 45.0), date(2026, 3, 20), ZoneInfo(zone))
    assert sun is not None
    assert timedelta(hours=12) < sun[1] - sun[0] < timedelta(hours=12, minutes=20)


def test_days_without_sunset_have_no_daylight_hours():
    assert sun_up(LonLat(0.0, 80.0), date(2026, 6, 21), ZoneInfo("UTC")) is None
    assert sun_up(LonLat(0.0, 80.0), date(2026, 12, 21), ZoneInfo("UTC")) is None
