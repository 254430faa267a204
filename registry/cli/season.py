"""``riserway season``: the week of every visit of a year."""

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from registry.cli.office import firm_option
from registry.cli.options import json_option, print_json, say, store_option
from registry.cli.visit import as_dispatcher

if TYPE_CHECKING:
    from registry.records.season import MadeSeason, SeasonVisit

DAY = click.DateTime(["%Y-%m-%d"])
PART = (str, str)


@click.group("season", epilog="Example: riserway season make --seconds 60")
def command() -> None:
    """Put every visit of the next year into a week, and see, export and announce the weeks."""


@command.command(epilog="Example: riserway season make --wet 11-01 03-31 --dry 06-01 09-30")
@click.option("--on", "on_date", type=DAY, default=None, help="From the week of a day. [today]")
@click.option("--seconds", type=click.FloatRange(min=0, min_open=True), help="To search. [60]")
@click.option("--rounds", type=click.IntRange(min=1), help="To search instead of seconds.")
@click.option("--seed", type=int, default=1, show_default=True, help="Seed of the search.")
@click.option("--wet", type=PART, default=("11-01", "04-15"), show_default=True, help="Wet weeks.")
@click.option("--dry", type=PART, default=("06-01", "10-15"), show_default=True, help="Dry ground.")
@click.option(
    "--free", type=click.IntRange(0, 50), default=25, show_default=True, help="Early share, %."
)
@click.option(
    "--alarm", type=click.IntRange(0, 90), default=10, show_default=True, help="Kept free, %."
)
@firm_option
@json_option
@store_option
def make(
    on_date: datetime | None,
    seconds: float | None,
    rounds: int | None,
    seed: int,
    wet: tuple[str, str],
    dry: tuple[str, str],
    free: int,
    alarm: int,
    firm: str | None,
    as_json: bool,
    store: str | None,
) -> None:
    """Put every visit of a year into a week; weeks of the season before stay unless moving pays."""
    from registry.due.months import month_and_day
    from registry.season.asked import Terms
    from registry.season.from_records import Ground
    from registry.services.plan_day import Search
    from registry.services.season_input import SeasonWish
    from registry.services.seasons import SeasonOrder, make_season
    from registry.services.see_day import firm_of
    from registry.services.viewer_zone import zone_of
    from registry.wiring import flown_ways

    if seconds is not None and rounds is not None:
        raise click.UsageError("Give either --seconds or --rounds.")
    for one in (*wet, *dry):
        month_and_day(one)
    with as_dispatcher(store, firm) as (parts, session, viewer):
        firm_id, zone = firm_of(session, viewer), zone_of(session, viewer)
    wanted = SeasonOrder(
        firm_id=firm_id,
        today=on_date.date() if on_date else parts.today(zone),
        now=parts.now(),
        search=Search(seconds=None if rounds else seconds or 60.0, rounds=rounds, seed=seed),
        wish=SeasonWish(
            terms=Terms(free_share=free / 100, alarm_share=alarm / 100),
            ground=Ground(wet_from=wet[0], wet_to=wet[1], dry_from=dry[0], dry_to=dry[1]),
        ),
    )
    with parts.roads() as roads:
        made = make_season(
            parts.store,
            roads,
            flown_ways(),
            parts.seasons(),
            wanted,
            lambda step: say(f"{step.seconds:7.1f} s  {step.text}"),
        )
    if as_json:
        print_json(_as_json(made))
    else:
        click.echo("\n".join(_lines(made)))


@command.command(epilog="Example: riserway season show --week 2026-06-15")
@click.option("--week", type=DAY, default=None, help="The visits of the week of a day. [all weeks]")
@firm_option
@json_option
@store_option
def show(week: datetime | None, firm: str | None, as_json: bool, store: str | None) -> None:
    """Show the season: its weeks with their work, or the visits of one week."""
    from dataclasses import replace

    from registry.season.weeks import calendar_from
    from registry.services.seasons import season_in_force

    with as_dispatcher(store, firm) as (_, session, viewer):
        made = season_in_force(session, viewer.firm_id or 0)
    if week is not None:
        monday = calendar_from(week.date(), 1).first_on
        made = replace(made, visits=tuple(one for one in made.visits if one.week_on == monday))
    if as_json:
        print_json(_as_json(made))
    elif week is None:
        click.echo("\n".join(_lines(made)))
    else:
        click.echo("\n".join(_visit(one) for one in made.visits) or "No visit in this week.")


@command.command("list", epilog="Example: riserway season list")
@firm_option
@store_option
def list_them(firm: str | None, store: str | None) -> None:
    """List the seasons that were made, the newest first; it is the one in force."""
    from registry.store.seasons import seasons_made

    with as_dispatcher(store, firm) as (_, session, viewer):
        made = seasons_made(session, viewer.firm_id or 0)
    for number, at, first_on, visits in made:
        click.echo(f"{number:5}  made {at:%Y-%m-%d %H:%M} UTC, from {first_on}: {visits:,} visits")


