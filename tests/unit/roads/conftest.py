"""The invented town's roads."""

from tests.osm_town import town_file, town_roads  # noqa: F401 - fixtures
