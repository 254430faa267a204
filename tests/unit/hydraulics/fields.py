"""Invented fields for tests: nothing in them is real."""

from registry.hydraulics import Lateral, Network, Supply, pump_curve

POINTS = ((0.0, 40.0), (20.0, 37.0), (40.0, 30.0), (60.0, 18.0), (75.0, 5.0))


def lateral(i: int, **changed: float | bool | int | None) -> Lateral:
    """Return one of six laterals of 20 holes on a manifold fed at its middle."""
    given: dict[str, object] = {
        "label": str(i + 1),
        "holes": 20,
        "pipe_in": 1.049,
        "lead_ft": 3.0,
        "tail_ft": 2.0,
        "rise_ft": 1.0,
        "at_ft": (i - 2.5) * 5.0,
        "raised_ft": 0.1 * i,
        "open_share": 0.5,
    } | changed
    return Lateral(**given)  # type: ignore[arg-type]  # keywords of mixed kinds


def field(*laterals: Lateral, lift_ft: float = 10.0) -> Network:
    """Return a field of these laterals, six usual ones if none is given."""
    supply = Supply(pump=pump_curve(POINTS), lift_ft=lift_ft, pipe_in=2.067, length_ft=100.0)
    return Network(
        supply=supply,
        manifold_in=2.067,
        laterals=laterals or tuple(lateral(i) for i in range(6)),
    )
