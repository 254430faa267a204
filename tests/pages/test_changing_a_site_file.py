"""Changing a site's file from its page, by role; nobody's words get lost; taking changes back."""

import re
from collections.abc import Iterable
from typing import Any

import pytest
from lxml import html
from sqlalchemy import select

from registry.privacy import CHANGES, PROPOSES
from registry.records.changes import Change, Role
from registry.records.places import Site
from registry.store import history, proposals, sites
from registry.store.tables import ChangeRow, ComponentRow, SystemRow
from registry.wiring import Parts
from tests.pages.visitors import DAY, OWN, ROLES, Client

SITE = 21
EDIT = f"/sites/{SITE}/edit/site/{SITE}"


def fields(client: Client, role: str, path: str = EDIT) -> dict[str, str]:
    """The form as a browser would send it back untouched."""
    page: Any = html.fromstring(client(role).get(path).text)
    form = page.xpath("//form[contains(@class,'edit')]")[0]
    return {name: value or "" for name, value in form.form_values()}


def names(form: Iterable[str]) -> set[str]:
    return {one.removeprefix("is:") for one in form if one.startswith("is:")}


def kept(parts: Parts, site_id: int = SITE) -> Site:
    with parts.store.reading() as session:
        return sites.site(session, site_id)


def newest(parts: Parts) -> Change:
    with parts.store.reading() as session:
        return history.history_of(session, SITE, limit=1)[0]


def keep(client: Client, role: str, form: dict[str, str], path: str = EDIT, **new: str) -> str:
    sent = form | {f"is:{name}": value for name, value in new.items()}
    answer = client(role).post(path, data=sent, headers=OWN, follow_redirects=True)
    assert answer.status_code in {200, 422}, answer.text
    page: Any = html.fromstring(answer.text)
    told = page.xpath("//*[contains(@class,'flashes') or @class='errors']")
    return " ".join(" ".join(one.text_content() for one in told).split())


@pytest.mark.parametrize("role", ROLES)
def test_a_role_is_offered_the_fields_that_it_may_change_or_propose(
    client: Client, role: str
) -> None:
    mine = CHANGES[Site][Role(role)] | PROPOSES[Site].get(Role(role), frozenset())
    assert names(fields(client, role)) == mine


def test_a_form_sent_back_untouched_changes_nothing(client: Client, parts: Parts) -> None:
    before = kept(parts), newest(parts)
    for role in ROLES:
        assert keep(client, role, fields(client, role)) == "Nothing was changed."
    assert (kept(parts), newest(parts)) == before


def test_a_change_is_kept_with_who_when_old_and_new(client: Client, parts: Parts) -> None:
    before = kept(parts)
    said = keep(
        client, "dispatcher", fields(client, "dispatcher"),
        gate_code="4711", hazards="dog: loose in the yard\nrotten lid",
        windows="mon-tue 08:00-12:00", exceptions="2026-07-03 closed",
    )  # fmt: skip
    assert said == "Kept: gate code, weekly hours, hours on single dates, hazards."
    after = kept(parts)
    assert after.gate_code == "4711"
    assert [one.kind for one in after.hazards] == ["dog", "rotten lid"]
    assert [one.weekday for one in after.windows] == [0, 1]
    assert after.exceptions[0].opens_min is None
    with parts.store.reading() as session:
        lines = {one.field: one for one in history.history_of(session, SITE, limit=4)}
    assert set(lines) == {"gate_code", "hazards", "windows", "exceptions"}
    line = lines["gate_code"]
    assert (line.who, line.before, line.after) == ("dispatcher", before.gate_code, "4711")


def test_what_is_wrong_is_said_at_once_and_nothing_is_kept(client: Client, parts: Parts) -> None:
    before = kept(parts)
    said = keep(
        client, "dispatcher", fields(client, "dispatcher"), gate_note="right",
        position="91, 200", water_available_gal="much", season_from="05-15", season_to="",
        windows="someday",
    )  # fmt: skip
    for one in ("is no place on earth", "is no number", "names no weekdays with hours"):
        assert one in said
    assert kept(parts) == before


def test_a_position_outside_the_county_is_refused(client: Client) -> None:
    said = keep(client, "dispatcher", fields(client, "dispatcher"), position="44.9, 139.9")
    assert "outside the jurisdiction" in said


def test_a_field_that_is_not_the_roles_is_refused(client: Client, parts: Parts) -> None:
    before = kept(parts)
    answer = client("county").post(EDIT, data={"is:gate_code": "1"}, headers=OWN)
    assert answer.status_code == 404
    assert kept(parts) == before
    assert client("county").get(f"/sites/{SITE}/edit/component/1").status_code == 404


def test_a_place_that_moved_does_not_keep_the_words_about_the_old_one(
    client: Client, parts: Parts
) -> None:
    place = kept(parts).lon_lat
    assert place is not None
    form = fields(client, "dispatcher")
    keep(client, "dispatcher", form, position_source="survey", position_accuracy_m="1")
    form = fields(client, "dispatcher")
    keep(client, "dispatcher", form, position=f"{place.lat + 0.0001:.6f}, {place.lon:.6f}")
    after = kept(parts)
    assert (after.position_source, after.position_accuracy_m) == ("typed in", None)
    form = fields(client, "dispatcher")
    keep(client, "dispatcher", form, position=f"{place.lat:.6f}, {place.lon:.6f}",
         position_source="by pointing", position_accuracy_m="10")  # fmt: skip
    assert "by pointing, ± 10 m" in client("county").get(f"/sites/{SITE}").text


