"""Plants a secret in every private field of a firm's records."""

from typing import Any

from shapely import Point
from sqlalchemy import insert, select, update

from registry.records.gate_visit import (
    Answer,
    Ending,
    Finding,
    GateVisit,
    PartState,
    Said,
    TaskOutcome,
)
from registry.records.visits import Reading, VisitRecord
from registry.store import Session, gate_visits, visits
from registry.store import tables as t
from tests.pages.private_texts import FIELDS, secret
from tests.pages.two_firms import NOW, ON, Planted
from tests.pages.visitors import DAY

SETTINGS = {"letter text": "letter text firm", "letter text of the county": "letter text authority"}

PNG = b"\x89PNG\r\n\x1a\n"
"""What a picture of this kind begins with (PNG specification, section 5.2)."""


def plant(session: Session, who: Planted) -> None:
    """Plant a secret in each private field of a firm's records."""

    def say(key: str) -> str:
        assert key in FIELDS, f"Say in tests/pages/private_texts.py who may find {key}."
        return secret(key, who.whose)

    _in_the_file(session, who, say)
    _beside_the_file(session, who, say)
    _in_visits(session, who, say)
    _in_the_day(session, who, say)
    _in_the_crew(session, who, say)
    _in_letters_and_doors(session, who, say)
    _in_what_moves_in(session, who, say)
    lines = [key.removeprefix("history of ") for key in FIELDS if key.startswith("history of ")]
    for line in lines:
        record, field = line.split(".")
        _add(
            session, t.ChangeRow, at=NOW, who="a test", kind=record.lower(), row_id="1",
            site_id=who.site_id, field=field, before=say(f"history of {line}"),
            after=say(f"history of {line}"),
        )  # fmt: skip


def _add(session: Session, kind: type[t.Base], /, **values: Any) -> None:
    session.execute(insert(kind), values)


def _in_the_file(session: Session, who: Planted, say: Any) -> None:
    its = select(t.SiteRow.id).where(t.SiteRow.firm_id == who.firm_id)
    texts = [
        one.removeprefix("Site.")
        for one in FIELDS
        if one.startswith("Site.") and one not in {"Site.hazards", "Site.exceptions"}
    ]
    hazards = [{"kind": say("Site.hazards"), "note": ""}]
    session.execute(
        update(t.SiteRow)
        .where(t.SiteRow.firm_id == who.firm_id)
        .values({one: say(f"Site.{one}") for one in texts} | {"hazards": hazards})
    )
    session.execute(
        update(t.SystemRow)
        .where(t.SystemRow.site_id.in_(its))
        .values(kind_as_given=say("System.kind_as_given"), permit_no=say("System.permit_no"))
    )
    session.execute(
        update(t.ObligationRow)
        .where(t.ObligationRow.site_id.in_(its))
        .values(reason=say("Obligation.reason"), source=say("Obligation.source"))
    )
    _add(
        session, t.AgreementRow, site_id=who.site_id, firm_id=who.firm_id, starts_on=ON,
        includes=[say("Agreement.includes")], renewal=say("Agreement.renewal"),
    )  # fmt: skip
    _add(
        session, t.WindowExceptionRow, site_id=who.site_id, on_date=ON, opens_min=0,
        closes_min=1440, note=say("Site.exceptions"),
    )  # fmt: skip
    session.execute(
        update(t.ComponentRow)
        .where(t.ComponentRow.system_id == who.system_id)
        .values(label=say("component.label"))
    )
    _add(
        session, t.PermitConditionRow, system_id=who.system_id, task="inspection", months=12,
        citation=say("permit_condition.citation"),
    )  # fmt: skip


