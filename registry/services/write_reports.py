"""Checked reports of firms into the store: as visits, with what they found and what they mend."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from uuid import UUID, uuid5

from registry.due.report_rules import mend_rule
from registry.errors import RangeError
from registry.field.findings import FINDINGS, follow_up_on
from registry.records.gate_visit import NOTE, Finding
from registry.records.places import Jurisdiction
from registry.records.reports import FindingMended, ReportRule, ReportSent, ReportTo, SentBy
from registry.records.reports_in import CameBy, GivenReport, ReportIn
from registry.records.visits import Reading, VisitRecord
from registry.services.report_desk import Checked, reading_value
from registry.store import Session, gate_visits, places, reports, reports_in, rules, visits

MENDED = "report of"
"""How the notes begin that a report makes of what is mended."""


@dataclass(kw_only=True)
class ReportWriter:
    """Writes checked reports into the store."""

    session: Session
    who: str
    now: datetime
    came_by: CameBy
    source: str = ""
    touched: set[int] = field(default_factory=set)
    _asked: list[ReportRule] = field(init=False)
    _places: dict[int, Jurisdiction] = field(init=False)

    def __post_init__(self) -> None:
        """Read the rules on reports once."""
        self._asked = rules.report_rules(self.session)
        self._places = {one.id: one for one in places.jurisdictions(self.session)}

    def put(self, checked: Sequence[Checked], units: dict[str, str]) -> None:
        """Store the visits of reports, and that the authority has them."""
        new = [one for one in checked if not one.is_known]
        found = [self._findings(one) for one in new]
        visits.add_visits(
            self.session,
            [self._visit(one, findings, units) for one, findings in zip(new, found, strict=True)],
        )
        gate_visits.add_findings(self.session, [each for one in found for each in one])
        reports_in.add_reports_in(self.session, [self._report(one) for one in new])
        for one in new:
            self._note(one)
        self.touched |= {one.known.site_id for one in new}

    def _visit(
        self, one: Checked, findings: Sequence[Finding], units: dict[str, str]
    ) -> VisitRecord:
        given = one.given
        owed = any(each.follow_up_on for each in findings)
        return VisitRecord(
            id=one.visit_id,
            site_id=one.known.site_id,
            on_date=_day(given),
            technician=one.person or one.firm,
            outcome="follow-up owed" if owed else "in order",
            done=tuple((one.known.system_id, task) for task in given.tasks),
            recorded_by=self.who,
            recorded_at=self.now,
            readings=tuple(self._reading(one, kind, text, units) for kind, text in _read(given)),
        )

    def _reading(self, one: Checked, kind: str, text: str, units: dict[str, str]) -> Reading:
        value, words = reading_value(text)
        return Reading(
            id=str(uuid5(_ids(one), kind)),
            visit_id=one.visit_id,
            site_id=one.known.site_id,
            system_id=one.known.system_id,
            component_id=one.at.get(kind),
            kind=kind,
            value=value,
            text=words,
            unit="" if value is None else units.get(kind, ""),
            read_on=_day(one.given),
            answer=one.given.answer,
        )

    def _findings(self, one: Checked) -> list[Finding]:
        given = one.given
        place = self._places[one.known.jurisdiction_id]
        made = []
        for kind in given.findings:
            seriousness = given.seriousness or FINDINGS[kind].seriousness
            rule = mend_rule(self._asked, place.rule_set, seriousness)
            by_rule = rule and rule.mend_days is not None
            made.append(
                Finding(
                    id=str(uuid5(_ids(one), f"finding {kind}")),
                    visit_id=one.visit_id,
                    site_id=one.known.site_id,
                    system_id=one.known.system_id,
                    kind=kind,
                    seriousness=seriousness,
                    note=given.finding_note,
                    follow_up_on=_day(given) + timedelta(days=rule.mend_days or 0)
                    if rule and by_rule and seriousness != NOTE
                    else follow_up_on(seriousness, _day(given)),
                )
            )
        return made

    def _report(self, one: Checked) -> ReportIn:
        return ReportIn(
            visit_id=one.visit_id,
            site_id=one.known.site_id,
            on_date=_day(one.given),
            firm=one.firm,
            person=one.person,
            licence=one.given.licence,
            received_on=one.given.received_on or _day(one.given),
            came_by=self.came_by,
            source=self.source,
            taken_in_by=self.who,
            taken_in_at=self.now,
        )

    def _note(self, one: Checked) -> None:
        reports.add_sent(
            self.session,
            ReportSent(
                visit_id=one.visit_id,
                to=ReportTo.AUTHORITY,
                sent_on=one.given.received_on or _day(one.given),
                how=SentBy.PORTAL if self.came_by is CameBy.FILE else SentBy.BY_HAND,
                noted_by=self.who,
                noted_at=self.now,
            ),
        )
        for finding in one.mends:
            reports.add_mended(
                self.session,
                FindingMended(
                    finding_id=finding.id,
                    mended_on=_day(one.given),
                    note=mended_note(one.visit_id),
                    noted_by=self.who,
                    noted_at=self.now,
                ),
            )


def _day(given: GivenReport) -> date:
    if given.on_date is None:  # the desk has refused it
        raise RangeError("Give the day of the visit.")
    return given.on_date


def _read(given: GivenReport) -> list[tuple[str, str]]:
    return sorted(given.readings.items())


def _ids(one: Checked) -> UUID:
    """Return the name space of what hangs on a report's visit."""
    return UUID(one.visit_id)


def mended_note(visit_id: str) -> str:
    """Return the note by which what a report mended is found again."""
    return f"{MENDED} {visit_id}"
