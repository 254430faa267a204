"""Two records of one site become one by hand, field by field; what was recorded stays where it is.

The other record stays as a row that points on. Its systems, agreements and promises hang under the
one that holds; its visits, readings, photos and letters are shown there too.
"""

import hashlib
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from registry.errors import ConflictError, NotFoundError, RangeError
from registry.privacy import WHERE, require
from registry.records.changes import Viewer
from registry.records.places import LonLat, Site
from registry.records.systems import System
from registry.services.edit_site import after_edit
from registry.services.file_fields import FILE_FIELDS
from registry.services.recompute_due import recompute_due
from registry.services.seen_site import seen_site
from registry.store import (
    Author,
    Session,
    file_values,
    history,
    merging,
    places,
    proposals,
    systems,
)
from registry.store.locks import lock_site

ACT = "merge two records"
KEPT, OTHER, BOTH = "kept", "other", "both"
TAKE, LEAVE = "take", "leave"
LEFT_OUT = frozenset({"active", "jurisdiction", "position_source", "position_accuracy_m"})
"""Fields that are not chosen by themselves: the place goes with how it is known."""
TOGETHER = ("hazards", "access_note", "gate_note", "private_note", "note")
"""Fields of which both can hold, one after the other: a hazard of either record stays known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One thing to choose: ``kept`` and ``other`` are what each record says, ``words`` the answers.

    ``chosen`` is what holds unless a person says otherwise.
    """

    key: str
    label: str
    kept: str
    other: str
    words: tuple[str, ...]
    chosen: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MergeView:
    """Two records side by side.

    ``same`` are systems of the other record that are systems of the one that holds. ``seen`` tells
    later whether somebody changed one of them meanwhile.
    """

    kept: Site
    other: Site
    kept_systems: tuple[System, ...]
    other_systems: tuple[System, ...]
    same: dict[int, int]
    choices: tuple[Choice, ...]
    seen: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Unmerged:
    """What taking a merge back did; ``stayed`` names what was changed since and stays."""

    kept: Site
    other: Site
    stayed: tuple[str, ...]


def see_merge(
    session: Session,
    viewer: Viewer,
    kept_id: int,
    other_id: int,
    same: Mapping[int, int] | None = None,
) -> MergeView:
    """Return two records with all that is to be chosen between them.

    Parameters
    ----------
    same
        Systems of the other record → the system of the one that holds which each is; None = as it
        looks, a system that is not named is one of its own.

    Raises
    ------
    AccessError
        If the role may not merge.
    NotFoundError
        If one of them is not the viewer's.
    RangeError
        If they cannot be one site, with what is to be done first.
    """
    require(viewer, ACT)
    kept, other = seen_site(session, viewer, kept_id), seen_site(session, viewer, other_id)
    _refuse(session, kept, other)
    mine = tuple(systems.systems_of_site(session, kept.id))
    theirs = tuple(one for one in systems.systems_of_site(session, other.id))
    pairs = _alike(mine, theirs) if same is None else dict(same)
    if not set(pairs) <= {one.id for one in theirs} or not set(pairs.values()) <= {
        one.id for one in mine
    }:
        raise RangeError("Say of each system which one of this site it is, or none.")
    choices = _of_site(session, kept, other)
    for one in theirs:
        if one.id in pairs:
            choices += _of_system(session, one, pairs[one.id], mine)
    return MergeView(
        kept=kept,
        other=other,
        kept_systems=mine,
        other_systems=theirs,
        same=pairs,
        choices=tuple(choices),
        seen=_digest(session, kept, other, mine, theirs),
    )


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
    before = {
        kind: file_values.values_of(session, kind, row_id, tuple(FILE_FIELDS[kind]))
        for kind, row_id in [("site", kept_id)]
    }
    number = merging.merge(session, kept_id, other_id, wanted, viewer.name, now)
    by = Author(viewer.name, now, f"merge {number}")
    _note(session, view, before["site"], by)
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
    found = next((one for one in merging.merges_with(session, merge_id)), None)
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


