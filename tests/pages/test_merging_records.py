"""Two records are merged from their page, the other one points on, and the merge is taken back."""

import re

from lxml import html
from sqlalchemy import update

from registry.store.tables import SiteRow
from registry.wiring import Parts
from tests.pages.visitors import OWN, Client

KEPT, OTHER = 31, 32


def test_two_records_are_merged_field_by_field_and_come_apart_again(
    client: Client, parts: Parts
) -> None:
    with parts.store.session() as session:
        twin = {"parcel": "9-999-999", "jurisdiction_id": 1}
        session.execute(update(SiteRow).where(SiteRow.id.in_([KEPT, OTHER])).values(twin))
    office = client("dispatcher")
    assert f"/sites/{KEPT}/merge/{OTHER}" in office.get("/sites/pairs").text
    path = f"/sites/{KEPT}/merge/{OTHER}"
    page = html.fromstring(office.get(path).text)
    form = page.xpath("//form[@method='post'][.//input[@name='seen']]")[0]
    given = dict(form.form_values()) | {"of:site:address": "other"}
    address = page.xpath("//fieldset[legend='Address']/label[2]/span/text()")[0].strip()
    assert client("technician").post(path, data=given, headers=OWN).status_code == 403
    office = client("dispatcher")
    answer = office.post(path, data=given, headers=OWN, follow_redirects=True)
    assert answer.status_code == 200
    assert address in answer.text
    assert "was merged into this one" in answer.text
    moved = office.get(f"/sites/{OTHER}")
    assert (moved.status_code, moved.location.rpartition("/")[2]) == (302, str(KEPT))
    assert "which is shown here" in office.get(f"/sites/{OTHER}", follow_redirects=True).text
    assert office.post(path, data=given, headers=OWN).status_code == 422
    undo = re.search(rf"/sites/{KEPT}/unmerge/\d+", answer.text)
    assert undo is not None
    apart = office.post(undo[0], headers=OWN, follow_redirects=True).text
    assert "are two records again" in apart
    assert office.get(f"/sites/{OTHER}").status_code == 200
    office.post("/sites/pairs", data={"first": str(KEPT), "then": str(OTHER)}, headers=OWN)
    assert path not in office.get("/sites/pairs").text