def _beside_the_file(session: Session, who: Planted, say: Any) -> None:
    for waits in (True, False):
        row = t.ProposalRow(
            site_id=who.site_id, at=NOW, who=say("proposal.who"), kind="site", row_id=who.site_id,
            field="gate_code", before=say("proposal.before"), value=say("proposal.value"),
            why="proposed",
        )  # fmt: skip
        session.add(row)
        session.flush()
        if not waits:
            _add(
                session, t.ProposalSettledRow, proposal_id=row.id, at=NOW, taken=False,
                who=say("proposal_settled.who"),
            )  # fmt: skip
    _add(
        session, t.SiteMergeRow, at=NOW, who=say("site_merge.who"), site_id=who.site_id,
        merged_id=who.site_id, choices={}, rows={"site": say("site_merge.rows")},
        owed=[say("site_merge.owed")], undone_at=NOW, undone_by=say("site_merge.undone_by"),
    )  # fmt: skip
    _add(
        session, t.SitesApartRow, first_id=who.site_id, then_id=who.site_id, at=NOW,
        who=say("sites_apart.who"),
    )  # fmt: skip


def _in_visits(session: Session, who: Planted, say: Any) -> None:
    finding = Finding(
        id=who.id("finding"), visit_id=who.id("visit"), site_id=who.site_id, kind="odour",
        seriousness="serious", note=say("Finding.note"), owner_told=say("Finding.owner_told"),
    )  # fmt: skip
    for what in ("visit", "second visit"):
        reading = Reading(
            id=who.id(f"reading of {what}"), visit_id=who.id(what), site_id=who.site_id,
            system_id=who.system_id, kind="scum", value=None, text=say("Reading.text"),
            read_on=ON, note=say("Reading.note"), answer=say("Reading.answer"),
        )  # fmt: skip
        visits.add_visits(
            session,
            [
                VisitRecord(
                    id=who.id(what), site_id=who.site_id, on_date=ON, recorded_at=NOW,
                    technician=say("VisitRecord.technician"), technician_id=who.technician_id,
                    done=((who.system_id, "inspection"),), note=say("VisitRecord.note"),
                    recorded_by=say("VisitRecord.recorded_by"), readings=(reading,),
                )
            ],
        )  # fmt: skip
        gate = GateVisit(
            id=who.id(what), site_id=who.site_id, on_date=ON, technician_id=who.technician_id,
            left_open=say("GateVisit.left_open"), note=say("GateVisit.note"), readings=(reading,),
            ending=Ending.PARTLY,
            states=(PartState(what="power", as_found="on", as_left="off",
                              reason=say("PartState.reason")),),
            outcomes=(TaskOutcome(system_id=who.system_id, task="inspection",
                                  outcome=Ending.PARTLY, note=say("TaskOutcome.note")),),
            answers=(Answer(item="lids", said=Said.CHANGED, reason=say("GateVisit.answers")),),
            findings=(finding,) if what == "visit" else (),
        )  # fmt: skip
        gate_visits.add_gate_visit(session, gate, what)
    _add(
        session, t.ReportInRow, visit_id=who.id("second visit"), site_id=who.site_id,
        firm=say("report_in.firm"), person=say("report_in.person"),
        licence=say("report_in.licence"), received_on=ON, came_by="file",
        source=say("report_in.source"), taken_in_by=say("report_in.taken_in_by"), taken_in_at=NOW,
    )  # fmt: skip
    _add(
        session, t.ReportInBackRow, visit_id=who.id("second visit"), taken_back_at=NOW,
        taken_back_by=say("report_in_back.taken_back_by"), why=say("report_in_back.why"),
    )  # fmt: skip
    _add(
        session, t.LicensedRow, jurisdiction_id=who.jurisdiction_id, kind="maintenance",
        number=say("licensed.number"), firm=say("licensed.firm"), person=say("licensed.person"),
        valid_from=None, valid_to=None,
    )  # fmt: skip
    _add(
        session, t.ReportSentRow, visit_id=who.id("visit"), to="authority", sent_on=ON,
        how="post", note=say("ReportSent.note"), noted_by=say("ReportSent.noted_by"), noted_at=NOW,
    )  # fmt: skip
    _add(
        session, t.FindingMendedRow, finding_id=who.id("finding"), mended_on=ON, noted_at=NOW,
        note=say("FindingMended.note"), noted_by=say("FindingMended.noted_by"),
    )  # fmt: skip
    for what, of, caption, picture in (
        ("photo", "", say("photo.caption"), say("photo.picture")),
        ("photo of a finding", who.id("finding"), say("photo of a finding.caption"), "a finding"),
        ("photo taken back", "", say("photo taken back.caption"), "taken back"),
    ):
        _add(session, t.PhotoContentRow, digest=who.digest(what), body=PNG + picture.encode())
        _add(
            session, t.PhotoRow, id=who.id(what), site_id=who.site_id, visit_id=who.id("visit"),
            finding_id=of, taken_at=NOW, technician="" if of else say("photo.technician"),
            technician_id=None, caption=caption, digest=who.digest(what), media_type="image/png",
            size_bytes=len(picture), width_px=1, height_px=1, recorded_at=NOW,
            recorded_by=say("photo.recorded_by"),
        )  # fmt: skip
    _add(
        session, t.PhotoTakenBackRow, photo_id=who.id("photo taken back"), taken_back_at=NOW,
        why=say("photo_taken_back.why"), taken_back_by="a test",
    )  # fmt: skip


