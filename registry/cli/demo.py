"""``riserway demo``: the invented county in a store of its own, its day ordered and served."""

import socket
from collections.abc import Callable
from contextlib import closing
from datetime import date, datetime
from importlib import import_module
from importlib.metadata import entry_points
from pathlib import Path
from typing import TYPE_CHECKING

import click

from registry.cli.options import json_option, print_json, say

if TYPE_CHECKING:
    from registry.plan.ports import Progress
    from registry.records.day import Day
    from registry.services.demo_sign_ins import DemoSignIn
    from registry.wiring import Parts

HOST = "127.0.0.1"
PORT = 8000
SEARCH_S = 5.0


@click.command("demo", epilog="Example: riserway demo --no-serve")
@click.option(
    "--folder",
    type=click.Path(file_okay=False, path_type=Path),
    default=Path("riserway-demo"),
    show_default=True,
    help="Where the invented county is kept.",
)
@click.option(
    "--port", type=click.IntRange(0, 65535), default=None, help="Port. [8000, or a free one]"
)
@click.option("--no-serve", is_flag=True, help="Print the day and end.")
@click.option(
    "--on",
    type=click.DateTime(["%Y-%m-%d"]),
    default=None,
    help="The date to live on and to order. [the county's own, 2026-06-09]",
)
@click.option(
    "--seconds", type=click.FloatRange(0.1), default=None, help="Order the day anew, so long. [5]"
)
@json_option
def command(
    folder: Path,
    port: int | None,
    no_serve: bool,
    on: datetime | None,
    seconds: float | None,
    as_json: bool,
) -> None:
    """Make the invented county, order its day, and serve the pages on this machine.

    Nothing in the county is real. What was made before is used again.
    """
    from registry.services.make_demo import county_today

    if as_json and not no_serve:
        raise click.UsageError("--json prints the day: give --no-serve with it.")
    today = on.date() if on else county_today()
    parts = _filled(folder, today)
    with parts.store.session() as session:
        from registry.services.demo_sign_ins import demo_sign_ins

        sign_ins = demo_sign_ins(session, folder, parts.now())
    day = _ordered(parts, today, seconds)
    if as_json:
        from registry.plan.as_json import day_json

        print_json(day_json(day))
    elif no_serve:
        from registry.report.day_text import day_text

        click.echo(_about_the_date(today, chosen=on is not None))
        click.echo(day_text(day))
    else:
        _serve(parts, port, today, day, sign_ins)
    parts.store.close()


def _filled(folder: Path, today: date) -> "Parts":
    """Return the parts of the demo's own store and folder, filled if it was not."""
    from registry.roads.network import build_network
    from registry.services.make_demo import Making, make_county
    from registry.wiring import assemble

    folder = folder.resolve()
    url = f"sqlite:///{folder / 'county.sqlite'}"
    parts = assemble(url, check=False, fixed_today=today, folder=folder)
    making = Making(folder=folder, now=parts.now(), today=today, build=build_network, tell=say)
    make_county(parts.store, making)
    return parts


def _ordered(parts: "Parts", today: date, seconds: float | None) -> "Day":
    """Return the day that was ordered before, unless another search is asked for."""
    from registry.services.make_demo import kept_day
    from registry.services.plan_day import DayOrder, Search, plan_day

    firm_id, kept = kept_day(parts.store, today)
    if kept is not None and seconds is None:
        return kept
    say("Ordering the day …")
    with parts.roads() as roads:
        return plan_day(
            parts.store,
            roads,
            parts.solver(),
            DayOrder(
                firm_id=firm_id,
                on_date=today,
                search=Search(seconds=seconds or SEARCH_S),
                made_by="demonstration",
                now=parts.now(),
            ),
            _tell_progress(),
        )


def _tell_progress() -> "Callable[[Progress], None]":
    """Return what tells how the search goes, the same sentence only once in a row."""
    told = [""]

    def tell(progress: "Progress") -> None:
        if progress.text != told[-1]:
            told.append(progress.text)
            say(f"  {progress.text}")

    return tell


def _about_the_date(today: date, *, chosen: bool) -> str:
    from registry.report.day_text import long_date

    if chosen:
        return f"This is an invented county, on {long_date(today)} as you asked."
    return (
        f"This is an invented county. It lives on {long_date(today)}, so that what is due stays "
        "meaningful; give --on for another date."
    )


def _serve(
    parts: "Parts",
    port: int | None,
    today: date,
    day: "Day",
    sign_ins: "tuple[DemoSignIn, ...]",
) -> None:
    """Tell addresses and sign-ins, then serve until stopped."""
    from registry.report.day_text import day_summary

    chosen = _free_port() if port is None else port
    say("")
    say(_about_the_date(today, chosen=False))
    say(day_summary(day))
    say("")
    (entry,) = entry_points(group="riserway.commands", name="serve")
    import_module(entry.module).run(parts, host=HOST, port=chosen, note=_how_to_sign_in(sign_ins))


def _how_to_sign_in(sign_ins: "tuple[DemoSignIn, ...]") -> str:
    here = f"http://{HOST}:{{port}}"
    return "\n".join(
        (
            f"The Day page:   {here}/day/",
            f"The County map: {here}/county/",
            "Sign in with a name and its password:",
            *(f"  {one.name:<14} {one.password}" for one in sign_ins),
            "Stop with Ctrl+C. The next start takes seconds.",
        )
    )


def _free_port() -> int:
    """Return the usual port, or any free one where it is taken."""
    for port in (PORT, 0):
        with closing(socket.socket(socket.AF_INET, socket.SOCK_STREAM)) as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                probe.bind((HOST, port))
            except OSError:
                continue
            return int(probe.getsockname()[1])
    return PORT
