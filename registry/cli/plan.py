"""``riserway plan``: orders one day's visits for all technicians, or those of several days."""

import os
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from registry.cli.options import json_option, print_json, say, store_option
from registry.cli.stopping import stopping
from registry.errors import RegistryError

if TYPE_CHECKING:
    from registry.plan.ports import Progress
    from registry.records.day import Day
    from registry.services.forecast_roads import WaterAsked
    from registry.services.plan_day import DayOrder, Search
    from registry.wiring import Parts

DEFAULT_S = 10.0
MOST_DAYS = 10


@click.command("plan", epilog="Example: riserway plan 2026-06-16 --seconds 10")
@click.argument("date", type=click.DateTime(["%Y-%m-%d"]))
@click.option("--seconds", type=click.FloatRange(0.1), default=None, help="Search time. [10]")
@click.option("--rounds", type=click.IntRange(1), default=None, help="Search effort, not time.")
@click.option("--seed", default=1, show_default=True, help="Same seed and rounds, same plan.")
@click.option(
    "--bound-seconds",
    type=click.FloatRange(0),
    default=0.0,
    help="Time to prove, after the search, how far the plan is from the best possible. [0]",
)
@click.option(
    "--within", type=click.IntRange(0), default=None, help="Days ahead that count as due."
)
@click.option(
    "--closed",
    type=click.Path(path_type=Path),
    default=None,
    help="GeoJSON of roads closed for this plan only.",
)
@click.option(
    "--forecast", is_flag=True, help="Keep off the roads that the river’s forecast closes."
)
@click.option(
    "--stage",
    "stage_ft",
    type=float,
    default=None,
    help="Plan as if the river stood at this stage all day, in feet.",
)
@click.option("--gauge", default="", help="Whose stage. [default: the first gauge by name]")
@click.option(
    "--days",
    type=click.IntRange(1, MOST_DAYS),
    default=None,
    help="Order so many working days from DATE on together.",
)
@click.option(
    "--compare", is_flag=True, help="With --days: figures beside day by day; nothing is kept."
)
@click.option("--firm", default=None, help="Whose day. [default: the only firm]")
@click.option("--firm-id", type=int, default=None, hidden=True)
@click.option("--job", type=int, default=None, hidden=True)
@click.option("--today", type=click.DateTime(["%Y-%m-%d"]), default=None, hidden=True)
@json_option
@store_option
def command(
    date: datetime,
    seconds: float | None,
    rounds: int | None,
    seed: int,
    bound_seconds: float,
    within: int | None,
    closed: Path | None,
    forecast: bool,
    stage_ft: float | None,
    gauge: str,
    days: int | None,
    compare: bool,
    firm: str | None,
    firm_id: int | None,
    job: int | None,
    today: datetime | None,
    as_json: bool,
    store: str | None,
) -> None:
    """Choose and order the visits of DATE for all technicians, and keep the plan.

    Travel times come from the imported roads. Each visit left waiting says why. Of several days
    each is kept like a single one; the search has the effort of one day for each of them. Ctrl-C
    ends the search and keeps the best plan that it found.
    """
    from registry.wiring import assemble

    if compare and days is None:
        raise click.UsageError("--compare needs --days.")
    if forecast and stage_ft is not None:
        raise click.UsageError("Give --forecast or --stage, not both.")
    parts = assemble(store, fixed_today=today.date() if today else None)
    click.get_current_context().call_on_close(parts.store.close)
    search = _search(seconds, rounds, seed, bound_seconds)
    try:
        wanted = _wanted(parts, date, search, within, closed, firm, firm_id)
        wanted = replace(wanted, water=_water(forecast, stage_ft, gauge))
        if compare and days is not None:
            _compare(parts, wanted, days)
            return
        with stopping() as stop:
            wanted = replace(wanted, search=replace(search, stop=stop))
            planned = _planned(parts, wanted, days, job)
    except RegistryError as wrong:
        _end(parts, job, ok=False, text=str(wrong))
        raise
    except Exception:
        _end(parts, job, ok=False, text="This is our fault, not yours. Try again, or tell us.")
        raise
    _end(
        parts, job, ok=True, text="The day is ordered." if days is None else "The days are ordered."
    )
    if as_json:
        from registry.plan.as_json import day_json

        told = [day_json(day) for day in planned]
        print_json(told[0] if days is None else {"days": told})
        return
    from registry.report.day_text import day_text

    click.echo("\n\n".join(day_text(day) for day in planned))


def _search(seconds: float | None, rounds: int | None, seed: int, bound_s: float) -> "Search":
    from registry.services.plan_day import Search

    if seconds is not None and rounds is not None:
        raise click.UsageError("Give --seconds or --rounds, not both.")
    if rounds is not None:
        return Search(rounds=rounds, seed=seed, bound_s=bound_s)
    return Search(seconds=seconds or DEFAULT_S, seed=seed, bound_s=bound_s)


def _wanted(
    parts: "Parts",
    date: datetime,
    search: "Search",
    within: int | None,
    closed: Path | None,
    firm: str | None,
    firm_id: int | None,
) -> "DayOrder":
    from registry.services.new_closure import ClosureWords, closures_from_file
    from registry.services.new_viewer import firm_named
    from registry.services.plan_day import DayOrder
    from registry.services.recompute_due import start_new_day

    words = ClosureWords(first_on=date.date())
    closures = closures_from_file(closed, words) if closed else []
    with parts.store.session() as session:
        start_new_day(session, parts.today())
    if firm_id is None:
        with parts.store.reading() as session:
            firm_id = firm_named(session, firm)
    return DayOrder(
        firm_id=firm_id,
        on_date=date.date(),
        search=search,
        made_by="command line",
        now=parts.now(),
        horizon_days=within,
        closures=tuple(closures),
    )


def _water(forecast: bool, stage_ft: float | None, gauge: str) -> "WaterAsked | None":
    from registry.services.forecast_roads import WaterAsked

    if not forecast and stage_ft is None:
        return None
    return WaterAsked(stage_ft=stage_ft, gauge=gauge)


def _planned(parts: "Parts", wanted: "DayOrder", days: int | None, job: int | None) -> "list[Day]":
    from registry.services.plan_day import plan_day
    from registry.services.plan_days import plan_days

    tell = _teller(parts, job)
    with parts.roads() as roads:
        if days is None:
            return [plan_day(parts.store, roads, parts.solver(), wanted, tell, parts.bounds())]
        return plan_days(parts.store, roads, parts.solver(), wanted, days, tell)


def _compare(parts: "Parts", wanted: "DayOrder", days: int) -> None:
    from registry.services.compare_days import compare_days

    with parts.roads() as roads:
        tell = _teller(parts, None)
        print_json(compare_days(parts.store, roads, parts.solver(), wanted, days, tell))


def _teller(parts: "Parts", job: int | None) -> "Callable[[Progress], None]":
    """Return what hears how the search goes: the job's row, or stderr."""

    def tell(progress: "Progress") -> None:
        if job is None:
            say(progress.text)
            return
        from registry.services.order_day import note_progress

        with parts.store.session() as session:
            note_progress(session, job, progress.text, os.getpid())

    return tell


def _end(parts: "Parts", job: int | None, *, ok: bool, text: str) -> None:
    if job is None:
        return
    from registry.services.order_day import note_end

    with parts.store.session() as session:
        note_end(session, job, ok=ok, text=text, now=parts.now())
