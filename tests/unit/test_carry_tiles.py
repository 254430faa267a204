"""Which tiles go along for a day."""

from hypothesis import given, settings
from hypothesis import strategies as st

from registry.records.places import LonLat
from web.carry_tiles import CLOSE, GLANCE, MOST, tiles_of_day

NULL = LonLat(0.0, 0.0)
"""By symmetry the first tile right of and below the middle of the map, whatever the zoom."""
PLACES = st.builds(LonLat, st.floats(-179, 179), st.floats(-84, 84))


def test_a_site_has_its_own_tile_and_those_that_touch_it() -> None:
    found = [one for one in tiles_of_day([NULL], [NULL]) if one[0] == 14]
    assert sorted(found) == [
        (14, column, row) for column in (8191, 8192, 8193) for row in (8191, 8192, 8193)
    ]


@settings(max_examples=20)  # ways round the earth have many tiles
@given(st.lists(PLACES, max_size=30), st.lists(PLACES, max_size=12))
def test_tiles_are_bounded_each_once_and_on_the_map(way: list[LonLat], sites: list[LonLat]) -> None:
    found = tiles_of_day(way, sites)
    assert len(found) == len(set(found)) <= MOST
    for zoom, column, row in found:
        assert zoom in {*GLANCE, *CLOSE}
        assert 0 <= column < 2**zoom
        assert 0 <= row < 2**zoom
    assert [zoom for zoom, _, _ in found] == sorted(zoom for zoom, _, _ in found)


def test_no_way_and_no_site_take_no_tile_along() -> None:
    assert tiles_of_day([], []) == []
