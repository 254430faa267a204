"""Small days for tests of the plan and the solvers, and their best plans by full enumeration."""

from tests.days.best import best_cost
from tests.days.build import ALL_DAY, HOUR, LUNCH, MIN, on_a_line, route, technician, visit
from tests.days.chance import random_day, random_full_day
from tests.days.linked import LinkedDay, linked_days
from tests.days.named import named_days
from tests.days.priced import NamedDay

__all__ = [
    "ALL_DAY",
    "HOUR",
    "LUNCH",
    "MIN",
    "LinkedDay",
    "NamedDay",
    "best_cost",
    "linked_days",
    "named_days",
    "on_a_line",
    "random_day",
    "random_full_day",
    "route",
    "technician",
    "visit",
]
