"""Writing the map as an OpenStreetMap file that any reader takes: nodes, ways, no relations.

Blocks are stored without compression and the header names this generator, not a library's version,
so that the same map gives the same bytes on every machine.
"""

from pathlib import Path

from demo_sites.county.frame import Place, lon_lat
from demo_sites.county.landscape import Named, Shape
from demo_sites.county.network import Network


def write_map(target: Path, network: Network, shapes: list[Shape], named: list[Named]) -> None:
    """Write the map to a file whose name ends in .osm.pbf."""
    import osmium

    header = osmium.io.Header()
    header.set("generator", "invented county")
    target.unlink(missing_ok=True)
    form = osmium.io.File(str(target), "pbf,pbf_compression=none,pbf_dense_nodes=true")
    with osmium.SimpleWriter(form, header=header) as writer:
        spots: list[tuple[Place, dict[str, str]]] = [(place, {}) for place in network.nodes]
        spots += [(one.place, one.tags) for one in named]
        refs = []
        for shape in shapes:
            first = len(spots) + 1
            spots += [(place, {}) for place in shape.outline]
            ring = list(range(first, len(spots) + 1))
            refs.append(ring + ring[:1] if shape.is_area else ring)
        for number, (place, tags) in enumerate(spots, 1):
            writer.add_node(
                osmium.osm.mutable.Node(id=number, location=lon_lat(place), tags=tags, version=1)
            )
        number = 0
        for way in network.ways:
            number += 1
            nodes = [ref + 1 for ref in way.nodes]
            writer.add_way(osmium.osm.mutable.Way(id=number, nodes=nodes, tags=way.tags, version=1))
        for shape, nodes in zip(shapes, refs, strict=True):
            number += 1
            writer.add_way(
                osmium.osm.mutable.Way(id=number, nodes=nodes, tags=shape.tags, version=1)
            )
