"""Bringing the weekly hours of sites up to date, all of a site's at once."""

from collections.abc import Iterable, Mapping

from sqlalchemy import delete, insert
from sqlalchemy.orm import Session

from registry.records.changes import Change
from registry.records.places import ServiceWindow
from registry.store.among import among
from registry.store.history import Author, note_changes
from registry.store.locks import lock_tables
from registry.store.sites import windows_of_sites
from registry.store.tables import ServiceWindowRow

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


def put_windows(
    session: Session,
    wanted: Mapping[int, Iterable[ServiceWindow]],
    by: Author,
    *,
    keep: Iterable[int] = (),
) -> tuple[set[tuple[int, ServiceWindow]], int]:
    """Make the weekly hours of sites what a file says; return what is new and how many went.

    Hours that the file does not name go, except at the sites of ``keep``, of which some rows could
    not be read.
    """
    lock_tables(session, ServiceWindowRow)
    kept = windows_of_sites(session, wanted)
    careful = set(keep)
    new: set[tuple[int, ServiceWindow]] = set()
    gone = 0
    changes: list[Change] = []
    rewritten: dict[int, list[ServiceWindow]] = {}
    for site_id, listed in wanted.items():
        before = kept.get(site_id, [])
        after = _in_order({*listed, *before} if site_id in careful else set(listed))
        new |= {(site_id, one) for one in after if one not in before}
        if after == _in_order(set(before)):
            continue
        gone += sum(one not in after for one in before)
        rewritten[site_id] = after
        changes.append(by.change("site", site_id, "windows", said(before), said(after), site_id))
    session.execute(
        delete(ServiceWindowRow).where(among(session, ServiceWindowRow.site_id, rewritten))
    )
    rows = [
        {
            "site_id": site_id,
            "weekday": one.weekday,
            "opens_min": one.opens_min,
            "closes_min": one.closes_min,
        }
        for site_id, after in rewritten.items()
        for one in after
    ]
    if rows:
        session.execute(insert(ServiceWindowRow), rows)
    note_changes(session, changes)
    return new, gone


def said(windows: Iterable[ServiceWindow]) -> str:
    """Return weekly hours as the history shows them."""
    return "; ".join(
        f"{WEEKDAYS[one.weekday]} {_clock(one.opens_min)}–{_clock(one.closes_min)}"
        for one in _in_order(set(windows))
    )


def _in_order(windows: set[ServiceWindow]) -> list[ServiceWindow]:
    return sorted(windows, key=lambda one: (one.weekday, one.opens_min, one.closes_min))


def _clock(minutes: int) -> str:
    return f"{minutes // 60:02}:{minutes % 60:02}"
