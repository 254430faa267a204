"""Addresses are compared by house number, street, unit and town. Invented addresses."""

import random

import pytest

from registry.errors import ConfigError
from registry.imports import addresses
from registry.imports.addresses import Address, AddressBook, score, taken_apart
from registry.services.locate_sites import CERTAIN, OFFERED


@pytest.mark.parametrize(
    ("one", "other", "low", "high"),
    [
        ("12 North Oak Street", "12 N. OAK ST", CERTAIN, 100),
        ("12 Oak St", "14 Oak St", 0, 0),
        ("12 County Road 7", "12 County Road 8", 0, 0),
        ("12 Oak St", "12 Oak Ave", OFFERED, CERTAIN - 1),
        ("12 Quarry Road", "12 Quary Rd", OFFERED, CERTAIN - 1),
        ("12 Oak St Apt 4", "12 Oak St Apt 5", OFFERED, CERTAIN - 1),
        ("12 Oak St, Millbrook", "12 Oak St, Eastfield", OFFERED, CERTAIN - 1),
        ("PO Box 12", "12 Box St", 0, 0),
    ],
)
def test_an_address_is_the_same_only_where_no_doubt_is_left(
    one: str, other: str, low: float, high: float
) -> None:
    assert low <= score(taken_apart(one), taken_apart(other)) <= high


def test_without_the_libraries_it_is_said_how_to_install_them(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(addresses, "NEEDED", ("no_such_library",))
    with pytest.raises(ConfigError, match=r"pip install 'riserway\[addresses\]'"):
        addresses.require_addresses()


def test_a_book_of_addresses_finds_what_trying_each_finds() -> None:
    chance = random.Random(11)  # noqa: S311 - a seed for a test
    words = ["Oak", "Oake", "Quarry", "Quary", "Old Mill", "Mill", "Elm", "Elms", "12th"]

    def somewhere() -> Address:
        kind = chance.choice(["St", "Ave", "Road", ""])
        return taken_apart(f"{chance.randrange(1, 4)} {chance.choice(words)} {kind}", "Millbrook")

    known = [(somewhere(), number) for number in range(200)]
    book = AddressBook(known)
    for wanted in [somewhere() for _ in range(100)]:
        each = {(score(wanted, one), number) for one, number in known}
        assert set(book.alike(wanted, OFFERED)) == {one for one in each if one[0] >= OFFERED}
