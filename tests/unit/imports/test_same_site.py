"""What may be one site: held to trying every pair. Invented places."""

import random

from registry.imports.addresses import plain_address
from registry.imports.parcel_numbers import code
from registry.imports.same_site import MOST_OFFERS, NEAR_M, Placed, SameSites
from registry.records.geodesy import geodesic_m
from registry.records.places import LonLat


def somewhere(chance: random.Random, number: int) -> Placed:
    """A place out of few numbers and streets, so that much is alike."""
    place = LonLat(-90 + chance.randrange(40) * 1e-4, 45 + chance.randrange(40) * 1e-4)
    return Placed(
        id=number,
        parcel=chance.choice(["", f"{chance.randrange(60)}-{chance.randrange(9)}"]),
        address=chance.choice(["", f"{chance.randrange(9)} Oak {chance.choice(['St', 'Street'])}"]),
        lon_lat=chance.choice([None, place]),
    )


def test_the_offers_are_those_that_trying_every_pair_finds() -> None:
    chance = random.Random(7)  # noqa: S311 - a seed for a test
    sites = [somewhere(chance, number) for number in range(150)]
    rows = [somewhere(chance, number) for number in range(150)]
    for row, offers in zip(rows, SameSites(sites).offers(rows), strict=True):
        expected = {}
        for site in sites:
            parcel = bool(row.parcel) and code(row.parcel) == code(site.parcel)
            address = bool(row.address) and (
                plain_address(row.address) == plain_address(site.address)
            )
            apart_m = (
                geodesic_m(row.lon_lat, site.lon_lat) if row.lon_lat and site.lon_lat else None
            )
            if parcel or address or (apart_m is not None and apart_m <= NEAR_M):
                expected[site.id] = (parcel, address)
        found = {one.site_id: (one.same_parcel, one.same_address) for one in offers}
        assert len(offers) == min(MOST_OFFERS, len(expected))
        assert all(expected[site_id] == told for site_id, told in found.items())
        best = max((sum(one) for one in expected.values()), default=0)
        assert not offers or sum(found[offers[0].site_id]) == best