def _in_the_day(session: Session, who: Planted, say: Any) -> None:
    of_site = {"firm_id": who.firm_id, "site_id": who.site_id}
    on_day = {"firm_id": who.firm_id, "on_date": ON}
    _add(
        session, t.HoldRow, **of_site, on_date=ON, technician_id=who.technician_id, held_at=NOW,
        note=say("hold.note"), held_by=say("hold.held_by"), from_min=600, to_min=660,
    )  # fmt: skip
    _add(
        session, t.RuleOutRow, **of_site, technician_id=who.technician_id, on_date=None,
        note=say("rule_out.note"),
    )  # fmt: skip
    _add(
        session, t.CallMadeRow, **of_site, on_date=ON, agreed=say("call_made.agreed"),
        called_by=say("call_made.called_by"), called_at=NOW,
    )  # fmt: skip
    _add(
        session, t.DayNoteRow, **of_site, on_date=ON, kind="alarm call", technician_id=None,
        at_min=480, text=say("day_note.text"), noted_by=say("day_note.noted_by"), noted_at=NOW,
    )  # fmt: skip
    _add(
        session, t.ErrandRow, **on_day, name=say("errand.name"), lon=-139.9, lat=44.98,
        minutes=5.0, from_min=0, to_min=1440, note=say("errand.note"),
    )  # fmt: skip
    _add(
        session, t.RoadClosureRow, firm_id=who.firm_id, name=say("road_closure.name"), first_on=ON,
        geom=Point(-139.9, 44.98), road=say("road_closure.road"), why=say("road_closure.why"),
        made_by=say("road_closure.made_by"), made_at=NOW,
    )  # fmt: skip
    _add(
        session, t.JobRow, kind="order the day", subject=f"{who.firm_id}/{DAY}", state="failed",
        progress=say("job.progress"), asked_by=say("job.asked_by"), asked_at=NOW, ended_at=NOW,
    )  # fmt: skip
    day = session.scalars(select(t.DayRow).where(t.DayRow.firm_id == who.firm_id)).one()
    day.made_by, day.note = say("day.made_by"), say("day.note")
    waits = [
        one | {"why": say("day.waiting"), "place": say("day.waiting")}
        for one in day.body["waiting"]
    ]
    day.body = day.body | {"waiting": waits, "notes": [say("day.notes")]}
    for route in session.scalars(select(t.RouteRow).where(t.RouteRow.day_id == day.id)):
        whose = "route" if route.technician_id == who.technician_id else "route of somebody else"
        stops = [one | {"place": say(f"{whose}.place")} for one in route.body["stops"]]
        route.body = route.body | {"technician": say(f"{whose}.technician"), "stops": stops}


