"""A site that a viewer asks for by its id: theirs, or the same answer as for one that is not."""

from registry.errors import NotFoundError
from registry.privacy import sees_site
from registry.records.changes import Viewer
from registry.records.places import Site
from registry.store import Session, sites

LARGEST_ID = 2**63 - 1
"""No database holds a larger one."""


def seen_site(session: Session, viewer: Viewer, site_id: int) -> Site:
    """Return a site with all its fields; the caller filters them by the viewer's role.

    Raises
    ------
    NotFoundError
        If there is no such site, or it is not the viewer's: both are answered alike.
    """
    found = sites.sites(session, [site_id]) if site_id <= LARGEST_ID else []
    if not found or not sees_site(viewer, found[0]):
        raise NotFoundError("There is no such site, or it is not for your sign-in.")
    return found[0]
