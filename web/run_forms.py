"""Forms about a day that runs, as notes and wishes; whatever is wrong is gathered and said once."""

from collections.abc import Mapping
from datetime import date

from registry.errors import RangeError
from registry.records.day_notes import DayNote, NoteKind
from registry.services.what_if import Wishes
from registry.units import MIN_PER_DAY, MIN_PER_H
from web.forms import number_in

LONGEST_TEXT = 200


def minute_in(text: str) -> int | None:
    """Return the minutes after midnight that a time such as 10:40 names, None if it names none."""
    hour, colon, minute = text.strip().partition(":")
    hours, minutes = number_in(hour), number_in(minute)
    if not colon or hours is None or minutes is None or minutes >= MIN_PER_H:
        return None
    total = hours * MIN_PER_H + minutes
    return total if total <= MIN_PER_DAY else None


def time_in(form: Mapping[str, str], field: str, said: str) -> int:
    """Return the time of a field.

    Raises
    ------
    RangeError
        If there is none.
    """
    found = minute_in(form.get(field, ""))
    if found is None:
        raise RangeError(f"{said} is a time such as 10:40.")
    return found


def note_in(form: Mapping[str, str], on_date: date, site_id: int | None = None) -> DayNote:
    """Return the note that a form makes; ``site_id`` where the form names it by its number.

    Raises
    ------
    RangeError
        If a field is not what it should be.
    """
    complaints = []
    if form.get("kind") not in set(NoteKind):
        complaints.append("Choose what happened.")
    at_min = minute_in(form.get("at", ""))
    if at_min is None:
        complaints.append("When it happened is a time such as 10:40.")
    minutes = number_in(form.get("minutes", ""))
    if form.get("minutes") and minutes is None:
        complaints.append("Minutes late is a whole number.")
    promised = [minute_in(form.get(name, "")) for name in ("from", "to")]
    if any(
        form.get(name) and one is None for name, one in zip(("from", "to"), promised, strict=True)
    ):
        complaints.append("The promised hours are times such as 10:40.")
    if complaints or at_min is None:
        raise RangeError(" ".join(complaints))
    stop = form.get("stop", "")
    return DayNote(
        on_date=on_date,
        kind=NoteKind(form["kind"]),
        at_min=at_min,
        site_id=site_id if site_id is not None else number_in(stop),
        technician_id=number_in(form.get("technician_id", "")),
        minutes=minutes,
        from_min=promised[0],
        to_min=promised[1],
        text=form.get("text", "").strip()[:LONGEST_TEXT],
    )


def wishes_in(asked: Mapping[str, str]) -> Wishes | None:
    """Return what would be otherwise by an address, None where nothing is asked.

    A road that would be closed is named by ``road``; who knows the roads looks it up.

    Raises
    ------
    RangeError
        If a question is only half asked.
    """
    site, who = asked.get("site", "").strip(), asked.get("who", "").strip()
    longer, more = asked.get("longer", "").strip(), asked.get("more", "").strip()
    like, road = asked.get("like", "").strip(), asked.get("road", "").strip()
    if not (site or who or longer or more or like or road):
        return None
    minutes = number_in(more.removeprefix("-"))
    complaints = []
    if bool(site) != bool(who):
        complaints.append("To put a visit on a route, give both the site and the technician.")
    if bool(longer) != bool(more) or (more and minutes is None):
        complaints.append("For other hours, give both the technician and whole minutes.")
    if complaints:
        raise RangeError(" ".join(complaints))
    sign = -1 if more.startswith("-") else 1
    return Wishes(
        put=((site, who),) if site else (),
        more_min=((longer, sign * (minutes or 0)),) if longer else (),
        extra_like=(like,) if like else (),
    )
