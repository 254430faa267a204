"""Who was shown private fields: noted as it happens, seen by the administrator."""

from datetime import date, datetime

from registry.privacy import HIDDEN, require
from registry.records.changes import Viewer
from registry.records.places import Site
from registry.records.private_reads import PrivateRead
from registry.store import Session, private_reads, sites

MOST_READS = 500
"""Lines that are shown at once."""


def sees_private_fields(viewer: Viewer) -> bool:
    """Tell whether a role sees private fields of sites at all."""
    return viewer.role not in HIDDEN[Site]


def note_read(
    session: Session,
    viewer: Viewer,
    what: str,
    now: datetime,
    *,
    site_id: int | None = None,
    on_date: date | None = None,
) -> None:
    """Note that a viewer was shown a page or a file with private fields, if the role sees any."""
    if not sees_private_fields(viewer):
        return
    one = PrivateRead(
        at=now,
        who=viewer.name,
        role=viewer.role.value,
        what=what,
        firm_id=viewer.firm_id,
        site_id=site_id,
        on_date=on_date,
    )
    private_reads.add_reads(session, [one])


def see_reads(
    session: Session, viewer: Viewer, *, site: str = "", who: str = "", since: date | None = None
) -> list[PrivateRead]:
    """Return who was shown private fields, the newest first: all, of a site, by a sign-in.

    What was shown of a whole day or firm counts for each of its sites.

    Raises
    ------
    AccessError
        If the viewer is no administrator.
    NotFoundError
        If the viewer has no site with this number.
    """
    require(viewer, "see who read what")
    site_id = sites.site_named(session, site, viewer.firm_id).id if site else None
    return private_reads.reads(
        session, firm_id=viewer.firm_id, site_id=site_id, who=who, since=since, limit=MOST_READS
    )
