"""Two records of one site become one by hand, field by field; what was recorded stays where it is.

The other record stays as a row that points on. Its systems, agreements and promises hang under the
one that holds; its visits, readings, photos and letters are shown there too.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from registry.errors import ConflictError, NotFoundError, RangeError
from registry.privacy import WHERE, require
from registry.records.changes import Viewer
from registry.records.places import LonLat, Site
from registry.services.edit_site import after_edit
from registry.services.file_fields import FILE_FIELDS
from registry.services.recompute_due import recompute_due
from registry.services.see_merge import ACT, KEPT, OTHER, TAKE, MergeView, see_merge
from registry.services.seen_site import seen_site
from registry.store import (
    Author,
    Session,
    file_values,
    history,
    merging,
    places,
)
from registry.store.locks import lock_site


@dataclass(frozen=True, slots=True, kw_only=True)
class Unmerged:
    """What taking a merge back did; ``stayed`` names what was changed since and stays."""

    kept: Site
    other: Site
    stayed: tuple[str, ...]


def merge_sites(
    session: Session,
    viewer: Viewer,
    records: tuple[int, int],
    chosen: Mapping[str, str],
    same: Mapping[int, int] | None,
    now: datetime,
    today: Callable[[str], date],
    *,
    seen: str = "",
) -> int:
    """Merge the second record into the first and return the number of the merge.

    Parameters
    ----------
    chosen
        What holds, by key of a choice; what is not named holds as ``see_merge`` offers it.
    seen
        As ``see_merge`` gave it, empty where nothing was shown.

    Raises
    ------
    ConflictError
        If somebody changed one of them since they were shown.
    AccessError, NotFoundError, RangeError
        As ``see_merge``; or if a choice is none.
    """
    kept_id, other_id = records
    require(viewer, ACT)
    for one in sorted({seen_site(session, viewer, each).id for each in records}):
        lock_site(session, one)
    view = see_merge(session, viewer, kept_id, other_id, same)
    if seen and seen != view.seen:
        raise ConflictError("One of the two records was changed meanwhile. Look at them again.")
    answers = {one.key: chosen.get(one.key, one.chosen) for one in view.choices}
    wrong = [one.label for one in view.choices if answers[one.key] not in one.words]
    if wrong or set(chosen) - set(answers):
        raise RangeError(f"Choose what holds: {', '.join(wrong) or 'a field is named wrong'}.")
    wanted = _wanted(session, view, answers)
    before = file_values.values_of(session, "site", kept_id, tuple(FILE_FIELDS["site"]))
    number = merging.merge(session, kept_id, other_id, wanted, viewer.name, now)
    by = Author(viewer.name, now, f"merge {number}")
    _note(session, view, before, by)
    _work_out(session, view.kept, view.other, now, today)
    return number


def undo_merge(
    session: Session,
    viewer: Viewer,
    merge_id: int,
    now: datetime,
    today: Callable[[str], date],
) -> Unmerged:
    """Take a merge back: both records are as before, but for what was changed since.

    What was recorded meanwhile stays where it was recorded.

    Raises
    ------
    AccessError
        If the role may not merge.
    NotFoundError
        If there is no such merge, or it is not the viewer's.
    ConflictError
        If it was taken back already, or a later one must be taken back first.
    """
    require(viewer, ACT)
    found = next(iter(merging.merges_with(session, merge_id)), None)
    if found is None:
        raise NotFoundError("There is no such merge, or it is not for your sign-in.")
    kept = seen_site(session, viewer, found.site_id)
    other = seen_site(session, viewer, found.merged_id)
    if found.undone_at is not None:
        raise ConflictError("This merge was taken back already.")
    for one in sorted((kept.id, other.id)):
        lock_site(session, one)
    later = [
        one
        for one in merging.merges(session, [kept.id])
        if one.undone_at is None and one.id > found.id
    ]
    if later:
        raise ConflictError(
            f"Merge {later[0].id} came later and builds on this one. Take that one back first."
        )
    before = file_values.values_of(session, "site", kept.id, tuple(FILE_FIELDS["site"]))
    stayed = merging.put_back(session, found.id, viewer.name, now)
    by = Author(viewer.name, now, f"merge {found.id} taken back")
    now_there = file_values.values_of(session, "site", kept.id, tuple(FILE_FIELDS["site"]))
    lines = _lines(kept.id, before, now_there, by)
    lines += [
        by.change("site", other.id, "merged into", kept.key, "", site_id)
        for site_id in (kept.id, other.id)
    ]
    history.note_changes(session, lines)
    _work_out(session, kept, other, now, today)
    return Unmerged(
        kept=kept,
        other=other,
        stayed=tuple(f"{table.replace('_', ' ')}: {name}" for table, _, name in stayed),
    )


def which_merge(session: Session, viewer: Viewer, kept_id: int, other_id: int) -> int:
    """Return the number of the merge in force of one record into another.

    Raises
    ------
    NotFoundError
        If there is none, or a record is not the viewer's.
    """
    for merge, record in merged_here(session, viewer, kept_id):
        if record.id == other_id:
            return merge.id
    raise NotFoundError("The second record is not merged into the first.")


def merged_here(session: Session, viewer: Viewer, site_id: int) -> list[tuple[merging.Merge, Site]]:
    """Return the merges in force into a site, each with the record that points on; newest first.

    Raises
    ------
    NotFoundError
        If the site is not the viewer's.
    """
    site = seen_site(session, viewer, site_id)
    return [
        (one, seen_site(session, viewer, one.merged_id))
        for one in merging.merges(session, [site.id])
        if one.site_id == site.id and one.undone_at is None and one.merged_id != site.id
    ]


def points_to(session: Session, viewer: Viewer, site_id: int) -> tuple[Site, Site] | None:
    """Return a record and the one that it points to, None where it points nowhere.

    Raises
    ------
    NotFoundError
        If it is not the viewer's.
    """
    site = seen_site(session, viewer, site_id)
    if site.merged_into_id is None:
        return None
    return site, seen_site(session, viewer, site.merged_into_id)


def _wanted(session: Session, view: MergeView, answers: Mapping[str, str]) -> merging.Wanted:
    site: dict[str, Any] = {}
    hours = []
    of_system: dict[int, dict[str, Any]] = {}
    for key, answer in answers.items():
        kind, _, rest = key.partition(":")
        if kind == "site" and answer != KEPT:
            if rest in merging.HOURS:
                hours.append(rest)
            else:
                site |= _columns(session, view, rest, answer)
        elif kind == "system" and answer == OTHER:
            system_id, _, name = rest.partition(":")
            value = file_values.values_of(session, "system", int(system_id), [name])
            of_system.setdefault(view.same[int(system_id)], {}).update(value)
    parts = {
        int(key.partition(":")[2])
        for key, answer in answers.items()
        if key.startswith("part:") and answer == TAKE
    }
    return merging.Wanted(
        site=site,
        systems=of_system,
        hours=hours,
        same=view.same,
        components=parts,
        choices=answers,
    )


def _columns(session: Session, view: MergeView, name: str, answer: str) -> dict[str, Any]:
    """Return the columns of the site that holds, with the other record's value or both."""
    names = sorted(WHERE) if name == "position" else [name]
    theirs = file_values.values_of(session, "site", view.other.id, names)
    if name == "position":
        place: LonLat | None = theirs.pop("position")
        return theirs | {"lon": place.lon if place else None, "lat": place.lat if place else None}
    if answer == OTHER:
        return theirs
    mine = file_values.values_of(session, "site", view.kept.id, names)[name]
    if name == "hazards":
        return {name: [*mine, *(one for one in theirs[name] if one not in mine)]}
    return {name: f"{mine}\n{theirs[name]}"}


