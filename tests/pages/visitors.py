"""Visitors of the pages: one client for each role, signed in when first asked for."""

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
