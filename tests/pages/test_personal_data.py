"""A person's data: all of it is found, handed out and erased; the technical record stays."""

import io
import json
import zipfile
from collections import Counter
from typing import TYPE_CHECKING, Any

import pytest
from click.testing import CliRunner
from sqlalchemy import select

from registry.cli.main import cli
from registry.errors import AccessError, NotFoundError, RangeError
from registry.records.changes import Role, Viewer
from registry.records.visits import Reading, VisitRecord
from registry.services.personal_data import erase_person, take_out_person, what_is_held
from registry.store import sites, visits
from registry.store import tables as t
from tests.pages.visitors import DAY, Client

if TYPE_CHECKING:
    from pathlib import Path

    from registry.store import Session
    from registry.wiring import Parts
    from tests.demo import Demo

NAME, PHONE, HOME = "Philippa Quillfeather", "555-0188-77", "9 Elsewhere Road, Far Town"
SITE, SOLD, NAMESAKE = 21, 22, 23
ADMIN = Viewer(name="an administrator", role=Role.ADMINISTRATOR)
TECHNICAL = (
    *(t.SystemRow, t.ComponentRow, t.ReadingRow, t.VisitRow, t.VisitTaskRow, t.FindingRow),
    *(t.ObligationRow, t.SystemDueRow, t.PhotoRow, t.ReportSentRow, t.FloodFactRow),
)


@pytest.fixture(scope="module", autouse=True)
def known(parts: "Parts") -> None:
    """An owner with a site and one that she sold, and somebody of the same name elsewhere."""
    now = parts.now()
    with parts.store.session() as session:
        for site_id, fields in (
            (SITE, {"owner_name": NAME, "owner_phone": PHONE, "owner_address": HOME,
                    "private_note": "Her sister has a key.", "gate_note": f"Ring {NAME} first."}),
            (SOLD, {"owner_name": NAME}),
            (SOLD, {"owner_name": "Somebody Else"}),
            (NAMESAKE, {"owner_name": NAME + " Junior"}),
        ):  # fmt: skip
            sites.change_site(session, who="a test", now=now, site_id=site_id, fields=fields)
        system = session.scalar(select(t.SystemRow.id).where(t.SystemRow.site_id == SITE))
        read = Reading(
            id="r-1", visit_id="v-1", site_id=SITE, system_id=system, kind="scum", value=3.0,
            unit="in", read_on=parts.today(), note=f"{NAME.upper()} says it was pumped.",
        )  # fmt: skip
        made = VisitRecord(
            id="v-1", site_id=SITE, on_date=parts.today(), recorded_at=now, technician="A Hand",
            note=f"Told {NAME}, {PHONE}, about the lid.", readings=(read,),
        )  # fmt: skip
        visits.add_visits(session, [made])
        session.add_all(
            [
                t.LetterRow(
                    batch="b", site_id=SITE, sender="firm 1", sender_name="The firm",
                    written_on=parts.today(), to_name=NAME, to_address=HOME,
                    body=f"Dear {NAME}", noted_at=now,
                ),
                t.LetterRow(
                    batch="b", site_id=SITE, sender="firm 1", sender_name="The firm",
                    written_on=parts.today(), to_name="An Earlier Owner", to_address="x",
                    body="Dear earlier owner", noted_at=now,
                ),
                t.CallMadeRow(
                    firm_id=1, on_date=parts.today(), site_id=SITE, agreed=f"{NAME} at ten",
                    called_at=now,
                ),
            ]
        )  # fmt: skip
        for number, owner in ((901, NAME), (902, "Another Person")):
            session.add(
                t.ForeignRow(
                    id=number, firm_id=1, source="a list", key=str(number), imported_at=now,
                    file_name="list.csv", says={"site": {"owner_name": owner}}, state="open",
                )
            )  # fmt: skip
            session.flush()
            session.add(
                t.MatchOfferRow(
                    foreign_id=number, site_id=SITE, same_parcel=True, same_address=False, score=50
                )
            )
        session.add(
            t.ProposalRow(
                site_id=SITE, at=now, who="A Hand", kind="site", row_id=SITE, field="note",
                before="", value=f"{NAME} is away", why="proposed",
            )
        )  # fmt: skip
        route = session.scalars(select(t.RouteRow)).first()
        assert route is not None
        stop = route.body["stops"][1] | {"site_id": SITE, "place": f"{NAME}, Oatfield Lane"}
        route.body = route.body | {"stops": [stop, *route.body["stops"]]}


def everything(session: "Session") -> dict[str, list[tuple[Any, ...]]]:
    return {
        table.name: [tuple(row) for row in session.execute(select(table))]
        for table in t.Base.metadata.sorted_tables
        if table.name != "photo_content"
    }


def test_a_records_request_holds_all_of_hers_and_nothing_of_others(parts: "Parts") -> None:
    with parts.store.reading() as session:
        packed = zipfile.ZipFile(io.BytesIO(take_out_person(session, ADMIN, PHONE.upper())))
    told = json.loads(packed.read("all.json"))
    assert [one["id"] for one in told["site"]] == [SITE]
    assert [one["to_name"] for one in told["letter"]] == [NAME]
    assert {one["agreed"] for one in told["call_made"]} == {f"{NAME} at ten"}
    assert {"visit", "reading", "route", "change", "system"} - told.keys() <= {"system"}
    text = packed.read("all.json").decode()
    assert "Somebody Else" not in text
    assert "Junior" not in text
    assert "password" not in text
    page = packed.read("read-me.html").decode()
    assert all(one in page for one in (NAME, HOME, "Her sister has a key.", "pumped"))
    assert {f"{name}.csv" for name in told} <= set(packed.namelist())


