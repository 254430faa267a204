"""Clients signed in by role, over a copy of the invented county."""

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

import pytest

from tests.pages.visitors import Visitors

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient

    from registry.wiring import Parts
    from tests.demo import Demo


@pytest.fixture(scope="module")
def own_demo(demo_as_made: "Demo", tmp_path_factory: pytest.TempPathFactory) -> "Demo":
    """A copy of the county for the tests of one file."""
    return demo_as_made.copy(tmp_path_factory.mktemp("pages") / "demo")


@pytest.fixture(scope="module")
def parts(own_demo: "Demo") -> "Iterator[Parts]":
    """Store, folder and clock of the county, on the date on which it lives."""
    from registry.services.make_demo import county_today
    from registry.wiring import assemble

    opened = assemble(own_demo.store_url, fixed_today=county_today(), folder=own_demo.folder)
    yield opened
    opened.store.close()


@pytest.fixture(scope="module")
def app(parts: "Parts") -> "Flask":
    """The pages over the county."""
    from web.app import create_app

    return create_app(parts, secret="for tests only")  # noqa: S106 - signs cookies of the tests


@pytest.fixture(scope="module")
def client(app: "Flask", own_demo: "Demo") -> "Callable[[str], FlaskClient]":
    """Return a client signed in as a role; "" = nobody."""
    return Visitors(app, own_demo.password)
