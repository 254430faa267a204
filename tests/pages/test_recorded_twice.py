"""Two people recorded one visit: nothing is lost, the office settles it, and the choice holds."""

from typing import TYPE_CHECKING

from registry.store import gate_visits, visits
from tests.pages.test_recording_a_visit import form_of, sent, whole
from tests.pages.visitors import DAY, OWN, Client

if TYPE_CHECKING:
    from registry.wiring import Parts

SITE = 44
"""An inspection is due there."""
ONE = "aaaaaaaa-1111-4111-8111-111111111111"
TWO = "bbbbbbbb-1111-4111-8111-111111111111"


def test_both_records_are_kept_until_the_office_chooses_field_by_field(
    client: Client, parts: "Parts"
) -> None:
    office, hands = client("dispatcher"), client("technician")
    url = f"/sites/{SITE}/conflicts"
    assert "Nothing is to be settled" in office.get(url).text
    form = form_of(hands, SITE)
    first = whole(form, id=ONE)
    second = whole(form, id=TWO)
    scum = next(one for one in second["readings"] if one["kind"] == "scum")
    scum["value"] = "4.75"
    second["findings"] = [
        {"id": "cccccccc-1111-4111-8111-111111111111", "kind": "worn part", "note": "float"}
    ]
    assert [one["status"] for one in sent(hands, first)] == ["kept"]
    assert [one["status"] for one in sent(office, second)] == ["kept"]
    assert "to be settled" in office.get(f"/day/{DAY}").text
    assert "to be settled" not in hands.get(f"/day/{DAY}").text
    page = office.get(url).text
    assert "2.25" in page
    assert "4.75" in page
    key = f"of:readings:scum:{scum['system_id']}:{scum['component_id'] or ''}"
    nothing = office.post(url, data={"record": [ONE, TWO]}, headers=OWN)
    assert nothing.status_code == 422
    assert "Choose what holds: Scum" in nothing.text
    refused = hands.post(url, data={"record": [ONE, TWO], key: "1"}, headers=OWN)
    assert refused.status_code == 403
    answer = office.post(url, data={"record": [ONE, TWO], key: "1"}, headers=OWN)
    assert answer.status_code == 302, answer.text
    report = office.get(answer.location).text
    assert "settles what was recorded twice" in report
    assert "Worn part" in report
    assert "to be settled" not in office.get(f"/day/{DAY}").text
    again = office.post(url, data={"record": [ONE, TWO], key: "0"}, headers=OWN)
    assert again.status_code == 409
    with parts.store.reading() as session:
        (standing,) = [
            one for one in visits.visits_of_site(session, SITE) if one.on_date.isoformat() == DAY
        ]
        read = [
            one.value
            for one in visits.readings_of_site(session, SITE, "scum")
            if one.read_on.isoformat() == DAY and one.value is not None
        ]
        assert len(gate_visits.findings_of_sites(session, [SITE])) == 1
        assert {gate_visits.superseded_by(session, one) for one in (ONE, TWO)} == {standing.id}
        assert {one.id for one in visits.visits_with_ids(session, [ONE, TWO])} == {ONE, TWO}
    assert read == [4.75]
    assert standing.recorded_by == "dispatcher"
