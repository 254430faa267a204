"""The independent check of the plan against the judge of the published service days.

``service_day.py`` of the reference data makes the days and judges plans ("service-day/1",
"service-plan/1"); it shares no code with this project. Both must say the same of 1,000 plans, on
what they cost too: plans as the search made them, others brought to the last second and litre at
which they hold, and others broken in each way that the format can express.
"""

import json
from collections import Counter
from copy import deepcopy

import numpy as np
import pytest

from registry.plan.breach import BreachKind
from registry.plan.check import breaches, totals_of
from registry.plan.problem import Call
from registry.solvers.instances import plan_document, read_instance
from registry.solvers.ruin_recreate import RuinRecreateSolver
from tests.judge import service_day

DAYS, PLANS_EACH = 25, 40


@pytest.fixture(scope="module")
def judge(reference_data):
    """The generator and checker of service days."""
    return service_day(reference_data)


def a_day(judge, seed, chance):
    """A generated day, with second windows, odd lunches and visits that must be made besides."""
    day = judge.generate(
        24, seed, technicians=3, lunch=seed % 5 != 0, water=seed % 2 == 0, locked=True
    )
    for visit in day["visits"]:
        if visit["windows"] and chance.random() < 0.4:
            closes = visit["windows"][0][1]
            visit["windows"].append([closes + 1800, closes + 5400])
    for who in day["technicians"]:
        if who["lunch"] and chance.random() < 0.5:
            who["lunch"] |= {"from": 12 * 3600, "to": 12 * 3600 + 900, "duration": 3600}
    return day


def problem_of(day, folder):
    """The day as the project reads it."""
    path = folder / "day.json"
    path.write_text(json.dumps(day), encoding="utf-8")
    return read_instance(path)


def good_plan(day, folder, seed):
    """A plan of the project's search, as its document."""
    instance = problem_of(day, folder)
    return plan_document(
        instance, RuinRecreateSolver().solve(instance.problem, rounds=200, seed=seed)
    )


def as_routes(problem, plan):
    """A plan's document as the project's check takes it: what is not known gets number −1."""
    who = {one.id: k for k, one in enumerate(problem.technicians)}
    number_of = {visit.id: i for i, visit in enumerate(problem.visits)}
    routes = [() for _ in problem.technicians]
    for route in plan["routes"]:
        calls = tuple(
            Call(stop["fill"], is_fill=True)
            if "fill" in stop
            else Call(number_of.get(stop["visit"], -1))
            for stop in route["stops"]
        )
        k = who[route["technician"]]
        if routes[k]:
            routes.append(calls)  # a second route of the same technician
        else:
            routes[k] = calls
    return tuple(routes)


def any_of(things, chance):
    return things[int(chance.integers(len(things)))]


def parts(day, plan, chance):
    """A route of the plan, its technician and the visits on it."""
    route = any_of([one for one in plan["routes"] if one["stops"]], chance)
    who = next(one for one in day["technicians"] if one["id"] == route["technician"])
    by_id = {visit["id"]: visit for visit in day["visits"]}
    return route, who, [by_id[stop["visit"]] for stop in route["stops"] if "visit" in stop]


def window(judge, day, plan, chance):
    """A window closes before the earliest start, or on it, or a second before."""
    route, who, visits = parts(day, plan, chance)
    visit = any_of(visits, chance)
    at = next(n for n, stop in enumerate(route["stops"]) if stop.get("visit") == visit["id"])
    only = {**who, "lunch": None, "end": visit["location"], "shift": [who["shift"][0], 10**6]}
    end, _ = judge.time_route(day, only, route["stops"][: at + 1])
    earliest = end - visit["service_s"]
    visit["windows"] = [[0, earliest - int(chance.integers(0, 2))]]


def lunch(judge, day, plan, chance):
    """Lunch may only start while a service lasts, or a little beside it."""
    _, who, visits = parts(day, plan, chance)
    first = visits[0]
    starts = who["shift"][0] + day["travel_s"][who["start"]][first["location"]]
    first["windows"], first["service_s"] = [[starts, starts]], 7200
    shift = int(chance.integers(-1200, 1200))
    who["lunch"] = {"from": starts + 60, "to": starts + 7200 - 60 + shift, "duration": 900}


def shift(judge, day, plan, chance):
    """The shift ends on the moment of the return, or a second sooner."""
    route, who, _ = parts(day, plan, chance)
    end, _ = judge.time_route(day, who, route["stops"])
    who["shift"][1] = end - int(chance.integers(0, 2))


def skill(judge, day, plan, chance):
    """A technician loses what a visit needs, or a visit needs what the technician may lack."""
    _, who, visits = parts(day, plan, chance)
    visit = any_of(visits, chance)
    if visit["skills"] and chance.random() < 0.5:
        who["skills"] = [word for word in who["skills"] if word not in visit["skills"]]
    else:
        visit["skills"] = [any_of(["electrical", "pump", "uv"], chance)]


