"""``riserway today``: note how a day goes, see where everybody is, order again what is open."""

from datetime import datetime
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

import click

from registry.cli.options import ClockTime, json_option, print_json, say, store_option

if TYPE_CHECKING:
    from registry.records.changes import Viewer
    from registry.services.run_day import Reordered
    from registry.store import Session
    from registry.wiring import Parts

DATE = click.DateTime(["%Y-%m-%d"])
CLOCK = ClockTime()
KINDS = (
    *("on site", "left", "done", "not reached", "late", "gone home"),
    *("heard from", "alarm call"),
)


def firm_option[F: Any](command: F) -> F:
    """Add ``--firm NAME``."""
    said: F = click.option("--firm", default=None, help="Whose day. [default: the only firm]")(
        command
    )
    return said


@click.group("today", epilog="Example: riserway today show 2026-06-16 --at 10:40")
def command() -> None:
    """Note how a day goes, see where everybody is, and order again what is still open."""


@command.command(epilog="Example: riserway today note 2026-06-16 done --site 1001 --at 10:40")
@click.argument("date", type=DATE)
@click.argument("kind", type=click.Choice(KINDS))
@click.option("--site", default=None, metavar="NUMBER", help="At which site.")
@click.option("--technician", default=None, metavar="NAME", help="Who.")
@click.option("--at", type=CLOCK, default=None, help="When it was so. [default: now]")
@click.option("--minutes", type=float, default=None, help="How late.")
@click.option("--from", "begins", type=CLOCK, default=None, help="Promised from.")
@click.option("--to", "ends", type=CLOCK, default=None, help="Promised until.")
@click.option("--text", default="", help="A few words.")
@firm_option
@store_option
def note(
    date: datetime,
    kind: str,
    site: str | None,
    technician: str | None,
    at: int | None,
    minutes: float | None,
    begins: int | None,
    ends: int | None,
    text: str,
    firm: str | None,
    store: str | None,
) -> None:
    """Note one thing about DATE: a stop, a locked gate, somebody late or gone home, a call.

    A call holds the visit of its site in the hours promised.
    """
    from registry.records.day_notes import DayNote, NoteKind
    from registry.services import run_day
    from registry.services.hold_visit import site_id_of
    from registry.services.new_viewer import technician_named
    from registry.wiring import assemble

    parts = assemble(store)
    with parts.store.session() as session:
        viewer = _viewer(session, firm)
        said = DayNote(
            on_date=date.date(),
            kind=NoteKind(kind),
            at_min=_minute_now(parts, session, viewer) if at is None else at,
            site_id=None if site is None else site_id_of(session, viewer, site),
            technician_id=None
            if technician is None
            else technician_named(session, viewer, technician),
            minutes=minutes,
            from_min=begins,
            to_min=ends,
            text=text,
        )
        number = run_day.note(session, viewer, said, parts.now())
    say(f"Noted as {number}. Order again what is open to see what it changes.")


@command.command("take-back", epilog="Example: riserway today take-back 2026-06-16 3")
@click.argument("date", type=DATE)
@click.argument("number", type=int)
@firm_option
@store_option
def take_back(date: datetime, number: int, firm: str | None, store: str | None) -> None:
    """Take back the note with this NUMBER, made by mistake."""
    from registry.services import run_day
    from registry.wiring import assemble

    parts = assemble(store)
    with parts.store.session() as session:
        run_day.take_back(session, _viewer(session, firm), date.date(), number)
    say(f"Note {number} is taken back.")


