"""Handing to the Day what is to be done before a river is there, in one step."""

from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from registry.due.before_water import LEAD, NO_PUMPING
from registry.errors import RangeError
from registry.privacy import require
from registry.records.changes import Viewer
from registry.records.high_water import SiteBefore
from registry.records.visits import BEFORE_WATER, Hold
from registry.services.before_water import ACT, before_water
from registry.services.forecast_roads import heed_forecast
from registry.services.hold_visit import hold_visit
from registry.services.rivers import known_rivers
from registry.services.see_day import firm_of
from registry.store import Session, days, names
from registry.units import MIN_PER_H

UNTIL_AFTER = "after high water"
"""How the note of a visit begins that is held until after the water."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ToDay:
    """What is handed to the Day: sites to visit before the water, sites that wait for after it."""

    visit_on: date
    visit_ids: tuple[int, ...] = ()
    hold_until: date
    hold_ids: tuple[int, ...] = ()
    heed: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Handed:
    """How many visits were held before and after; sentences about those that were not."""

    before: int
    after: int
    left: tuple[str, ...]


def hand_to_day(session: Session, viewer: Viewer, wanted: ToDay, now: datetime) -> Handed:
    """Hold the visits that are pulled forward and those that wait for after the water.

    A visit before the water is held so that it starts two hours before the forecast has the water
    there. One that is held already on the date stays as it is.

    Raises
    ------
    AccessError
        If the role may not hold visits, or not close roads where the forecast is to be heeded.
    NotFoundError
        If a site is not the firm's.
    RangeError
        If visits are to be held for a date that does not lie after those before the water.
    """
    require(viewer, ACT)
    if wanted.hold_ids and wanted.hold_until <= wanted.visit_on:
        raise RangeError("Visits that wait for after the water need a later date than the others.")
    firm_id = firm_of(session, viewer)
    zone = ZoneInfo(names.zone_of_firm(session, firm_id))
    known = {one.site_id: one for one in _known(session, viewer, now)}
    left: list[str] = []
    done = {"before": 0, "after": 0}
    for word, on_date, ids in (
        ("before", wanted.visit_on, wanted.visit_ids),
        ("after", wanted.hold_until, wanted.hold_ids),
    ):
        held = {one.site_id for one in days.holds_on(session, firm_id, on_date)}
        for site_id in dict.fromkeys(ids):
            one = known.get(site_id)
            if one is None:
                left.append(f"Site {site_id}: by the forecast the water does not come near it.")
                continue
            if site_id in held:
                left.append(f"{one.site} is held on {on_date} already and stays as it is.")
                continue
            to_min = _latest_min(one, on_date, zone) if word == "before" else None
            if to_min is not None and to_min <= 0:
                left.append(f"{one.site}: on {on_date} the water is there already. Stay away.")
                continue
            note = _note_before(one) if word == "before" else _note_after(one)
            hold = Hold(site_id=site_id, on_date=on_date, note=note, to_min=to_min)
            hold_visit(session, viewer, hold, now)
            done[word] += 1
    if wanted.heed:
        heed_forecast(session, viewer, heed=True)
    return Handed(before=done["before"], after=done["after"], left=tuple(left))


def _known(session: Session, viewer: Viewer, now: datetime) -> list[SiteBefore]:
    """Return what to do by the forecasts of all gauges."""
    gauges = known_rivers(session).gauges
    return [one for gauge in gauges for one in before_water(session, viewer, gauge.name, now).sites]


def _latest_min(one: SiteBefore, on_date: date, zone: ZoneInfo) -> int | None:
    """Return the local minute by which work starts on a date, 0 where the water is there before."""
    if one.first_at is None:
        return None
    latest = (one.first_at - LEAD).astimezone(zone)
    if latest.date() > on_date:
        return None
    return 0 if latest.date() < on_date else latest.hour * MIN_PER_H + latest.minute


def _note_before(one: SiteBefore) -> str:
    what = ", ".join(reason.what for reason in one.visit) or "to look at"
    return f"{BEFORE_WATER}: {what}. {NO_PUMPING.capitalize()}."


def _note_after(one: SiteBefore) -> str:
    return f"{UNTIL_AFTER}: {'; '.join(one.hold) or 'wet ground'}."
