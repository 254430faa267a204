"""The time–distance chart and its table."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from itertools import combinations, pairwise
from zoneinfo import ZoneInfo

import pytest

from registry.records.day import Day, RoadsUsed, Route, Stop
from registry.records.places import LonLat
from registry.report.ink import PEN
from tests.build import day as a_day
from tests.build import route as a_route
from tests.build import stop as a_stop
from tests.unit.draw.reading import (
    SVG,
    assert_stands_alone_and_is_named,
    description,
    read,
    said,
    title,
)
from web.draw.chart_axes import Axes, furthest_s, hours_of, tick_step_min
from web.draw.chart_lines import map_hands
from web.draw.chart_table import chart_table
from web.draw.time_distance import Band, time_distance_charts

ZONE = "America/Denver"
ON = date(2026, 3, 3)


def at(hour: float, on: date = ON) -> datetime:
    """Return a local moment of the day."""
    midnight = datetime(on.year, on.month, on.day, tzinfo=ZoneInfo(ZONE)).astimezone(UTC)
    return midnight + timedelta(hours=hour)


def visit(site_id: int, arrives: float, leaves: float, yard_min: float, **more: object) -> Stop:
    """Return a visit; hours are local."""
    starts = more.pop("starts", arrives)
    assert isinstance(starts, float | int)
    return Stop(
        site_id=site_id,
        site=f"R-{site_id:04d}",
        lon_lat=LonLat(0, 0),
        arrives=at(arrives),
        starts=at(starts),
        leaves=at(leaves),
        yard_s=60 * yard_min,
        **more,  # type: ignore[arg-type]  # the record checks its own fields
    )


def route(number: int, stops: list[Stop], leaves: float = 8.0, returns: float = 16.0) -> Route:
    """Return one technician's route."""
    return Route(
        technician_id=number,
        technician=f"Technician {number}",
        initials=f"T{number}",
        leaves=at(leaves),
        returns=at(returns),
        shift=(at(7.5), at(17)),
        start=LonLat(0, 0),
        end=LonLat(0, 0),
        drive_s=3600,
        drive_m=40_000,
        wait_s=0,
        stops=tuple(stops),
    )


def day(*routes: Route) -> Day:
    """Return a day of these routes."""
    return Day(on_date=ON, routes=routes, waiting=(), cost=0, roads=RoadsUsed(source="drawn"))


def busy_day(technicians: int, visits: int) -> Day:
    """Return a full day in which every technician makes the same number of visits."""
    each = 8.5 / visits
    return day(
        *(
            route(
                n,
                [
                    visit(
                        100 * n + k,
                        8.2 + k * each + (n % 4) * 0.05,
                        8.2 + (k + 0.75) * each,
                        5 + (7 * k + 11 * n) % 60,
                    )
                    for k in range(visits)
                ],
                returns=17.0,
            )
            for n in range(technicians)
        )
    )


def test_a_day_is_one_picture_that_stands_alone_and_tells_itself() -> None:
    (svg,) = time_distance_charts(day(route(1, [visit(5, 8.5, 9.5, 30)])), ZONE)
    assert_stands_alone_and_is_named(svg)
    assert title(svg) == "Time–distance chart, Tuesday 3 March 2026"
    assert "Technician 1 leaves at 8:00, makes 1 visit and returns at 16:00." in description(svg)
    assert "8:30" in said(svg)


def test_visits_are_labelled_with_their_arrival_in_the_countys_zone() -> None:
    stops = [visit(1, 9.1, 10, 20), visit(2, 10.5, 11, 30)]
    shown = said(time_distance_charts(day(route(1, stops)), ZONE)[0])
    assert {"9:06", "10:30"} <= set(shown)


def axes(first: datetime, last: datetime) -> Axes:
    """Return axes of 100 by 100."""
    return Axes(0, 100, 0, 100, first, last, 3600, ZONE)


