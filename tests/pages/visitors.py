"""Visitors of the pages: one client for each role, signed in when first asked for."""

import math
from collections.abc import Callable
from typing import TYPE_CHECKING

from registry.services.make_demo import county_today

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient
    from werkzeug.test import TestResponse

type Client = "Callable[[str], FlaskClient]"

OWN = {"Sec-Fetch-Site": "same-origin"}
"""What a browser sends with a form of our own pages."""
DAY = county_today().isoformat()
ROLES = ("dispatcher", "technician", "county", "administrator")


class Visitors:
    """Gives a client by the name of its sign-in; "" = nobody is signed in."""

    def __init__(self, app: "Flask", password: Callable[[str], str]) -> None:
        self.app = app
        self.password = password
        self.made: dict[str, FlaskClient] = {}

    def __call__(self, name: str) -> "FlaskClient":
        """Return the client of a sign-in."""
        if name not in self.made:
            self.made[name] = self.app.test_client()
            if name:
                answer = sign_in(self.made[name], name, self.password(name))
                assert answer.status_code == 302, answer.text
        return self.made[name]


def sign_in(
    client: "FlaskClient", name: str, password: str, url: str = "/sign-in"
) -> "TestResponse":
    """Send the form of the sign-in page."""
    return client.post(url, data={"username": name, "password": password}, headers=OWN)


MIDDLE = (-139.99, 44.97)
"""The middle of the invented county."""


def tile_at(zoom: int, lon: float = MIDDLE[0], lat: float = MIDDLE[1]) -> str:
    """Return the tile of a place (OpenStreetMap wiki, "Slippy map tilenames", from memory)."""
    x = int((lon + 180) / 360 * 2**zoom)
    y = int((1 - math.asinh(math.tan(math.radians(lat))) / math.pi) / 2 * 2**zoom)
    return f"{zoom}/{x}/{y}"
