"""Whether a report that another firm sends can be taken: site, licence, day, tasks and numbers.

Numbers are held to the rules of the gate (``reading_checks``). What is asked there is asked here
too: a value that raises a question is taken with the firm's answer and not without.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from registry.field.findings import FINDINGS
from registry.field.reading_checks import NOTHING_BEFORE, Last, answers_to, check_reading
from registry.field.reading_words import KEEP, Level
from registry.records.gate_visit import SERIOUSNESS
from registry.records.reading_kinds import ReadingKind
from registry.records.reports_in import GivenReport, Licensed, Wrong
from registry.records.work import TaskKind

ALL = "all"
"""What a report writes that says that all open findings are mended."""
_ASK = "Ask the firm; if it stands, write its answer in “answer”: {choices}"
IN_TANK = ("scum", "sludge", "liquid depth")
"""What lies over one another in a tank: the first two cannot be more than the third."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportPlace:
    """What is on file for a report: its system, the visits there, licences of its number.

    ``visited_on`` is the last visit in force, ``is_on_file``: one of the same day that is not of
    this report. ``last`` are the last readings before the day, ``open_findings`` the kinds of those
    that wait to be mended. ``licences`` are those that hold in the site's jurisdiction.
    """

    installed_on: date | None = None
    visited_on: date | None = None
    is_on_file: bool = False
    licences: Sequence[Licensed] = ()
    tasks: Mapping[str, TaskKind] = field(default_factory=dict)
    kinds: Mapping[str, ReadingKind] = field(default_factory=dict)
    last: Mapping[str, Last] = field(default_factory=dict)
    open_findings: Sequence[str] = ()


def report_wrongs(given: GivenReport, place: ReportPlace, today: date) -> list[Wrong]:
    """Return all that keeps a report from being taken; nothing where it is in order.

    References
    ----------
    What a report must name: Wis. Admin. Code SPS 383.55(3) (system, date, licence number of the
    person, what the management plan names). How it is checked is common practice, no source.
    """
    if given.on_date is None:
        return [Wrong("date", "it is empty", "Give the day of the visit")]
    day = given.on_date
    return [
        *_of_day(given, day, place, today),
        *_of_licence(given, day, place),
        *_of_tasks(given, place),
        *_of_readings(given, place),
        *_of_findings(given, place),
    ]


def _of_day(given: GivenReport, day: date, place: ReportPlace, today: date) -> Iterator[Wrong]:
    if day > today:
        yield Wrong("date", f"{day} lies in the future", "Correct the day of the visit")
        return
    received_on = given.received_on or today
    if received_on > today:
        yield Wrong("received", f"{received_on} lies in the future", "Correct it")
    elif received_on < day:
        yield Wrong(
            "received",
            f"it came on {received_on}, before the visit of {day}",
            "Correct one of them",
        )
    if place.installed_on is not None and day < place.installed_on:
        yield Wrong(
            "date",
            f"the system was put in on {place.installed_on}, after {day}",
            "Correct the day, or the system's day on the site file",
        )
    if place.is_on_file:
        yield Wrong(
            "date",
            f"a visit of {day} is on file already, from the gate or another report",
            "Leave the row out if it is the same visit; take the other report back if it was wrong",
        )
    elif place.visited_on is not None and day < place.visited_on and given.answer not in KEEP:
        yield Wrong(
            "date",
            f"a later visit, of {place.visited_on}, is on file",
            _ASK.format(choices=", ".join(KEEP)),
        )


def _of_licence(given: GivenReport, day: date, place: ReportPlace) -> Iterator[Wrong]:
    if not given.licence:
        yield Wrong("licence", "it is empty", "Give the licence number of who made the visit")
        return
    if not place.licences:
        yield Wrong(
            "licence",
            f"no licence {given.licence} is on the list of the authority",
            "Correct the number, or bring the list up to date: riserway import licences",
        )
        return
    valid = [one for one in place.licences if one.is_valid_on(day)]
    if not valid:
        ends = [one.valid_to for one in place.licences if one.valid_to and one.valid_to < day]
        when = f"ended on {max(ends)}" if ends else "began later"
        yield Wrong(
            "licence",
            f"licence {given.licence} was not valid on {day}: it {when}",
            "Correct the number or the day; a visit without a valid licence does not count",
        )
        return
    for name, said in (("firm", given.firm), ("person", given.person)):
        listed = {getattr(one, name) for one in valid} - {""}
        if said and listed and said.casefold() not in {one.casefold() for one in listed}:
            yield Wrong(
                name,
                f"licence {given.licence} is on the list under another name",
                f"Correct the number or the {name}",
            )
    kinds = {one.kind for one in valid}
    for task in given.tasks:
        needed = place.tasks[task].licence if task in place.tasks else ""
        if needed and "" not in kinds and needed not in kinds:
            yield Wrong(
                "licence",
                f"{task} asks for a {needed} licence, and {given.licence} is none",
                "Give the licence of who did it, or leave the task out",
            )


def _of_tasks(given: GivenReport, place: ReportPlace) -> Iterator[Wrong]:
    if not given.tasks:
        yield Wrong("tasks", "it is empty", "Say what was done, for example inspection")
    for task in given.tasks:
        if task not in place.tasks:
            known = ", ".join(place.tasks)
            yield Wrong("tasks", f"there is no task “{task}”", f"Write one of: {known}")


def _of_readings(given: GivenReport, place: ReportPlace) -> Iterator[Wrong]:
    for code, text in given.readings.items():
        kind = place.kinds.get(code, ReadingKind(code=code))
        verdicts = check_reading(text, kind, place.last.get(code, NOTHING_BEFORE))
        blocked = [one for one in verdicts if one.level is Level.BLOCKED]
        if blocked:
            yield Wrong(code, blocked[0].words.rstrip("."), "Correct it or leave it empty")
            continue
        choices = answers_to(verdicts)
        if choices and given.answer not in choices:
            asked = [one.words for one in verdicts if one.level is Level.ASKS]
            yield Wrong(code, asked[0].rstrip(".?"), _ASK.format(choices=", ".join(choices)))
    yield from _of_tank(given)


def _of_tank(given: GivenReport) -> Iterator[Wrong]:
    """Say where more lies in the tank than it holds; plain geometry."""
    try:
        scum_in, sludge_in, depth_in = (float(given.readings[one]) for one in IN_TANK)
    except (KeyError, ValueError):
        return
    if scum_in + sludge_in > depth_in:
        yield Wrong(
            "sludge",
            f"scum and sludge together, {scum_in + sludge_in:g} in, cannot be more than the liquid "
            f"depth, {depth_in:g} in",
            "Correct one of the three",
        )


def _of_findings(given: GivenReport, place: ReportPlace) -> Iterator[Wrong]:
    for kind in given.findings:
        if kind not in FINDINGS:
            yield Wrong(
                "findings", f"there is no finding “{kind}”", f"Write one of: {', '.join(FINDINGS)}"
            )
    if given.seriousness and given.seriousness not in SERIOUSNESS:
        yield Wrong(
            "seriousness",
            f"“{given.seriousness}” is unknown",
            f"Write one of: {', '.join(SERIOUSNESS)}, or nothing",
        )
    if given.finding_note and not given.findings:
        yield Wrong("findings", "a note stands without what was found", "Give the finding")
    for kind in given.mended:
        if kind != ALL and kind not in place.open_findings:
            waits = ", ".join(dict.fromkeys(place.open_findings)) or "nothing"
            yield Wrong(
                "mended", f"no finding “{kind}” waits there to be mended", f"What waits: {waits}"
            )
