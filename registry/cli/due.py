"""``riserway due``: what is due, oldest first, and why."""

from collections.abc import Iterable
from contextlib import closing
from datetime import date, datetime
from typing import TYPE_CHECKING, Any

import click

from registry.cli.options import json_option, print_json, say, store_option

if TYPE_CHECKING:
    from registry.due.why import Explained
    from registry.records.due_rows import DueRow
    from registry.store import Session

COLUMNS = ("site", "system", "task", "last_done", "due_on", "days_overdue", "rule", "source")


@click.command(
    "due",
    epilog="Examples: riserway due --within 0 --format csv · riserway due --why S-017",
)
@click.option(
    "--on",
    "on_date",
    type=click.DateTime(["%Y-%m-%d"]),
    default=None,
    help="As seen on this date. [default: today]",
)
@click.option(
    "--within",
    "within_days",
    type=click.IntRange(0, 3660),
    default=30,
    show_default=True,
    help="Due by so many days after the date; 0 = only what is due by then.",
)
@click.option(
    "--format",
    "form",
    type=click.Choice(["table", "csv", "json", "geojson"]),
    default="table",
    show_default=True,
    help="How to print it.",
)
@click.option("--limit", type=click.IntRange(1), default=None, help="At most so many rows.")
@click.option("--firm", default="", help="Only this firm's sites.")
@click.option("--jurisdiction", default="", help="Only sites in this jurisdiction.")
@click.option("--why", "why_site", metavar="SITE", default=None, help="Explain one site.")
@click.option("--recompute", is_flag=True, help="Compute all due dates again first.")
@json_option
@store_option
def command(
    on_date: datetime | None,
    within_days: int,
    form: str,
    limit: int | None,
    firm: str,
    jurisdiction: str,
    why_site: str | None,
    recompute: bool,
    as_json: bool,
    store: str | None,
) -> None:
    """List what is due, oldest first, each with the rule behind it.

    Days overdue are negative where the due date is still to come.
    """
    from registry.services.due_list import due_counts, due_list, scope_named
    from registry.services.recompute_due import recompute_due, start_new_day
    from registry.wiring import assemble

    parts = assemble(store)
    with closing(parts.store):
        today = parts.today()
        with parts.store.session() as session:
            if recompute:
                done = recompute_due(session, today)
                say(f"Computed {done.obligations:,} obligations of {done.systems:,} systems.")
            else:
                start_new_day(session, today)
        day = on_date.date() if on_date else today
        with parts.store.reading() as session:
            if why_site is not None:
                _explain(session, why_site, firm, day, as_json=as_json or form == "json")
                return
            scope = scope_named(session, firm, jurisdiction)
            rows = due_list(session, scope, day, within_days, limit)
            if as_json or form != "table":
                _print_rows(rows, "json" if as_json else form)
                return
            _print_table(rows)
            n_due, n_overdue = due_counts(session, scope, day, within_days)
            say(f"{n_due:,} due by {within_days} days after {day}, {n_overdue:,} overdue.")


def row_of(row: "DueRow") -> dict[str, Any]:
    """Return a row as it is printed."""
    return {name: getattr(row, name) for name in COLUMNS}


def _print_rows(rows: Iterable["DueRow"], form: str) -> None:
    from registry.report.csv_text import csv_text
    from registry.report.geojson_text import feature_collection

    if form == "json":
        print_json([row_of(row) for row in rows])
    elif form == "csv":
        click.echo(csv_text(COLUMNS, map(row_of, rows)), nl=False)
    else:
        click.echo(feature_collection((row.lon_lat, row_of(row)) for row in rows), nl=False)


def _print_table(rows: Iterable["DueRow"]) -> None:
    listed = [[_cell(value) for value in row_of(row).values()] for row in rows]
    widths = [
        max(len(name), *(len(line[at]) for line in listed), 0) if listed else len(name)
        for at, name in enumerate(COLUMNS)
    ]
    for line in (list(COLUMNS), *listed):
        cells = (cell.ljust(width) for cell, width in zip(line, widths, strict=True))
        click.echo("  ".join(cells).rstrip())


def _cell(value: object) -> str:
    return "–" if value is None else str(value)


def _explain(session: "Session", site: str, firm: str, day: date, *, as_json: bool) -> None:
    from registry.services.due_list import scope_named
    from registry.services.explain_due import explain_due
    from registry.services.site_numbers import site_ids_named

    ids = site_ids_named(session, [site], scope_named(session, firm).firm_id)
    found = [(one, explain_due(session, one, day)) for one in ids]
    if as_json:
        print_json([_as_plain(site, one) for _, many in found for one in many])
        return
    for _, many in found:
        click.echo(f"Site {site}, on {day}")
        for system in dict.fromkeys(one.system for one in many):
            click.echo(f"\nSystem: {system}")
            _print_system([one for one in many if one.system == system])


def _print_system(many: list["Explained"]) -> None:
    for one in many:
        if one.obligation is not None:
            click.echo(f"\n  {one.headline}")
            for sentence in one.sentences:
                click.echo(f"    - {sentence}")
    not_owed = [one for one in many if one.obligation is None]
    if not_owed:
        click.echo("")
    for one in not_owed:
        click.echo(f"  {one.headline}")


def _as_plain(site: str, one: "Explained") -> dict[str, Any]:
    owed = one.obligation
    return {
        "site": site,
        "system": one.system,
        "task": one.task,
        "due_on": owed.due_on if owed else None,
        "rule": owed.rule_code if owed else None,
        "source": owed.source if owed else None,
        "headline": one.headline,
        "sentences": one.sentences,
    }
