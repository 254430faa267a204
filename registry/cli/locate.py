"""``riserway locate``: sites without a place, by parcel number and address."""

from contextlib import closing
from typing import TYPE_CHECKING

import click

from registry.cli.office import firm_option, office
from registry.cli.options import json_option, print_json, say, store_option

if TYPE_CHECKING:
    from registry.services.places_to_decide import ToLocate


@click.command("locate", epilog="Example: riserway locate --json")
@click.option("--site", default=None, help="Decide for this site.")
@click.option("--take", type=int, default=None, metavar="N", help="It is at its place number N.")
@click.option("--none", "is_none", is_flag=True, help="It is at none of them.")
@firm_option
@json_option
@store_option
def command(
    site: str | None,
    take: int | None,
    is_none: bool,
    firm: str | None,
    as_json: bool,
    store: str | None,
) -> None:
    """Place the sites that are surely at one known place; list the doubtful ones to decide.

    What they are located by comes in with: riserway import parcels.
    """
    from registry.services.after_import import after_import
    from registry.services.locate_sites import locate_sites, refuse_offers, take_offer
    from registry.services.places_to_decide import places_to_decide
    from registry.store import Author
    from registry.store.scope import scope_of
    from registry.wiring import assemble

    if (take is not None or is_none) != (site is not None) or (take is not None and is_none):
        raise click.UsageError("Decide with --site KEY and either --take N or --none.")
    parts = assemble(store)
    now = parts.now()
    with closing(parts.store), parts.store.session() as session:
        viewer = office(session, firm)
        if site is not None:
            offered = _offered(places_to_decide(session, viewer), site)
            if is_none:
                refuse_offers(session, viewer, offered.site_id)
            else:
                if not 1 <= (take or 0) <= len(offered.offers):
                    raise click.UsageError(f"Site {site} has places 1 to {len(offered.offers)}.")
                at = offered.offers[(take or 1) - 1].place.place
                take_offer(session, viewer, offered.site_id, at, now)
            touched = [] if is_none else [offered.site_id]
        else:
            done = locate_sites(session, scope_of(viewer), Author(viewer.name, now, "located"))
            touched = done.placed
            for note in done.notes:
                say(note)
        for line in after_import(session, now, parts.today(), touched):
            say(line)
        left = places_to_decide(session, viewer)
    _tell(left, len(touched), as_json=as_json)


def _offered(left: "list[ToLocate]", site: str) -> "ToLocate":
    from registry.errors import NotFoundError

    found = next((one for one in left if one.site == site and one.offers), None)
    if found is None:
        raise NotFoundError(f"Nothing is offered for a site {site}. See: riserway locate.")
    return found


def _tell(left: "list[ToLocate]", n_placed: int, *, as_json: bool) -> None:
    doubtful = [one for one in left if one.offers]
    if as_json:
        print_json(
            {
                "placed": n_placed,
                "doubtful": [
                    {
                        "site": one.site,
                        "address": one.address,
                        "town": one.town,
                        "parcel": one.parcel,
                        "offers": [
                            {
                                "number": number,
                                "place": offer.place.words,
                                "town": offer.place.town,
                                "lon": offer.place.place.lon,
                                "lat": offer.place.place.lat,
                                "accuracy_m": offer.place.accuracy_m,
                                "score": offer.score,
                                "why": offer.why,
                            }
                            for number, offer in enumerate(one.offers, 1)
                        ],
                    }
                    for one in doubtful
                ],
                "unknown": [one.site for one in left if not one.offers],
            }
        )
        return
    click.echo(
        f"{n_placed:,} placed, {len(doubtful):,} to decide, {len(left) - len(doubtful):,} for "
        "which nothing is known."
    )
    for one in doubtful:
        said = ", ".join(word for word in (one.address, one.town, one.parcel) if word)
        click.echo(f"{one.site}: {said}")
        for number, offer in enumerate(one.offers, 1):
            click.echo(f"  {number}  {offer.score:5.1f}  {offer.place.words}: {offer.why}")
