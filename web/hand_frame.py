"""What the charts of a day that is changed by hand share, so that few of them are drawn anew.

While a day is changed the axes only grow, and with room to spare: of all charts only those of the
technicians concerned are sent. A mark goes to the page and comes back with its next question.
"""

import re
from collections.abc import Collection
from dataclasses import dataclass
from datetime import UTC, datetime

from registry.records.day import Day
from web.draw.chart_axes import Span, span_of
from web.draw.time_distance import LINES_A_PANEL

MARK = re.compile(r"(\d{1,12})_(\d{1,12})_(\d{1,9})_((?:\d+\.)*)", re.ASCII)


@dataclass(frozen=True, slots=True)
class Frame:
    """The axes of the charts, None where nobody drives, and who has a line, in order."""

    span: Span | None
    ids: tuple[int, ...]

    @property
    def mark(self) -> str:
        """The frame as a text that a page gives back."""
        if self.span is None:
            return ""
        first, last = self.span.first.timestamp(), self.span.last.timestamp()
        ids = "".join(f"{one}." for one in self.ids)
        return f"{first:.0f}_{last:.0f}_{self.span.most_s:.0f}_{ids}"

    def panels(self) -> list[tuple[int, ...]]:
        """Return whose lines stand on each chart."""
        return [self.ids[at : at + LINES_A_PANEL] for at in range(0, len(self.ids), LINES_A_PANEL)]


def frame_from(mark: str) -> Frame:
    """Return the frame of a mark; one without axes where the mark is none of ours."""
    found = MARK.fullmatch(mark)
    if found is None:
        return Frame(None, ())
    first, last = (datetime.fromtimestamp(int(found[at]), UTC) for at in (1, 2))
    if first >= last or int(found[3]) == 0:
        return Frame(None, ())
    ids = tuple(int(one) for one in found[4].split(".") if one)
    return Frame(Span(first, last, float(found[3])), ids)


def frame_of(day: Day, zone: str, shown: Frame) -> Frame:
    """Return the frame of a day for a page that shows another one: its axes, grown if need be."""
    busy = [one for one in day.routes if one.stops]
    if not busy:
        return Frame(None, ())
    span = span_of(busy, zone)
    if shown.span is not None:
        span = shown.span.grown(span)
    return Frame(span, tuple(one.technician_id for one in busy))


def to_draw(frame: Frame, shown: Frame, touched: Collection[int]) -> set[int] | None:
    """Return the charts, by number, that differ from those shown; None = all.

    ``touched`` are the technicians, by id, whose routes have changed.
    """
    mine, theirs = frame.panels(), shown.panels()
    if frame.span != shown.span or len(mine) != len(theirs):
        return None
    return {
        number
        for number, (now, before) in enumerate(zip(mine, theirs, strict=True))
        if now != before or set(now) & set(touched)
    }
