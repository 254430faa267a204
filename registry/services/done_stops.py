"""Which stops of a day are done, by the notes of the day and the visits that were recorded."""

from registry.plan.done import with_done
from registry.records.day import Day
from registry.store import Session, day_notes, visits


def told_done(session: Session, day: Day) -> Day:
    """Return a day whose stops say whether they are done."""
    sites = {stop.site_id for route in day.routes for stop in route.visits}
    notes = day_notes.notes_on(session, day.firm_id, day.on_date)
    return with_done(day, notes, visits.worked_at_on(session, sites, day.on_date))
