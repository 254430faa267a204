"""What county staff see: overdue systems as count, list and tiles, without private fields."""

from dataclasses import dataclass
from datetime import date

from registry.privacy import require
from registry.records.changes import Viewer
from registry.records.county_numbers import LateShare
from registry.records.due_rows import DueFilter, DueMark, FilterChoices, SavedView, TileRows
from registry.records.places import Box, Jurisdiction
from registry.report.filter_words import filter_words
from registry.services.overdue_known import OverdueKnown, overdue_known
from registry.services.overdue_towns import overdue_towns
from registry.services.saved_views import saved_views
from registry.store import Session, due_filter, due_tiles, inventory, overdue, places, rules
from registry.store.scope import scope_of

PAGE = 50
"""Systems on one page of the list."""

type After = tuple[date, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class OverdueView:
    """One page of the list; ``after`` leads to the next one, None at the end.

    ``tasks`` are the names of tasks by code; ``box`` holds the jurisdictions that are shown, or
    where none states its own the sites; None where there are none. ``shown`` says the filters in
    words, ``known`` what stands behind each system of the page, ``choices`` what can be chosen;
    ``towns`` are the same systems counted by town.
    """

    on_date: date
    n_overdue: int
    marks: tuple[DueMark, ...]
    known: dict[int, OverdueKnown]
    after: After | None
    jurisdictions: dict[int, str]
    tasks: dict[str, str]
    box: Box | None
    shown: str
    choices: FilterChoices
    towns: tuple[LateShare, ...]
    views: tuple[SavedView, ...]


def see_overdue(
    session: Session,
    viewer: Viewer,
    on_date: date,
    which: DueFilter,
    after: After | None = None,
) -> OverdueView:
    """Return overdue systems as a viewer may see them, longest overdue first.

    Raises
    ------
    AccessError
        If the role may not see the county map.
    """
    require(viewer, "see the county map")
    scope = scope_of(viewer)
    marks = overdue.overdue_page(session, scope, on_date, which, after, PAGE + 1)
    more = len(marks) > PAGE
    shown = marks[:PAGE]
    last = shown[-1] if shown else None
    allowed = scope.jurisdiction_ids
    known = [one for one in places.jurisdictions(session) if allowed is None or one.id in allowed]
    names = {one.id: one.name for one in known}
    tasks = {one.code: one.name for one in rules.task_kinds(session)}
    return OverdueView(
        on_date=on_date,
        n_overdue=overdue.count_overdue_systems(session, scope, on_date, which),
        marks=tuple(shown),
        known=overdue_known(session, viewer, shown, on_date),
        after=(last.due_on, last.system_id) if more and last and last.due_on else None,
        jurisdictions=names,
        tasks=tasks,
        box=_around(known, which.jurisdiction_id)
        or inventory.extent(session, scope.narrowed(None, which.jurisdiction_id)),
        shown=filter_words(which, names, tasks),
        choices=due_filter.choices(session, scope),
        towns=tuple(overdue_towns(session, viewer, on_date, which)),
        views=tuple(saved_views(session, viewer)),
    )


def _around(known: list[Jurisdiction], only: int | None) -> Box | None:
    boxes = [one.box for one in known if one.box is not None and only in {None, one.id}]
    if not boxes:
        return None
    return Box(
        west=min(one.west for one in boxes),
        south=min(one.south for one in boxes),
        east=max(one.east for one in boxes),
        north=max(one.north for one in boxes),
    )


def overdue_tile(
    session: Session,
    viewer: Viewer,
    tile: tuple[int, int, int],
    which: DueFilter,
    on_date: date,
) -> TileRows | bytes:
    """Return what one tile (zoom, column, row) of the county map shows.

    PostGIS makes tiles of single marks itself; otherwise the rows are returned.

    Raises
    ------
    AccessError
        If the role may not see the county map.
    """
    require(viewer, "see the county map")
    return due_tiles.tile_made(session, scope_of(viewer), tile, on_date, which)
