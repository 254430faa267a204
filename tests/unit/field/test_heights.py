"""Freeboard of each part, in one vertical datum or not at all."""

import pytest

from registry.field.heights import with_heights
from registry.field.place import place_parts
from registry.records.elevation import Elevation
from registry.records.places import Site
from registry.records.systems import Component, ComponentKind

BFE = Elevation(211.0, "NAVD88")


def placed(height: Elevation | None) -> Component:
    """Return a panel with an elevation."""
    return Component(kind=ComponentKind.CONTROL_PANEL, elevation=height)


def freeboard(height: Elevation | None, bfe: Elevation | None, offset_ft: float | None = None):  # type: ignore[no-untyped-def]  # a pair
    """Return freeboard and the reason why it is unknown."""
    (part,) = with_heights(place_parts(Site(key="R-1"), [placed(height)]), bfe, offset_ft)
    return part.freeboard_ft, part.freeboard_why


def test_freeboard_is_the_elevation_less_the_base_flood_elevation() -> None:
    # Panel bottom 212.4 over BFE 211.0: +1.4 ft (arithmetic).
    value_ft, why = freeboard(Elevation(212.4, "NAVD 88"), BFE)
    assert value_ft == pytest.approx(1.4)
    assert why == ""


def test_another_datum_needs_a_stated_offset() -> None:
    # 100.0 ft NGVD 29 with an offset of +3.4 ft is 103.4 ft NAVD 88 (arithmetic).
    old = Elevation(100.0, "NGVD29")
    assert freeboard(old, Elevation(103.0, "NAVD88"), 3.4)[0] == pytest.approx(0.4)
    value_ft, why = freeboard(old, Elevation(103.0, "NAVD88"))
    assert value_ft is None
    assert "NGVD29 and NAVD88 cannot be compared" in why


@pytest.mark.parametrize(
    ("height", "bfe"), [(None, BFE), (Elevation(212.4, "NAVD88"), None), (None, None)]
)
def test_what_is_not_known_is_not_guessed(height: Elevation | None, bfe: Elevation | None) -> None:
    assert freeboard(height, bfe) == (None, "")


def test_a_height_without_a_datum_is_never_compared() -> None:
    value_ft, why = freeboard(Elevation(212.4, ""), BFE)
    assert value_ft is None
    assert "unknown and NAVD88" in why
