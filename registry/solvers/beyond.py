"""What the libraries for plain vehicle routing cannot express of a day."""

from registry.errors import PlanError
from registry.plan.problem import ANYWHERE, DayProblem


def beyond_plain(problem: DayProblem) -> tuple[str, ...]:
    """Return in words which features of a day only our own search knows."""
    crew, visits = problem.technicians, problem.visits
    features = {
        "overtime": any(who.overtime_s for who in crew),
        "a limit on driving": any(who.most_drive_s is not None for who in crew),
        "even work": any(who.even_s is not None for who in crew),
        "septage": any(who.room_gal is not None for who in crew),
        "a tank that is not full": any(who.water_used_gal for who in crew),
        "trucks with roads of their own": any(who.table for who in crew),
        "a price for moving a visit": any(visit.move_price_s or visit.prices_s for visit in visits),
        "linked visits": bool(problem.links),
        "visits made anywhere": any(visit.place == ANYWHERE for visit in visits),
    }
    return tuple(name for name, there in features.items() if there)


def refuse_beyond_plain(problem: DayProblem, engine: str) -> None:
    """Refuse a day that a library cannot express.

    Raises
    ------
    PlanError
        Naming the features.
    """
    if names := beyond_plain(problem):
        raise PlanError(f"{engine} cannot express {', '.join(names)}.")