def tank(judge, day, plan, chance):
    """The tank holds what the route takes, or a litre less; fill stops are left out."""
    route, who, visits = parts(day, plan, chance)
    route["stops"] = [stop for stop in route["stops"] if "visit" in stop]
    any_of(visits, chance)["water_l"] += 100
    who["tank_l"] = sum(visit["water_l"] for visit in visits) - int(chance.integers(0, 2))


def lock(judge, day, plan, chance):
    """A visit is locked to anybody."""
    _, _, visits = parts(day, plan, chance)
    any_of(visits, chance)["locked"] = {"technician": any_of(day["technicians"], chance)["id"]}


def twice(judge, day, plan, chance):
    """A stop is made once more, by anybody."""
    _, _, visits = parts(day, plan, chance)
    other = any_of(plan["routes"], chance)
    stop = {"visit": any_of(visits, chance)["id"]}
    other["stops"].insert(int(chance.integers(len(other["stops"]) + 1)), stop)


def unknown(judge, day, plan, chance):
    """A stop is at a visit that is not there."""
    route, _, _ = parts(day, plan, chance)
    any_of(route["stops"], chance).clear()
    route["stops"] = [stop or {"visit": "V999"} for stop in route["stops"]]


def two_routes(judge, day, plan, chance):
    """A technician has a second route."""
    route, _, _ = parts(day, plan, chance)
    at = int(chance.integers(1, len(route["stops"]) + 1))
    plan["routes"].append({"technician": route["technician"], "stops": route["stops"][at - 1 :]})
    route["stops"] = route["stops"][: at - 1] or route["stops"][:1]


def required(judge, day, plan, chance):
    """A visit of the plan must be made, and falls out or stays."""
    route, _, visits = parts(day, plan, chance)
    visit = any_of(visits, chance)
    visit["required"] = True
    if chance.random() < 0.7:
        route["stops"].remove({"visit": visit["id"]})


def shuffled(judge, day, plan, chance):
    """Stops change places, fall out, or come in from among those that wait."""
    for _ in range(int(chance.integers(1, 4))):
        route, _, _ = parts(day, plan, chance)
        other = any_of(plan["routes"], chance)
        way = chance.random()
        stop = route["stops"].pop(int(chance.integers(len(route["stops"]))))
        if way < 0.6 or not any(one["stops"] for one in plan["routes"]):
            other["stops"].insert(int(chance.integers(len(other["stops"]) + 1)), stop)
        elif way < 0.9:
            made = {stop.get("visit") for one in plan["routes"] for stop in one["stops"]}
            waiting = [one["id"] for one in day["visits"] if one["id"] not in made]
            at = int(chance.integers(len(other["stops"]) + 1))
            other["stops"].insert(at, {"visit": any_of(waiting, chance)})


def untouched(judge, day, plan, chance):
    """The plan as the search made it."""


WAYS = [window, lunch, shift, skill, tank, lock, twice, unknown, two_routes, required, shuffled]

KIND_OF = {
    window: BreachKind.WINDOW,
    lunch: BreachKind.LUNCH,
    shift: BreachKind.SHIFT,
    skill: BreachKind.SKILL,
    tank: BreachKind.WATER,
    lock: BreachKind.HELD,
    twice: BreachKind.TWICE,
    unknown: BreachKind.UNKNOWN,
    two_routes: BreachKind.ROUTES,
    required: BreachKind.REQUIRED,
}


def judged(judge, day, plan):
    """What the judge says of a plan; None where it knows no such visit."""
    try:
        return judge.evaluate(day, plan)
    except KeyError:
        return None


def test_the_check_and_the_judge_say_the_same_of_1000_plans_good_and_broken(judge, tmp_path):
    chance = np.random.default_rng(1)
    told: Counter[tuple[str, bool]] = Counter()
    kinds: Counter[BreachKind] = Counter()
    for seed in range(1, DAYS + 1):
        fresh = a_day(judge, seed, chance)
        good = good_plan(fresh, tmp_path, seed)
        for number in range(PLANS_EACH):
            day, plan = deepcopy(fresh), deepcopy(good)
            way = WAYS[number % len(WAYS)] if number % 40 < 33 else untouched
            way(judge, day, plan, chance)
            problem = problem_of(day, tmp_path).problem
            routes = as_routes(problem, plan)
            answer = judged(judge, day, plan)
            found = breaches(problem, routes)
            feasible = answer is not None and answer["feasible"]
            assert feasible is not bool(found), (seed, way.__name__, answer, found)
            if answer is not None and len(routes) == len(problem.technicians):
                totals = totals_of(problem, routes)
                assert answer["cost"] == totals.cost
                assert answer["driving_s"] == totals.drive_s
                assert answer["served"] == totals.served
            told[way.__name__, feasible] += 1
            kinds.update({one.kind for one in found})
    assert sum(told.values()) == 1000
    assert sum(count for (_, feasible), count in told.items() if feasible) >= 250
    for way, kind in KIND_OF.items():
        assert told[way.__name__, False] >= 15, way.__name__
        assert kinds[kind] >= 15, kind
