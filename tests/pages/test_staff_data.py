"""A technician's data: found, handed out, erased once they left; what was done stays."""

import io
import json
import zipfile
from typing import TYPE_CHECKING

import pytest
from click.testing import CliRunner
from sqlalchemy import JSON, Text, func, select

from registry.cli.main import cli
from registry.errors import AccessError, ConflictError, NotFoundError, RangeError
from registry.records.changes import Role, Viewer
from registry.services.staff_data import erase_staff, take_out_staff, what_is_held_of_staff
from registry.services.users import block_user
from registry.store import tables as t
from tests.pages.test_recording_a_visit import form_of, sent, whole
from tests.pages.visitors import DAY, OWN, Client

if TYPE_CHECKING:
    from registry.wiring import Parts
    from tests.demo import Demo

ADMIN = Viewer(name="an administrator", role=Role.ADMINISTRATOR)
VISIT = "99999999-1111-4111-8111-111111111111"
SITE = 21
DONE = (t.VisitRow, t.ReadingRow, t.VisitTaskRow, t.GateVisitRow, t.LicenceRow, t.RouteRow,
        t.PhotoRow, t.DayNoteRow, t.ChangeRow)  # fmt: skip


@pytest.fixture(scope="module")
def who(parts: "Parts", client: Client) -> str:
    """The name of the technician who signs in as such, after a day of work from home."""
    hand = client("technician")
    assert sent(hand, whole(form_of(hand, SITE), id=VISIT))[0]["status"] == "kept"
    path = f"/sites/{SITE}/edit/site/{SITE}"
    changed = {"is:gate_note": "Lift the latch.", "was:gate_note": ""}
    assert hand.post(path, data=changed, headers=OWN).status_code == 302
    with parts.store.session() as session:
        user = session.scalars(select(t.UserRow).where(t.UserRow.name == "technician")).one()
        person = session.get_one(t.TechnicianRow, user.technician_id)
        person.phone, person.home_lon, person.home_lat = "555-0177-12", -139.987654, 44.987654
        session.add_all(
            [
                t.DayOffRow(technician_id=person.id, on_date=parts.today()),
                t.PhoneRow(user_id=user.id, name="his own", secret_hash="x" * 64,
                           paired_at=parts.now(), paired_by="dispatcher",
                           last_seen_at=parts.now()),
            ]
        )  # fmt: skip
        for route in session.scalars(
            select(t.RouteRow).where(t.RouteRow.technician_id == person.id)
        ):
            route.body = route.body | {"start": [-139.987654, 44.987654]}
        return person.name


def counted(parts: "Parts") -> list[int]:
    """How many rows of the technical record there are."""
    with parts.store.reading() as session:
        return [session.scalar(select(func.count()).select_from(one)) or 0 for one in DONE]


def test_what_is_kept_of_a_technician_is_found_by_name_phone_and_sign_in_without_secrets(
    parts: "Parts", who: str
) -> None:
    with parts.store.reading() as session:
        found = what_is_held_of_staff(session, ADMIN, who.upper())
        for said in ("555-0177-12", "technician"):
            assert what_is_held_of_staff(session, ADMIN, said) == found
        with pytest.raises(NotFoundError, match="No technician and no sign-in"):
            what_is_held_of_staff(session, ADMIN, "Nobody Atall")
        with pytest.raises(AccessError):
            what_is_held_of_staff(session, Viewer(name="x", role=Role.DISPATCHER), who)
    for table in ("technician", "user_account", "phone", "day_off", "route", "visit", "day_note",
                  "change", "private_read", "licence"):  # fmt: skip
        assert found[table], table
    assert VISIT in {one["id"] for one in found["visit"]}
    told = json.dumps(found, default=str)
    assert not any(word in told for word in ("_hash", "session_key", "code_key", "Lift the latch"))


def test_it_is_handed_out_as_one_file(parts: "Parts", who: str) -> None:
    with parts.store.reading() as session:
        packed = take_out_staff(session, ADMIN, who)
    with zipfile.ZipFile(io.BytesIO(packed)) as opened:
        assert {"read-me.html", "all.json", "visit.csv", "day_note.csv"} <= set(opened.namelist())
        assert who in opened.read("read-me.html").decode()


def test_who_left_gives_way_to_a_name_that_tells_nothing_and_what_was_done_stays(
    parts: "Parts", own_demo: "Demo", client: Client, who: str
) -> None:
    before = counted(parts)
    with parts.store.session() as session:
        with pytest.raises(ConflictError, match="still takes routes or may sign in"):
            erase_staff(session, ADMIN, who, "left", parts.now())
        block_user(session, "technician", "a test", parts.now())
        row = session.scalars(select(t.TechnicianRow).where(t.TechnicianRow.name == who)).one()
        row.active = False
    with parts.store.session() as session, pytest.raises(RangeError, match="without the person"):
        erase_staff(session, ADMIN, who, f"{who} left", parts.now())
    words = ["person", "erase", who, "--staff", "--reason", "left, asked by letter"]
    for more in ([], ["--do"]):
        done = CliRunner().invoke(cli, [*words, *more, "--store", own_demo.store_url])
        assert done.exit_code == 0, done.output
    with parts.store.reading() as session:
        for table in t.Base.metadata.sorted_tables:
            if table.name == "private_read":
                continue  # goes by retention alone
            texts = [one for one in table.columns if isinstance(one.type, Text | JSON)]
            for kept in session.execute(select(*texts)) if texts else ():
                told = " ".join(str(one) for one in kept)
                assert not any(
                    one in told for one in (who, "555-0177-12", "-139.987654", "his own")
                ), table.name
        former = select(t.VisitRow.technician).where(t.VisitRow.id == VISIT)
        assert str(session.scalar(former)).startswith("Former colleague ")
    assert counted(parts) == before
    shown = client("dispatcher").get(f"/day/{DAY}")
    assert shown.status_code == 200
    assert "Former colleague" in shown.text
    assert "Hester Thistlecroft" in shown.text
