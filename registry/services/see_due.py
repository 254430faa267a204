"""The due list: what is owed by some days ahead, oldest first, a page at a time, each with why."""

from dataclasses import dataclass
from datetime import date

from registry.privacy import for_role, require
from registry.records.changes import Viewer
from registry.records.due_rows import DueRow
from registry.store import Session, obligations, rules
from registry.store.scope import scope_of

PAGE = 50
"""Obligations on one page of the list."""

type After = tuple[date, int]
"""Due date and obligation of the last row of a page."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DueView:
    """One page of the due list; ``after`` leads to the next one, None at the end.

    ``reasons`` say by obligation how its date came about, where the viewer may read that; ``tasks``
    are the names of tasks by code.
    """

    on_date: date
    within_days: int
    n_due: int
    n_overdue: int
    rows: tuple[DueRow, ...]
    reasons: dict[int, str]
    tasks: dict[str, str]
    after: After | None


def see_due(
    session: Session,
    viewer: Viewer,
    on_date: date,
    within_days: int,
    after: After | None = None,
) -> DueView:
    """Return obligations due by some days after a date, as a viewer may see them.

    Raises
    ------
    AccessError
        If the role may not see the due list.
    """
    require(viewer, "see the due list")
    scope = scope_of(viewer)
    found = obligations.due_page(session, scope, on_date, within_days, after, PAGE + 1)
    more = len(found) > PAGE
    shown = found[:PAGE]
    ids = {one.obligation_id for one in shown}
    owed = obligations.obligations_of_sites(session, {one.site_id for one in shown})
    return DueView(
        on_date=on_date,
        within_days=within_days,
        n_due=obligations.count_due(session, scope, on_date, within_days),
        n_overdue=obligations.count_overdue(session, scope, on_date),
        rows=tuple(shown),
        reasons={one.id: for_role(one, viewer.role).reason for one in owed if one.id in ids},
        tasks={one.code: one.name for one in rules.task_kinds(session)},
        after=(shown[-1].due_on, shown[-1].obligation_id) if more else None,
    )
