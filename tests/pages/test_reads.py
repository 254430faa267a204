"""Who read what of private fields is noted for the administrator, cheaply and without values."""

import json
from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest
from click.testing import CliRunner
from sqlalchemy import select, update

from registry.cli.main import cli
from registry.errors import StoreError
from registry.records.private_reads import PrivateRead
from registry.store import private_reads
from registry.store.tables import PrivateReadRow, SiteRow
from tests.pages.visitors import DAY, Client

if TYPE_CHECKING:
    from registry.records.changes import Viewer
    from registry.wiring import Parts
    from tests.demo import Demo


def noted(parts: "Parts") -> list[tuple[str, str, int | None, date | None]]:
    with parts.store.reading() as session:
        rows = session.scalars(select(PrivateReadRow).order_by(PrivateReadRow.id))
        return [(one.who, one.what, one.site_id, one.on_date) for one in rows]


def test_a_look_is_noted_once_with_who_what_and_which_sites(client: Client, parts: "Parts") -> None:
    on = date.fromisoformat(DAY)
    for role, path, lines in (
        ("dispatcher", "/sites/21", [("dispatcher", "site file", 21, None)]),
        ("dispatcher", "/sites/21", []),  # the same again
        ("dispatcher", "/sites/22", [("dispatcher", "site file", 22, None)]),
        ("technician", f"/gate/21/{DAY}", [("technician", "gate sheet", 21, on)]),
        ("technician", f"/day/{DAY}", [("technician", "day", None, on)]),
        ("dispatcher", "/files/sites.csv", [("dispatcher", "file of sites", None, None)]),
        ("dispatcher", "/sites/999999", []),  # not shown
        ("technician", "/due/", []),  # not shown
        ("county", "/sites/21", []),  # sees no private field
        ("county", "/files/sites.csv", []),
        ("", "/sites/21", []),
        ("dispatcher", "/county/", []),  # holds none
    ):
        before = noted(parts)
        client(role).get(path, buffered=True)
        assert noted(parts)[len(before) :] == lines, (role, path)


def test_the_administrator_asks_who_read_of_a_site(client: Client, own_demo: "Demo") -> None:
    client("dispatcher").get("/sites/30")
    client("technician").get(f"/day/{DAY}")
    client("dispatcher").get("/sites/31")
    text = client("administrator").get("/reads/?site=W-1030&since=2026-01-01").text
    table = text[text.index("<tbody") :]
    assert "site W-1030" in table
    assert f"the day {DAY}" in table
    assert "W-1031" not in table
    assert (
        "dispatcher"
        not in client("administrator").get("/reads/?who=technician").text.split("<tbody")[1]
    )
    for wrong in ("site=W-0", "since=soon"):
        assert client("administrator").get(f"/reads/?{wrong}").status_code in {404, 422}
    asked = ["user", "reads", "--site", "W-1030", "--json", "--store", own_demo.store_url]
    told = json.loads(CliRunner().invoke(cli, asked).stdout)["reads"]
    assert {one["what"] for one in told} >= {"site file", "day"}
    assert {one["site"] for one in told} == {"W-1030", ""}


def test_no_line_holds_what_was_read(client: Client, parts: "Parts") -> None:
    with parts.store.session() as session:
        secret = {"gate_code": "planted-1", "owner_name": "planted-2"}
        session.execute(update(SiteRow).where(SiteRow.id == 40).values(secret))
    assert "planted-1" in client("dispatcher").get("/sites/40").text
    with parts.store.reading() as session:
        rows = session.execute(select(PrivateReadRow.__table__)).all()
    assert rows
    assert "planted" not in str(rows)


def test_a_firms_administrator_sees_the_own_firm_only(parts: "Parts") -> None:
    from registry.records.changes import Role, Viewer
    from registry.services.private_reads import note_read, see_reads

    def admin(firm_id: int | None) -> "Viewer":
        return Viewer(name=f"admin {firm_id}", role=Role.ADMINISTRATOR, firm_id=firm_id)

    with parts.store.session() as session:
        note_read(session, admin(1), "site file", parts.now(), site_id=5)
        note_read(session, admin(None), "file of sites", parts.now())
        seen = {one.what for one in see_reads(session, admin(1))}
        elsewhere = {(one.who, one.what) for one in see_reads(session, admin(2))}
    assert seen >= {"site file", "file of sites"}
    assert elsewhere == {("admin None", "file of sites")}


def test_lines_are_not_changed_and_only_retention_forgets_old_ones(parts: "Parts") -> None:
    now = parts.now()
    with parts.store.session() as session:
        old = PrivateRead(at=now - timedelta(days=4000), who="x", role="dispatcher", what="day")
        private_reads.add_reads(session, [old])
    before = len(noted(parts))
    with pytest.raises(StoreError, match="append-only"), parts.store.session() as session:
        session.execute(update(PrivateReadRow).values(who="nobody"))
    with parts.store.session() as session:
        assert private_reads.forget_before(session, now - timedelta(days=3000)) == 1
    assert len(noted(parts)) == before - 1
