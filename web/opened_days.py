"""Days that pages have opened to be changed, kept for a while so that each change is quick."""

import secrets
import threading
from collections import OrderedDict
from datetime import date

from registry.services.day_at_hand import DayAtHand

MOST_OPENED = 16
"""Days kept at once; the one that was not asked for longest goes first."""

type _Key = tuple[int, date, str]


class OpenedDays:
    """Opened days by a mark that only the page that opened one knows."""

    def __init__(self) -> None:
        self._days: OrderedDict[_Key, DayAtHand] = OrderedDict()
        self._lock = threading.Lock()

    def keep(self, hand: DayAtHand, mark: str = "") -> str:
        """Keep an opened day and return its mark, a new one where none is given."""
        mark = mark or secrets.token_urlsafe(9)
        with self._lock:
            self._days[hand.day.firm_id, hand.day.on_date, mark] = hand
            while len(self._days) > MOST_OPENED:
                self._days.popitem(last=False)
        return mark

    def find(self, firm_id: int, on_date: date, mark: str) -> DayAtHand | None:
        """Return the day of a mark, None if it is not kept any more or is another firm's."""
        key = (firm_id, on_date, mark)
        with self._lock:
            hand = self._days.get(key)
            if hand is not None:
                self._days.move_to_end(key)
        return hand