def test_what_waits_to_be_decided_takes_part(parts: "Parts") -> None:
    with parts.store.reading() as session:
        found = what_is_held(session, ADMIN, NAME).tables
    assert [one["id"] for one in found["foreign_row"]] == [901]
    assert [one["value"] for one in found["proposal"]] == [f"{NAME} is away"]


def test_of_a_site_that_she_sold_only_what_names_her_is_hers(parts: "Parts") -> None:
    with parts.store.reading() as session:
        found = what_is_held(session, ADMIN, NAME.lower())
    assert len(found.sites) == len(found.former_sites) == 1
    sold = [one for one in found.tables["change"] if one["site_id"] == SOLD]
    assert {one["field"] for one in sold} == {"owner_name"}
    assert not any(one["site_id"] == NAMESAKE for one in found.tables["change"])


@pytest.mark.parametrize(
    ("said", "error"),
    [("Nobody At All", NotFoundError), ("   ", RangeError), ("%%%%", NotFoundError)],
)
def test_who_is_not_known_is_told_so(parts: "Parts", said: str, error: type[Exception]) -> None:
    with parts.store.reading() as session, pytest.raises(error):
        what_is_held(session, ADMIN, said)


def test_a_phone_that_several_owners_share_means_nobody(parts: "Parts") -> None:
    with parts.store.session() as session:
        for site_id, name in ((41, "One Person"), (42, "Another Person")):
            fields = {"owner_name": name, "owner_phone": "555-0100-55"}
            sites.change_site(session, who="x", now=parts.now(), site_id=site_id, fields=fields)
    with parts.store.reading() as session:
        with pytest.raises(RangeError, match="several owners"):
            what_is_held(session, ADMIN, "555-0100-55")
        assert what_is_held(session, ADMIN, "one person").sites


def test_only_the_administrator_and_only_the_own_firm(parts: "Parts") -> None:
    with parts.store.reading() as session:
        for role in (Role.DISPATCHER, Role.TECHNICIAN, Role.COUNTY):
            with pytest.raises(AccessError):
                what_is_held(session, Viewer(name="x", role=role, firm_id=1), NAME)
        with pytest.raises(NotFoundError):
            what_is_held(session, Viewer(name="x", role=Role.ADMINISTRATOR, firm_id=2), NAME)


@pytest.mark.parametrize("reason", ["", f"asked by {NAME}"])
def test_a_reason_is_asked_for_and_it_names_nobody(parts: "Parts", reason: str) -> None:
    with pytest.raises(RangeError), parts.store.session() as session:
        erase_person(session, ADMIN, NAME, reason, parts.now())


def test_erased_means_nowhere_and_the_technical_record_stays(
    parts: "Parts", client: Client
) -> None:
    with parts.store.session() as session:
        before = everything(session)
        changed = erase_person(session, ADMIN, NAME, "asked by letter", parts.now())
    with parts.store.reading() as session:
        after = everything(session)
    assert {"site", "change", "letter", "visit", "reading", "call_made", "route"} <= changed.keys()
    left = str(after).replace(NAME + " Junior", "")
    for word in (NAME, NAME.upper(), PHONE, HOME, "Her sister"):
        assert word in str(before)
        assert word not in left, word
    assert NAME + " Junior" in str(after)
    assert "An Earlier Owner" in str(after)
    for row in TECHNICAL:
        name = row.__tablename__
        assert len(after[name]) == len(before[name])
    (read,) = [one for one in after["reading"] if "r-1" in one]
    assert 3.0 in read
    assert "[erased] says it was pumped." in read
    numbers = [Counter(v for row in one["reading"] for v in row if isinstance(v, float))
               for one in (before, after)]  # fmt: skip
    assert numbers[0] == numbers[1]
    page = client("dispatcher").get(f"/sites/{SITE}").text
    assert "erased: asked by letter" in page
    assert client("technician").get(f"/gate/{SITE}/{DAY}").status_code == 200
    assert client("dispatcher").get(f"/day/{DAY}").status_code == 200


def test_what_was_erased_is_listed_without_what_it_held(own_demo: "Demo") -> None:
    asked = ["person", "erasures", "--json", "--store", own_demo.store_url]
    told = json.loads(CliRunner().invoke(cli, asked).stdout)["erasures"]
    assert told[0]["reason"] == "asked by letter"
    assert NAME not in str(told)
    assert told[0]["counts"]["letter"] == 1


def test_the_commands_show_take_out_and_erase(own_demo: "Demo", tmp_path: "Path") -> None:
    def run(*asked: str) -> tuple[int, str]:
        done = CliRunner().invoke(cli, ["person", *asked, "--store", own_demo.store_url])
        return done.exit_code, done.output

    other = "Fergus Acornsnap"
    to = tmp_path / "request.zip"
    assert "Sites: W-1237" in run("show", other)[1]
    assert run("export", other, str(to))[0] == 0
    assert zipfile.ZipFile(to).testzip() is None
    assert "Nothing is changed yet" in run("erase", other, "--reason", "asked")[1]
    assert "Sites: W-1237" in run("show", other)[1]
    assert run("erase", other, "--reason", "asked", "--do")[0] == 0
    assert run("show", other)[0] != 0
