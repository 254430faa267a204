"""Photos as pages show them: when, of what, in words, and who may take one back."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from registry.field.photos import photo_words, taken_at
from registry.privacy import may
from registry.records.changes import Role, Viewer
from registry.records.gate_visit import Finding
from registry.records.photos import Photo
from registry.services.visit_form import ACT
from web import present


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoShown:
    """One photo: ``words`` stand for the picture, ``of`` says what it is of, empty = the site."""

    photo: Photo
    words: str
    when: str
    of: str
    may_take_back: bool


def photos_shown(
    photos: Iterable[Photo],
    findings: Mapping[str, Finding],
    viewer: Viewer,
    zone: str,
    labels: Mapping[int, str],
) -> list[PhotoShown]:
    """Return photos as a page shows them, in their order; ``labels`` names components by id."""
    return [
        PhotoShown(
            photo=one,
            words=photo_words(
                one, findings, present.day(present.local(taken_at(one), zone).date())
            ),
            when=present.moment_words(taken_at(one), zone),
            of=", ".join(
                filter(
                    None,
                    (
                        findings[one.finding_id].kind if one.finding_id in findings else "",
                        labels.get(one.component_id or 0, ""),
                    ),
                )
            ),
            may_take_back=may(viewer, ACT)
            and (viewer.role is not Role.TECHNICIAN or one.technician_id == viewer.technician_id),
        )
        for one in photos
    ]
