"""``riserway plan``: orders one day's visits for all technicians."""

import os
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from registry.cli.options import json_option, print_json, say, store_option
from registry.errors import RegistryError

if TYPE_CHECKING:
    from registry.plan.ports import Progress
    from registry.records.day import Day
    from registry.services.plan_day import Search
    from registry.wiring import Parts

DEFAULT_S = 10.0


@click.command("plan", epilog="Example: riserway plan 2026-06-16 --seconds 10")
@click.argument("date", type=click.DateTime(["%Y-%m-%d"]))
@click.option("--seconds", type=click.FloatRange(0.1), default=None, help="Search time. [10]")
@click.option("--rounds", type=click.IntRange(1), default=None, help="Search effort, not time.")
@click.option("--seed", default=1, show_default=True, help="Same seed and rounds, same plan.")
@click.option(
    "--within", type=click.IntRange(0), default=None, help="Days ahead that count as due."
)
@click.option(
    "--closed",
    type=click.Path(path_type=Path),
    default=None,
    help="GeoJSON of roads closed for this plan only.",
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
    within: int | None,
    closed: Path | None,
    firm: str | None,
    firm_id: int | None,
    job: int | None,
    today: datetime | None,
    as_json: bool,
    store: str | None,
) -> None:
    """Choose and order the visits of DATE for all technicians, and keep the plan.

    Travel times come from the imported roads. Each visit left waiting says why.
    """
    from registry.wiring import assemble

    parts = assemble(store, fixed_today=today.date() if today else None)
    click.get_current_context().call_on_close(parts.store.close)
    search = _search(seconds, rounds, seed)
    try:
        day = _planned(parts, date, search, within, closed, firm, firm_id, job)
    except RegistryError as wrong:
        _end(parts, job, ok=False, text=str(wrong))
        raise
    except Exception:
        _end(parts, job, ok=False, text="This is our fault, not yours. Try again, or tell us.")
        raise
    _end(parts, job, ok=True, text="The day is ordered.")
    if as_json:
        from registry.plan.as_json import day_json

        print_json(day_json(day))
        return
    from registry.report.day_text import day_text

    click.echo(day_text(day))


def _search(seconds: float | None, rounds: int | None, seed: int) -> "Search":
    from registry.services.plan_day import Search

    if seconds is not None and rounds is not None:
        raise click.UsageError("Give --seconds or --rounds, not both.")
    if rounds is not None:
        return Search(rounds=rounds, seed=seed)
    return Search(seconds=seconds or DEFAULT_S, seed=seed)


def _planned(
    parts: "Parts",
    date: datetime,
    search: "Search",
    within: int | None,
    closed: Path | None,
    firm: str | None,
    firm_id: int | None,
    job: int | None,
) -> "Day":
    from registry.services.new_closure import ClosureWords, closures_from_file
    from registry.services.new_viewer import firm_named
    from registry.services.plan_day import DayOrder, plan_day
    from registry.services.recompute_due import start_new_day

    words = ClosureWords(first_on=date.date())
    closures = closures_from_file(closed, words) if closed else []
    with parts.store.session() as session:
        start_new_day(session, parts.today())
    if firm_id is None:
        with parts.store.reading() as session:
            firm_id = firm_named(session, firm)
    with parts.roads() as roads:
        return plan_day(
            parts.store,
            roads,
            parts.solver(),
            DayOrder(
                firm_id=firm_id,
                on_date=date.date(),
                search=search,
                made_by="command line",
                now=parts.now(),
                horizon_days=within,
                closures=tuple(closures),
            ),
            _teller(parts, job),
        )


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
