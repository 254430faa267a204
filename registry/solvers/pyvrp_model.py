"""A day as PyVRP takes it, and PyVRP's routes as calls of the day."""

from collections import Counter
from collections.abc import Iterator
from typing import Any, cast

import numpy as np
import pyvrp

from registry.plan.problem import Call, DayProblem, Lunch, Matrix64, OnDuty, RouteCalls
from registry.units import L_PER_GAL

BARRED_S = 2_000_000
"""Distance to a visit that a technician may not make, above any worth; sums stay below 2**31."""
ML_PER_L = 1000
MOST_RELOADS = 4
UNLIMITED = 1_000_000_000


class Model:
    """A day as PyVRP data.

    Technicians that are alike become one vehicle type. A visit with several windows becomes a
    group of clients of which one is made. Fill points become depots where trucks reload.
    """

    def __init__(self, problem: DayProblem) -> None:
        self._problem = problem
        self._lunch = usual_lunch(problem)
        self._visit_of: list[int] = []
        clients, groups = self._clients()
        depots, depot_of = self._depots()
        profiles, matrices = self._profiles()
        types: dict[tuple[tuple[str, Any], ...], list[int]] = {}
        for k, who in enumerate(problem.technicians):
            settings = self._vehicle(who) | {
                "start_depot": depot_of[who.start_place],
                "end_depot": depot_of[who.end_place],
                "profile": profiles[k],
            }
            types.setdefault(tuple(settings.items()), []).append(k)
        self._technicians = list(types.values())
        reload_depots = list(range(len(depot_of), len(depots)))
        self.data = pyvrp.ProblemData(
            [pyvrp.Location(0, 0)] * len(problem.travel_s),
            clients,
            depots,
            [
                pyvrp.VehicleType(
                    num_available=len(alike),
                    reload_depots=reload_depots,
                    max_reloads=MOST_RELOADS if reload_depots else 0,
                    **dict(settings),
                )
                for settings, alike in types.items()
            ],
            cast(Any, matrices),
            cast(Any, [problem.travel_s] * len(matrices)),
            groups,
        )

    def routes_of(self, solution: Any) -> Iterator[tuple[int, RouteCalls]]:  # noqa: ANN401 - PyVRP ships no types
        """Yield (technician, calls) for each route; of technicians alike the first are taken."""
        ends = len(self.data.depots()) - len(self._problem.fills)
        taken: Counter[int] = Counter()
        for route in solution.routes():
            kind = route.vehicle_type()
            calls = tuple(
                Call(self._visit_of[activity.idx])
                if activity.is_client()
                else Call(activity.idx - ends, is_fill=True)
                for activity in list(route)[1:-1]
            )
            yield self._technicians[kind][taken[kind]], calls
            taken[kind] += 1

    def _warped(self, moment_s: int) -> int:
        """Return a moment with the lunch hour taken out of the day."""
        if self._lunch is None:
            return moment_s
        at_s = lunch_moment(self._problem, self._lunch)
        return moment_s if moment_s <= at_s else max(at_s, moment_s - self._lunch.duration_s)

    def _clients(self) -> tuple[list[pyvrp.Client], list[pyvrp.ClientGroup]]:
        """Return one client per window of each visit, and the groups of those of one visit."""
        clients: list[pyvrp.Client] = []
        groups: list[pyvrp.ClientGroup] = []
        for number, visit in enumerate(self._problem.visits):
            in_group = len(visit.windows) > 1
            first = len(clients)
            clients += [
                pyvrp.Client(
                    visit.place,
                    delivery=[visit.demand, int(visit.water_gal * L_PER_GAL * ML_PER_L)],
                    service_duration=visit.service_s,
                    tw_early=self._warped(opens),
                    tw_late=self._warped(closes),
                    prize=0 if visit.required else visit.worth_s,
                    required=visit.required and not in_group,
                    group=len(groups) if in_group else None,
                )
                for opens, closes in visit.windows
            ]
            self._visit_of += [number] * len(visit.windows)
            if in_group:
                members = list(range(first, len(clients)))
                groups.append(pyvrp.ClientGroup(members, required=visit.required))
        return clients, groups

    def _depots(self) -> tuple[list[pyvrp.Depot], dict[int, int]]:
        """Return the places where routes start and end, then the fill points."""
        crew = self._problem.technicians
        ends = sorted({place for who in crew for place in (who.start_place, who.end_place)})
        depots = [pyvrp.Depot(place) for place in ends]
        for fill in self._problem.fills:
            opens, closes = fill.window or (0, UNLIMITED)
            depots.append(
                pyvrp.Depot(
                    fill.place,
                    tw_early=self._warped(opens),
                    tw_late=self._warped(closes),
                    service_duration=fill.service_s,
                )
            )
        return depots, {place: number for number, place in enumerate(ends)}

    def _profiles(self) -> tuple[list[int], list[Matrix64]]:
        """Return each technician's profile, and the distances of each profile."""
        problem = self._problem
        numbers: dict[tuple[bool, ...], int] = {}
        matrices: list[Matrix64] = []
        of_technician = []
        for k in range(len(problem.technicians)):
            able = tuple(problem.may_make(k, i) for i in range(len(problem.visits)))
            if able not in numbers:
                numbers[able] = len(matrices)
                distances = problem.travel_s.copy()
                barred = [v.place for v, may in zip(problem.visits, able, strict=True) if not may]
                open_to = {v.place for v, may in zip(problem.visits, able, strict=True) if may}
                for place in set(barred) - open_to:
                    distances[place, :] = distances[:, place] = BARRED_S
                np.fill_diagonal(distances, 0)
                matrices.append(distances)
            of_technician.append(numbers[able])
        return of_technician, matrices

    def _vehicle(self, who: OnDuty) -> dict[str, Any]:
        """Return the settings of a technician's vehicle type."""
        to_s = self._warped(who.shift_to_s)
        if self._lunch is not None and who.lunch is None:
            to_s = who.shift_to_s
        elif who.lunch is not None and who.lunch != self._lunch:
            to_s = who.shift_to_s - who.lunch.duration_s
        capacity = UNLIMITED if who.capacity is None else who.capacity
        tank_ml = UNLIMITED if who.tank_gal is None else who.tank_gal * L_PER_GAL * ML_PER_L + 1
        return {
            "capacity": (capacity, int(tank_ml)),
            "tw_early": self._warped(who.shift_from_s),
            "tw_late": max(to_s, self._warped(who.shift_from_s)),
        }


def usual_lunch(problem: DayProblem) -> Lunch | None:
    """Return the lunch that most technicians have, None if nobody has one."""
    lunches = Counter(who.lunch for who in problem.technicians if who.lunch is not None)
    return lunches.most_common(1)[0][0] if lunches else None


def lunch_moment(problem: DayProblem, lunch: Lunch) -> int:
    """Return the hour taken out of the day: late, but no service runs past the lunch hours."""
    longest_s = max((visit.service_s for visit in problem.visits), default=0)
    return max(lunch.from_s, lunch.to_s - longest_s)
