"""Notices to owners of the weeks that come; each is a letter on the file of its site."""

from datetime import date, datetime, timedelta
from uuid import uuid4

from registry.errors import RangeError
from registry.privacy import for_role, require
from registry.records.changes import Viewer
from registry.records.letters import Letter
from registry.records.places import Site
from registry.records.season import SeasonVisit
from registry.report.letter_text import day_words
from registry.services.letters import ACT, MOST_LETTERS
from registry.services.seasons import season_in_force
from registry.services.see_day import firm_of
from registry.store import Session, letters, places, rules, seasons, sites

TEXT = """{date}

{owner}
{owner_address}

Onsite wastewater system at {address}, {town}, our number {site}

In the week of {week} we plan to come for:

{tasks}

We call before we come. Please keep the lids free and tell us if the gate will be locked, if there \
is a dog, or if the week does not suit you.

{sender}
"""


def write_notices(
    session: Session, viewer: Viewer, weeks: int, today: date, now: datetime
) -> tuple[str, int]:
    """Write a notice to each owner whose visit lies in the next weeks, once; return batch, number.

    The week of such a visit counts as promised from then on.

    Raises
    ------
    AccessError
        If the role may not write letters.
    NotFoundError
        If no season was made.
    RangeError
        If nobody is left to be told, or there are too many.
    """
    require(viewer, ACT)
    firm_id = firm_of(session, viewer)
    last = today + timedelta(weeks=weeks)
    by_site: dict[tuple[int, date], list[SeasonVisit]] = {}
    for one in season_in_force(session, firm_id).visits:
        if today < one.week_on <= last and one.promised_at is None:
            by_site.setdefault((one.site_id, one.week_on), []).append(one)
    if not by_site:
        raise RangeError("No visit of these weeks waits for a notice.")
    if len(by_site) > MOST_LETTERS:
        raise RangeError(f"These are over {MOST_LETTERS} notices at once: choose fewer weeks.")
    known = {one.id: one for one in sites.sites(session, [site_id for site_id, _ in by_site])}
    names = {one.code: one.name for one in rules.task_kinds(session)}
    sender = places.firm(session, firm_id).name
    written = [
        _notice(for_role(known[site_id], viewer.role), visits, names, sender, today)
        for (site_id, _), visits in by_site.items()
    ]
    batch = str(uuid4())
    letters.add_letters(
        session,
        written,
        batch=batch,
        sender=f"firm {firm_id}",
        written_by=viewer.name,
        now=now,
    )
    seasons.promise(session, [one.id for visits in by_site.values() for one in visits], now)
    return batch, len(written)


def _notice(
    site: Site, visits: list[SeasonVisit], names: dict[str, str], sender: str, today: date
) -> Letter:
    tasks = dict.fromkeys(task for one in visits for task in one.tasks)
    home = ", ".join(filter(None, (site.address, site.town)))
    owner, address = site.owner_name or "The owner", site.owner_address or home
    return Letter(
        site_id=site.id,
        site=site.key,
        written_on=today,
        sender_name=sender,
        to_name=owner,
        to_address=address,
        body=TEXT.format(
            date=day_words(today),
            owner=owner,
            owner_address=address,
            address=site.address,
            town=site.town,
            site=site.key,
            week=day_words(visits[0].week_on),
            tasks="\n".join(f"- {names.get(task, task)}" for task in tasks),
            sender=sender,
        ),
    )
