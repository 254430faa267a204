"""``riserway estimate-level``: a flood level where none was published, always an estimate."""

import click

from registry.cli.options import json_option, print_json


@click.command(
    "estimate-level",
    epilog="Example: riserway estimate-level contours --edge 323 --edge 325 --interval 5",
)
@click.argument(
    "method", type=click.Choice(["contours", "profile", "extrapolation", "boundary", "depth"])
)
@click.option("--edge", "edges_ft", type=float, multiple=True, help="Ground at the zone's edge.")
@click.option("--interval", "interval_ft", type=float, default=None, help="Contour interval.")
@click.option("--at", "at_ft", type=float, default=None, help="The site's station or distance.")
@click.option("--point", type=(float, float), multiple=True, help="A station and its level.")
@click.option("--ground", "grade_ft", type=float, default=None, help="Highest adjacent ground.")
@click.option("--depth", "depth_ft", type=float, default=None, help="Depth on the map. [2]")
@click.option("--datum", default="NAVD88", show_default=True, help="Vertical datum of all these.")
@json_option
def command(
    method: str,
    edges_ft: tuple[float, ...],
    interval_ft: float | None,
    at_ft: float | None,
    point: tuple[tuple[float, float], ...],
    grade_ft: float | None,
    depth_ft: float | None,
    datum: str,
    as_json: bool,
) -> None:
    """Estimate a flood level by METHOD where no base flood elevation was published; all in feet."""
    from registry.flood.estimates import CAUTION
    from registry.services.estimate_level import Asked, estimate_level

    found = estimate_level(
        Asked(
            method=method,
            datum=datum,
            edges_ft=edges_ft,
            interval_ft=interval_ft,
            at_ft=at_ft,
            points=point,
            grade_ft=grade_ft,
            depth_ft=depth_ft,
        )
    )
    if as_json:
        told = {"level_ft": found.level.value_ft, "datum": found.level.datum, "how": found.how}
        print_json(told | {"source": found.source, "caution": CAUTION})
        return
    click.echo(f"{found.level.value_ft:.1f} ft {found.level.datum}: {found.how}.")
    click.echo(f"Source: {found.source}.\n{CAUTION}")
