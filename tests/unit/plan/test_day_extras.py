"""What firm and dispatcher ask of a day beyond what is due."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from registry.plan.day_extras import (
    ERRAND,
    KEPT_FREE,
    SECOND_PERSON,
    DayExtras,
    extra_places,
    with_extras,
)
from registry.plan.from_records import day_places, day_problem
from registry.plan.problem import ANYWHERE, DayProblem, Link
from registry.plan.words import WhyWord
from registry.records.crew import DisposalSite, Technician, Truck
from registry.records.places import Firm, LonLat
from registry.records.visits import DueVisit, Errand, Hold, RuleOut, VisitLink

MONDAY = date(2026, 6, 15)
WINTER = date(2026, 12, 14)
YARD = LonLat(-93.0, 44.0)
LAB = LonLat(-93.2, 44.0)
FIRM = Firm(name="Invented Firm", yard=YARD)
HOUR = 3600


def due(site_id: int = 1, **fields) -> DueVisit:
    known = {
        "site_id": site_id,
        "site_key": f"S-{site_id}",
        "lon_lat": LonLat(-93.0 - site_id / 100, 44.2),
        "tasks": ("inspection",),
        "service_min": 60.0,
        "due_on": date(2026, 6, 1),
        "days_overdue": 14,
        "worth_s": 2760.0,
    }
    return DueVisit(**(known | fields))


def worker(number: int = 1, **fields) -> Technician:
    known = {"id": number, "name": f"Worker {number}", "initials": f"W{number}"}
    return Technician(**(known | fields))


def asked(visits, crew=(), extras: DayExtras | None = None, on_date=MONDAY) -> DayProblem:
    crew = crew or [worker(1), worker(2)]
    extras = extras or DayExtras(firm=FIRM, zone="America/Chicago")
    outside = extra_places(extras)
    places = day_places(visits, crew, (), yard=YARD, on_date=on_date, outside=outside)
    travel = np.full((len(places), len(places)), 600.0)
    np.fill_diagonal(travel, 0.0)
    day = day_problem(visits, crew, (), travel, travel, on_date, places=places, yard=YARD)
    return with_extras(day, extras, visits, crew, places, on_date)


def extras(**fields) -> DayExtras:
    return DayExtras(**({"firm": FIRM, "zone": "America/Chicago"} | fields))


def test_overtime_and_the_driving_share_come_with_the_technician():
    who = worker(overtime_min=30, overtime_percent=150, driving_percent=50)
    (found,) = asked([due()], [who]).technicians
    assert (found.overtime_s, found.overtime_percent) == (1800, 150)
    assert found.most_drive_s == 9 * HOUR // 2


def test_promised_hours_narrow_the_windows_of_a_held_visit():
    hold = Hold(site_id=1, on_date=MONDAY, from_min=9 * 60, to_min=9 * 60 + 30)
    day = asked([due(hold=hold, windows=((480, 720), (840, 960)))])
    assert day.visits[0].windows == ((9 * HOUR, 9 * HOUR + 1800),)
    assert day.visits[0].required


def test_what_is_held_for_a_later_date_is_left_for_then():
    later = Hold(site_id=1, on_date=date(2026, 6, 18))
    day = asked([due(1), due(2)], extras=extras(promised_later=(later,)))
    assert [visit.id for visit in day.visits] == ["2"]
    (left,) = day.left_out
    assert left.why_word == WhyWord.ANOTHER_DAY
    assert "2026-06-18" in left.why


def test_hours_promised_when_a_site_is_closed_are_told():
    hold = Hold(site_id=1, on_date=MONDAY, from_min=13 * 60, to_min=14 * 60)
    day = asked([due(hold=hold, windows=((480, 720),))])
    assert day.visits == ()
    (left,) = day.left_out
    assert left.why_word == WhyWord.PROMISED
    assert "13:00–14:00" in left.why


def test_work_ends_before_sunset():
    """Sunset at 44.2 N, 93 W on 14 December is about 16:34 CST."""
    (visit,) = asked([due()], on_date=WINTER).visits
    opens, closes = visit.windows[0]
    assert 7 * HOUR + 30 * 60 < opens < 8 * HOUR
    assert 15 * HOUR + 25 * 60 < closes < 15 * HOUR + 40 * 60


def test_a_site_that_opens_after_dark_is_told_and_promised_hours_may_be_dark():
    late = due(windows=((17 * 60, 19 * 60),))
    (left,) = asked([late], on_date=WINTER).left_out
    assert left.why_word == WhyWord.DARK
    hold = Hold(site_id=1, on_date=WINTER, from_min=17 * 60, to_min=18 * 60)
    assert len(asked([replace(late, hold=hold)], on_date=WINTER).visits) == 1
    night = extras(firm=replace(FIRM, daylight_only=False))
    assert len(asked([late], extras=night, on_date=WINTER).visits) == 1


def test_a_zone_that_does_not_fit_the_place_leaves_the_sun_up():
    """In UTC the sun of 93 W rises about 10:30 and sets after midnight."""
    (visit,) = asked([due()], extras=extras(zone="UTC")).visits
    opens, closes = visit.windows[0]
    assert 10 * HOUR < opens < 11 * HOUR
    assert closes == 24 * HOUR


def test_a_technician_who_is_ruled_out_may_not_make_the_visit():
    day = asked([due()], extras=extras(rule_outs=(RuleOut(site_id=1, technician_id=2),)))
    assert day.may_make(0, 0)
    assert not day.may_make(1, 0)


def test_two_technicians_meet_where_nobody_brings_a_second_person():
    day = asked([due(people=2, skills=("panel",))], [worker(1, skills=("panel",)), worker(2)])
    first, second = day.visits
    assert second.id == first.id + SECOND_PERSON
    assert (second.worth_s, second.skills) == (0, frozenset())
    assert day.links == (Link(first=0, then=1, together=True),)


def test_a_crew_of_two_makes_such_a_visit_alone():
    day = asked([due(people=2)], [worker(1, skills=("two-person crew",)), worker(2)])
    assert day.links == ()
    assert day.visits[0].people == 2


def test_three_people_cannot_meet():
    (left,) = asked([due(people=3)]).left_out
    assert left.why_word == WhyWord.NEEDS_TWO


def test_one_site_follows_another_and_a_wish_without_visit_is_told():
    link = VisitLink(on_date=MONDAY, first_site_id=2, then_site_id=1, same_truck=True)
    lost = VisitLink(on_date=MONDAY, first_site_id=9, then_site_id=1)
    day = asked([due(1), due(2)], extras=extras(links=(link, lost)))
    assert day.links == (Link(first=1, then=0, same_truck=True),)
    assert "1 such wish could not" in day.notes[0]


def test_an_errand_is_a_stop_that_must_be_made():
    errand = Errand(id=7, on_date=MONDAY, name="Laboratory", lon_lat=LAB, to_min=15 * 60)
    day = asked([due()], extras=extras(errands=(errand, replace(errand, id=8, technician_id=9))))
    stop = day.visits[-1]
    assert stop.id == f"{ERRAND}7"
    assert stop.required
    assert stop.windows == ((0, 15 * HOUR),)
    assert [one.id for one in day.left_out] == [f"{ERRAND}8"]


@pytest.mark.parametrize(("weekdays", "sites"), [((0,), 1), ((5,), 0)])
def test_a_vacuum_truck_empties_where_a_disposal_site_is_open(weekdays, sites):
    works = DisposalSite(
        id=3, name="Works", lon_lat=LAB, opens_min=450, closes_min=930, weekdays=weekdays
    )
    truck = Truck(name="Vacuum", septage_gal=2500.0)
    day = asked([due(septage_gal=1000.0)], [worker(truck=truck)], extras(disposal_sites=(works,)))
    assert day.technicians[0].room_gal == 2500.0
    assert day.visits[0].septage_gal == 1000.0
    assert len(day.fills) == sites
    assert all(fill.empties and fill.window == (450 * 60, 930 * 60) for fill in day.fills)


def test_an_even_share_is_a_part_of_all_work_by_length_of_shift():
    """Two visits of an hour and a third for driving, over shifts of 9 and 4.5 hours."""
    crew = [worker(1), worker(2, shift_to_min=12 * 60 + 30)]
    firm = replace(FIRM, even_work_percent=25)
    day = asked([due(1), due(2)], crew, extras(firm=firm))
    assert [who.even_s for who in day.technicians] == [6400, 3200]
    assert {who.uneven_percent for who in day.technicians} == {25}


def test_a_slot_is_kept_free_wherever_somebody_is_by_noon():
    day = asked([due()], extras=extras(firm=replace(FIRM, keep_free_min=60)))
    slot = day.visits[-1]
    assert (slot.id, slot.place, slot.service_s) == (KEPT_FREE, ANYWHERE, HOUR)
    assert slot.windows == ((0, 11 * HOUR),)
    assert slot.required