def test_both_values_are_kept_where_two_people_changed_one_field(
    client: Client, parts: Parts
) -> None:
    early, late = fields(client, "dispatcher"), fields(client, "administrator")
    keep(client, "dispatcher", early, gate_code="1111", owner_phone="555 0111")
    said = keep(client, "administrator", late, gate_code="2222", note="of the second")
    assert "Kept: note." in said
    assert "gate code meanwhile" in said
    assert (kept(parts).gate_code, kept(parts).owner_phone) == ("1111", "555 0111")
    assert f"/sites/{SITE}/conflicts" in client("dispatcher").get(f"/day/{DAY}").text
    page: Any = html.fromstring(client("dispatcher").get(f"/sites/{SITE}/conflicts").text)
    assert "written meanwhile by administrator" in page.text_content()
    form = page.xpath("//form[contains(@action,'/conflicts/field')]")[0]
    chosen = {f"of:site:{SITE}:gate_code": "1", "shown": ["1111", "2222"]}
    assert f"of:site:{SITE}:gate_code" in form.inputs
    path = f"/sites/{SITE}/conflicts/field"
    stale = client("dispatcher").post(path, data=chosen | {"shown": ["1", "2222"]}, headers=OWN)
    assert stale.status_code == 409
    assert client("dispatcher").post(path, data=chosen, headers=OWN).status_code == 302
    assert kept(parts).gate_code == "2222"
    assert newest(parts).source == "settled; written by administrator"
    with parts.store.reading() as session:
        assert not proposals.open_proposals(session, SITE)


def test_a_technician_enters_what_is_known_at_the_gate_and_proposes_the_rest(
    client: Client, parts: Parts
) -> None:
    phone = kept(parts).owner_phone
    said = keep(client, "technician", fields(client, "technician"),
                access_note="by the back lane", owner_phone="555 0199")  # fmt: skip
    assert said == "Kept: access. Proposed to the office: owner's phone."
    assert (kept(parts).access_note, kept(parts).owner_phone) == ("by the back lane", phone)
    path = f"/sites/{SITE}/conflicts/field"
    leave = {f"of:site:{SITE}:owner_phone": "0", "shown": [phone, "555 0199"]}
    assert client("technician").post(path, data=leave, headers=OWN).status_code == 403
    assert client("dispatcher").post(path, data=leave, headers=OWN).status_code == 302
    assert kept(parts).owner_phone == phone


def test_a_component_is_placed_within_reach_of_its_site(client: Client, parts: Parts) -> None:
    with parts.store.reading() as session:
        asked = select(ComponentRow.id).join(SystemRow).where(SystemRow.site_id == SITE)
        part_id = session.scalars(asked).first()
    place = kept(parts).lon_lat
    assert place is not None
    path = f"/sites/{SITE}/edit/component/{part_id}"
    form = fields(client, "technician", path)
    far = keep(client, "technician", form, path, position=f"{place.lat + 0.1}, {place.lon}")
    assert "from its site" in far
    keep(client, "technician", form, path, position=f"{place.lat}, {place.lon}",
         position_source="phone GPS", position_accuracy_m="4")  # fmt: skip
    assert "position phone GPS, ± 4 m" in client("technician").get(f"/sites/{SITE}").text
    assert client("technician").get(f"/sites/1/edit/component/{part_id}").status_code == 404


def test_a_change_is_taken_back_and_that_is_a_change_too(client: Client, parts: Parts) -> None:
    before = kept(parts).gate_note
    keep(client, "dispatcher", fields(client, "dispatcher"), gate_note="blue gate")
    line = newest(parts)
    path = f"/sites/{SITE}/undo/{line.id}"
    assert path in client("dispatcher").get(f"/sites/{SITE}").text
    assert path not in client("county").get(f"/sites/{SITE}").text
    assert client("county").post(path, headers=OWN).status_code == 404
    assert client("dispatcher").post(path, headers=OWN).status_code == 302
    assert kept(parts).gate_note == before
    assert newest(parts).source == f"undo of change {line.id}"


def test_a_field_that_changed_again_is_set_back_only_when_that_is_confirmed(
    client: Client, parts: Parts
) -> None:
    before = kept(parts).gate_note
    keep(client, "dispatcher", fields(client, "dispatcher"), gate_note="blue gate")
    line = newest(parts)
    keep(client, "technician", fields(client, "technician"), gate_note="green gate")
    path = f"/sites/{SITE}/undo/{line.id}"
    answer = client("dispatcher").post(path, headers=OWN)
    assert answer.status_code == 409
    assert re.search("changed again by technician on .* and is now “green gate”", answer.text)
    assert kept(parts).gate_note == "green gate"
    client("dispatcher").post(path, data={"although": "yes"}, headers=OWN)
    assert kept(parts).gate_note == before


def test_every_field_of_every_row_can_be_read_back_from_its_history(parts: Parts) -> None:
    """What an import wrote can be taken back too: the text of a value stands for that value."""
    from registry.services.file_fields import FILE_FIELDS, read_text
    from registry.store import file_values

    with parts.store.reading() as session:
        for kind, known in FILE_FIELDS.items():
            row = file_values.ROWS[kind]
            for row_id in session.scalars(select(row.id).where(row.id % 9 == 0)).all():
                for name, value in file_values.values_of(session, kind, row_id, known).items():
                    said = file_values.said_of(name, value)
                    read = read_text(known[name], said) if said else known[name].blank
                    assert said == file_values.said_of(name, read), (kind, name)
        assert session.scalar(select(ChangeRow.id).where(ChangeRow.site_id == SITE))