def test_time_runs_evenly_over_the_hour_that_the_clock_skips() -> None:
    # US daylight saving time begins on 8 March 2026 at 2:00 (15 U.S.C. 260a; from memory).
    spring = datetime(2026, 3, 8, 0, 0, tzinfo=ZoneInfo(ZONE))
    four = datetime(2026, 3, 8, 4, 0, tzinfo=ZoneInfo(ZONE))
    drawn = axes(spring.astimezone(UTC), spring.astimezone(UTC) + timedelta(hours=10))
    assert drawn.x(four) == pytest.approx(30.0)


def test_the_axis_takes_in_every_route_by_whole_local_hours() -> None:
    early, late = route(1, [], 7.4, 12), route(2, [], 8, 17.2)
    assert hours_of([early, late], ZONE) == (at(7), at(18))
    short = hours_of([route(1, [], 8.5, 9)], ZONE)
    assert short == (at(8), at(12))


@pytest.mark.parametrize(("furthest", "top"), [(55, 60), (9.6, 12), (0, 1), (60, 75), (119, 150)])
def test_the_upright_axis_ends_on_a_whole_step_above_the_furthest_stop(
    furthest: float, top: float
) -> None:
    assert furthest_s([route(1, [visit(1, 9, 10, furthest)])]) / 60 == pytest.approx(top)
    assert furthest_s([route(1, [visit(1, 9, 10, furthest)])]) >= 60 * furthest


def test_the_upright_axis_never_has_more_than_six_steps() -> None:
    assert all(most / tick_step_min(most) <= 6 for most in range(1, 600))


def points(svg: str) -> list[list[tuple[float, float]]]:
    """Return the points of every drawn line."""
    return [
        [(float(x), float(y)) for x, y in (pair.split(",") for pair in node.get("points").split())]
        for node in read(svg).iter(f"{SVG}polyline")
    ]


def test_lines_are_level_on_site_and_sloped_on_the_road() -> None:
    (svg,) = time_distance_charts(day(route(1, [visit(1, 9, 10, 20), visit(2, 11, 12, 40)])), ZONE)
    (drawn,) = points(svg)
    slopes = [after[1] - before[1] for before, after in pairwise(drawn)]
    assert [slope == 0 for slope in slopes] == [False, True, False, True, False]
    assert slopes[0] < 0 < slopes[-1]
    assert all(after[0] > before[0] for before, after in pairwise(drawn))


def at_home(number: int, stops: list[Stop], home_min: float) -> Route:
    """Return the route of who lives so many minutes from the yard."""
    home_s = 60 * home_min
    return replace(route(number, stops), start_yard_s=home_s, end_yard_s=home_s)


def test_who_leaves_from_home_starts_and_ends_at_the_height_of_home() -> None:
    from_yard = at_home(1, [visit(1, 9, 10, 20)], 0)
    from_home = at_home(2, [visit(2, 11, 12, 20)], 40)
    (svg,) = time_distance_charts(day(from_yard, from_home), ZONE)
    yard, home = points(svg)
    assert yard[0][1] == yard[-1][1] > yard[1][1] > home[0][1] == home[-1][1]
    assert home[1][1] > home[0][1]  # the way to the site leads toward the yard
    assert yard[1][1] == pytest.approx(home[1][1], abs=3)  # both visits: 20 min from the yard
    assert "Technician 2 leaves, 40 min from the yard, at 8:00" in description(svg)
    assert {"yard", "Height: driving time from the yard."} <= set(said(svg))


def test_a_home_beyond_all_stops_lies_within_the_axes() -> None:
    assert furthest_s([at_home(1, [visit(1, 9, 10, 5)], 55)]) / 60 == pytest.approx(60)


def test_a_day_without_a_yard_says_that_heights_are_from_each_routes_start() -> None:
    shown = said(time_distance_charts(day(route(1, [visit(1, 9, 10, 20)])), ZONE)[0])
    assert {"start", "Height: driving time from where each route starts."} <= set(shown)
    assert "yard" not in shown


