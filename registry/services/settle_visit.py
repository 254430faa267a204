"""Visits that two people recorded: both stay, the office settles what differs field by field."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import uuid4

from registry.errors import ConflictError, RangeError
from registry.field.place import part_label
from registry.field.return_to_service import return_to_service
from registry.field.twice import SaidTwice, is_one_visit, said_twice, settled
from registry.privacy import require
from registry.records.changes import Viewer
from registry.records.gate_visit import GateVisit
from registry.records.places import Site
from registry.records.visits import VisitRecord
from registry.services.record_visit import record_visit
from registry.services.see_day import firm_of
from registry.services.seen_site import seen_site
from registry.store import Session, gate_visits, rules, sites, systems, visits
from registry.store.locks import lock_site

ACT = "settle what two people wrote"
LOOKED_BACK_DAYS = 60
"""Visits so far back are looked through for the Day page; the page of a site looks at all."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Differing:
    """One thing that people said differently: ``label`` for people, ``values`` as they said it.

    ``by`` says of each value where it stands or who wrote it.
    """

    key: str
    label: str
    values: tuple[str, ...]
    by: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitTwice:
    """One visit with its records, the first one first; ``alike`` counts what they say alike."""

    site: Site
    on_date: date
    versions: tuple[VisitRecord, ...]
    differing: tuple[Differing, ...]
    alike: int


def visits_twice(
    session: Session, viewer: Viewer, on_date: date, site_id: int | None = None
) -> list[VisitTwice]:
    """Return the visits that were recorded twice and are not settled, oldest first.

    Parameters
    ----------
    on_date
        Visits from 60 days before are looked through.
    site_id
        Only those of a site, however old.

    Raises
    ------
    AccessError
        If the role may not settle visits.
    NotFoundError
        If the site is not the viewer's.
    """
    require(viewer, ACT)
    if site_id is None:
        firm_id, since = firm_of(session, viewer), on_date - timedelta(days=LOOKED_BACK_DAYS)
    else:
        firm_id, since = seen_site(session, viewer, site_id).firm_id, date.min
    groups = gate_visits.recorded_twice(session, firm_id, since, site_id)
    found = (_twice(session, ids) for ids in groups)
    return [one for one in found if one is not None]


def settle(
    session: Session,
    viewer: Viewer,
    ids: Sequence[str],
    chosen: Mapping[str, int],
    now: datetime,
    today: Callable[[str], date],
) -> str:
    """Keep one record of a visit out of several and return its id; all of them stay in the store.

    Parameters
    ----------
    ids
        The records as they were shown, in their order.
    chosen
        Which of them holds, by the key of what differs.

    Raises
    ------
    AccessError
        If the role may not settle visits.
    ConflictError
        If the records changed meanwhile.
    NotFoundError
        If there is no such visit, or its site is not the viewer's.
    RangeError
        If something that differs is not chosen.
    """
    require(viewer, ACT)
    known = {one.id: one for one in visits.visits_with_ids(session, ids)}
    site_id = next((one.site_id for one in known.values()), 0)
    site = seen_site(session, viewer, site_id)
    lock_site(session, site.id)
    together = gate_visits.recorded_twice(session, site.firm_id, date.min, site.id)
    if list(ids) not in together:
        raise ConflictError("These records changed meanwhile. Look at them again.")
    twice = _twice(session, ids)
    if twice is None:
        raise ConflictError("These records no longer say different things. Look at them again.")
    missing = [
        one.label
        for one in twice.differing
        if one.key not in chosen
        or not 0 <= chosen[one.key] < len(ids)
        or not one.values[chosen[one.key]]
    ]
    if missing:
        raise RangeError(f"Choose what holds: {', '.join(missing)}.")
    kept = gate_visits.gate_visits(session, ids)
    versions = [kept[one] for one in ids]
    body = settled(versions, chosen, str(uuid4()), lambda: str(uuid4()))
    return record_visit(session, viewer, body, now, today, settles=ids[1:]).visit_id


def _twice(session: Session, ids: Sequence[str]) -> VisitTwice | None:
    kept = gate_visits.gate_visits(session, ids)
    known = {one.id: one for one in visits.visits_with_ids(session, ids)}
    versions = [kept[one] for one in ids]
    if not is_one_visit(versions, [known[one].recorded_by for one in ids]):
        return None
    said = said_twice(versions)
    (site,) = sites.sites(session, [versions[0].site_id])
    name = _names(session, versions[0])
    by = tuple(
        f"record {number}, {known[one].technician or 'not recorded'}"
        for number, one in enumerate(ids, 1)
    )
    return VisitTwice(
        site=site,
        on_date=versions[0].on_date,
        versions=tuple(known[one] for one in ids),
        differing=tuple(
            Differing(key=one.key, label=name(one), values=one.values, by=by)
            for one in said
            if one.differs
        ),
        alike=sum(not one.differs for one in said),
    )


def _names(session: Session, visit: GateVisit) -> Callable[[SaidTwice], str]:
    """Return what gives the words for a thing that was said twice."""
    kept = systems.systems_of_site(session, visit.site_id)
    parts = {part.id: part_label(part) for one in kept for part in one.components}
    tasks = {one.code: one.name for one in rules.task_kinds(session)}
    components = [part for one in kept for part in one.components]
    items = {one.code: one.text for one in return_to_service(components)}
    of_several = {one.id: f"{one.kind.value} {one.key}".strip() for one in kept if len(kept) > 1}

    def name(one: SaidTwice) -> str:
        row = one.row
        if one.of == "answers":
            return items.get(str(row["item"]), str(row["item"]))
        what = {"outcomes": "task", "readings": "kind", "states": "what"}[one.of]
        said = str(row[what])
        said = tasks.get(said, said[:1].upper() + said[1:])
        more = (
            parts.get(row.get("component_id") or 0),
            of_several.get(row.get("system_id") or 0),
        )
        return ", ".join([said, *filter(None, more)])

    return name
