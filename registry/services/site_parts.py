"""Which parts a site's file has to be changed, and what was changed of it."""

from registry.privacy import require, sees_change
from registry.records.changes import Change, Viewer
from registry.services.edit_site import ACT
from registry.services.seen_site import seen_site
from registry.store import Session, file_values, history, systems


def parts_of(session: Session, viewer: Viewer, site_id: int) -> dict[str, str]:
    """Return the parts of a site's file, such as ``component:7``, and what each is.

    Raises
    ------
    AccessError
        If the role changes no site files.
    NotFoundError
        If the site is not the viewer's.
    """
    require(viewer, ACT)
    site = seen_site(session, viewer, site_id)
    found = {}
    for system in systems.systems_of_site(session, site.id):
        found[f"system:{system.id}"] = f"{system.kind.value} {system.key}".strip()
        for part in system.components:
            found[f"component:{part.id}"] = part.label or part.kind.value
    for row_id, one in file_values.agreement_ids(session, site.id):
        found[f"agreement:{row_id}"] = f"service agreement from {one.isoformat()}"
    return found


def history_here(session: Session, viewer: Viewer, site_id: int, limit: int) -> list[Change]:
    """Return the newest lines of a site's history that a viewer may see.

    Raises
    ------
    NotFoundError
        If the site is not the viewer's.
    """
    site = seen_site(session, viewer, site_id)
    lines = history.history_of(session, site.id, limit=limit)
    return [one for one in lines if sees_change(viewer, one)]