def test_lunch_is_a_gap_at_the_place_where_the_technician_is() -> None:
    lunch = Stop(kind="lunch", arrives=at(12), starts=at(12), leaves=at(12.5))
    stops = [visit(1, 9, 12, 40), lunch, visit(2, 13, 14, 20)]
    (svg,) = time_distance_charts(day(route(1, stops)), ZONE)
    before, after = points(svg)
    assert before[-1][1] == after[0][1]
    assert before[-1][0] < after[0][0]
    assert "lunch" in said(svg)


def test_lunch_at_a_gate_is_a_gap_at_the_gate_and_the_line_never_turns_back() -> None:
    lunch = Stop(kind="lunch", arrives=at(11.5), starts=at(11.5), leaves=at(12), yard_s=1200)
    stops = [visit(1, 9, 11, 40), lunch, visit(2, 11.25, 13, 20, starts=12)]
    shown = day(route(1, stops))
    before, after = points(time_distance_charts(shown, ZONE)[0])
    assert before[-2][1] == before[-1][1] == after[0][1]
    assert before[-1][0] < after[0][0]
    for run in (before, after):
        assert all(here[0] <= there[0] for here, there in pairwise(run))
    rows = chart_table(shown, ZONE)
    assert (rows[1].site, rows[1].place) == ("Lunch", "at the gate of R-0002")
    assert (rows[2].arrives, rows[2].starts, rows[2].waits) == ("11:15", "12:00", "")


def test_the_map_draws_a_line_with_the_dashes_of_the_chart_in_widths_of_the_line() -> None:
    hands = map_hands()
    assert [len(hand["dash"]) % 2 for hand in hands] == [0, 0, 0, 0]
    assert hands[0]["dash"] == []
    assert [round(one * PEN) for one in hands[1]["dash"]] == [8, 4]
    assert len({(str(hand["dash"]), hand["bar"]) for hand in hands}) == len(hands)


def test_lines_of_a_chart_differ_by_dash_and_are_named_at_both_ends() -> None:
    (svg,) = time_distance_charts(busy_day(4, 3), ZONE)
    dashes = [node.get("stroke-dasharray") for node in read(svg).iter(f"{SVG}polyline")]
    assert len(set(dashes)) == 4
    for initials in ("T0", "T1", "T2", "T3"):
        assert said(svg).count(initials) == 3


def test_windows_are_brackets_that_stay_open_past_the_axes() -> None:
    inside = visit(1, 9, 10, 20, window=(at(8.5), at(11)))
    (svg,) = time_distance_charts(day(route(1, [inside])), ZONE)
    past = visit(1, 9, 10, 20, window=(at(8.5), at(23)))
    (open_svg,) = time_distance_charts(day(route(1, [past])), ZONE)
    assert (svg.count("v-4.5"), open_svg.count("v-4.5")) == (2, 1)


def test_bands_are_cut_to_the_hours_shown_and_said() -> None:
    bands = [
        Band(at(14.5), at(30), "low road under water from 14:30"),
        Band(at(9), at(10), "bridge closed", "closure"),
        Band(at(20), at(22), "never seen"),
    ]
    (svg,) = time_distance_charts(busy_day(2, 4), ZONE, bands)
    assert_stands_alone_and_is_named(svg)
    assert "low road under water from 14:30" in said(svg)
    assert "bridge closed" in said(svg)
    assert "never seen" not in said(svg)


def test_a_day_without_routes_says_so() -> None:
    (svg,) = time_distance_charts(day(), ZONE)
    assert_stands_alone_and_is_named(svg)
    assert "No routes on Tuesday 3 March 2026." in said(svg)
    assert chart_table(day(), ZONE) == ()


def test_a_technician_without_visits_is_named_and_has_no_line() -> None:
    (svg,) = time_distance_charts(day(route(1, [visit(1, 9, 10, 20)]), route(2, [])), ZONE)
    assert "no visits" in said(svg)
    assert len(points(svg)) == 1


