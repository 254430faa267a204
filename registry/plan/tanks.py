"""Whether water and room for septage last from one fill or disposal to the next."""

import math

from registry.plan.problem import WATER_SLACK_GAL, DayProblem, RouteCalls


def tanks_last(problem: DayProblem, technician: int, calls: RouteCalls) -> bool:
    """Tell whether water and room for septage last from one fill or disposal to the next."""
    return empty_at(problem, technician, calls) is None


def empty_at(problem: DayProblem, technician: int, calls: RouteCalls) -> tuple[int, bool] | None:
    """Return at which call a tank does not last, and whether it is room for septage that lacks."""
    who = problem.technicians[technician]
    tank_gal = math.inf if who.tank_gal is None else who.tank_gal + WATER_SLACK_GAL
    room_gal = math.inf if who.room_gal is None else who.room_gal + WATER_SLACK_GAL
    used_gal, aboard_gal = who.water_used_gal, who.septage_gal
    for at, call in enumerate(calls):
        if call.is_fill and problem.fills[call.which].empties:
            aboard_gal = 0.0
        elif call.is_fill:
            used_gal = 0.0
        else:
            used_gal += problem.visits[call.which].water_gal
            aboard_gal += problem.visits[call.which].septage_gal
        if used_gal > tank_gal or aboard_gal > room_gal:
            return at, used_gal <= tank_gal
    return None
