"""A year of a firm from its records: what the sites owe, as visits that go together."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from registry.due.crew import Crew
from registry.due.equipment import assumed
from registry.due.visit_needs import minutes
from registry.due.visits import DueSite
from registry.plan.from_records import is_on_duty
from registry.records.crew import Technician
from registry.records.places import LonLat
from registry.records.work import IntervalRule, Obligation, TaskKind
from registry.season.asked import Owed, Person, SeasonAsked, Terms
from registry.season.weeks import Calendar, months_between, steps_of
from registry.units import S_PER_MIN

PUMP_OUT = "pump-out"
MONTHS_A_YEAR = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """Which parts of the year are wet and dry, "MM-DD"; common practice, no source."""

    wet_from: str = "11-01"
    wet_to: str = "04-15"
    dry_from: str = "06-01"
    dry_to: str = "10-15"


@dataclass(frozen=True, slots=True, kw_only=True)
class Going:
    """What goes together at a site: obligations, and the part of the year that it is for."""

    site: DueSite
    owed: tuple[Obligation, ...]

    @property
    def due_on(self) -> date:
        """The first of their due dates."""
        return min(one.due_on for one in self.owed if one.due_on is not None)

    @property
    def tasks(self) -> tuple[str, ...]:
        """Their tasks, each once."""
        return tuple(dict.fromkeys(one.task for one in self.owed))


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """Weeks that stand from before, by site and task; ``promised`` ones are dear to leave."""

    weeks: Mapping[tuple[int, str], int]
    promised: frozenset[tuple[int, str]] = frozenset()


KEEP_S, PROMISED_S = 900, 14_400
"""What a week must save in driving to move a visit: a quarter of an hour, or four hours where the
owner was told. Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonKnown:
    """A season as asked, what each of its jobs is, and what could not be asked, in sentences."""

    calendar: Calendar
    today: date
    asked: SeasonAsked
    going: tuple[Going, ...]
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """What holds for all sites of a season: its weeks, the day of asking, rules and terms."""

    calendar: Calendar
    today: date
    tasks: Mapping[str, TaskKind]
    rules: Mapping[str, IntervalRule]
    kept: Kept
    terms: Terms
    ground: Ground


def season_from_records(
    frame: Frame,
    sites: Sequence[DueSite],
    in_hazard_area: Collection[int],
    crew: Sequence[Technician],
    yard: LonLat | None,
) -> SeasonKnown:
    """Return a year of a firm as a season asks for it.

    Parameters
    ----------
    frame
        The weeks, the rules and the terms.
    sites
        The sites with what falls due there within the year.
    in_hazard_area
        Ids of the sites on a flood plain.
    crew, yard
        Who works, and where those start who have no home on file.
    """
    starts = [(who, who.home or yard) for who in crew if who.active]
    people = tuple(_person(who, at, frame) for who, at in starts if at is not None)
    workers = [who for who, at in starts if at is not None]
    may = _Abilities(workers, frame.tasks, frame.today)
    places: list[LonLat] = []
    owed: list[Owed] = []
    going: list[Going] = []
    unplaced = unable = 0
    for site in sites:
        if site.lon_lat is None:
            unplaced += 1
            continue
        for group, who in _groups(site, may, frame):
            if not who:
                unable += 1
                continue
            one = Going(site=site, owed=tuple(group))
            allowed = _allowed(one, frame, in_hazard_area=site.site_id in in_hazard_area)
            owed.append(_owed(one, len(places), who, allowed, frame))
            going.append(one)
        places.append(site.lon_lat)
    return SeasonKnown(
        calendar=frame.calendar,
        today=frame.today,
        asked=SeasonAsked(
            n_weeks=frame.calendar.n_weeks,
            places=tuple(places),
            owed=tuple(owed),
            people=people,
            terms=frame.terms,
        ),
        going=tuple(going),
        notes=tuple(_notes(unplaced, unable, workers, frame)),
    )


class _Abilities:
    """Who of some people may do tasks; answers are remembered."""

    def __init__(
        self, people: Sequence[Technician], tasks: Mapping[str, TaskKind], today: date
    ) -> None:
        self._alone = [Crew([who], tasks, today) for who in people]
        self._tasks = tasks

    def who(self, task: str, jurisdiction: str) -> frozenset[int]:
        """Return the numbers of the people who may do a task, by what they hold on the day."""
        asked = frozenset([task])
        return frozenset(k for k, one in enumerate(self._alone) if one.may(asked, jurisdiction))

    def known(self, task: str) -> bool:
        """Tell whether there is such a task."""
        return task in self._tasks