@command.command(epilog="Example: riserway today show 2026-06-16 --at 10:40 --json")
@click.argument("date", type=DATE)
@click.option("--at", type=CLOCK, default=None, help="At which time. [default: now]")
@firm_option
@json_option
@store_option
def show(
    date: datetime, at: int | None, firm: str | None, as_json: bool, store: str | None
) -> None:
    """Show where everybody is on DATE, by the plan and the notes, and the versions of the plan."""
    from registry.services.see_running import see_running
    from registry.wiring import assemble

    parts = assemble(store)
    with parts.store.reading() as session:
        viewer = _viewer(session, firm)
        minute = _minute_now(parts, session, viewer) if at is None else at
        seen = see_running(session, viewer, date.date(), minute)
    if as_json:
        print_json(seen.as_json())
        return
    for one in seen.people:
        click.echo(f"{one.technician}: {one.said}")
    for silent in seen.alone:
        phone = silent.phone or "no number on file"
        click.echo(f"WARNING: {silent.technician} {silent.said} Phone: {phone}.")
    for noted in seen.notes:
        click.echo(f"{noted.id:4}  {noted.said}")
    for version in seen.versions:
        click.echo(f"Plan {version.number}: {version.made_how} by {version.made_by}")


@command.command(epilog="Example: riserway today reorder 2026-06-16 --at 10:40")
@click.argument("date", type=DATE)
@click.option("--at", type=CLOCK, default=None, help="From which time on. [default: now]")
@click.option(
    "--move-price",
    "move_price_min",
    type=click.IntRange(0),
    default=10,
    show_default=True,
    help="Minutes of driving that giving a visit to somebody else must save.",
)
@click.option("--seconds", type=click.FloatRange(0.1), default=None, help="Search time. [0.5]")
@click.option("--rounds", type=click.IntRange(1), default=None, help="Search effort, not time.")
@click.option("--dry-run", is_flag=True, help="Say what would change, and keep nothing.")
@firm_option
@json_option
@store_option
def reorder(
    date: datetime,
    at: int | None,
    move_price_min: int,
    seconds: float | None,
    rounds: int | None,
    dry_run: bool,
    firm: str | None,
    as_json: bool,
    store: str | None,
) -> None:
    """Order again what is still open of DATE, from where everybody is, and keep that plan."""
    from registry.services.run_day import Reordering
    from registry.services.run_day import reorder as order_again
    from registry.wiring import assemble

    if seconds is not None and rounds is not None:
        raise click.UsageError("Give --seconds or --rounds, not both.")
    parts = assemble(store)
    with parts.store.reading() as session:
        viewer = _viewer(session, firm)
        minute = _minute_now(parts, session, viewer) if at is None else at
    wanted = Reordering(
        at_min=minute,
        move_price_s=60 * move_price_min,
        seconds=seconds,
        rounds=rounds,
        keep=not dry_run,
    )
    with parts.roads() as roads:
        found = order_again(
            parts.store, roads, parts.repairer(), viewer, date.date(), wanted, parts.now()
        )
    _tell(found, as_json=as_json)


def _tell(found: "Reordered", *, as_json: bool) -> None:
    """Print what moved and who must be told."""
    from registry.plan.as_json import day_json
    from registry.plan.day_changes import move_words

    zone = found.day.routes[0].leaves.tzinfo if found.day.routes else None
    moves = [move_words(one, zone or ZoneInfo("UTC")) for one in found.moves]
    owners = [move_words(one, zone or ZoneInfo("UTC")) for one in found.tell_owners]
    if as_json:
        told = {"moves": moves, "tell_owners": owners}
        people = {"tell_technicians": list(found.tell_technicians)}
        print_json(day_json(found.day) | told | people)
        return
    click.echo("\n".join(moves) or "No visit moved.")
    if owners:
        click.echo("Tell the owners: " + "; ".join(owners))
    if found.tell_technicians:
        click.echo("Tell: " + ", ".join(found.tell_technicians))


def _viewer(session: "Session", firm: str | None) -> "Viewer":
    from registry.records.changes import Role, Viewer
    from registry.services.new_viewer import firm_named

    return Viewer(name="command line", role=Role.ADMINISTRATOR, firm_id=firm_named(session, firm))


def _minute_now(parts: "Parts", session: "Session", viewer: "Viewer") -> int:
    """Return the minutes after midnight that it is now where the firm works."""
    from registry.services.viewer_zone import zone_of

    here = parts.now().astimezone(ZoneInfo(zone_of(session, viewer)))
    return here.hour * 60 + here.minute
