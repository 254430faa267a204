"""What many tests share: stores, a clock, the private PostGIS cluster, a server and a browser."""

import os
import shutil
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

import pytest
from hypothesis import settings as hypothesis_settings

from tests import cluster as postgis
from tests.once import once

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

    from registry.store import Session, Store
    from tests.demo import Demo
    from tests.server import Server

hypothesis_settings.register_profile("riserway", deadline=None, derandomize=True)
hypothesis_settings.register_profile("long", deadline=None, max_examples=400)
hypothesis_settings.load_profile("riserway")

RUN_FOLDER = pytest.StashKey[Path]()
RUN_OWNER = pytest.StashKey[int]()
NEEDS = {"postgis": "postgis_cluster", "browser": "browser", "reference_data": "reference_data"}
"""Marker → the fixture whose use sets it."""


def pytest_configure(config: pytest.Config) -> None:
    """Make the folder that all processes of a run share; workers are told of it."""
    told = getattr(config, "workerinput", None)
    config.stash[RUN_FOLDER] = Path(told["run_folder"]) if told else postgis.new_run_folder()
    config.stash[RUN_OWNER] = told["run_owner"] if told else os.getpid()


@pytest.hookimpl(optionalhook=True)
def pytest_configure_node(node: Any) -> None:
    """Tell a worker process where the run's folder is."""
    node.workerinput["run_folder"] = str(node.config.stash[RUN_FOLDER])
    node.workerinput["run_owner"] = node.config.stash[RUN_OWNER]


def pytest_unconfigure(config: pytest.Config) -> None:
    """End what the run started."""
    if not hasattr(config, "workerinput") and RUN_FOLDER in config.stash:
        postgis.stop(config.stash[RUN_FOLDER])
        shutil.rmtree(config.stash[RUN_FOLDER], ignore_errors=True)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark each test by what it needs, so that a run can leave out what a machine lacks."""
    for item in items:
        for marker, fixture in NEEDS.items():
            if fixture in getattr(item, "fixturenames", ()):
                item.add_marker(marker)


def _missing(what: str) -> NoReturn:
    """Skip a test for want of a program; on a build machine that is a failure."""
    if os.environ.get("CI") == "true":
        pytest.fail(f"{what} is not installed, and CI=true allows no test to be left out.")
    pytest.skip(f"{what} is not installed. Start tests/run as root, or install it yourself.")


@pytest.fixture(autouse=True)
def no_store_of_the_user(
    tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Keep tests away from the store and the folders of whoever runs them."""
    for name in ("RISERWAY_STORE", "RISERWAY_FOLDER"):
        monkeypatch.delenv(name, raising=False)
    for name in ("XDG_DATA_HOME", "LOCALAPPDATA"):
        monkeypatch.setenv(name, str(tmp_path_factory.getbasetemp() / "home"))


@pytest.fixture
def today() -> date:
    """A day for tests: Monday, 15 June 2026."""
    return date(2026, 6, 15)


@pytest.fixture
def now() -> datetime:
    """A moment for tests: 07:00 in the county's zone (UTC−5) on the day for tests."""
    return datetime(2026, 6, 15, 12, 0, tzinfo=UTC)


@pytest.fixture(scope="session")
def reference_data() -> Path:
    """The folder of published data that is not part of this repository."""
    named = os.environ.get("RISERWAY_REFERENCE_DATA")
    if not named:
        pytest.skip("RISERWAY_REFERENCE_DATA does not name the folder of published data.")
    folder = Path(named)
    if not (folder / "data").is_dir():
        pytest.fail(f"RISERWAY_REFERENCE_DATA names {folder}, which has no folder data in it.")
    return folder


@pytest.fixture(scope="session")
def run_folder(request: pytest.FixtureRequest) -> Path:
    """The folder that all processes of this run share; see tests/once.py."""
    return request.config.stash[RUN_FOLDER]


@pytest.fixture(scope="session")
def postgis_cluster(request: pytest.FixtureRequest, run_folder: Path) -> postgis.Cluster:
    """The private PostGIS cluster; the first test that asks starts it."""
    if postgis.programs() is None:
        _missing("PostgreSQL with PostGIS")
    return postgis.cluster_of_run(run_folder, request.config.stash[RUN_OWNER])


@pytest.fixture(scope="session")
def migrated_sqlite(run_folder: Path) -> Path:
    """An empty SQLite store at the newest revision, to be copied."""

    from registry.store import open_store
    from registry.store.migrate import upgrade

    def make(path: Path) -> None:
        store = open_store(f"sqlite:///{path}")
        upgrade(store)
        store.close()  # the last connection's end empties the log beside the file

    return once(run_folder, "migrated.sqlite", make)


@pytest.fixture(scope="session")
def migrated_postgis(run_folder: Path, postgis_cluster: postgis.Cluster) -> str:
    """The name of an empty PostGIS database at the newest revision, to be copied."""
    from registry.store import open_store
    from registry.store.migrate import upgrade

    def make(_: Path) -> None:
        postgis_cluster.run("DROP DATABASE IF EXISTS migrated WITH (FORCE)")
        postgis_cluster.run("CREATE DATABASE migrated TEMPLATE bare")
        store = open_store(postgis_cluster.url("migrated"))
        upgrade(store)
        store.close()

    return once(run_folder, "migrated", make).name


@pytest.fixture(params=["sqlite", pytest.param("postgis", marks=pytest.mark.postgis)])
def store_kind(request: pytest.FixtureRequest) -> str:
    """``sqlite``, then ``postgis``: a test that asks for a store runs on both."""
    kind: str = request.param
    return kind


