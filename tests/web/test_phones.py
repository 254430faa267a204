"""A phone is paired in a real browser, used, lost, signed out from the office and wiped."""

from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from tests.web.visit import DAY, PHONE, WIDE, Visit

if TYPE_CHECKING:
    from collections.abc import Callable

    from playwright.sync_api import Page

    from tests.server import Server

PUT = """async () => {
  await new Promise((done, failed) => {
    const asked = indexedDB.open('what the phone carries');
    asked.onsuccess = () => { asked.result.close(); done(); };
    asked.onerror = failed;
  });
}"""
LEFT = "async () => (await indexedDB.databases()).map((one) => one.name)"


@pytest.mark.browser
def test_a_phone_is_paired_by_its_camera_used_lost_and_wiped(
    server: "Server", new_page: "Callable[..., Page]", sign_in: "Callable[[Page, str], None]"
) -> None:
    office = new_page(server.url, viewport={"width": WIDE, "height": 900})
    sign_in(office, "dispatcher")
    office.goto("/phones/")
    who = office.locator("#technician_id option").nth(2).inner_text()
    office.select_option("#technician_id", label=who)
    office.fill("#name", "black, cracked corner")
    office.get_by_role("button", name="Show the code").click()
    expect(office.get_by_role("img", name="QR code of the pairing address")).to_be_visible()
    assert Visit(office).wcag() == []
    code = office.locator(".pairing-code").inner_text()
    phone = new_page(
        server.url, viewport={"width": PHONE, "height": 780}, has_touch=True, is_mobile=True
    )
    phone.goto(f"/pair/#{code}")  # what the camera opens
    expect(phone.locator("h1")).to_have_text(f"This phone is for {who}")
    assert code not in phone.url
    assert Visit(phone).wcag() == []
    assert Visit(phone).sideways() == 0
    phone.get_by_role("button", name="Yes, pair this phone").click()
    expect(phone.locator(".sign-out")).to_contain_text(who)
    shown = phone.goto(f"/day/{DAY}")
    assert shown is not None
    assert shown.status == 200
    expect(phone.locator("main")).to_contain_text(who)
    phone.evaluate(PUT)
    assert "what the phone carries" in phone.evaluate(LEFT)

    office.goto("/phones/")
    row = office.locator("tr", has_text="black, cracked corner")
    row.locator("summary").click()
    assert Visit(office).wcag() == []
    row.get_by_role("button", name="Sign this phone out").click()
    expect(row).to_contain_text("Not wiped yet")

    refused = phone.goto(f"/gate/21/{DAY}")
    assert refused is not None
    assert (refused.status, refused.headers["riserway-wipe"]) == (401, "yes")
    expect(phone.locator("h1")).to_have_text("This phone is signed out")
    assert "what the phone carries" not in phone.evaluate(LEFT)  # the browser's own doing
    assert Visit(phone).wcag() == []
    phone.get_by_role("button", name="Sign in with a password instead").click()
    expect(phone.locator("#password")).to_be_visible()
    office.reload()
    expect(row).to_contain_text("Wiped")
    assert Visit(office).wcag() == []