@command.command(epilog="Example: riserway season export season.ics")
@click.argument("file", type=click.Path(path_type=Path))
@firm_option
@store_option
def export(file: Path, firm: str | None, store: str | None) -> None:
    """Write the season to FILE: .csv with all visits, or .ics with each week and town."""
    from registry.errors import FileError
    from registry.report.season_file import season_calendar, season_csv
    from registry.services.seasons import season_in_force

    with as_dispatcher(store, firm) as (parts, session, viewer):
        made = season_in_force(session, viewer.firm_id or 0)
        ending = file.suffix.lower()
        if ending not in {".csv", ".ics"}:
            raise FileError(f"{file.name} ends in neither .csv nor .ics.")
        content = (
            season_csv(made.visits).encode()
            if ending == ".csv"
            else season_calendar(made.visits, parts.now())
        )
    _write(file, content)
    say(f"{len(made.visits):,} visits written to {file.name}.")


@command.command(epilog="Example: riserway season notices notices.csv --weeks 3")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--weeks", type=click.IntRange(1, 52), default=3, show_default=True, help="Ahead.")
@click.option("--on", "on_date", type=DAY, default=None, help="Day of the notices. [today]")
@firm_option
@store_option
def notices(
    file: Path, weeks: int, on_date: datetime | None, firm: str | None, store: str | None
) -> None:
    """Write a notice for each visit of the coming weeks into FILE (.csv); these weeks are promised.

    Each is a letter on the file of its site.
    """
    from registry.services.letters import letters_csv, see_letters
    from registry.services.season_notices import write_notices
    from registry.services.viewer_zone import zone_of

    with as_dispatcher(store, firm) as (parts, session, viewer):
        on = on_date.date() if on_date else parts.today(zone_of(session, viewer))
        batch, number = write_notices(session, viewer, weeks, on, parts.now())
        _write(file, letters_csv(see_letters(session, viewer, batch)).encode())
    say(f"{number:,} notices written to {file.name}; their weeks are promised.")


def _write(file: Path, content: bytes) -> None:
    from registry.errors import FileError

    try:
        file.write_bytes(content)
    except OSError as wrong:
        raise FileError(f"{file.name} cannot be written: {wrong.strerror}.") from wrong


def _as_json(made: "MadeSeason") -> dict[str, Any]:
    return {
        "first_on": made.first_on.isoformat(),
        "weeks": made.n_weeks,
        "made_at": made.made_at.isoformat(),
        "figures": dict(made.told),
        "visits": [
            {
                "week_on": one.week_on.isoformat(),
                "site": one.site,
                "tasks": list(one.tasks),
                "minutes": one.minutes,
                "due_on": one.due_on.isoformat() if one.due_on else None,
                "late": one.late,
                "in_barred_week": one.in_barred_week,
                "promised": one.promised_at is not None,
            }
            for one in made.visits
        ],
    }


def _lines(made: "MadeSeason") -> list[str]:
    from registry.season.weeks import Calendar

    told: Any = made.told
    counts: dict[Any, int] = {}
    for one in made.visits:
        counts[one.week_on] = counts.get(one.week_on, 0) + 1
    calendar = Calendar(made.first_on, made.n_weeks)
    lines = ["Week of     visits   work of hours"]
    for week, (work_h, holds_h) in enumerate(zip(told["work_h"], told["holds_h"], strict=True)):
        on = calendar.monday(week)
        lines.append(f"{on}  {counts.get(on, 0):6,}  {work_h:5,.0f} of {holds_h:5,.0f}")
    lines.append(
        f"{len(made.visits):,} visits, about {told['drive_h']:,.0f} h of driving and arriving "
        "(an estimate). No date is passed that was not passed before."
    )
    if told["overdue"]:
        lines.append(f"{told['overdue']:,} are overdue already and are caught up first.")
    if told["in_barred_weeks"]:
        lines.append(
            f"{told['in_barred_weeks']:,} fall into wet weeks, off-season or soft ground, because "
            "their due dates leave no other: ask the owner, or the authority for another date."
        )
    if told["moved"]:
        lines.append(f"{told['moved']:,} visits of the season before have another week.")
    lines += [
        f"Too full: the week of {one['week_on']}, {one['who']}: {one['over_h']:.1f} h too much."
        for one in told["too_full"]
    ]
    return [*lines, *told["notes"]]


def _visit(one: "SeasonVisit") -> str:
    due = f", due on {one.due_on}" if one.due_on else ""
    told = ", promised" if one.promised_at else ""
    return f"{one.site}, {one.town}: {', '.join(one.tasks)}, {one.minutes} min{due}{told}"
