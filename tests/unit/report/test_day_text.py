"""A day as text: what a dispatcher hears when it is read aloud."""

from dataclasses import replace
from datetime import date

from registry.report.day_text import day_text, duration, long_date
from tests.build import at, day, route, stop, waiting


def test_a_route_says_when_it_leaves_where_it_calls_and_when_it_is_back() -> None:
    text = day_text(day(route(stop("A-1", 9, tasks=("inspection", "filter"), water_gal=20.0))))
    assert "Invented Person leaves at 08:00 and is back at 16:00: 1 visit" in text
    assert "  09:00  A-1, 9 Invented Lane: inspection, filter, until 10:00, brings 20 gal" in text


def test_a_visit_that_waits_for_its_window_says_when_work_starts() -> None:
    late = stop("A-1", 9, starts=at(9, 30), leaves=at(10, 30))
    assert "starts at 09:30, until 10:30" in day_text(day(route(late)))


def test_lunch_and_filling_are_told_in_words() -> None:
    text = day_text(
        day(
            route(
                stop("A-1", 9), stop("", 11, kind="lunch"), stop("", 12, kind="fill", place="Yard")
            )
        )
    )
    assert "11:00  lunch until 12:00" in text
    assert "12:00  fill the water tank at Yard until 13:00" in text


def test_a_gate_that_was_not_reached_says_so_and_no_more() -> None:
    missed = stop("A-1", 9, kind="missed", tasks=(), place="not reached: 9 Invented Lane")
    assert "  09:00  A-1, not reached: 9 Invented Lane\n" in day_text(
        day(route(stop("A-2", 8), missed, stop("A-3", 10)))
    )


def test_waiting_visits_stand_in_order_of_days_overdue_each_with_its_reason() -> None:
    text = day_text(
        day(
            waiting=(
                waiting("W-1", why="Closed that day."),
                waiting("W-2", days_overdue=12, why="Needs a licence."),
            )
        )
    )
    assert text.index("W-2") < text.index("W-1")
    assert "12 days overdue. Needs a licence." in text
    assert "due on 15 June. Closed that day." in text


def test_a_long_list_is_cut_and_says_how_many_are_left_out() -> None:
    text = day_text(day(waiting=tuple(waiting(f"W-{k}") for k in range(5))), most_waiting=2)
    assert "W-1" in text
    assert "W-2" not in text
    assert "… and 3 visits more." in text


def test_a_technician_without_a_visit_is_named_too() -> None:
    assert "Invented Person: no visit today." in day_text(day(route()))


def test_dates_and_spans_are_in_words() -> None:
    assert long_date(date(2026, 6, 9)) == "Tuesday, 9 June 2026"
    assert duration(3 * 3600 + 300) == "3 h 05 min"
    assert duration(45 * 60) == "45 min"


def test_what_is_proven_of_a_plan_is_told_rounded_up_and_nothing_where_nothing_is() -> None:
    assert "best possible" not in day_text(day())
    assert "from the best possible: at most 0.7 % above it." in day_text(replace(day(), gap=0.0061))
    assert "best possible: it is the best possible, proven." in day_text(replace(day(), gap=0.0))
