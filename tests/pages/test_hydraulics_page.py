"""The Hydraulics page: the example works, wrong figures are said in words, roles hold."""

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from registry.store.tables import ComponentRow, SystemRow
from tests.pages.visitors import DAY
from web.hydraulics_form import FIELDS

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from registry.wiring import Parts


def asked(**changed: str) -> dict[str, str]:
    """Return the example's fields, some changed."""
    return {one.name: one.starts for one in FIELDS.values()} | changed


def test_the_example_says_what_the_squirt_heights_fit(
    client: "Callable[[str], FlaskClient]",
) -> None:
    page = client("technician").get("/hydraulics/")
    assert page.status_code == 200
    assert "The figures below are invented" in page.text
    assert "Fits 30% of holes blocked in lateral 3." in page.text
    assert "Clean the holes first." in page.text
    assert page.text.count("<svg") == 2


@pytest.mark.parametrize("role", ["dispatcher", "technician", "administrator"])
def test_whoever_may_read_a_gate_sheet_may_use_it(
    client: "Callable[[str], FlaskClient]", role: str
) -> None:
    assert client(role).get("/hydraulics/", query_string=asked()).status_code == 200


def test_county_staff_and_strangers_may_not(client: "Callable[[str], FlaskClient]") -> None:
    assert client("county").get("/hydraulics/").status_code == 403
    assert client("").get("/hydraulics/").status_code == 302


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"lift_ft": "ten"}, "Lift from low water to the laterals, ft: “ten”. Give numbers"),
        ({"lift_ft": ""}, "Give a number."),
        ({"pump": "0 40\n20"}, "Give two numbers on each line"),
        ({"pump": "0 40\n20 45"}, "must not rise with the flow"),
        ({"laterals": "0"}, "Give a whole number from 1 to 20"),
        ({"laterals": "99999999999999999999"}, "Give a whole number from 1 to 20"),
        ({"turns_open": "1, 2"}, "Give one number, or 3"),
        ({"turns_open": "9"}, "a valve of 5 turns has no more"),
        ({"pipe": "7"}, "no pipe of nominal size 7 in"),
        ({"squirt_in": "70, -2, 71"}, "squirt_in is -2"),
        ({"lift_ft": "nan"}, "Give numbers below 1,000,000"),
        ({"lift_ft": "1e999"}, "Give numbers below 1,000,000"),
        ({"pump": "<script>alert(1)</script>"}, "&lt;script&gt;"),
    ],
)
def test_a_wrong_field_is_told_in_words_and_kept(
    client: "Callable[[str], FlaskClient]", changed: dict[str, str], told: str
) -> None:
    page = client("dispatcher").get("/hydraulics/", query_string=asked(**changed))
    assert page.status_code == 422
    assert told in page.text
    assert "<script>alert" not in page.text


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"squirt_in": "", "pump_gpm": ""}, "Head at the holes"),
        ({"squirt_in": "70, 0, 77"}, "What the squirt heights fit"),
        ({"has_valve": "no"}, "balancing needs every valve"),
        ({"level_in": ""}, "bring all of it"),
        ({"lift_ft": "60"}, "gets no water"),
        ({"rise_ft": "50"}, "no water at its end"),
        ({"laterals": "20", "squirt_in": ""}, "Lateral 20"),
        ({"hose_gpm": ""}, "Bring or add"),
        ({"blocked_pct": "0, 50, 0"}, "Head at the holes"),
    ],
)
def test_other_fields_are_worked_out(
    client: "Callable[[str], FlaskClient]", changed: dict[str, str], told: str
) -> None:
    page = client("dispatcher").get("/hydraulics/", query_string=asked(**changed))
    assert page.status_code == 200, page.text
    assert told in page.text


def test_every_field_has_a_label(client: "Callable[[str], FlaskClient]") -> None:
    page = client("dispatcher").get("/hydraulics/").text
    for name in FIELDS:
        assert f'<label for="{name}">' in page
        assert f'id="{name}"' in page


def test_the_page_opens_filled_in_from_a_site_and_says_what_is_not_on_file(
    client: "Callable[[str], FlaskClient]",
) -> None:
    page = client("technician").get("/hydraulics/?site=53")
    assert page.status_code == 200
    assert "Filled in from" in page.text
    assert "Nothing is worked out yet. Not on file: pump curve, lift" in page.text
    assert "Formulas and sources" not in page.text
    assert 'name="lift_ft" size="12" value=""' in page.text
    assert 'name="laterals" size="12" value="4"' in page.text
    assert 'name="gal_per_in" size="12" value="24.94"' in page.text
    assert "readings of" in page.text
    assert client("technician").get("/hydraulics/?site=44").status_code == 404
    assert "/hydraulics/?site=53" in client("dispatcher").get("/sites/53").text
    assert "/hydraulics/?site=53" not in client("county").get("/sites/53").text


def test_a_pump_curve_on_file_gives_the_visits_water_its_purge_plan(
    client: "Callable[[str], FlaskClient]", parts: "Parts"
) -> None:
    sheet = f"/gate/53/{DAY}"
    assert "by a planning figure" in client("technician").get(sheet).text
    with parts.store.session() as session:
        pump = session.scalar(
            select(ComponentRow)
            .join(SystemRow, SystemRow.id == ComponentRow.system_id)
            .where(SystemRow.site_id == 53, ComponentRow.kind == "pump")
        )
        assert pump is not None
        pump.details = {
            **pump.details,
            **{"curve": "0 40, 20 37, 40 30, 60 18, 75 5", "lift_ft": "12"},
            **{"supply_in": "2", "supply_ft": "80"},
        }
    page = client("technician").get(sheet).text
    assert "min of hose with the pump tank at pump-off" in page
    assert "purge plan from the pump curve on file" in page
    page = client("technician").get("/hydraulics/?site=53").text
    assert "Not on file" not in page
    assert "each inch over pump-off is 24.9 gal" in page


def test_the_invented_county_has_a_pump_curve_and_a_past_visit_with_what_was_found_and_left(
    client: "Callable[[str], FlaskClient]",
) -> None:
    hands = client("technician")
    page = hands.get("/hydraulics/?site=57").text
    assert "Nothing is worked out yet" not in page
    assert "6.5 ft/s, scours" in page
    file = hands.get("/sites/57").text
    assert "valve, balancing valve 2: found 0, left 2.5" in file
    assert "mended on 24 Feb 2026; follow-up visit" in file


def test_figures_on_file_that_cannot_be_are_said_on_a_page_that_can_be_taken_along(
    client: "Callable[[str], FlaskClient]", parts: "Parts"
) -> None:
    with parts.store.session() as session:
        pump = session.scalar(
            select(ComponentRow)
            .join(SystemRow, SystemRow.id == ComponentRow.system_id)
            .where(SystemRow.site_id == 53, ComponentRow.kind == "pump")
        )
        assert pump is not None
        pump.details = {
            **pump.details,
            **{"curve": "0 40, 20 45", "lift_ft": "12", "supply_in": "2", "supply_ft": "80"},
        }
    page = client("technician").get("/hydraulics/?site=53")
    assert page.status_code == 200
    assert "The figures on file do not hold" in page.text
    assert "must not rise with the flow" in page.text
