from dataclasses import fields

import pytest

from registry.errors import AccessError
from registry.privacy import ACTS, HIDDEN, for_role, may, require, sees_site
from registry.records.changes import Role, Viewer
from registry.records.places import Hazard, ServiceWindow, Site
from registry.records.visits import Reading, VisitRecord
from tests.build import A_DAY

PLANTED = "planted-7731"
SITE = Site(
    id=1, key="A-1", firm_id=1, jurisdiction_id=2, address="1 Invented Lane",
    gate_code=PLANTED, gate_note=PLANTED, access_note=PLANTED, private_note=PLANTED, note=PLANTED,
    owner_name=PLANTED, owner_phone=PLANTED, owner_email=PLANTED, owner_address=PLANTED,
    hazards=(Hazard("dog", PLANTED),), windows=(ServiceWindow(0, 540, 660),),
)  # fmt: skip


def test_county_staff_see_no_private_field_of_a_site() -> None:
    seen = for_role(SITE, Role.COUNTY)
    assert PLANTED not in repr(seen)
    assert (seen.key, seen.address, seen.windows) == ("A-1", "1 Invented Lane", ())


@pytest.mark.parametrize("role", [Role.DISPATCHER, Role.TECHNICIAN, Role.ADMINISTRATOR])
def test_the_firm_s_people_see_the_whole_site(role: Role) -> None:
    assert for_role(SITE, role) == SITE


def test_records_inside_a_record_are_filtered_too() -> None:
    reading = Reading(
        id="r",
        visit_id="v",
        site_id=1,
        kind="squirt height",
        value=5.0,
        read_on=A_DAY,
        note=PLANTED,
    )
    record = VisitRecord(id="v", site_id=1, on_date=A_DAY, note=PLANTED, readings=(reading,))
    seen = for_role(record, Role.COUNTY)
    assert PLANTED not in repr(seen)
    assert seen.readings[0].value == 5.0


def test_every_hidden_field_exists() -> None:
    for record, roles in HIDDEN.items():
        known = {one.name for one in fields(record)}
        assert all(hidden <= known for hidden in roles.values()), record


def test_an_act_that_a_role_may_not_do_is_refused() -> None:
    clerk = Viewer(name="clerk", role=Role.COUNTY)
    assert not may(clerk, "order the day")
    with pytest.raises(AccessError, match="order the day"):
        require(clerk, "order the day")


def test_every_act_is_allowed_to_somebody_and_administrators_may_do_all() -> None:
    assert all(Role.ADMINISTRATOR in roles for roles in ACTS.values())


@pytest.mark.parametrize(
    ("viewer", "sees"),
    [
        (Viewer(name="a", role=Role.DISPATCHER, firm_id=1), True),
        (Viewer(name="b", role=Role.DISPATCHER, firm_id=2), False),
        (Viewer(name="c", role=Role.COUNTY, jurisdiction_ids=(2,)), True),
        (Viewer(name="d", role=Role.COUNTY, jurisdiction_ids=(3,)), False),
        (Viewer(name="e", role=Role.COUNTY), False),
        (Viewer(name="f", role=Role.ADMINISTRATOR), True),
    ],
)
def test_a_firm_sees_its_sites_and_a_county_its_jurisdictions(viewer: Viewer, sees: bool) -> None:
    assert sees_site(viewer, SITE) is sees