def _refuse(session: Session, kept: Site, other: Site) -> None:
    """Say what hinders two records from being one site."""
    if kept.id == other.id:
        raise RangeError("These are one record. Name two.")
    for one in (kept, other):
        if one.merged_into_id is not None:
            raise RangeError(f"Record {one.key} was merged already. Look at the list again.")
    if kept.firm_id != other.firm_id:
        raise RangeError("The records belong to two firms. Each firm keeps its own.")
    if kept.jurisdiction_id != other.jurisdiction_id:
        raise RangeError(
            "The records lie in two jurisdictions. Correct that of the wrong one first."
        )
    if proposals.open_proposals(session, other.id):
        raise RangeError(f"Values wait to be settled at {other.key}. Settle them first.")


def _alike(mine: tuple[System, ...], theirs: tuple[System, ...]) -> dict[int, int]:
    """Return which systems look like one: the only ones, or those with one permit."""
    if len(mine) == len(theirs) == 1:
        return {theirs[0].id: mine[0].id}
    permits = {one.permit_no: one.id for one in mine if one.permit_no}
    return {one.id: permits[one.permit_no] for one in theirs if one.permit_no in permits}


def _of_site(session: Session, kept: Site, other: Site) -> list[Choice]:
    names = [name for name in FILE_FIELDS["site"] if name not in LEFT_OUT]
    told = [_said(session, "site", one.id, names) for one in (kept, other)]
    for site, said in zip((kept, other), told, strict=True):
        if said["position"] and site.position_source:
            said["position"] += f" ({site.position_source})"
    return _choices("", "site", names, told[0], told[1])


def _of_system(
    session: Session, theirs: System, mine_id: int, mine: tuple[System, ...]
) -> list[Choice]:
    names = list(FILE_FIELDS["system"])
    told = [_said(session, "system", one, names) for one in (mine_id, theirs.id)]
    found = _choices(f"{theirs.id}:", "system", names, told[0], told[1])
    (here,) = (one for one in mine if one.id == mine_id)
    kinds = {one.kind for one in here.components}
    for part in theirs.components:
        label = part.label or part.kind.value
        found.append(
            Choice(
                key=f"part:{part.id}",
                label=f"Component {label}",
                kept="left with the record that points on",
                other="taken over",
                words=(LEAVE, TAKE),
                chosen=LEAVE if part.kind in kinds else TAKE,
            )
        )
    return found


def _choices(
    prefix: str, kind: str, names: list[str], kept: dict[str, str], other: dict[str, str]
) -> list[Choice]:
    found = []
    for name in names:
        if kept[name] == other[name]:
            continue
        both = kind == "site" and name in TOGETHER and bool(kept[name] and other[name])
        found.append(
            Choice(
                key=f"{kind}:{prefix}{name}",
                label=FILE_FIELDS[kind][name].label,
                kept=kept[name],
                other=other[name],
                words=(KEPT, OTHER, BOTH) if both else (KEPT, OTHER),
                chosen=BOTH if both else KEPT if _says(name, kept[name]) else OTHER,
            )
        )
    return found


def _says(name: str, said: str) -> bool:
    """Tell whether a value says something: an unknown kind and a whole year are as good as none."""
    nothing = {"kind": "unknown", "occupied_share": "1"}
    return said not in {"", nothing.get(name, "")}


def _said(session: Session, kind: str, row_id: int, names: list[str]) -> dict[str, str]:
    now = file_values.values_of(session, kind, row_id, names)
    return {name: file_values.said_of(name, value) for name, value in now.items()}


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


def _digest(
    session: Session,
    kept: Site,
    other: Site,
    mine: tuple[System, ...],
    theirs: tuple[System, ...],
) -> str:
    rows = [("site", kept.id), ("site", other.id)]
    rows += [("system", one.id) for one in (*mine, *theirs)]
    rows += [("component", part.id) for one in (*mine, *theirs) for part in one.components]
    said = [_said(session, kind, row_id, list(FILE_FIELDS[kind])) for kind, row_id in rows]
    return hashlib.sha256(json.dumps([rows, said]).encode()).hexdigest()[:16]


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
