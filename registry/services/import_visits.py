"""Putting imported visits and readings into the store, which only ever adds."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from registry.imports.column_map import ColumnMap
from registry.imports.rows import Rows
from registry.imports.visit_rows import GivenVisit, VisitRows, corrected
from registry.records.visits import Reading, VisitRecord
from registry.services.import_outcome import ImportRequest, Tally
from registry.services.import_row_owners import Owners
from registry.store import Session, names, places, visits


@dataclass(kw_only=True)
class VisitWriter:
    """Writes visits: new ones whole, more of a known one beside it, other values as corrections."""

    session: Session
    request: ImportRequest
    firm_id: int
    map: ColumnMap
    _reader: VisitRows = field(init=False)
    _technicians: dict[str, int] = field(init=False)
    _strangers: set[str] = field(init=False, default_factory=set)
    _touched: set[int] = field(init=False, default_factory=set)

    def __post_init__(self) -> None:
        """Look up the firm and its people."""
        firm = places.firm(self.session, self.firm_id)
        self._reader = VisitRows(firm.name, self.map.decimal)
        self._technicians = names.technician_ids(self.session, self.firm_id)

    def prepare(self, rows: Rows) -> None:
        """Note where the rows of one visit do not agree."""
        self._reader.check_agreement(rows)

    def put(self, rows: Rows, good: Sequence[int], owners: Owners) -> Sequence[str]:
        """Write what is new or other than before; return what was done with each row."""
        components = {i: owners.component.get(i) for i in good}
        given = self._reader.visits(rows, good, owners.site, owners.system, components)
        kept = _Kept(self.session, {one.site_id for one in given})
        done = dict.fromkeys(good, "unchanged")
        for visit in given:
            self._put_visit(visit, kept, done)
        kept.write()
        return [done[i] for i in good]

    def close(self, tally: Tally, owners: Owners) -> None:  # noqa: ARG002 - the writers' signature
        """Say who is not in the crew, and hand on which sites were touched."""
        if self._strangers:
            tally.warnings.append(
                f"Not in the crew, kept as written: {', '.join(sorted(self._strangers))}."
            )
        tally.touched += sorted(self._touched)

    def _put_visit(self, given: GivenVisit, kept: "_Kept", done: dict[int, str]) -> None:
        if given.technician and given.technician not in self._technicians:
            self._strangers.add(given.technician)
        current, times = kept.visit(given.root)
        if current is None:
            current = self._record(given)
            kept.add_visit(current)
            done.update(dict.fromkeys(given.rows, "added"))
        elif _differs(given, current):
            old, current = current, self._correction(given, current, times)
            kept.add_visit(current)
            kept.take_over_readings(old.id, current.id)
            done.update(dict.fromkeys(given.rows, "changed"))
        for pair, row in given.done.items():
            if pair not in kept.tasks[current.id]:
                kept.add_task(current.id, pair)
                done[row] = "added" if done[row] == "unchanged" else done[row]
        for one in given.readings:
            before, times = kept.reading(one.root)
            reading = Reading(
                id=one.root if before is None else corrected(one.root, times),
                visit_id=current.id,
                site_id=given.site_id,
                system_id=one.system_id,
                component_id=one.component_id,
                kind=one.kind,
                value=one.value,
                text=one.text,
                unit=one.unit,
                read_on=given.on_date,
                note=one.note,
                supersedes="" if before is None else before.id,
            )
            if before is None:
                kept.add_reading(reading)
                done[one.row] = "added" if done[one.row] == "unchanged" else done[one.row]
            elif _said(before) != _said(reading):
                kept.add_reading(reading)
                done[one.row] = "changed"
        if any(done[row] != "unchanged" for row in given.rows):
            self._touched.add(given.site_id)

    def _record(self, given: GivenVisit) -> VisitRecord:
        return VisitRecord(
            id=given.root,
            site_id=given.site_id,
            on_date=given.on_date,
            technician=given.technician,
            technician_id=self._technicians.get(given.technician),
            outcome=given.outcome or "in order",
            note=given.note,
            recorded_by=self.request.who,
            recorded_at=self.request.now,
        )

    def _correction(self, given: GivenVisit, before: VisitRecord, times: int) -> VisitRecord:
        """Return the visit with another outcome or note, its tasks and readings taken over."""
        visit_id = corrected(given.root, times)
        return replace(
            before,
            id=visit_id,
            outcome=given.outcome or before.outcome,
            note=given.note or before.note,
            recorded_by=self.request.who,
            recorded_at=self.request.now,
            supersedes=before.id,
            readings=(),
        )


class _Kept:
    """The visits and readings of some sites, and what is to be added to them."""

    def __init__(self, session: Session, site_ids: set[int]) -> None:
        self._session = session
        self._visits: dict[str, VisitRecord] = {}
        self._readings: dict[str, Reading] = {}
        self._next_visit: dict[str, str] = {}
        self._next_reading: dict[str, str] = {}
        self.tasks: dict[str, set[tuple[int, str]]] = {}
        self._new_visits: list[VisitRecord] = []
        self._new_tasks: list[tuple[str, int, str]] = []
        self._new_readings: list[Reading] = []
        for one in visits.visits_of_sites(session, site_ids, with_superseded=True):
            self._know(one)

    def visit(self, root: str) -> tuple[VisitRecord | None, int]:
        """Return the visit in force and how many there are in its place."""
        if root not in self._visits:
            return None, 0
        at, times = root, 1
        while at in self._next_visit:
            at, times = self._next_visit[at], times + 1
        return self._visits[at], times

    def reading(self, root: str) -> tuple[Reading | None, int]:
        """Return the reading in force and how many there are in its place."""
        if root not in self._readings:
            return None, 0
        at, times = root, 1
        while at in self._next_reading:
            at, times = self._next_reading[at], times + 1
        return self._readings[at], times

    def add_visit(self, record: VisitRecord) -> None:
        """Add a visit; one that corrects another takes over its tasks."""
        self._new_visits.append(record)
        self._know(record)

    def add_task(self, visit_id: str, pair: tuple[int, str]) -> None:
        """Add a task to a visit."""
        self._new_tasks.append((visit_id, *pair))
        self.tasks[visit_id].add(pair)

    def add_reading(self, reading: Reading) -> None:
        """Add a reading to a visit."""
        self._new_readings.append(reading)
        self._know_reading(reading)

    def take_over_readings(self, from_visit: str, to_visit: str) -> None:
        """Add the readings in force at a visit to the one that corrects it."""
        for one in list(self._readings.values()):
            if one.visit_id == from_visit and one.id not in self._next_reading:
                root = one
                while root.supersedes:
                    root = self._readings[root.supersedes]
                _, times = self.reading(root.id)
                self.add_reading(
                    replace(one, id=corrected(root.id, times), visit_id=to_visit, supersedes=one.id)
                )

    def write(self) -> None:
        """Write everything that was added."""
        visits.add_visits(self._session, self._new_visits)
        visits.add_tasks(self._session, self._new_tasks)
        visits.add_readings(self._session, self._new_readings)

    def _know(self, record: VisitRecord) -> None:
        self._visits[record.id] = record
        self.tasks[record.id] = set(record.done)
        if record.supersedes:
            self._next_visit[record.supersedes] = record.id
        for reading in record.readings:
            self._know_reading(reading)

    def _know_reading(self, reading: Reading) -> None:
        self._readings[reading.id] = reading
        if reading.supersedes:
            self._next_reading[reading.supersedes] = reading.id


def _differs(given: GivenVisit, kept: VisitRecord) -> bool:
    return bool(
        (given.outcome and given.outcome != kept.outcome)
        or (given.note and given.note != kept.note)
    )


def _said(one: Reading) -> tuple[object, ...]:
    return one.value, one.text, one.unit, one.note, one.component_id
