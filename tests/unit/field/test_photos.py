"""A photo goes with what stands in the place of the visit and the finding that it names."""

from datetime import UTC, datetime

import pytest

from registry.field.photos import photo_words, with_heirs
from registry.records.gate_visit import Finding
from registry.records.photos import Photo

LID, WET = "open or broken lid", "sewage on the ground"
PHOTO = Photo(
    id="p", site_id=1, visit_id="v1", finding_id="f1", taken_at=datetime(2026, 6, 15, tzinfo=UTC)
)


def found(name: str, visit: str, kind: str = LID, part: int | None = None) -> Finding:
    """A finding of a visit."""
    return Finding(id=name, visit_id=visit, kind=kind, component_id=part)


@pytest.mark.parametrize(
    ("known", "newer", "visit", "finding"),
    [
        ([], {}, "v1", ""),
        ([found("f1", "v1")], {}, "v1", "f1"),
        ([found("f1", "v1"), found("f2", "v1")], {}, "v1", "f1"),
        ([found("f1", "v1")], {"v1": "v2"}, "v2", ""),
        ([found("f1", "v1"), found("g", "v2", WET)], {"v1": "v2"}, "v2", ""),
        ([found("f1", "v1"), found("g", "v2")], {"v1": "v2"}, "v2", "g"),
        ([found("f1", "v1"), found("g", "v3")], {"v1": "v2", "v2": "v3"}, "v3", "g"),
        (
            [found("f1", "v1", part=8), found("g", "v2", part=7), found("h", "v2", part=8)],
            {"v1": "v2"},
            "v2",
            "h",
        ),
        ([found("f1", "v1", part=8), found("g", "v2", part=7)], {"v1": "v2"}, "v2", "g"),
        ([found("f1", "other")], {"v1": "v2"}, "v2", "f1"),
    ],
)
def test_a_photo_follows_its_finding_into_the_record_in_force(
    known: list[Finding], newer: dict[str, str], visit: str, finding: str
) -> None:
    (heir,) = with_heirs([PHOTO], known, newer)
    assert (heir.visit_id, heir.finding_id) == (visit, finding)


@pytest.mark.parametrize(
    ("caption", "known", "words"),
    [
        ("the rim", {"f1": found("f1", "v1")}, "the rim"),
        ("", {"f1": found("f1", "v1")}, f"Photo of {LID}, 15 June 2026"),
        ("", {}, "Photo of the site, 15 June 2026"),
    ],
)
def test_words_stand_for_a_photo_where_it_is_not_seen(
    caption: str, known: dict[str, Finding], words: str
) -> None:
    photo = Photo(id="p", site_id=1, finding_id="f1", taken_at=PHOTO.taken_at, caption=caption)
    assert photo_words(photo, known, "15 June 2026") == words
