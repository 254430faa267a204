"""Deciding which site a row of another source is, and what of it is taken."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime

from registry.errors import NotFoundError, RangeError
from registry.privacy import require
from registry.records.changes import Viewer
from registry.records.foreign_rows import Difference, ForeignSite, ForeignState, MatchOffer
from registry.records.places import Site
from registry.services.locate_sites import ACT
from registry.services.match_load import free_keys
from registry.store import Author, Session, foreign_rows, sites
from registry.store.site_load import SiteLoad

STEP = 2_000
"""Rows that are decided in one piece; bounds memory."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """A site that a row may be, with what speaks for it and the fields in which they differ."""

    site: Site
    offer: MatchOffer
    differences: tuple[Difference, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ToMatch:
    """A row of another source with the sites that it may be, the likeliest first."""

    row: ForeignSite
    candidates: tuple[Candidate, ...]


def matches_to_decide(
    session: Session, viewer: Viewer, *, after: int = 0, limit: int = 50
) -> tuple[list[ToMatch], int]:
    """Return rows that wait, in the order in which they came, and how many there are in all.

    Raises
    ------
    AccessError
        If the role may not decide.
    """
    require(viewer, ACT)
    rows = foreign_rows.open_rows(session, viewer.firm_id, after=after, limit=limit)
    return _compared(session, rows), foreign_rows.open_count(session, viewer.firm_id)


def match_to_decide(session: Session, viewer: Viewer, foreign_id: int) -> ToMatch:
    """Return one row that waits.

    Raises
    ------
    AccessError
        If the role may not decide.
    NotFoundError
        If it does not wait any more.
    """
    require(viewer, ACT)
    rows = foreign_rows.open_rows(session, viewer.firm_id, after=foreign_id - 1, limit=1)
    if not rows or rows[0].id != foreign_id:
        raise NotFoundError("This row is decided already. Look at the list again.")
    return _compared(session, rows)[0]


def decide_same(
    session: Session,
    viewer: Viewer,
    foreign_id: int,
    site_id: int,
    fields: Collection[str] | None,
    now: datetime,
) -> int:
    """Note that a row is a site that is kept, and take fields of it; return how many were taken.

    ``fields`` are names such as ``site.town``; None takes all in which they differ.

    Raises
    ------
    AccessError
        If the role may not decide.
    NotFoundError
        If the row does not wait any more.
    RangeError
        If the site was not offered, or a field does not differ.
    """
    found = match_to_decide(session, viewer, foreign_id)
    mine = next((one for one in found.candidates if one.site.id == site_id), None)
    if mine is None:
        raise RangeError("This site is not one that the row may be. Look at the list again.")
    known = {one.name for one in mine.differences}
    strange = sorted(set(fields or ()) - known)
    if strange:
        raise RangeError(f"{', '.join(strange)} does not differ any more. Look at the row again.")
    chosen = [one for one in mine.differences if fields is None or one.name in fields]
    by = Author(viewer.name, now, found.row.file_name)
    foreign_rows.take(session, [(site_id, chosen)], by)
    foreign_rows.settle(session, {foreign_id: site_id}, ForeignState.SAME, by)
    return len(chosen)


def decide_new(session: Session, viewer: Viewer, foreign_id: int, now: datetime) -> int:
    """Note that a row is none of the sites that are kept: it becomes one; return its id.

    Raises
    ------
    AccessError
        If the role may not decide.
    NotFoundError
        If the row does not wait any more.
    """
    found = match_to_decide(session, viewer, foreign_id)
    row, by = found.row, Author(viewer.name, now, found.row.file_name)
    key = free_keys(session, row.firm_id, [row.key], row.source)[0]
    load = SiteLoad(session=session, firm_id=row.firm_id, by=by)
    columns = {
        kind: {name: [foreign_rows.typed(kind, name, value)] for name, value in values.items()}
        for kind, values in row.says.items()
    }
    like = found.candidates[0].site if found.candidates else None
    place = {"jurisdiction_id": like.jurisdiction_id} if like else {}
    load.put([key], columns["site"], columns["system"], new_site=place)
    site_id = load.touched[0]
    foreign_rows.settle(session, {foreign_id: site_id}, ForeignState.NEW, by)
    return site_id


def decide_sure(
    session: Session, viewer: Viewer, now: datetime, *, takes_all: bool
) -> tuple[int, list[int]]:
    """Decide every row that may be one site only, with the same parcel and the same address.

    ``takes_all`` writes what the rows say into the sites; else the sites stay as they are. Returns
    how many rows were decided, and the sites that changed.

    Raises
    ------
    AccessError
        If the role may not decide.
    """
    require(viewer, ACT)
    count, touched, after = 0, [], 0
    while rows := foreign_rows.open_rows(session, viewer.firm_id, after=after, limit=STEP):
        after = rows[-1].id
        offers = foreign_rows.offers_of(session, [one.id for one in rows])
        sure = [
            (row, offers[row.id][0].site_id)
            for row in rows
            if len(offers.get(row.id, ())) == 1 and offers[row.id][0].is_sure
        ]
        if takes_all:
            found = foreign_rows.differences(session, sure)
            for file_name in {row.file_name for row, _ in sure}:
                taken = [
                    (site_id, each)
                    for (row, site_id), each in zip(sure, found, strict=True)
                    if row.file_name == file_name and each
                ]
                foreign_rows.take(session, taken, Author(viewer.name, now, file_name))
                touched += [site_id for site_id, _ in taken]
        foreign_rows.settle(
            session,
            {row.id: site_id for row, site_id in sure},
            ForeignState.SAME,
            Author(viewer.name, now),
        )
        count += len(sure)
    return count, touched


def _compared(session: Session, rows: Sequence[ForeignSite]) -> list[ToMatch]:
    offers = foreign_rows.offers_of(session, [one.id for one in rows])
    pairs = [(row, one) for row in rows for one in offers.get(row.id, ())]
    known = {one.id: one for one in sites.sites(session, {one.site_id for _, one in pairs})}
    found = foreign_rows.differences(session, [(row, one.site_id) for row, one in pairs])
    candidates: dict[int, list[Candidate]] = {}
    for (row, offer), each in zip(pairs, found, strict=True):
        candidates.setdefault(row.id, []).append(
            Candidate(site=known[offer.site_id], offer=offer, differences=tuple(each))
        )
    return [ToMatch(row=row, candidates=tuple(candidates.get(row.id, ()))) for row in rows]
