"""Clients signed in by role, over a copy of the invented county."""

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient

    from tests.demo import Demo

OWN = {"Sec-Fetch-Site": "same-origin"}
"""What a browser sends with a form of our own pages."""

type Client = "Callable[[str], FlaskClient]"


@pytest.fixture(scope="module")
def own_demo(demo_as_made: "Demo", tmp_path_factory: pytest.TempPathFactory) -> "Demo":
    """A copy of the county for the tests of one file."""
    return demo_as_made.copy(tmp_path_factory.mktemp("pages") / "demo")


@pytest.fixture(scope="module")
def app(own_demo: "Demo") -> "Iterator[Flask]":
    """The pages over the county, on the date on which it lives."""
    from registry.services.make_demo import county_today
    from registry.wiring import assemble
    from web.app import create_app

    parts = assemble(own_demo.store_url, fixed_today=county_today(), folder=own_demo.folder)
    yield create_app(parts, secret="for tests only")  # noqa: S106 - signs cookies of the tests
    parts.store.close()


@pytest.fixture(scope="module")
def client(app: "Flask", own_demo: "Demo") -> "Callable[[str], FlaskClient]":
    """Return a client signed in as a role; "" = nobody."""
    made: dict[str, FlaskClient] = {}

    def signed_in(role: str) -> "FlaskClient":
        if role not in made:
            made[role] = app.test_client()
            if role:
                form = {"username": role, "password": own_demo.password(role)}
                answer = made[role].post("/sign-in", data=form, headers=OWN)
                assert answer.status_code == 302, answer.text
        return made[role]

    return signed_in
