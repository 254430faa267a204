"""``riserway before-water``: what to do before a river is there, and handing it to the Day."""

from dataclasses import asdict
from datetime import date, datetime
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import click

from registry.cli.office import firm_option, office
from registry.cli.options import json_option, print_json, say, store_option

if TYPE_CHECKING:
    from registry.records.high_water import BeforeWater, SiteBefore
    from registry.wiring import Parts

DATE = click.DateTime(["%Y-%m-%d"])
CAUTION = (
    "By a forecast and levels carried along the river: estimates. Don’t pump a tank in wet ground: "
    "empty, it can float. Any water over a road closes it: turn round."
)


@click.command("before-water", epilog="Example: riserway before-water --to-day")
@click.option("--gauge", default="", help="Whose forecast. [default: the first gauge by name]")
@click.option("--to-day", is_flag=True, help="Hold all these visits before and after the water.")
@click.option("--visit-on", type=DATE, default=None, help="When to go. [default: as it says]")
@click.option("--hold-until", type=DATE, default=None, help="Date after the water. [as it says]")
@click.option(
    "--heed",
    type=click.Choice(["yes", "no"]),
    default=None,
    help="Let the firm’s days keep off the roads that the forecast closes, or not.",
)
@click.option("--on", type=DATE, default=None, help="As in the morning of this date. [now]")
@firm_option
@json_option
@store_option
def command(
    gauge: str,
    to_day: bool,
    visit_on: datetime | None,
    hold_until: datetime | None,
    heed: str | None,
    on: datetime | None,
    firm: str | None,
    as_json: bool,
    store: str | None,
) -> None:
    """Say what to do before the river is there: visits to pull forward, visits to hold."""
    from registry.services.before_water import before_water
    from registry.services.forecast_roads import heed_forecast
    from registry.services.viewer_zone import zone_of
    from registry.wiring import assemble

    parts = assemble(store, fixed_today=on.date() if on else None)
    click.get_current_context().call_on_close(parts.store.close)
    with parts.store.session() as session:
        viewer = office(session, firm)
        if heed is not None:
            heed_forecast(session, viewer, heed=heed == "yes")
        found = before_water(session, viewer, gauge, parts.forecast_from(zone_of(session, viewer)))
    if to_day:
        _hand(parts, found, firm, visit_on, hold_until, heed=heed != "no")
    if as_json:
        print_json(asdict(found))
        return
    click.echo("\n".join(_lines(found)))


def _hand(
    parts: "Parts",
    found: "BeforeWater",
    firm: str | None,
    visit_on: datetime | None,
    hold_until: datetime | None,
    *,
    heed: bool,
) -> None:
    from registry.services.hand_to_day import ToDay, hand_to_day

    wanted = ToDay(
        visit_on=_day(visit_on, found.visit_on, "--visit-on"),
        visit_ids=tuple(one.site_id for one in found.sites if one.visit),
        hold_until=_day(hold_until, found.hold_until, "--hold-until"),
        hold_ids=tuple(one.site_id for one in found.sites if one.held_tasks),
        heed=heed,
    )
    with parts.store.session() as session:
        done = hand_to_day(session, office(session, firm), wanted, parts.now())
    say(
        f"Held for {wanted.visit_on}: {done.before:,} visits; until {wanted.hold_until}: "
        f"{done.after:,}. Order these days."
    )
    for line in done.left:
        say(line)


def _day(given: datetime | None, known: date | None, option: str) -> date:
    if given is None and known is None:
        raise click.UsageError(f"No forecast goes on, or nobody works: give {option}.")
    return given.date() if given else known or date.max


def _lines(found: "BeforeWater") -> "list[str]":
    if found.peak_ft is None or found.peak_at is None:
        return [f"No forecast of {found.gauge} goes on from now."]
    zone = ZoneInfo(found.zone)
    when = _clock(found.peak_at, zone)
    lines = [f"{found.gauge}: the forecast rises to {found.peak_ft:g} ft, {when}."]
    visits = [one for one in found.sites if one.visit]
    lines.append(f"To visit before, on {found.visit_on}: {len(visits):,} sites.")
    lines += [f"  {one.site}: {_said(one, zone)}" for one in visits]
    held = [one for one in found.sites if one.hold]
    lines.append(f"To hold until after, {found.hold_until}: {len(held):,} sites.")
    lines += [
        f"  {one.site}, {', '.join(one.held_tasks) or 'nothing due'}: {'; '.join(one.hold)}"
        for one in held
    ]
    heeds = "keep" if found.heeds_forecast else "do not keep"
    return [*lines, f"Days {heeds} off the roads that the forecast closes.", CAUTION]


def _said(one: "SiteBefore", zone: ZoneInfo) -> str:
    said = [
        f"{why.what} ({why.part}, {why.stage_ft:.1f} ft"
        + (f", {_clock(why.at, zone)})" if why.at else ", within a foot)")
        for why in one.visit
    ]
    return ", ".join([*said, *(["do not pump"] if one.may_float else [])])


def _clock(moment: datetime, zone: ZoneInfo) -> str:
    return f"{moment.astimezone(zone):%Y-%m-%d %H:%M}"
