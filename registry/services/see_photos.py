"""Photos as a viewer may see them; each picture is asked for anew, by its photos' rights."""

from collections.abc import Mapping
from dataclasses import dataclass

from registry.errors import NotFoundError
from registry.field.photos import with_heirs
from registry.privacy import for_role, require, sees_photo, sees_site
from registry.records.changes import Viewer
from registry.records.gate_visit import Finding
from registry.records.photos import Photo
from registry.services.seen_site import seen_site
from registry.store import Session, gate_visits, photos, sites

ACT = "see photos of findings"


@dataclass(frozen=True, slots=True)
class SitePhotos:
    """The photos of a site that a viewer may see, the newest first, and the findings by id.

    A photo's visit and finding are those in force; ``finding_id`` is empty where it is of none.
    """

    photos: tuple[Photo, ...]
    findings: Mapping[str, Finding]

    def of_visit(self, visit_id: str) -> tuple[Photo, ...]:
        """Return the photos of one visit, those of its findings among them."""
        found = {one.id for one in self.findings.values() if one.visit_id == visit_id}
        return tuple(
            one for one in self.photos if one.visit_id == visit_id or one.finding_id in found
        )


def see_photos(
    session: Session, viewer: Viewer, site_id: int, *, with_taken_back: bool = False
) -> SitePhotos:
    """Return the photos of a site: a firm sees its own, county staff those of findings.

    Raises
    ------
    NotFoundError
        If there is no such site, or it is not the viewer's.
    """
    require(viewer, ACT)
    seen_site(session, viewer, site_id)
    found = gate_visits.findings_of_sites(session, [site_id], with_superseded=True)
    newer = gate_visits.corrections_of_site(session, site_id)
    kept = with_heirs(photos.photos_of_site(session, site_id), found, newer)
    return SitePhotos(
        tuple(
            for_role(one, viewer.role)
            for one in kept
            if sees_photo(viewer, one) and (with_taken_back or not one.taken_back)
        ),
        {one.id: for_role(one, viewer.role) for one in found},
    )


def own_photo(session: Session, viewer: Viewer, photo_id: str) -> Photo:
    """Return a photo of a site that the viewer sees, taken back or not.

    Raises
    ------
    AccessError
        If the role may not see all photos of a site.
    NotFoundError
        If there is no such photo, or its site is not the viewer's.
    """
    require(viewer, "see all photos of a site")
    photo = photos.photo_with_id(session, photo_id)
    if photo is None or not sees_site(viewer, sites.sites(session, [photo.site_id])[0]):
        raise NotFoundError("There is no such photo, or it is not for your sign-in.")
    return photo


def photo_file(session: Session, viewer: Viewer, photo_id: str) -> tuple[Photo, bytes]:
    """Return a photo by its id with its picture, taken back or not; raises as ``own_photo``."""
    photo = own_photo(session, viewer, photo_id)
    return photo, photos.picture(session, photo.digest)


def see_picture(session: Session, viewer: Viewer, digest: str) -> tuple[Photo, bytes]:
    """Return a picture, or the preview of one, with one of its photos that the viewer may see.

    Raises
    ------
    NotFoundError
        If there is none, or none that is for the viewer: both are answered alike.
    """
    for site_id in photos.sites_with_picture(session, digest):
        try:
            seen = see_photos(session, viewer, site_id).photos
        except NotFoundError:
            continue
        for one in seen:
            if digest in {one.digest, one.preview_digest}:
                return one, photos.picture(session, digest)
    raise NotFoundError("There is no such photo, or it is not for your sign-in.")