def _note(session: Session, view: MergeView, before: dict[str, Any], by: Author) -> None:
    """Write down on both records what was merged into what, and which fields changed."""
    after = file_values.values_of(session, "site", view.kept.id, tuple(before))
    lines = _lines(view.kept.id, before, after, by)
    lines += [
        by.change("site", view.other.id, "merged into", "", view.kept.key, site_id)
        for site_id in (view.kept.id, view.other.id)
    ]
    lines += [
        by.change("system", one.id, "site", view.other.key, view.kept.key, view.kept.id)
        for one in view.other_systems
        if one.id not in view.same
    ]
    history.note_changes(session, lines)


def _lines(site_id: int, before: dict[str, Any], after: dict[str, Any], by: Author) -> list[Any]:
    return [
        by.change("site", site_id, name, was, said, site_id)
        for name, was, said in (
            (name, file_values.said_of(name, before[name]), file_values.said_of(name, after[name]))
            for name in before
        )
        if was != said
    ]


def _work_out(
    session: Session, kept: Site, other: Site, now: datetime, today: Callable[[str], date]
) -> None:
    """Work out again what hangs on both records: due dates, flood facts."""
    zone = places.jurisdiction(session, kept.jurisdiction_id).time_zone
    recompute_due(session, today(zone), [kept.id, other.id])
    after_edit(session, kept, ["position"], now, today)
