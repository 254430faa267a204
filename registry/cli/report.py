"""``riserway report``: which reports are owed, and noting that they were sent."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from registry.cli.options import json_option, print_json, say, store_option
from registry.cli.report_firms import deadlines, firms, withdraw
from registry.cli.visit import as_dispatcher, firm_option

if TYPE_CHECKING:
    from registry.records.changes import Viewer
    from registry.records.reports import FindingOpen, ReportOwed, ReportSent
    from registry.store import Session

DAY = click.DateTime(["%Y-%m-%d"])
TO = click.Choice(["authority", "owner"])
HOW = click.Choice(["post", "e-mail", "portal", "by hand"])


@click.group("report", epilog="Example: riserway report owed --on 2026-06-30")
def command() -> None:
    """List the reports of visits that are owed; note what was sent and what was mended."""


command.add_command(deadlines)
command.add_command(firms)
command.add_command(withdraw)


@contextmanager
def _as_office(
    store: str | None, firm: str | None
) -> "Iterator[tuple[Session, Viewer, date, datetime]]":
    """Yield a session, the viewer, the date where the firm works, and the moment."""
    from registry.services.viewer_zone import zone_of

    with as_dispatcher(store, firm) as (parts, session, viewer):
        yield session, viewer, parts.today(zone_of(session, viewer)), parts.now()


@command.command(epilog="Example: riserway report owed --on 2026-06-30 --json")
@click.option("--on", "on_date", type=DAY, default=None, help="As seen on this date. [today]")
@firm_option
@json_option
@store_option
def owed(on_date: datetime | None, firm: str | None, as_json: bool, store: str | None) -> None:
    """List the reports that are owed and the findings to be mended, overdue ones first.

    Only visits that were recorded here count: what became of the reports of visits that came in a
    file is not known.
    """
    from registry.services.see_reports import see_reports

    with _as_office(store, firm) as (session, viewer, today, _):
        view = see_reports(session, viewer, on_date.date() if on_date else today)
    if as_json:
        print_json(
            {
                "on": view.on_date,
                "owed": [_owed_json(one) for one in view.owed],
                "to_mend": [_mend_json(one) for one in view.to_mend],
            }
        )
        return
    for one in view.owed:
        click.echo(f"{one.site}  visit of {one.on_date}, to the {one.state.to}: {_when(one)}")
        click.echo(f"    {one.visit_id}")
    for found in view.to_mend:
        by = f"by {found.mend_by}" if found.mend_by else "no date"
        click.echo(f"{found.site}  to be mended {by} ({found.citation}): {found.finding.kind}")
        click.echo(f"    {found.finding.id}")
    say(f"{len(view.owed):,} reports owed, {len(view.to_mend):,} findings to be mended.")


@command.command(epilog="Example: riserway report year 2025 --to summary-2025.csv")
@click.argument("year", type=int)
@click.option("--to", type=click.Path(dir_okay=False, path_type=Path), help="A .csv file.")
@click.option("--jurisdiction", default="", help="Only sites in this jurisdiction.")
@json_option
@store_option
def year(year: int, to: Path | None, jurisdiction: str, as_json: bool, store: str | None) -> None:
    """Sum up a year: inventory, visits, on time and late, findings, gallons; unknown is said."""
    from registry.report.year_rows import year_csv, year_rows
    from registry.services.county_numbers import year_summary
    from registry.services.new_viewer import viewer_for
    from registry.wiring import assemble

    parts = assemble(store)
    with parts.store.reading() as session:
        named = (jurisdiction,) if jurisdiction else ()
        viewer = viewer_for(
            session,
            name="command line",
            role="county",
            firm=None,
            technician=None,
            jurisdictions=named,
        )
        summary = year_summary(session, viewer, year, parts.today())
    rows = year_rows(summary)
    if to is not None:
        try:
            to.write_text(year_csv(summary), "utf-8")
        except OSError as wrong:
            raise click.ClickException(f"{to} cannot be written ({wrong.strerror}).") from wrong
        say(f"Wrote {to}.")
    elif as_json:
        lines = [one._asdict() for one in rows]
        print_json({"year": summary.year, "until": summary.until, "rows": lines})
    else:
        for one in rows:
            note = f"  ({one.note})" if one.note else ""
            click.echo(f"{one.number:>9,} {one.unit:<4}{one.what}{note}")


@command.command(epilog="Example: riserway report sent VISIT --to owner --how post --on 2026-06-16")
@click.argument("visit")
@click.option("--to", type=TO, required=True, help="Who got it.")
@click.option("--how", type=HOW, required=True, help="How it went out.")
@click.option("--on", "on_date", type=DAY, default=None, help="When. [default: today]")
@click.option("--note", default="", help="A few words, for the firm only.")
@firm_option
@store_option
def sent(
    visit: str,
    to: str,
    how: str,
    on_date: datetime | None,
    note: str,
    firm: str | None,
    store: str | None,
) -> None:
    """Note that the report of VISIT was sent."""
    from registry.records.reports import ReportSent, ReportTo, SentBy
    from registry.services.note_report import note_sent

    with _as_office(store, firm) as (session, viewer, today, now):
        one = ReportSent(
            visit_id=visit,
            to=ReportTo(to),
            sent_on=on_date.date() if on_date else today,
            how=SentBy(how),
            note=note,
        )
        note_sent(session, viewer, one, today, now)
    say(f"Noted: sent to the {to} on {one.sent_on}.")


@command.command("take-back", epilog="Example: riserway report take-back VISIT --to owner")
@click.argument("visit")
@click.option("--to", type=TO, required=True, help="Of which report.")
@firm_option
@store_option
def take_back(visit: str, to: str, firm: str | None, store: str | None) -> None:
    """Take back the note that the report of VISIT was sent; both notes are kept."""
    from registry.records.reports import ReportTo
    from registry.services.note_report import take_back_sent

    with _as_office(store, firm) as (session, viewer, _, now):
        take_back_sent(session, viewer, visit, ReportTo(to), now)
    say(f"Taken back: the report to the {to} is not sent.")


@command.command(epilog="Example: riserway report show VISIT --json")
@click.argument("visit")
@firm_option
@json_option
@store_option
def show(visit: str, firm: str | None, as_json: bool, store: str | None) -> None:
    """Show how the reports of VISIT stand, with every note on them."""
    from registry.services.see_reports import see_notes

    with _as_office(store, firm) as (session, viewer, today, _):
        states, notes = see_notes(session, viewer, visit, today)
    if as_json:
        print_json(
            {
                "visit": visit,
                "reports": [
                    {"to": one.to, "due": _due(one.deadline.on_date, one.deadline.at)}
                    | {"source": one.deadline.citation, "sent_on": one.sent and one.sent.sent_on}
                    for one in states
                ],
                "notes": [_note_json(one) for one in notes],
            }
        )
        return
    for one in states:
        if one.sent:
            click.echo(f"To the {one.to}: sent on {one.sent.sent_on}, {one.sent.how}.")
        else:
            click.echo(f"To the {one.to}: owed.")
    for noted in notes:
        what = "taken back" if noted.takes_back else f"sent on {noted.sent_on}, {noted.how}"
        more = f"; {noted.note}" if noted.note else ""
        click.echo(f"  {noted.noted_at:%Y-%m-%d} {noted.noted_by}: to the {noted.to} {what}{more}")


@command.command(epilog="Example: riserway report mended FINDING --on 2026-06-20 --note 'New lid'")
@click.argument("finding")
@click.option("--on", "on_date", type=DAY, default=None, help="When. [default: today]")
@click.option("--note", default="", help="A few words, for the firm only.")
@click.option("--take-back", "is_taken_back", is_flag=True, help="It is not mended after all.")
@firm_option
@store_option
def mended(
    finding: str,
    on_date: datetime | None,
    note: str,
    is_taken_back: bool,
    firm: str | None,
    store: str | None,
) -> None:
    """Note that FINDING was mended, or take that note back."""
    from registry.records.reports import FindingMended
    from registry.services.note_report import note_mended, take_back_mended

    with _as_office(store, firm) as (session, viewer, today, now):
        if is_taken_back:
            take_back_mended(session, viewer, finding, now)
        else:
            on = on_date.date() if on_date else today
            one = FindingMended(finding_id=finding, mended_on=on, note=note)
            note_mended(session, viewer, one, today, now)
    say("Taken back: the finding is to be mended." if is_taken_back else "Noted: mended.")


def _due(on_date: date | None, at: datetime | None) -> date | datetime | None:
    """Return the earlier of a day and a moment."""
    if at is None or (on_date is not None and on_date < at.date()):
        return on_date
    return at


def _when(one: "ReportOwed") -> str:
    from registry.due.report_rules import NOT_ON_FILE

    due = _due(one.state.deadline.on_date, one.state.deadline.at)
    if due is None:
        return NOT_ON_FILE[one.state.to]
    days = one.state.days_late or 0
    late = f", {days} days overdue" if days > 0 else ""
    said = f"{due:%Y-%m-%d %H:%M} UTC" if isinstance(due, datetime) else f"{due}"
    return f"due by {said}{late}"


def _owed_json(one: "ReportOwed") -> dict[str, Any]:
    return {
        "visit": one.visit_id,
        "site": one.site,
        "on_date": one.on_date,
        "to": one.state.to,
        "due": _due(one.state.deadline.on_date, one.state.deadline.at),
        "days_overdue": one.state.days_late,
        "source": one.state.deadline.citation,
    }


def _mend_json(one: "FindingOpen") -> dict[str, Any]:
    return {
        "finding": one.finding.id,
        "site": one.site,
        "kind": one.finding.kind,
        "seriousness": one.finding.seriousness,
        "found_on": one.found_on,
        "mend_by": one.mend_by,
        "source": one.citation,
        "days_overdue": one.days_late,
    }


def _note_json(one: "ReportSent") -> dict[str, Any]:
    return {
        "id": one.id,
        "to": one.to,
        "sent_on": one.sent_on,
        "how": one.how,
        "note": one.note,
        "noted_by": one.noted_by,
        "noted_at": one.noted_at,
        "takes_back": one.takes_back,
    }
