"""Roads that are closed for hours, in the chart, its table and the words above it."""

import re
from dataclasses import replace

from registry.records.day import ClosedHours
from registry.report.day_text import day_text
from tests.build import ZONE, at, day, route, stop
from web.closed_hours import bands_of, closed_words
from web.draw.chart_table import route_table
from web.draw.time_distance import time_distance_charts

HERE = "Etc/GMT+8"
FORD = ClosedHours(name="the ford", begins=at(12), ends=at(14))
RIVER = ClosedHours(name="Low Road", begins=at(15), ends=at(23).replace(day=16, hour=0))


def shown():
    waits = stop(hour=11, sets_off=at(10, 30), roads=("Waits until 10:30, when Low Road opens.",))
    one = route(waits, roads_back=("Set off by 13:40: the ford closes at 14:00, and …",))
    known = day(one, closed_hours=(FORD, RIVER))
    return replace(known, roads=replace(known.roads, closed=("Mill Lane", "the ford", "Low Road")))


def test_the_closed_roads_are_named_with_their_hours():
    assert ZONE.utcoffset(None).total_seconds() == -8 * 3600
    assert closed_words(shown(), HERE) == [
        "Mill Lane",
        "the ford 12:00–14:00",
        "Low Road 15:00–24:00",
    ]


def test_the_chart_has_a_band_over_the_hours_with_the_roads_name():
    (plain,) = time_distance_charts(shown(), HERE)
    (svg,) = time_distance_charts(shown(), HERE, bands_of(shown(), HERE))
    assert svg.count("<rect") == plain.count("<rect") + 2
    assert "the ford closed 12:00–14:00" in svg
    assert "Low Road closed 15:00–24:00" in svg
    assert "Grey band: a road is closed." in svg
    assert "Grey band" not in plain


def test_who_waits_for_a_road_stands_level_until_setting_off():
    known = shown()
    (svg,) = time_distance_charts(known, HERE)
    points = re.search(r'<polyline points="([^"]+)"', svg)
    assert points is not None
    first, second, third, *_ = (
        tuple(map(float, one.split(","))) for one in points.group(1).split()
    )
    assert first[1] == second[1]
    assert first[0] < second[0] < third[0]
    assert third[1] < second[1]


def test_what_the_roads_mean_for_a_drive_stands_beside_it():
    rows = route_table(shown().routes[0], HERE)
    assert rows[0].roads == ("Waits until 10:30, when Low Road opens.",)
    assert rows[-1].roads[0].startswith("Set off by 13:40")
    told = day_text(shown())
    assert "         Waits until 10:30, when Low Road opens." in told
    assert "  16:00  back. Set off by 13:40" in told
