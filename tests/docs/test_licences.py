"""docs/THIRD-PARTY.md has every library that the program needs, with the licence it states."""

import re
import tomllib
from importlib.metadata import distribution

import pytest

from tests.docs.tables import ROOT, rows

NOTICES = {
    name: licence
    for head in ("library", "library of an extra")
    for name, licence, _ in rows("docs/THIRD-PARTY.md", head)
}
FAMILIES = {
    "LGPL": r"\bLGPL|Lesser General Public",
    "Apache": r"\bApache\b",
    "MIT": r"\bMIT\b",
    "BSD": r"\bBSD\b|Redistribution and use in source and binary forms",
    "ZPL": r"\bZPL\b|Zope Public",
    "GPL": r"(?<!L)\bGPL|(?<!Lesser )General Public License",
}


def needed() -> list[str]:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    extras = project["optional-dependencies"]
    asked_for = project["dependencies"] + extras["compare"] + extras["addresses"] + extras["county"]
    return [re.split(r"[\[<>=;~! ]", one)[0] for one in asked_for]


def stated(name: str) -> str:
    """Return what an installed package says of its own licence."""
    about = distribution(name).metadata
    said = [about.get(field) or "" for field in ("License-Expression", "License")]
    said += [one for one in about.get_all("Classifier") or [] if one.startswith("License ::")]
    return "\n".join(said)


def families(text: str) -> set[str]:
    return {family for family, pattern in FAMILIES.items() if re.search(pattern, text)}


def test_the_notices_name_every_library_that_the_program_needs_and_no_other():
    assert sorted(NOTICES) == sorted(needed())


@pytest.mark.parametrize("name", needed())
def test_the_notice_gives_the_licence_that_the_package_states(name: str):
    notice, said = NOTICES[name], stated(name)
    if families(said):
        assert families(notice)
        assert families(notice) <= families(said)
    else:  # a package that states no licence of its own is quoted word for word
        assert re.findall("“(.+?)”", notice) == [said.strip()]


def test_no_library_asks_more_than_the_program_may_give():
    assert {name for name, licence in NOTICES.items() if "GPL" in families(licence)} == set()
