"""A distinct text for every private field of two firms' records, and who may find it.

Who may find one is read from ``registry.privacy``: the roles of the act that shows the record, less
those from whom the field is hidden, within the firm or the jurisdiction that it belongs to.
"""

from dataclasses import dataclass

from registry.privacy import ACTS, HIDDEN
from registry.records.changes import Role
from registry.records.gate_visit import Finding, GateVisit, PartState, TaskOutcome
from registry.records.photos import Photo
from registry.records.places import Agreement, Site
from registry.records.reports import FindingMended, ReportSent
from registry.records.systems import System
from registry.records.visits import Hold, Reading, VisitRecord
from registry.records.work import Obligation

FIRMS = "ab"
"""Firm a has its sites in the first jurisdiction, firm b in the second."""


def secret(key: str, whose: str) -> str:
    """Return the text that is planted in a field of a firm's record."""
    return f"zq-{key}-{whose}-zq".lower()


@dataclass(frozen=True)
class Field:
    """A private field: the act that shows its record, and the record that hides it from some.

    ``act`` None = nobody is shown it. ``shown`` False = no page shows it yet, so that nobody needs
    to find it. ``writer`` is the only role that reads it, where the record is a letter.
    """

    act: str | None
    record: type | None = None
    name: str = ""
    shown: bool = True
    writer: tuple[Role, ...] = tuple(Role)

    @property
    def roles(self) -> frozenset[Role]:
        """The roles that may find it, of the firm or the jurisdiction that it belongs to."""
        if self.act is None:
            return frozenset()
        hidden = HIDDEN.get(self.record, {}) if self.record else {}
        allowed = ACTS[self.act] & frozenset(self.writer)
        return frozenset(one for one in allowed if self.name not in hidden.get(one, ()))


FILE, DAY, RUNNING = "read a site file", "see the day", "note how the day goes"
SETTLE = "settle what two people wrote"
MERGE = "merge two records"
LETTERS, PHONES = "write letters", "pair phones"
TAKE_IN = "take in reports"
OFFICE = (Role.DISPATCHER, Role.ADMINISTRATOR)
NOT_SHOWN = {
    *("Reading.answer", "VisitRecord.recorded_by", "GateVisit.answers"),
    *("ReportSent.noted_by", "FindingMended.noted_by"),
}
"""Fields of records that no page shows to anybody, or not at the visits that are planted."""

OF_RECORDS: dict[type, str] = {
    Site: "address town parcel access_note gate_note gate_code private_note hazards corner_note "
    "corner_b_note owner_name owner_phone owner_email owner_address note exceptions",
    System: "kind_as_given permit_no",
    Agreement: "includes renewal",
    Obligation: "reason source",
    VisitRecord: "technician note recorded_by",
    Reading: "text note answer",
    GateVisit: "note left_open answers",
    TaskOutcome: "note",
    PartState: "reason",
    Finding: "note owner_told",
    ReportSent: "note noted_by",
    FindingMended: "note noted_by",
}
"""Record → the fields of it that are planted; all of them stand in a site's file."""

