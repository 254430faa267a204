"""The process that owns an OSRM engine, so that the one that asks is never held up by it.

OSRM keeps Python's global lock while it computes: inside a web server it would freeze every page.
``python -m registry.roads.osrm_worker`` answers one request after another on its standard streams
until they close. Each names its network, which is opened when first asked about: that takes a few
milliseconds, a process of its own for each network takes half a second to come up. A message is a
JSON document and then the arrays it announces, each behind its length in eight bytes; see
``osrm_pipe``.
"""

import os
from collections import OrderedDict
from collections.abc import Callable
from typing import Any

import numpy as np
import numpy.typing as npt
import osrm

from registry.roads.osrm_pipe import receive, send

type Floats = npt.NDArray[np.float64]
CELLS_AT_ONCE = 1_000_000
"""OSRM answers in some 100 bytes a cell: larger tables are asked for in bands of rows."""
NO_LIMIT = -1
MOST_OPEN = 5
"""Networks kept open at a time; the one that was asked least lately is closed first."""


def table(engine: osrm.OSRM, places: list[list[float]]) -> dict[str, Floats]:
    """Return travel times, lengths and how far each place lies from its road.

    ``snap_m`` is the distance to the road that the table was computed from, which OSRM may have
    chosen because the nearest one leads nowhere; ``nearest_m`` is that to the nearest one.
    """
    count = len(places)
    coordinates = [(lon, lat) for lon, lat in places]
    travel_s, travel_m = np.empty((count, count)), np.empty((count, count))
    snap_m = np.empty(count)
    band = max(1, CELLS_AT_ONCE // max(1, count))
    for first in range(0, count, band):
        rows = range(first, min(first + band, count))
        answer = engine.Table(
            osrm.TableParameters(
                coordinates=coordinates,
                sources=list(rows),
                destinations=[] if len(rows) == count else list(range(count)),
                annotations=["duration", "distance"],
                generate_hints=False,
            )
        )
        shape = (len(rows), count)
        travel_s[first : first + len(rows)] = _floats(answer["durations"], shape)
        travel_m[first : first + len(rows)] = _floats(answer["distances"], shape)
        snap_m[first : first + len(rows)] = [one["distance"] for one in answer["sources"]]
    return {
        "travel_s": travel_s,
        "travel_m": travel_m,
        "snap_m": snap_m,
        **nearest(engine, places),
    }


def nearest(engine: osrm.OSRM, places: list[list[float]]) -> dict[str, Floats]:
    """Return how far each place lies from the nearest road, (n,)."""
    return {"nearest_m": np.array([_nearest_m(engine, (a, b)) for a, b in places], np.float64)}


def line(engine: osrm.OSRM, places: list[list[float]]) -> dict[str, Floats]:
    """Return the line along the roads through the places, (n, 2); empty where a leg has no road."""
    parameters = osrm.RouteParameters(
        coordinates=[(lon, lat) for lon, lat in places],
        overview="full",
        geometries="geojson",
        continue_straight=False,  # as in the table: a truck turns round at a gate
        generate_hints=False,
    )
    try:
        answer = engine.Route(parameters)
    except RuntimeError as wrong:
        if "NoRoute" not in str(wrong):
            raise
        return {"line": np.empty((0, 2))}
    points = answer["routes"][0]["geometry"]["coordinates"]
    return {"line": np.array([(point[0], point[1]) for point in points], np.float64)}


ANSWERS: dict[str, Callable[[osrm.OSRM, list[list[float]]], dict[str, Floats]]] = {
    "table": table,
    "nearest": nearest,
    "line": line,
}


def _floats(rows: Any, shape: tuple[int, int]) -> Floats:  # noqa: ANN401 - OSRM's own array type
    cells = (np.nan if cell is None else cell for row in rows for cell in row)
    return np.fromiter(cells, np.float64, shape[0] * shape[1]).reshape(shape)


def _nearest_m(engine: osrm.OSRM, place: tuple[float, float]) -> float:
    parameters = osrm.NearestParameters(coordinates=[place], generate_hints=False)
    parameters.number_of_results = 1
    return float(engine.Nearest(parameters)["waypoints"][0]["distance"])


def opened(path: str) -> osrm.OSRM:
    """Return the engine of a network."""
    return osrm.OSRM(
        storage_config=path,
        algorithm="MLD",
        use_shared_memory=False,
        verbosity="ERROR",
        max_locations_distance_table=NO_LIMIT,
        max_locations_viaroute=NO_LIMIT,
        max_results_nearest=NO_LIMIT,
    )


def main() -> None:
    """Answer until nobody asks any more; a network that cannot be opened ends the process."""
    incoming, outgoing = os.fdopen(os.dup(0), "rb"), os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)  # whatever the engine prints must not fall among the answers
    engines: OrderedDict[str, osrm.OSRM] = OrderedDict()
    with incoming, outgoing:
        while (message := receive(incoming)) is not None:
            asked, _ = message
            network = asked["network"]
            if network not in engines:
                engines[network] = opened(network)
            engines.move_to_end(network)
            if len(engines) > MOST_OPEN:
                engines.popitem(last=False)
            try:
                send(outgoing, {}, ANSWERS[asked["ask"]](engines[network], asked["places"]))
            except RuntimeError as wrong:  # what OSRM raises, whatever the trouble
                send(outgoing, {"wrong": str(wrong)}, {})


if __name__ == "__main__":
    main()