def _in_the_crew(session: Session, who: Planted, say: Any) -> None:
    person = session.get_one(t.TechnicianRow, who.technician_id)
    person.name, person.phone = say("technician.name"), say("technician.phone")
    person.initials = say("technician.initials")
    session.get_one(t.TruckRow, person.truck_id).name = say("truck.name")
    _add(
        session, t.LicenceRow, technician_id=who.technician_id, kind=say("licence.kind"),
        number=say("licence.number"), valid_from=None, valid_to=ON,
    )  # fmt: skip
    point = session.scalars(select(t.FillPointRow).where(t.FillPointRow.firm_id == who.firm_id))
    next(iter(point)).name = say("fill_point.name")


def _in_what_moves_in(session: Session, who: Planted, say: Any) -> None:
    number = 1 + (who.whose == "b")
    _add(
        session, t.ForeignRow, id=number, firm_id=who.firm_id, source="a list", key="1",
        imported_at=NOW, file_name="list.csv", state="open",
        says={"site": {"owner_name": say("foreign_row.says")}, "system": {}},
        decided_by=say("foreign_row.decided_by"),
    )  # fmt: skip
    _add(
        session, t.MatchOfferRow, foreign_id=number, site_id=who.site_id, same_parcel=True,
        same_address=True, score=90.0,
    )  # fmt: skip
    _add(
        session, t.PlaceOfferRow, site_id=who.site_id, kind="parcel", lon=0.0, lat=0.0, score=90.0,
        said=say("place_offer.said"), source="a layer", why="alike",
    )  # fmt: skip


def _in_letters_and_doors(session: Session, who: Planted, say: Any) -> None:
    for letter, sender in (
        ("letter", f"firm {who.firm_id}"),
        ("letter of the county", f"authority {who.jurisdiction_id}"),
    ):
        private = say("letter.to_name"), say("letter.to_address"), say("letter.written_by")
        to_name, to_address, by = private if letter == "letter" else ("", "", "a test")
        _add(
            session, t.LetterRow, batch=who.id(letter), site_id=who.site_id, sender=sender,
            sender_name="A sender", written_on=ON, to_name=to_name, to_address=to_address,
            body=say(f"{letter}.body"), written_by=by, noted_at=NOW,
        )  # fmt: skip
    for key, name in SETTINGS.items():
        number = who.jurisdiction_id if key.endswith("county") else who.firm_id
        _add(session, t.SettingRow, name=f"{name} {number}", value=say(key))
    user = t.UserRow(
        name=say("user_account.name"), password_hash=say("user_account.password_hash"),
        session_key=say("user_account.session_key"), role="technician", firm_id=who.firm_id,
        technician_id=who.technician_id, made_at=NOW, code_key=say("user_account.code_key"),
    )  # fmt: skip
    session.add(user)
    session.flush()
    _add(
        session, t.RecoveryCodeRow, user_id=user.id, code_hash=say("recovery_code.code_hash"),
    )  # fmt: skip
    _add(
        session, t.PrivateReadRow, at=NOW, who=say("private_read.who"), role="dispatcher",
        what="site file", firm_id=who.firm_id, site_id=who.site_id, on_date=None,
    )  # fmt: skip
    _add(
        session, t.ErasureRow, at=NOW, who=say("erasure.who"), subject=say("erasure.subject"),
        reason=say("erasure.reason"), counts={},
    )  # fmt: skip
    _add(session, t.SavedViewRow, user_id=user.id, name=say("saved_view.name"), asked={})
    _add(
        session, t.PhoneRow, user_id=user.id, name=say("phone.name"), paired_at=NOW,
        secret_hash=say("phone.secret_hash"), paired_by=say("phone.paired_by"), last_seen_at=NOW,
    )  # fmt: skip
    _add(
        session, t.PairingRow, technician_id=who.technician_id, made_by="a test", made_at=NOW,
        phone_name=say("pairing.phone_name"), code_hash=say("pairing.code_hash"),
    )  # fmt: skip
    _add(
        session, t.AccessTokenRow, user_id=user.id, label=say("access_token.label"), made_at=NOW,
        scope="features", secret_hash=say("access_token.secret_hash"),
    )  # fmt: skip
    _add(
        session, t.ImportRow, at=NOW, who=say("import_run.who"), kind="sites",
        file_name=say("import_run.file_name"), digest="", counts={},
    )  # fmt: skip
