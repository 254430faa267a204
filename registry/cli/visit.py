"""``riserway visit``: hold visits, keep technicians away, let one site follow another."""

from collections.abc import Callable
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

import click

from registry.cli.options import ClockTime, say, store_option

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import datetime

    from registry.records.changes import Viewer
    from registry.store import Session
    from registry.wiring import Parts

DAY = click.DateTime(["%Y-%m-%d"])


def firm_option[F: Callable[..., Any]](command: F) -> F:
    """Add ``--firm NAME``."""
    return click.option("--firm", default=None, help="Whose day. [default: the only firm]")(command)


@click.group("visit", epilog="Example: riserway visit hold S-0042 2026-06-09 --from 09:00")
def command() -> None:
    """Hold visits on a date, keep technicians away, let one site follow another."""


@contextmanager
def as_dispatcher(store: str | None, firm: str | None) -> "Iterator[tuple[Parts, Session, Viewer]]":
    """Yield the parts, a session, and whoever sits at the command line as viewer of a firm."""
    from registry.records.changes import Role, Viewer
    from registry.services.new_viewer import firm_named
    from registry.wiring import assemble

    parts = assemble(store)
    with parts.store.session() as session:
        firm_id = firm_named(session, firm)
        yield parts, session, Viewer(name="command line", role=Role.ADMINISTRATOR, firm_id=firm_id)


@command.command(
    epilog="Example: riserway visit hold S-0042 2026-06-09 --technician 'A. Example' --from 09:00"
)
@click.argument("site")
@click.argument("date", type=DAY)
@click.option("--technician", default=None, help="Who makes it. [default: anyone]")
@click.option("--from", "from_min", type=ClockTime(), default=None, help="Promised from (HH:MM).")
@click.option("--to", "to_min", type=ClockTime(), default=None, help="Promised until (HH:MM).")
@click.option("--note", default="", help="Why, for those who read the day.")
@firm_option
@store_option
def hold(
    site: str,
    date: "datetime",
    technician: str | None,
    from_min: int | None,
    to_min: int | None,
    note: str,
    firm: str | None,
    store: str | None,
) -> None:
    """Fix SITE's visit on DATE, to a technician, to promised hours, or both."""
    from registry.records.visits import Hold
    from registry.services.dispatch_day import technician_id_of
    from registry.services.hold_visit import hold_visit, site_id_of

    with as_dispatcher(store, firm) as (parts, session, viewer):
        who = None if technician is None else technician_id_of(session, viewer, technician)
        wanted = Hold(
            site_id=site_id_of(session, viewer, site),
            on_date=date.date(),
            technician_id=who,
            from_min=from_min,
            to_min=to_min,
            note=note,
        )
        hold_visit(session, viewer, wanted, parts.now())
    say(f"{site} is held on {date:%Y-%m-%d}. Order the day again to see it on a route.")


@command.command(epilog="Example: riserway visit release S-0042 2026-06-09")
@click.argument("site")
@click.argument("date", type=DAY)
@firm_option
@store_option
def release(site: str, date: "datetime", firm: str | None, store: str | None) -> None:
    """Let SITE's held visit on DATE go."""
    from registry.records.visits import Hold
    from registry.services.hold_visit import release_visit, site_id_of

    with as_dispatcher(store, firm) as (_, session, viewer):
        site_id = site_id_of(session, viewer, site)
        release_visit(session, viewer, Hold(site_id=site_id, on_date=date.date()))
    say(f"{site} is not held on {date:%Y-%m-%d} any more.")


@command.command("rule-out", epilog="Example: riserway visit rule-out S-0042 'A. Example'")
@click.argument("site")
@click.argument("technician")
@click.option("--on", "on_date", type=DAY, default=None, help="One date. [default: for good]")
@click.option("--lift", is_flag=True, help="Let the technician go there again.")
@click.option("--note", default="", help="Why.")
@firm_option
@store_option
def rule_out_(
    site: str,
    technician: str,
    on_date: "datetime | None",
    lift: bool,
    note: str,
    firm: str | None,
    store: str | None,
) -> None:
    """Keep TECHNICIAN away from SITE."""
    from registry.records.visits import RuleOut
    from registry.services.dispatch_day import lift_rule_out, rule_out, technician_id_of
    from registry.services.hold_visit import site_id_of

    with as_dispatcher(store, firm) as (_, session, viewer):
        one = RuleOut(
            site_id=site_id_of(session, viewer, site),
            technician_id=technician_id_of(session, viewer, technician),
            on_date=on_date.date() if on_date else None,
            note=note,
        )
        (lift_rule_out if lift else rule_out)(session, viewer, one)
    when = f" on {on_date:%Y-%m-%d}" if on_date else ""
    say(f"{technician} {'may go' if lift else 'does not go'} to {site}{when}.")


@command.command(epilog="Example: riserway visit follow 2026-06-09 S-0042 S-0043 --same-truck")
@click.argument("date", type=DAY)
@click.argument("first")
@click.argument("then")
@click.option("--same-truck", is_flag=True, help="By the same technician.")
@click.option("--drop", is_flag=True, help="Let them be worked at in any order again.")
@firm_option
@store_option
def follow(
    date: "datetime",
    first: str,
    then: str,
    same_truck: bool,
    drop: bool,
    firm: str | None,
    store: str | None,
) -> None:
    """Let work at site THEN start on DATE only once it is over at site FIRST."""
    from registry.records.visits import VisitLink
    from registry.services.dispatch_day import link_visits, unlink_visits
    from registry.services.hold_visit import site_id_of

    with as_dispatcher(store, firm) as (_, session, viewer):
        link = VisitLink(
            on_date=date.date(),
            first_site_id=site_id_of(session, viewer, first),
            then_site_id=site_id_of(session, viewer, then),
            same_truck=same_truck,
        )
        (unlink_visits if drop else link_visits)(session, viewer, link)
    said = "in any order" if drop else "in this order"
    say(f"{first} and {then} are worked at {said} on {date:%Y-%m-%d}.")