def _groups(
    site: DueSite, may: _Abilities, frame: Frame
) -> list[tuple[list[Obligation], frozenset[int]]]:
    """Return what goes together at a site: one interval, dates near each other, one person for all.

    Dates are near where the later visit may come as early as the first is due, for nothing.
    """
    calendar, today = frame.calendar, frame.today
    groups: list[tuple[list[Obligation], frozenset[int], int | None]] = []
    owed = [one for one in site.obligations if one.due_on is not None and may.known(one.task)]
    for one in sorted(owed, key=lambda one: (one.due_on or today, one.task)):
        who, step = may.who(one.task, site.jurisdiction), _step(one, frame.rules)
        free = int((step or calendar.n_weeks) * frame.terms.free_share)
        for at, (group, theirs, their_step) in enumerate(groups):
            first = calendar.due_week(group[0].due_on or today, today)
            near = calendar.due_week(one.due_on or today, today) - first <= free
            if step == their_step and near and who & theirs and _ground(one) == _ground(group[0]):
                groups[at] = ([*group, one], who & theirs, step)
                break
        else:
            groups.append(([one], who, step))
    return [(group, who) for group, who, _ in groups]


def _ground(one: Obligation) -> bool:
    """Tell whether a task asks for dry ground."""
    return one.task == PUMP_OUT


def _step(one: Obligation, rules: Mapping[str, IntervalRule]) -> int | None:
    """Return after how many weeks a task is due again; None = a date of each year, met once."""
    rule = rules.get(one.rule_code)
    if rule is not None and rule.yearly_by:
        return None
    if one.counted_from is not None and one.due_on is not None and one.due_on > one.counted_from:
        return steps_of(months_between(one.counted_from, one.due_on))
    return steps_of(rule.months if rule is not None and rule.months else MONTHS_A_YEAR)


def _allowed(one: Going, frame: Frame, *, in_hazard_area: bool) -> int:
    """Return the weeks in which a site may be worked at for what goes together there."""
    calendar, ground = frame.calendar, frame.ground
    allowed = calendar.every
    if one.site.season_from and one.site.season_to:
        allowed &= calendar.inside(one.site.season_from, one.site.season_to)
    if in_hazard_area:
        allowed &= ~calendar.touching(ground.wet_from, ground.wet_to)
    if any(_ground(owed) for owed in one.owed):
        allowed &= calendar.inside(ground.dry_from, ground.dry_to)
    return allowed


def _owed(one: Going, site: int, who: frozenset[int], allowed: int, frame: Frame) -> Owed:
    has = one.site.equipment
    work = [
        (
            frame.tasks[owed.task],
            has.get(owed.system_id) or assumed(one.site.systems.get(owed.system_id, ("", ""))[0]),
            "",
        )
        for owed in one.owed
    ]
    keys = [(one.site.site_id, task) for task in one.tasks]
    stood = 0
    for key in keys:
        stood |= frame.kept.weeks.get(key, 0)
    promised = any(key in frame.kept.promised for key in keys)
    return Owed(
        id=f"{one.site.key}: {', '.join(one.tasks)}",
        site=site,
        people=who,
        service_s=round(minutes(work, frame.tasks).total * S_PER_MIN),
        due_week=frame.calendar.due_week(one.due_on, frame.today),
        step_weeks=_step(one.owed[0], frame.rules),
        allowed=allowed,
        kept=stood,
        keep_s=PROMISED_S if promised else KEEP_S,
    )


def _person(who: Technician, start: LonLat, frame: Frame) -> Person:
    """Return who works: the days from today on that are theirs, lunch left out of each."""
    weeks = []
    for week in range(frame.calendar.n_weeks):
        days = (frame.calendar.monday(week) + timedelta(days=k) for k in range(7))
        weeks.append(sum(1 for day in days if day >= frame.today and is_on_duty(who, day)))
    lunch_min = who.lunch_min if who.lunch_from_min is not None else 0
    return Person(
        name=who.name,
        start=start,
        day_s=(who.shift_to_min - who.shift_from_min - lunch_min) * S_PER_MIN,
        days=tuple(weeks),
    )


def _notes(unplaced: int, unable: int, crew: Sequence[Technician], frame: Frame) -> Iterator[str]:
    """Yield what the season leaves out or counts on."""
    if unplaced:
        yield f"{unplaced:,} sites have no position yet and are left out: locate them first."
    if unable:
        yield f"{unable:,} visits are left out: nobody holds the licence or skills for them."
    last = frame.calendar.monday(frame.calendar.n_weeks)
    for who in crew:
        for one in who.licences:
            if one.valid_to is not None and frame.today <= one.valid_to < last:
                where = f" for {one.jurisdiction}" if one.jurisdiction else ""
                yield (
                    f"{who.name}’s {one.kind} licence{where} ends on {one.valid_to.isoformat()}: "
                    "the season counts on its renewal."
                )
