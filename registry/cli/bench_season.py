"""``riserway bench season``: a year's driving beside that of two habits."""

import click

from registry.cli.office import firm_option, office
from registry.cli.options import json_option, print_json, say, store_option


@click.command(epilog="Example: riserway bench season --systems 2000 --seconds 100")
@click.option(
    "--systems",
    type=click.IntRange(min=1),
    default=None,
    help="Generate so many systems. [default: those of the store]",
)
@click.option(
    "--seconds",
    type=click.FloatRange(min=0, min_open=True),
    default=60.0,
    show_default=True,
    help="Time to search for the season.",
)
@click.option("--weeks", type=click.IntRange(1, 52), default=8, show_default=True, help="Sampled.")
@click.option(
    "--week-seconds",
    type=click.FloatRange(min=0, min_open=True),
    default=5.0,
    show_default=True,
    help="Time to order the days of one week.",
)
@click.option("--seed", type=int, default=1, show_default=True, help="Of systems and searches.")
@firm_option
@json_option
@store_option
def command(
    systems: int | None,
    seconds: float,
    weeks: int,
    week_seconds: float,
    seed: int,
    firm: str | None,
    as_json: bool,
    store: str | None,
) -> None:
    """Compare the season with "oldest due first" and "by area, fixed month".

    All have the same people, hours and weeks, and the days of the same sampled weeks are ordered by
    the solver of plan. Generated systems are invented.
    """
    from contextlib import ExitStack

    from registry.season.from_records import Kept
    from registry.season.generated import generated
    from registry.services.bench_season import BenchParts, Sample, bench_season
    from registry.services.season_input import SeasonWish, season_known, season_ways
    from registry.services.see_day import firm_of
    from registry.services.viewer_zone import zone_of
    from registry.wiring import Parts, assemble, flown_ways, roads_as_flown

    with ExitStack() as closing:
        if systems is not None:
            roads, asked, ways = roads_as_flown(), generated(systems, seed), flown_ways()
        else:
            parts = assemble(store)
            closing.callback(parts.store.close)
            roads = closing.enter_context(parts.roads())
            with parts.store.reading() as session:
                viewer = office(session, firm)
                today = parts.today(zone_of(session, viewer))
                asked = season_known(
                    session, firm_of(session, viewer), today, Kept(weeks={}), SeasonWish()
                ).asked
            ways = season_ways(asked, roads, flown_ways())
        answer = bench_season(
            asked,
            ways,
            BenchParts(roads=roads, days=Parts.solver(), seasons=Parts.seasons()),
            Sample(n_weeks=weeks, seconds=week_seconds, seed=seed),
            seconds,
            say,
        )
    if as_json:
        print_json(answer)
        return
    click.echo(f"{'way':52} visits  late  driving h  min a visit  unevenness  did not fit")
    for row in answer["ways"]:
        click.echo(
            f"{row['way']:52} {row['visits']:6,} {row['late']:5,} {row['drive_h']:10,.1f} "
            f"{row['drive_min_a_visit']:12.1f} {row['unevenness']:11.2f} {row['did_not_fit']:12,}"
        )
    if answer["saved_share"] is None:
        click.echo("The sampled weeks have too few visits to compare by. Take more with --weeks.")
    else:
        click.echo(f"The season drives {answer['saved_share']:.1%} less than oldest due first.")
