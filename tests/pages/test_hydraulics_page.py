"""The Hydraulics page: the example works, wrong figures are said in words, roles hold."""

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

from web.hydraulics_form import FIELDS

if TYPE_CHECKING:
    from flask.testing import FlaskClient


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
