"""What moved from one plan of a date to the next."""

from zoneinfo import ZoneInfo

from registry.plan.day_changes import move_words, moves_between, moves_words, routes_changed
from tests.build import at, day, route, stop

ZONE = ZoneInfo("Etc/GMT+8")


def site(number, hour, minute=0, **fields):
    known = {
        "site_id": number,
        "visit_id": str(number),
        "arrives": at(hour, minute),
        "starts": at(hour, minute),
        "leaves": at(hour + 1),
    }
    return stop(f"A-{number}", **(known | fields))


def other(*stops):
    return route(*stops, technician_id=2, technician="Second Person")


BEFORE = day(route(site(1, 9), site(2, 11), site(3, 13, held=True)), other(site(4, 9)))


def test_a_plan_does_not_differ_from_itself_nor_by_a_few_minutes():
    assert moves_between(BEFORE, BEFORE) == ()
    near = day(route(site(1, 9, 4), site(2, 11), site(3, 13)), other(site(4, 9)))
    assert moves_between(BEFORE, near) == ()
    assert moves_words((), ZONE) == "No visit moved."


def test_visits_moved_added_and_taken_off_are_told_apart():
    after = day(route(site(1, 10), site(5, 11)), other(site(4, 9), site(2, 12)))
    moves = moves_between(BEFORE, after)
    assert [move_words(one, ZONE) for one in moves] == [
        "A-1: Invented Person, 09:00 now 10:00",
        "A-5: now Invented Person 11:00",
        "A-2: Invented Person 11:00, now Second Person 12:00",
        "A-3: was Invented Person 13:00, now on no route",
    ]
    assert [one.promised for one in moves] == [False, False, False, True]
    assert [name for _, name in routes_changed(moves)] == ["Invented Person", "Second Person"]


def test_the_second_person_of_a_visit_is_not_taken_for_the_first():
    both = day(route(site(1, 9)), other(site(1, 9, visit_id="1/second")))
    assert moves_between(both, both) == ()
