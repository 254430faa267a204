"""What due dates are computed from, read in columns: systems, last visits, measured solids."""

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from sqlalchemy import ColumnElement, Select, and_, exists, func, or_, select
from sqlalchemy.orm import InstrumentedAttribute, Session, aliased

from registry.due.columns import Days, SystemColumns, no_day
from registry.due.obligations import History
from registry.due.pump_out_triggers import (
    LIQUID_DEPTH,
    SCUM_TO_OUTLET,
    SCUM_TO_TEE_TOP,
    SLUDGE_TO_OUTLET,
    SOLIDS_READINGS,
)
from registry.due.terms import (
    OwnTerms,
    Profile,
    active_agreements,
    agreed_since,
    places_of,
)
from registry.records.places import Agreement
from registry.records.systems import ComponentKind, PermitCondition
from registry.store.among import among
from registry.store.cells import cells_of
from registry.store.merges import merged_sites, same_systems
from registry.store.replaced import is_replaced
from registry.store.tables import (
    AgreementRow,
    ComponentRow,
    JurisdictionRow,
    ObligationRow,
    PermitConditionRow,
    ReadingRow,
    SiteRow,
    SystemRow,
    VisitRow,
    VisitTaskRow,
)

type Last = tuple[int, str, date | None]
"""System, task, and the last day of it."""

STEP = 50_000
"""Systems that are read at once; bounds memory."""
IN_PER_UNIT = {"": 1.0, "in": 1.0, "%": 1.0, "ft": 12.0, "cm": 1 / 2.54, "mm": 1 / 25.4}
LEAST_COUNTS = (SLUDGE_TO_OUTLET, SCUM_TO_OUTLET, SCUM_TO_TEE_TOP)
"""Of two tanks the one with the least room to the outlet decides; of thicknesses the greatest."""


@dataclass(frozen=True, slots=True)
class Part:
    """Some systems: those of given sites, or all with ids in a range."""

    site_ids: tuple[int, ...] | None = None
    low: int = 0
    high: int = 0

    def holds(
        self,
        session: Session,
        *,
        system: InstrumentedAttribute[int] | InstrumentedAttribute[int | None],
    ) -> ColumnElement[bool]:
        """Return the condition that a column with a system's id names one of them."""
        if self.site_ids is None:
            return system.between(self.low, self.high)
        chosen = select(SystemRow.id).where(among(session, SystemRow.site_id, self.site_ids))
        return system.in_(chosen)


def parts(session: Session, site_ids: Collection[int] | None) -> Iterator[Part]:
    """Yield the systems of given sites, or all systems, in parts of bounded size."""
    if site_ids is not None:
        listed = sorted(set(site_ids))
        for start in range(0, len(listed), STEP):
            yield Part(tuple(listed[start : start + STEP]))
        return
    low = 0
    while True:
        ids = select(SystemRow.id).where(SystemRow.id > low).order_by(SystemRow.id).limit(STEP)
        high = session.scalar(select(func.max(ids.subquery().c.id)))
        if high is None:
            return
        yield Part(None, low + 1, high)
        low = high


@dataclass(frozen=True, slots=True, eq=False)
class DueInput:
    """Systems as columns, with map cell (−1 without a place), town and kind of each."""

    systems: SystemColumns
    cells: np.typing.NDArray[np.int64]
    towns: list[str]
    kinds: list[str]


def due_input(session: Session, part: Part, today: date, tasks: Collection[str]) -> DueInput:
    """Read the systems of active sites; ``today`` picks the agreements in force."""
    rows = session.execute(
        select(
            SystemRow.id,
            SystemRow.site_id,
            SiteRow.firm_id,
            SiteRow.jurisdiction_id,
            SystemRow.kind,
            SystemRow.rule_set,
            SystemRow.installed_on,
            SystemRow.people,
            SystemRow.bedrooms,
            SiteRow.occupied_share,
            SiteRow.lon,
            SiteRow.lat,
            SiteRow.town,
        )
        .join(SiteRow, SiteRow.id == SystemRow.site_id)
        .where(part.holds(session, system=SystemRow.id), SiteRow.active)
        .order_by(SystemRow.id)
    ).all()
    columns = list(zip(*rows, strict=True)) if rows else [()] * 13
    ids, site_ids, firm_ids, place_ids, kinds, sets, installed, people, bedrooms = columns[:9]
    kinds_in, tank_gal = _components(session, part)
    where = {
        row.id: (row.name, row.rule_set, row.pump_out_trigger)
        for row in session.scalars(select(JurisdictionRow))
    }
    agreements = _agreements(session, part)
    known: dict[tuple[str, frozenset[str], int, str], Profile] = {}
    profiles = []
    for system_id, place_id, kind, own_set in zip(ids, place_ids, kinds, sets, strict=True):
        key = (kind, kinds_in.get(system_id, frozenset()), place_id, own_set)
        if key not in known:
            name, rule_set, _ = where[place_id]
            known[key] = Profile(kind, key[1], places_of(name, rule_set, own_set))
        profiles.append(known[key])
    systems = SystemColumns(
        system_id=np.array(ids, dtype=np.int64),
        site_id=np.array(site_ids, dtype=np.int64),
        firm_id=np.array(firm_ids, dtype=np.int64),
        jurisdiction_id=np.array(place_ids, dtype=np.int64),
        profiles=profiles,
        installed_on=np.array(installed, dtype="datetime64[D]"),
        tank_gal=np.array([tank_gal.get(one, np.nan) for one in ids], dtype=float),
        people=np.array(people, dtype=float),
        bedrooms=np.array(bedrooms, dtype=float),
        occupied_share=np.array(columns[9], dtype=float),
        trigger=[where[one][2] for one in place_ids],
        own=_own_terms(session, part, agreements, today, tasks),
        agreed_from=_agreed_from(ids, agreements, today, tasks),
        solids=_solids(session, part),
    )
    lon, lat = (np.array(one, dtype=float) for one in columns[10:12])
    return DueInput(systems, cells_of(lon, lat), list(columns[12]), list(kinds))