def test_names_from_outside_are_text() -> None:
    nasty = visit(1, 9, 10, 20)
    evil = day(route(1, [nasty]))
    renamed = Day(
        on_date=ON,
        routes=(
            Route(
                **{
                    **{f: getattr(evil.routes[0], f) for f in Route.__dataclass_fields__},
                    "technician": "<b onload=alert(1)>",
                    "initials": "&<",
                }
            ),
        ),
        waiting=(),
        cost=0,
        roads=RoadsUsed(source="drawn"),
    )
    (svg,) = time_distance_charts(renamed, ZONE)
    assert_stands_alone_and_is_named(svg)
    assert "&<" in said(svg)


def time_boxes(svg: str) -> list[tuple[float, float, float, float]]:
    """Return left, top, right, bottom of every arrival time, by the widest font's letters."""
    found = []
    for node in read(svg).iter(f"{SVG}text"):
        text = node.text or ""
        if node.get("font-size") == "11.5" and ":" in text and len(text) <= 5:
            x, y = float(node.get("x")), float(node.get("y"))
            found.append((x, y - 9, x + 0.6 * 11.5 * len(text), y + 1))
    return found


def test_four_hundred_visits_are_drawn_and_no_two_arrival_times_overlap() -> None:
    charts = time_distance_charts(busy_day(40, 10), ZONE)
    assert len(charts) == 10
    shown = 0
    for svg in charts:
        boxes = time_boxes(svg)
        shown += len(boxes)
        for one, other in combinations(boxes, 2):
            apart = (
                one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]
            )
            assert apart
    assert shown >= 390
    missing = sum("no room" in svg for svg in charts)
    assert (shown == 400) == (missing == 0)


def test_many_charts_share_no_id() -> None:
    ids = [
        node.get("id")
        for svg in time_distance_charts(busy_day(9, 2), ZONE, ident="day")
        for node in read(svg).iter()
        if node.get("id")
    ]
    assert len(ids) == len(set(ids))


def test_the_table_says_every_stop_that_the_chart_draws() -> None:
    lunch = Stop(kind="lunch", arrives=at(12), starts=at(12), leaves=at(12.5))
    stops = [
        visit(
            7, 8.5, 10, 30, starts=9, window=(at(9), at(11)), held=True, drive_s=1800, drive_m=32187
        ),
        lunch,
        visit(8, 13, 14, 10, drive_s=900, drive_m=4000),
    ]
    rows = chart_table(day(route(1, stops)), ZONE)
    assert [row.kind for row in rows] == ["visit", "lunch", "visit", "home"]
    first = rows[0]
    assert (first.arrives, first.starts, first.leaves) == ("8:30", "9:00", "10:00")
    assert (first.site, first.window, first.waits) == ("R-0007", "9:00–11:00", "30 min")
    assert (first.drive, first.held, first.site_id) == ("30 min, 20.0 mi", True, 7)
    assert (rows[1].site, rows[1].place) == ("Lunch", "on the way")
    assert rows[2].window == "open all day"
    assert (rows[3].site, rows[3].arrives, rows[3].drive) == ("Back", "16:00", "15 min, 2.4 mi")


def test_what_gives_way_is_a_zigzag_with_words_and_stands_in_the_description() -> None:
    late = a_stop("A-1", 9, broken=("12 min late: work must start by 8:48",))
    drawn = time_distance_charts(a_day(a_route(late, broken=("back at 16:10: …",))), "UTC")[0]
    assert drawn.count("v7 l-6,4 12,5 -6,4 v7") == 2 * 2
    assert ">12 min late<" in drawn
    assert "Zigzag: a limit gives way." in drawn
    assert "Invented Person: A-1: 12 min late: work must start by 8:48." in drawn


def test_only_the_panels_asked_for_are_drawn() -> None:
    many = [a_route(a_stop(), technician_id=number) for number in range(9)]
    whole = time_distance_charts(a_day(*many), "UTC")
    assert time_distance_charts(a_day(*many), "UTC", only={1}) == ("", whole[1], "")
