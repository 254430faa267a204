"""Every link between the pages leads somewhere, and every page is linked to."""

import re
from pathlib import Path

import pytest

from tests.docs.pages import LINK, PAGES, anchors, prose
from tests.docs.tables import ROOT


def links(page: Path) -> list[str]:
    return [one["to"] or one["image"] for one in LINK.finditer(prose(page))]


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_every_link_leads_to_a_file_and_a_heading(page: Path) -> None:
    dead = []
    for link in links(page):
        if "://" in link:
            continue
        file, _, heading = link.partition("#")
        to = (page.parent / file).resolve() if file else page
        if not to.is_file() or (heading and heading not in anchors(to)):
            dead.append(link)
    assert dead == []


def test_every_page_of_docs_is_linked_to() -> None:
    linked = {
        (page.parent / link.partition("#")[0]).resolve()
        for page in PAGES
        for link in links(page)
        if "://" not in link
    }
    held = {file for file in (ROOT / "docs").rglob("*") if file.is_file()}
    assert {file.relative_to(ROOT).as_posix() for file in held - linked} == set()


def test_an_image_is_described_in_words() -> None:
    bare = [
        f"{page.name}: {one[0]}"
        for page in PAGES
        for one in LINK.finditer(prose(page))
        if one[0].startswith("![]")
    ]
    assert bare == []
    tags = [tag for page in PAGES for tag in re.findall(r"<img [^>]*>", prose(page))]
    assert [tag for tag in tags if not re.search(r'alt="[^"]{10,}"', tag)] == []
