"""The tests' own browser: it draws pages and betrays a page that asks another host."""

from pathlib import Path

import pytest

from tests.browser import Traffic, watched_context


def test_a_page_in_one_file_is_drawn_and_asks_nobody(new_page, tmp_path: Path):
    file = tmp_path / "lid.html"
    file.write_text("<title>Lid</title><p id=lid>36 in</p>", encoding="utf-8")
    page = new_page("")
    page.goto(file.as_uri())
    assert page.text_content("#lid") == "36 in"


def test_a_page_that_asks_another_host_is_found_out(browser, tmp_path: Path):
    file = tmp_path / "leaky.html"
    file.write_text('<img src="http://elsewhere.invalid/pixel.png">', encoding="utf-8")
    with (
        pytest.raises(AssertionError, match=r"elsewhere\.invalid"),
        watched_context(browser, "") as context,
    ):
        context.new_page().goto(file.as_uri())


def test_the_servers_own_host_is_no_stranger():
    traffic = Traffic("127.0.0.1:8000")
    traffic.addresses += ["http://127.0.0.1:8000/day", "data:image/png;base64,AA=="]
    assert traffic.strangers == []
    traffic.addresses.append("http://127.0.0.1:8001/day")
    assert traffic.strangers == ["http://127.0.0.1:8001/day"]
