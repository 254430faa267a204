"""``riserway report firms, withdraw, deadlines``: what firms owe an authority and have sent."""

from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

import click

from registry.cli.options import json_option, print_json, say, store_option

if TYPE_CHECKING:
    from registry.records.changes import Viewer
    from registry.store import Session

_WHOSE = click.option("--jurisdiction", default="", help="Only sites in this jurisdiction.")


@click.command("firms", epilog="Example: riserway report firms --jurisdiction 'Example County'")
@_WHOSE
@json_option
@store_option
def firms(jurisdiction: str, as_json: bool, store: str | None) -> None:
    """Say how each firm's reports of a year stand: in time, late, missing, each late one named."""
    from registry.services.firm_reports import see_firm_reports
    from registry.wiring import assemble

    parts = assemble(store)
    with parts.store.reading() as session:
        view = see_firm_reports(session, _county(session, jurisdiction), parts.today())
    if as_json:
        print_json(
            {
                "on": view.on_date,
                "since": view.since,
                "firms": [asdict(one) for one in view.firms],
                "late": [asdict(one) for one in view.late],
            }
        )
        return
    for one in view.firms:
        click.echo(
            f"{one.firm}: {one.n_in_time} in time, {one.n_late} late, {one.n_owed} owed, "
            f"{one.n_missing} of them missing"
        )
    for late in view.late:
        came = f"came {late.came_on}" if late.came_on else "missing"
        click.echo(
            f"{late.firm}  {late.site}  visit of {late.visited_on}, due {late.due_on} "
            f"({late.citation}): {came}, {late.days_late} days late"
        )


@click.command("withdraw", epilog="Example: riserway report withdraw VISIT --why 'wrong house'")
@click.argument("visit")
@click.option("--why", default="", help="Why, for the file.")
@store_option
def withdraw(visit: str, why: str, store: str | None) -> None:
    """Take a report back that came in from a firm; VISIT is the visit that it tells of."""
    from registry.services.after_import import after_import
    from registry.services.take_back_reports import take_back_reports
    from registry.wiring import assemble

    parts = assemble(store)
    with parts.store.session() as session:
        now = parts.now()
        touched = take_back_reports(session, _county(session, ""), [visit], why, now)
        for line in after_import(session, now, parts.today(), touched):
            say(line)
    say("Taken back: the visit stands no more. Everything is kept.")


def _county(session: "Session", jurisdiction: str) -> "Viewer":
    from registry.services.new_viewer import viewer_for

    named = (jurisdiction,) if jurisdiction else ()
    return viewer_for(
        session,
        name="command line",
        role="county",
        firm=None,
        technician=None,
        jurisdictions=named,
    )


@click.command("deadlines", epilog="Example: riserway report deadlines --ahead 90 --to due.ics")
@click.option("--ahead", type=click.IntRange(1, 365), default=60, show_default=True, help="Days.")
@click.option("--to", type=click.Path(dir_okay=False, path_type=Path), help="A .ics or .csv file.")
@_WHOSE
@json_option
@store_option
def deadlines(
    ahead: int, to: Path | None, jurisdiction: str, as_json: bool, store: str | None
) -> None:
    """List deadlines: reports, corrections, agreements that end, letters to be answered."""
    from registry.errors import FileError
    from registry.report.deadline_calendar import deadline_calendar, deadline_csv
    from registry.services.deadlines import all_deadlines
    from registry.wiring import assemble

    parts = assemble(store)
    with parts.store.reading() as session:
        viewer = _county(session, jurisdiction)
        found = all_deadlines(session, viewer, parts.today(), ahead)
    if to is not None:
        if to.suffix not in {".ics", ".csv"}:
            raise FileError(f"{to.name} ends with neither .ics nor .csv. Name it so.")
        is_calendar = to.suffix == ".ics"
        body = (
            deadline_calendar(found, parts.now()) if is_calendar else deadline_csv(found).encode()
        )
        try:
            to.write_bytes(body)
        except OSError as wrong:
            raise FileError(f"{to.name} cannot be written: {wrong.strerror}.") from wrong
        say(f"Wrote {len(found):,} deadlines to {to.name}.")
    elif as_json:
        print_json({"on": parts.today(), "deadlines": [asdict(one) for one in found]})
    else:
        for one in found:
            late = f", {one.days_late} days ago" if one.days_late > 0 else ""
            said = one.what if one.what.startswith(one.kind) else f"{one.kind}: {one.what}"
            click.echo(f"{one.on_date}{late}  {one.site}  {said}")
