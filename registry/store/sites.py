"""Sites as records, read set-based: a page of many sites costs as many queries as one site."""

from collections import defaultdict
from collections.abc import Collection, Iterator

from sqlalchemy import select
from sqlalchemy.orm import Session

from registry.errors import NotFoundError
from registry.records.places import Agreement, Hazard, LonLat, ServiceWindow, Site, WindowException
from registry.store.tables import AgreementRow, ServiceWindowRow, SiteRow, WindowExceptionRow

MANY = 500
"""Ids asked for at once; SQLite takes no unlimited list of parameters."""


def batches(ids: Collection[int]) -> Iterator[list[int]]:
    """Yield ids in lists that any database takes."""
    wanted = sorted(ids)
    for first in range(0, len(wanted), MANY):
        yield wanted[first : first + MANY]


def site(session: Session, site_id: int) -> Site:
    """Return one site.

    Raises
    ------
    NotFoundError
        If there is none with this id.
    """
    found = sites(session, [site_id])
    if not found:
        raise NotFoundError("There is no such site.")
    return found[0]


def site_with_key(session: Session, key: str, firm_id: int | None = None) -> Site:
    """Return the site with a firm's own number.

    Raises
    ------
    NotFoundError
        If no site has this number, or sites of several firms do.
    """
    wanted = select(SiteRow.id).where(SiteRow.key == key)
    if firm_id is not None:
        wanted = wanted.where(SiteRow.firm_id == firm_id)
    ids = list(session.scalars(wanted.limit(2)))
    if not ids:
        raise NotFoundError(f"There is no site {key}.")
    if len(ids) > 1:
        raise NotFoundError(f"Several firms have a site {key}. Say which firm.")
    return site(session, ids[0])


def sites(session: Session, ids: Collection[int]) -> list[Site]:
    """Return the sites with these ids, by id, with their windows."""
    found: list[Site] = []
    for batch in batches(ids):
        windows: dict[int, list[ServiceWindow]] = defaultdict(list)
        for row in session.scalars(
            select(ServiceWindowRow)
            .where(ServiceWindowRow.site_id.in_(batch))
            .order_by(ServiceWindowRow.weekday, ServiceWindowRow.opens_min)
        ):
            windows[row.site_id].append(ServiceWindow(row.weekday, row.opens_min, row.closes_min))
        exceptions: dict[int, list[WindowException]] = defaultdict(list)
        for other in session.scalars(
            select(WindowExceptionRow)
            .where(WindowExceptionRow.site_id.in_(batch))
            .order_by(WindowExceptionRow.on_date, WindowExceptionRow.opens_min)
        ):
            exceptions[other.site_id].append(
                WindowException(other.on_date, other.opens_min, other.closes_min, other.note)
            )
        for one in session.scalars(
            select(SiteRow).where(SiteRow.id.in_(batch)).order_by(SiteRow.id)
        ):
            found.append(_site(one, windows[one.id], exceptions[one.id]))
    return found


def agreements_of(session: Session, site_id: int) -> list[Agreement]:
    """Return the agreements of a site, the newest first."""
    rows = session.scalars(
        select(AgreementRow)
        .where(AgreementRow.site_id == site_id)
        .order_by(AgreementRow.starts_on.desc(), AgreementRow.id.desc())
    )
    return [
        Agreement(
            id=row.id,
            site_id=row.site_id,
            firm_id=row.firm_id,
            starts_on=row.starts_on,
            ends_on=row.ends_on,
            visits_a_year=row.visits_a_year,
            includes=tuple(row.includes),
            renewal=row.renewal,
            renews_on=row.renews_on,
        )
        for row in rows
    ]


SAME_NAMED = (
    "id", "key", "firm_id", "jurisdiction_id", "position_source", "position_accuracy_m",
    "address", "town", "parcel", "access_note", "gate_note", "gate_code", "private_note",
    "corner_note", "corner_b_note", "corner_b_bearing_deg", "corner_b_distance_ft",
    "owner_name", "owner_phone", "owner_email", "owner_address", "water_available_gal",
    "occupied_share", "season_from", "season_to", "note", "active",
)  # fmt: skip
"""Columns that carry the same name in the record."""


def _site(row: SiteRow, windows: list[ServiceWindow], exceptions: list[WindowException]) -> Site:
    placed = row.lon is not None and row.lat is not None
    return Site(
        **{name: getattr(row, name) for name in SAME_NAMED},
        lon_lat=LonLat(row.lon or 0.0, row.lat or 0.0) if placed else None,
        hazards=tuple(Hazard(one["kind"], one.get("note", "")) for one in row.hazards),
        windows=tuple(windows),
        exceptions=tuple(exceptions),
    )
