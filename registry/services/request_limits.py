"""How often one sign-in may ask for what costs: counted in the store, in a sliding window."""

import math
from dataclasses import dataclass
from datetime import datetime, timedelta

from registry.errors import LimitError
from registry.store import Session, requests

WINDOW = timedelta(minutes=10)
"""Common practice, no source; so are the numbers of requests."""


@dataclass(frozen=True, slots=True)
class Limit:
    """At most ``most`` requests in a window; ``step`` of them are counted at once.

    A large step keeps what only looks, such as carrying a visit over the chart, from writing to the
    store each time.
    """

    most: int
    step: int = 1


LIMITS = {
    "records": Limit(600),
    "photos": Limit(600),
    "tries": Limit(3000, step=20),
    "plans": Limit(60),
    "questions": Limit(240),
    "closures": Limit(120),
    "forms": Limit(600),
}
"""Kind of request → limit. A phone that comes back with 200 records and 60 photos stays far below,
and so does a dispatcher who carries visits about all morning, five looks a second."""


def count_requests(session: Session, user_id: int, kind: str, times: int, now: datetime) -> None:
    """Count ``times`` requests of a kind by a sign-in.

    Raises
    ------
    LimitError
        If they are too many; they are not counted, and the error says how long to wait.
    """
    subject, most = f"{kind}:{user_id}", LIMITS[kind].most
    before = requests.requests_since(session, subject, now - WINDOW)
    over = sum(n for _, n in before) + times - most
    if over <= 0:
        requests.note_requests(session, subject, times, now, now - WINDOW)
        return
    free_at = now + WINDOW
    for at, n in before:
        over -= n
        if over <= 0:
            free_at = at + WINDOW
            break
    wait_s = max(1, math.ceil((free_at - now).total_seconds()))
    minutes = math.ceil(wait_s / 60)
    raise LimitError(
        f"This sign-in sent too many requests of one kind ({kind}). Wait {minutes} "
        f"minute{'s' if minutes > 1 else ''}, then go on. What was kept before stays kept.",
        wait_s,
    )
