"""The base map: roads, water and places of an imported extract, as vector tiles of our own."""

from registry.basemap.build import build_basemap
from registry.basemap.revisions import current_network
from registry.basemap.simplified import simplified_roads_geojson
from registry.basemap.tiles import tile

__all__ = ["build_basemap", "current_network", "simplified_roads_geojson", "tile"]