@pytest.fixture
def bare_store_url(
    store_kind: str, tmp_path: Path, request: pytest.FixtureRequest
) -> Iterator[str]:
    """The URL of a place for a store in which nothing was made yet, on both kinds."""
    if store_kind == "sqlite":
        yield f"sqlite:///{tmp_path / 'bare.sqlite'}"
        return
    yield from _database(request.getfixturevalue("postgis_cluster"), "bare")


@pytest.fixture
def sqlite_url(tmp_path: Path, migrated_sqlite: Path) -> str:
    """The URL of a fresh, migrated SQLite store."""
    shutil.copyfile(migrated_sqlite, tmp_path / "store.sqlite")
    return f"sqlite:///{tmp_path / 'store.sqlite'}"


@pytest.fixture
def postgis_url(postgis_cluster: postgis.Cluster, migrated_postgis: str) -> Iterator[str]:
    """The URL of a fresh, migrated PostGIS store."""
    yield from _database(postgis_cluster, migrated_postgis)


@pytest.fixture
def store_url(store_kind: str, request: pytest.FixtureRequest) -> str:
    """The URL of a fresh, migrated store; the test runs on SQLite and on PostGIS."""
    url: str = request.getfixturevalue("sqlite_url" if store_kind == "sqlite" else "postgis_url")
    return url


def _database(cluster: postgis.Cluster, template: str) -> Iterator[str]:
    name = cluster.new_database(template)
    yield cluster.url(name)
    cluster.drop(name)


@pytest.fixture
def store(store_url: str) -> "Iterator[Store]":
    """A fresh, migrated store, opened; the test runs on SQLite and on PostGIS."""
    from registry.store import open_store

    opened = open_store(store_url)
    yield opened
    opened.close()


@pytest.fixture
def session(store: "Store") -> "Iterator[Session]":
    """A session in a fresh store, committed at the end; the test runs on both kinds."""
    with store.session() as opened:
        yield opened


@pytest.fixture(scope="session")
def demo_as_made(run_folder: Path) -> "Demo":
    """The invented county as its command made it; not to be changed, see ``demo``."""
    from tests.demo import Demo, make

    return Demo(once(run_folder, "demo", make))


@pytest.fixture
def demo(demo_as_made: "Demo", tmp_path: Path) -> "Demo":
    """The invented county in a folder of the test's own."""
    return demo_as_made.copy(tmp_path / "demo")


@pytest.fixture
def serve(tmp_path: Path) -> "Iterator[Callable[..., Server]]":
    """Serve a store's pages from a process of its own: ``serve(store_url).url``.

    The folder of road networks and base maps is the second argument, by default an empty one;
    further arguments are options of ``riserway serve``. The server ends with the test.
    """
    from tests.server import served

    with ExitStack() as stack:

        def started(store_url: str, folder: Path | None = None, *options: str) -> "Server":
            return stack.enter_context(served(store_url, folder or tmp_path / "server", *options))

        yield started


@pytest.fixture(scope="session")
def browser() -> "Iterator[Browser]":
    """The system's Chromium, one for each process of a run."""
    from tests import browser as chromium

    path = chromium.program()
    if path is None:
        _missing("Chromium")
    with chromium.launched(path) as launched:
        yield launched


@pytest.fixture
def new_page(browser: "Browser") -> "Iterator[Callable[..., Page]]":
    """Open a page: ``new_page(server.url, viewport={…})``, or ``new_page("")`` for a file.

    At the end of the test every request must have gone to that server, none for a file.
    """
    from tests.browser import watched_context

    with ExitStack() as stack:

        def opened(base_url: str, **options: Any) -> "Page":
            return stack.enter_context(watched_context(browser, base_url, **options)).new_page()

        yield opened


@pytest.fixture
def server(demo: "Demo", serve: "Callable[..., Server]") -> "Server":
    """A server of the invented county on the date on which the county lives."""
    from registry.services.make_demo import county_today

    return serve(demo.store_url, demo.folder, "--on", str(county_today()))


@pytest.fixture(scope="session")
def shared_server(
    demo_as_made: "Demo", tmp_path_factory: pytest.TempPathFactory
) -> "Iterator[Server]":
    """One server of the invented county for all tests of a process, which change nothing there."""
    from registry.services.make_demo import county_today
    from tests.server import served

    demo = demo_as_made.copy(tmp_path_factory.mktemp("shared") / "demo")
    with served(demo.store_url, demo.folder, "--on", str(county_today())) as server:
        yield server


@pytest.fixture
def shared_page(shared_server: "Server", new_page: "Callable[..., Page]") -> "Page":
    """A page before the shared server, for a test that changes nothing; nobody signed in."""
    return new_page(shared_server.url)


@pytest.fixture
def page(server: "Server", new_page: "Callable[..., Page]") -> "Page":
    """A browser's page before the server of the invented county, nobody signed in."""
    return new_page(server.url)


@pytest.fixture
def sign_in(demo_as_made: "Demo") -> "Callable[[Page, str], None]":
    """Sign a role in: ``sign_in(page, "dispatcher")``; the passwords are those of every copy."""

    def signed_in(page: "Page", role: str) -> None:
        page.goto("/sign-in")
        page.fill("#username", role)
        page.fill("#password", demo_as_made.password(role))
        page.click("button[type=submit]")

    return signed_in