def sites_with_agreement_change(session: Session, since: date, until: date) -> list[int]:
    """Return the sites with an agreement that began after a day and by another, or ended between.

    An agreement counts on its last day, so it has ended on the day after.
    """
    began = and_(AgreementRow.starts_on > since, AgreementRow.starts_on <= until)
    ended = and_(AgreementRow.ends_on >= since, AgreementRow.ends_on < until)
    return list(session.scalars(select(AgreementRow.site_id).where(or_(began, ended)).distinct()))


def history(session: Session, part: Part, systems: SystemColumns) -> History:
    """Read when each task was last done at the systems, and since when never-done ones are due."""
    at = {system_id: row for row, system_id in enumerate(systems.system_id.tolist())}
    same = {one: to for one, to in same_systems(session).items() if to in at}
    done = _last_done(session, part.holds(session, system=VisitTaskRow.system_id))
    if same:  # of days of one system the last one counts: it comes last
        done += _last_done(session, among(session, VisitTaskRow.system_id, same))
        done.sort(key=lambda row: row[2] or date.min)
    asked = session.execute(
        select(ObligationRow.system_id, ObligationRow.task, ObligationRow.due_on).where(
            part.holds(session, system=ObligationRow.system_id),
            ObligationRow.last_done.is_(None),
            ObligationRow.counted_from.is_(None),
            ObligationRow.due_on.is_not(None),
        )
    )
    rows_of = at | {one: at[to] for one, to in same.items()}
    return History(
        _days_by_task(done, rows_of, len(at)),
        _days_by_task(((one, task, day) for one, task, day in asked), at, len(at)),
    )


def _last_done(session: Session, which: ColumnElement[bool]) -> list[Last]:
    rows = session.execute(
        select(VisitTaskRow.system_id, VisitTaskRow.task, func.max(VisitRow.on_date))
        .join(VisitRow, VisitRow.id == VisitTaskRow.visit_id)
        .where(which, VisitRow.outcome != "not reached", ~is_replaced(VisitRow.id))
        .group_by(VisitTaskRow.system_id, VisitTaskRow.task)
    )
    return [(system_id, task, day) for system_id, task, day in rows]


def _days_by_task(found: Iterable[Last], at: dict[int, int], count: int) -> dict[str, Days]:
    """Return by task the day of each system; of several of one system the last in the list."""
    by_task: dict[str, tuple[list[int], list[date]]] = {}
    for system_id, task, day in found:
        row = at.get(system_id)
        if row is not None and day is not None:
            rows, days = by_task.setdefault(task, ([], []))
            rows.append(row)
            days.append(day)
    answer = {}
    for task, (rows, days) in by_task.items():
        column = no_day(count)
        column[rows] = np.array(days, dtype="datetime64[D]")
        answer[task] = column
    return answer


def _components(session: Session, part: Part) -> tuple[dict[int, frozenset[str]], dict[int, float]]:
    """Return the kinds of components of each system, and the capacity of its septic tanks."""
    kinds: dict[int, set[str]] = {}
    tank_gal: dict[int, float] = {}
    rows = session.execute(
        select(ComponentRow.system_id, ComponentRow.kind, ComponentRow.capacity_gal).where(
            part.holds(session, system=ComponentRow.system_id)
        )
    )
    for system_id, kind, capacity_gal in rows:
        kinds.setdefault(system_id, set()).add(kind)
        if kind == ComponentKind.SEPTIC_TANK and capacity_gal:
            tank_gal[system_id] = tank_gal.get(system_id, 0.0) + capacity_gal
    same: dict[frozenset[str], frozenset[str]] = {}
    frozen = {system_id: frozenset(found) for system_id, found in kinds.items()}
    return {one: same.setdefault(found, found) for one, found in frozen.items()}, tank_gal


