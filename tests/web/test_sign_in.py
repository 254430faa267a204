"""Signing in with a real browser, as each role of the invented county."""

import pytest
from playwright.sync_api import expect


@pytest.mark.parametrize("role", ["dispatcher", "technician", "county", "administrator"])
def test_a_role_gets_from_the_sign_in_page_to_its_own_first_page(shared_page, sign_in, role: str):
    page = shared_page
    sign_in(page, role)
    assert "/sign-in" not in page.url
    assert page.locator("input[type=password]").count() == 0
    expect(page.locator("h1")).to_have_count(1)


def test_a_wrong_password_stays_on_the_sign_in_page_and_says_so(shared_page):
    page = shared_page
    page.goto("/sign-in")
    page.fill("#username", "dispatcher")
    page.fill("#password", "wrong from the start")
    page.click("button[type=submit]")
    assert "/sign-in" in page.url
    expect(page.locator("[role=alert]")).to_have_count(1)