FIELDS: dict[str, Field] = {
    f"{record.__name__}.{name}": Field(
        FILE, record, name, shown=f"{record.__name__}.{name}" not in NOT_SHOWN
    )
    for record, names in OF_RECORDS.items()
    for name in names.split()
} | {
    "component.label": Field(FILE),
    "permit_condition.citation": Field(FILE),
    "photo.caption": Field("see all photos of a site", Photo, "caption"),
    "photo.technician": Field("see all photos of a site", Photo, "technician"),
    "photo.recorded_by": Field("see all photos of a site", shown=False),
    "photo of a finding.caption": Field("see photos of findings", Photo, "caption"),
    "photo.picture": Field("see all photos of a site"),
    "photo_taken_back.why": Field("see all photos of a site", shown=False),
    "photo taken back.caption": Field(None),
    "hold.note": Field(DAY, Hold, "note", shown=False),
    "hold.held_by": Field(DAY, Hold, "held_by", shown=False),
    "rule_out.note": Field("order the day", shown=False),
    "errand.name": Field(DAY, shown=False),
    "errand.note": Field(DAY, shown=False),
    "call_made.agreed": Field(DAY),
    "call_made.called_by": Field(DAY),
    "day_note.text": Field(RUNNING),
    "day_note.noted_by": Field(RUNNING),
    "day.made_by": Field("order the day"),
    "day.note": Field("order the day"),
    "day.waiting": Field("order the day"),
    "day.notes": Field("order the day"),
    "route.technician": Field(DAY),
    "route of somebody else.technician": Field("order the day"),
    "route.place": Field(DAY),
    "route of somebody else.place": Field("order the day"),
    "job.progress": Field("order the day"),
    "job.asked_by": Field("order the day", shown=False),
    "technician.name": Field(DAY),
    "technician.phone": Field(DAY, shown=False),
    "technician.initials": Field(DAY, shown=False),
    "truck.name": Field(DAY),
    "licence.number": Field(DAY, shown=False),
    "licence.kind": Field(DAY),
    "fill_point.name": Field(DAY, shown=False),
    "road_closure.name": Field(DAY),
    "road_closure.why": Field(DAY),
    "road_closure.made_by": Field("close a road", shown=False),
    "road_closure.road": Field(DAY, shown=False),
    "letter.body": Field(LETTERS, writer=OFFICE),
    "letter.to_name": Field(LETTERS, writer=OFFICE),
    "letter.to_address": Field(LETTERS, writer=OFFICE),
    "letter.written_by": Field(LETTERS, writer=OFFICE, shown=False),
    "letter of the county.body": Field(LETTERS, writer=(Role.COUNTY,)),
    "letter text": Field(LETTERS, writer=OFFICE),
    "letter text of the county": Field(LETTERS, writer=(Role.COUNTY,)),
    "user_account.name": Field(PHONES),
    "user_account.password_hash": Field(None),
    "user_account.session_key": Field(None),
    "user_account.code_key": Field(None),
    "recovery_code.code_hash": Field(None),
    "private_read.who": Field("see who read what"),
    "erasure.who": Field("handle personal data", shown=False),
    "erasure.subject": Field("handle personal data", shown=False),
    "erasure.reason": Field("handle personal data", shown=False),
    "phone.name": Field(PHONES),
    "phone.paired_by": Field(PHONES, shown=False),
    "phone.secret_hash": Field(None),
    "pairing.phone_name": Field(PHONES, shown=False),
    "pairing.code_hash": Field(None),
    "access_token.label": Field("manage sign-ins", shown=False),
    "access_token.secret_hash": Field(None),
    "saved_view.name": Field(None),  # of a sign-in that does not walk
    "foreign_row.says": Field("decide on imports"),
    "foreign_row.decided_by": Field("decide on imports", shown=False),
    "place_offer.said": Field("decide on imports", shown=False),  # the site has a position
    "import_run.who": Field("manage sign-ins", shown=False),
    "import_run.file_name": Field("decide on imports", shown=False),
    "site_merge.who": Field(MERGE, shown=False),
    "site_merge.undone_by": Field(MERGE, shown=False),
    "site_merge.rows": Field(MERGE, shown=False),
    "site_merge.owed": Field(None),
    "sites_apart.who": Field(MERGE, shown=False),
    "proposal.value": Field(SETTLE),
    "proposal.before": Field(SETTLE, shown=False),
    "proposal.who": Field(SETTLE),
    "proposal_settled.who": Field(SETTLE, shown=False),
    "report_in.firm": Field(TAKE_IN),
    "report_in.person": Field(TAKE_IN),
    "report_in.licence": Field(TAKE_IN),
    "report_in.source": Field(TAKE_IN),
    "report_in.taken_in_by": Field(TAKE_IN, shown=False),
    "report_in_back.taken_back_by": Field(TAKE_IN, shown=False),
    "report_in_back.why": Field(TAKE_IN),
    "licensed.firm": Field(TAKE_IN, writer=(Role.COUNTY,)),
    "licensed.person": Field(TAKE_IN, writer=(Role.COUNTY,)),
    "licensed.number": Field(TAKE_IN, writer=(Role.COUNTY,)),
}
"""Name of a private text → who may find it."""

for _record, _hidden in HIDDEN.items():
    FIELDS |= {
        f"history of {_record.__name__}.{_name}": Field(FILE, _record, _name)
        for _name in _hidden[Role.COUNTY]
    }

OPEN = {
    "proposal": "kind field why",
    "site_merge": "choices",
    "site": "key position_source season_from season_to",
    "system": "key kind permit_status rule_set",
    "component": "kind elevation_datum details position_source",
    "permit_condition": "task",
    "obligation": "task rule_code",
    "visit": "id outcome supersedes",
    "visit_task": "visit_id task",
    "visit_settled": "over_id visit_id",
    "report_in": "visit_id came_by",
    "report_in_back": "visit_id",
    "licensed": "kind",
    "reading": "id visit_id kind unit supersedes",
    "gate_visit": "visit_id digest ending",
    "finding": "id visit_id kind seriousness",
    "photo": "id visit_id finding_id digest preview_digest media_type",
    "photo_content": "digest",
    "photo_taken_back": "photo_id taken_back_by",
    "report_sent": "visit_id sent_to how",
    "finding_mended": "finding_id",
    "letter": "batch sender sender_name",  # a letterhead: the name of a firm or an authority
    "change": "who source kind row_id field",  # whoever may read a file may ask who changed it
    "day": "made_how",
    "day_note": "kind",
    "job": "kind subject state",
    "firm": "name phone",  # of a business; the site file leaves it out
    "technician": "workdays skills",
    "licence": "jurisdiction",
    "road_speed": "road_class",
    "road_closure": "lifted_by",
    "phone": "signed_out_by",
    "pairing": "made_by",
    "access_token": "scope",
    "user_account": "role",
    "system_due": "task kind town",  # the town is a copy of the site's, which is planted
    "setting": "name",
    "import_run": "kind digest counts",
    "saved_view": "asked",
    "season": "told",
    "season_visit": "tasks",
    "known_place": "kind code loose said town source",
    "place_offer": "kind town source why",
    "foreign_row": "source key file_name state",
    "private_read": "role what",
    "erasure": "counts",
    "sign_in_try": "subject",
    "request_count": "subject",
    "jurisdiction": "name time_zone rule_set pump_out_trigger hospital",
    "disposal_site": "name weekdays note",
    "flood_area": "source_key zone subtype datum given",
    "flood_fact": "zone subtype bfe_datum bfe_method lowest_component unknown_why",
    "bfe_line": "source_key datum given",
    "datum_grid": "name digest",
    "gauge": "name river datum credit",
    "river_line": "source_key river",
    "river_level": "datum",
    "low_point": "name datum source",
    "component_stage": "why_unknown",
    "task_kind": "code name body",
    "reading_kind": "code body",
    "interval_rule": "code task rule_set body",
    "report_rule": "code body",
}
"""Table → its columns that hold keys, words of a list, the public or what all firms share."""