def _own_terms(
    session: Session,
    part: Part,
    agreements: dict[int, list[Agreement]],
    today: date,
    tasks: Collection[str],
) -> dict[int, OwnTerms]:
    conditions: dict[int, list[PermitCondition]] = {}
    for row in session.scalars(
        select(PermitConditionRow)
        .where(part.holds(session, system=PermitConditionRow.system_id))
        .order_by(PermitConditionRow.id)
    ):
        conditions.setdefault(row.system_id, []).append(
            PermitCondition(
                task=row.task, months=row.months, citation=row.citation, is_waiver=row.is_waiver
            )
        )
    terms = {
        one: OwnTerms(
            tuple(conditions.get(one, ())),
            active_agreements(agreements.get(one, ()), today, tasks),
        )
        for one in conditions.keys() | agreements.keys()
    }
    return {one: own for one, own in terms.items() if own != OwnTerms()}


def _agreements(session: Session, part: Part) -> dict[int, list[Agreement]]:
    """Return the agreements of each system's site, past and future ones too."""
    agreements: dict[int, list[Agreement]] = {}
    rows = session.execute(
        select(
            SystemRow.id,
            AgreementRow.site_id,
            AgreementRow.firm_id,
            AgreementRow.starts_on,
            AgreementRow.ends_on,
            AgreementRow.visits_a_year,
            AgreementRow.includes,
        )
        .join(AgreementRow, AgreementRow.site_id == SystemRow.site_id)
        .where(part.holds(session, system=SystemRow.id))
        .order_by(AgreementRow.id)
    )
    for system_id, site_id, firm_id, starts_on, ends_on, visits_a_year, includes in rows:
        agreements.setdefault(system_id, []).append(
            Agreement(
                site_id=site_id,
                firm_id=firm_id,
                starts_on=starts_on,
                ends_on=ends_on,
                visits_a_year=visits_a_year,
                includes=tuple(includes),
            )
        )
    return agreements


def _agreed_from(
    ids: Sequence[int],
    agreements: dict[int, list[Agreement]],
    today: date,
    tasks: Collection[str],
) -> dict[str, Days]:
    """Return by task the days since which it is promised; they must not part the groups."""
    at = {system_id: row for row, system_id in enumerate(ids)}
    by_task: dict[str, Days] = {}
    for system_id, theirs in agreements.items():
        row = at.get(system_id)
        if row is not None:
            for task, since in agreed_since(theirs, today, tasks).items():
                by_task.setdefault(task, no_day(len(at)))[row] = since
    return by_task


def _solids(session: Session, part: Part) -> dict[int, tuple[date, dict[str, float]]]:
    """Return the newest day on which solids were measured at each system, and the values."""
    newer = aliased(ReadingRow)
    corrected = exists().where(newer.supersedes == ReadingRow.id)
    chosen = select(SystemRow.site_id).where(part.holds(session, system=SystemRow.id))
    to, same = merged_sites(session), same_systems(session)
    here: ColumnElement[bool] = ReadingRow.site_id.in_(chosen)
    if to:
        pointing = select(SiteRow.id).where(SiteRow.merged_into_id.in_(chosen))
        here = or_(here, ReadingRow.site_id.in_(pointing))
    alone = _only_systems(session, here, merged=bool(to))
    alone |= {one: alone[site_id] for one, site_id in to.items() if site_id in alone}
    rows = session.execute(
        select(
            ReadingRow.system_id,
            ReadingRow.site_id,
            ReadingRow.read_on,
            ReadingRow.kind,
            ReadingRow.value,
            ReadingRow.unit,
        ).where(
            here,
            ReadingRow.kind.in_(SOLIDS_READINGS),
            ReadingRow.value.is_not(None),
            ~corrected,
        )
    )
    days: dict[int, dict[date, dict[str, float]]] = {}
    for system_id, site_id, read_on, kind, value, unit in rows:
        factor = IN_PER_UNIT.get(unit.strip().lower())
        one = same.get(system_id, system_id) if system_id else alone.get(site_id)
        if one is None or factor is None or value is None:
            continue
        values = days.setdefault(one, {}).setdefault(read_on, {})
        worst = min if kind in LEAST_COUNTS else max
        values[kind] = worst(values.get(kind, value * factor), value * factor)
    newest: dict[int, tuple[date, dict[str, float]]] = {}
    for one, by_day in days.items():
        useful = [day for day, values in by_day.items() if values.keys() != {LIQUID_DEPTH}]
        if useful:
            newest[one] = (max(useful), by_day[max(useful)])
    return newest


def _only_systems(session: Session, here: ColumnElement[bool], *, merged: bool) -> dict[int, int]:
    """Return the only system of each site at which solids were read without naming a system.

    ``merged`` = some of the readings are of records that were merged into their site.
    """
    nameless: Select[int] = select(ReadingRow.site_id)
    if merged:
        holding = func.coalesce(SiteRow.merged_into_id, SiteRow.id)
        nameless = select(holding).join(ReadingRow, ReadingRow.site_id == SiteRow.id)
    nameless = nameless.where(
        here, ReadingRow.system_id.is_(None), ReadingRow.kind.in_(SOLIDS_READINGS)
    )
    rows = session.execute(
        select(SystemRow.site_id, func.min(SystemRow.id))
        .where(SystemRow.site_id.in_(nameless))
        .group_by(SystemRow.site_id)
        .having(func.count() == 1)
    )
    return {row[0]: row[1] for row in rows}
