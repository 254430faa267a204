"""What stands behind an overdue system in a list: the rule, letters written, the last finding."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from registry.privacy import for_role
from registry.records.changes import Viewer
from registry.records.due_rows import DueMark
from registry.store import Session, gate_visits, letters, obligations


@dataclass(frozen=True, slots=True, kw_only=True)
class OverdueKnown:
    """The citation of the rule that set the date, letters to the owner, the newest finding."""

    citation: str = ""
    n_letters: int = 0
    last_letter_on: date | None = None
    finding: str = ""


def overdue_known(
    session: Session, viewer: Viewer, marks: Sequence[DueMark]
) -> dict[int, OverdueKnown]:
    """Return by system what is known of the systems of one page of a list."""
    site_ids = {one.site_id for one in marks}
    rules = {
        (one.system_id, one.task): for_role(one, viewer.role)
        for one in obligations.obligations_of_sites(session, site_ids)
    }
    written = letters.counted_by_site(session, site_ids)
    findings: dict[int, str] = {}
    for raw in gate_visits.findings_of_sites(session, site_ids):
        one = for_role(raw, viewer.role)
        findings.setdefault(one.site_id, ", ".join(filter(None, (one.kind, one.seriousness))))
    known = {}
    for mark in marks:
        rule = rules.get((mark.system_id, mark.task))
        n_letters, last_letter_on = written.get(mark.site_id, (0, None))
        known[mark.system_id] = OverdueKnown(
            citation=(rule.source or rule.rule_code) if rule else "",
            n_letters=n_letters,
            last_letter_on=last_letter_on,
            finding=findings.get(mark.site_id, ""),
        )
    return known
