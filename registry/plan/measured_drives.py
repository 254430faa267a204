"""What drives took, from the notes of days that ran, beside what was estimated."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

from registry.records.day import Day, Stop
from registry.records.day_notes import DayNote, NoteKind
from registry.units import S_PER_MIN

LEFT = (NoteKind.LEFT, NoteKind.DONE, NoteKind.NOT_REACHED)


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredDrive:
    """One drive from gate to gate: as noted, and as estimated with the classes of its roads.

    ``classes_m`` may count a metre twice, under its class and under ``gravel`` or ``private``.
    """

    on_date: date
    technician: str
    begins: str
    ends: str
    measured_s: float
    estimated_s: float = 0.0
    length_m: float = 0.0
    classes_m: Mapping[str, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassRatio:
    """How long drives took over how long they were estimated, by the roads of one class.

    Each drive counts by the share of its length on the class. ``length_m`` is the sum of that.
    """

    road_class: str
    drives: int
    length_m: float
    ratio: float


def noted_legs(day: Day, notes: Iterable[DayNote]) -> list[tuple[str, Stop, Stop, float]]:
    """Return technician, both stops and seconds of each drive of which both ends were noted.

    A drive leads from a site that was left (done, or not reached) to the next one on the route of
    the plan in force, where somebody came on site; nothing lies between, neither lunch nor a fill,
    for their minutes are not noted. Notes are in whole minutes, so a drive may miss by one.
    """
    left: dict[int, int] = {}
    came: dict[int, int] = {}
    for one in notes:
        if one.site_id is None:
            continue
        if one.kind in LEFT:
            left[one.site_id] = max(one.at_min, left.get(one.site_id, 0))
        elif one.kind is NoteKind.ON_SITE:
            came[one.site_id] = min(one.at_min, came.get(one.site_id, one.at_min))
    legs = []
    for route in day.routes:
        for a, b in pairwise(route.stops):
            if a.kind != "visit" or b.kind != "visit":
                continue
            if a.site_id in left and b.site_id in came:
                drive_min = came[b.site_id] - left[a.site_id]
                if drive_min > 0:
                    legs.append((route.technician, a, b, float(drive_min * S_PER_MIN)))
    return legs


def class_ratios(drives: Sequence[MeasuredDrive]) -> list[ClassRatio]:
    """Return the ratio of measured to estimated seconds for each class of road that was driven."""
    classes = sorted({word for one in drives for word in one.classes_m})
    return [_ratio(word, drives) for word in classes]


def _ratio(word: str, drives: Sequence[MeasuredDrive]) -> ClassRatio:
    on = [one for one in drives if one.classes_m.get(word, 0.0) > 0 and one.estimated_s > 0]
    share = [one.classes_m[word] / one.length_m if one.length_m else 0.0 for one in on]
    measured = sum(part * one.measured_s for part, one in zip(share, on, strict=True))
    estimated = sum(part * one.estimated_s for part, one in zip(share, on, strict=True))
    return ClassRatio(
        road_class=word,
        drives=len(on),
        length_m=sum(one.classes_m[word] for one in on),
        ratio=measured / estimated if estimated else 0.0,
    )
