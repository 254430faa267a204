"""Every address as every visitor: no secret that is not for them, and headers that guard all."""

from collections.abc import Iterator
from importlib import import_module
from typing import TYPE_CHECKING, Any

import pytest
from click.testing import CliRunner
from sqlalchemy import JSON, String, insert, select
from sqlalchemy.exc import IntegrityError

from registry.cli.main import COMMANDS, cli
from registry.privacy import HIDDEN
from registry.records.changes import Role
from registry.store.tables import Base, SettingRow
from tests.pages.addresses import addresses
from tests.pages.header_rules import ELSEWHERE, faults
from tests.pages.planting import plant
from tests.pages.private_texts import FIELDS, FIRMS, OPEN, secret
from tests.pages.two_firms import PASSWORD, Planted, sign_ins, split_in_two
from tests.pages.visitors import OWN, Client, sign_in
from tests.pages.walking import HTTPS, Walk, secrets_in, walk
from web.read_log import READS

if TYPE_CHECKING:
    from pathlib import Path

    from flask import Flask
    from flask.testing import FlaskClient

    from registry.records.changes import Viewer
    from registry.wiring import Parts
    from tests.demo import Demo

NOT_POSTED = ("security.login", "security.logout", "sign_ins.end")


@pytest.fixture(scope="module")
def app(parts: "Parts") -> "Flask":
    """The pages as they are served by https."""
    from web.app import create_app

    return create_app(parts, secret="for tests only", by_https=True)  # noqa: S106


@pytest.fixture(scope="module")
def planted(parts: "Parts") -> dict[str, Planted]:
    """Two firms with their secrets."""
    with parts.store.session() as session:
        made = split_in_two(session)
        for one in made.values():
            plant(session, one)
    return made


@pytest.fixture(scope="module")
def viewers(parts: "Parts", planted: dict[str, Planted]) -> "dict[str, Viewer]":
    """A sign-in of each role in each firm."""
    with parts.store.session() as session:
        return sign_ins(session, planted)


@pytest.fixture(scope="module")
def visitors(
    app: "Flask", viewers: "dict[str, Viewer]", client: Client
) -> "dict[str, tuple[FlaskClient, frozenset[Role], str]]":
    """By name: a client, as which role it sees, and whose secrets may be for it."""
    made = {"nobody": (app.test_client(), frozenset[Role](), "")}
    for name, viewer in viewers.items():
        made[name] = (app.test_client(), frozenset({viewer.role}), name[-1])
        assert sign_in(made[name][0], name, PASSWORD).status_code == 302
    made["administrator"] = (client("administrator"), frozenset({Role.ADMINISTRATOR}), FIRMS)
    return made


@pytest.fixture(scope="module")
def walked(app: "Flask", planted: dict[str, Planted], visitors: dict[str, Any]) -> Walk:
    """What each visitor found at every address, and what was logged meanwhile."""
    return walk(app, planted, visitors)


def is_for(key: str, whose: str, roles: frozenset[Role], of: str) -> bool:
    """Tell whether a secret is for a visitor."""
    return whose in of and bool(FIELDS[key].roles & roles)


def test_nobody_finds_a_secret_that_is_not_for_them(walked: Walk, visitors: dict[str, Any]) -> None:
    leaks = [
        f"{name} found {key} of firm {whose} at {', '.join(sorted(where)[:3])}"
        for (key, whose), by in sorted(walked.found.items())
        for name, where in by.items()
        if not is_for(key, whose, *visitors[name][1:])
    ]
    assert not leaks, "\n".join(leaks)


def test_wherever_a_private_field_is_found_it_is_noted_who_read_it(
    app: "Flask", walked: Walk
) -> None:
    private = {
        f"{record.__name__}.{name}"
        for record, hidden in HIDDEN.items()
        for name in hidden[Role.COUNTY]
    }
    known = app.url_map.bind("localhost")
    found_at = {
        known.match(path.partition("?")[0])[0]
        for (key, _), by in walked.found.items()
        if key in private
        for where in by.values()
        for path in where
    }
    assert len(found_at) > 5
    assert sorted(found_at - READS.keys()) == []


def test_who_may_see_a_secret_finds_it(walked: Walk) -> None:
    """Else the test above could not fail."""
    unseen = [
        key
        for key, field in FIELDS.items()
        if field.roles and field.shown and not any((key, one) in walked.found for one in FIRMS)
    ]
    assert not unseen, "\n".join(unseen)


def test_no_log_line_holds_a_secret(walked: Walk) -> None:
    assert not secrets_in("\n".join(walked.lines).encode())


def test_every_answer_tells_the_browser_what_it_may_not_do_and_keep(walked: Walk) -> None:
    wrong = [f"{one.visitor} {one.path}: {said}" for one in walked.told for said in faults(one)]
    assert any(one.headers.getlist("Set-Cookie") for one in walked.told)
    assert not wrong, "\n".join(wrong)


def test_every_write_from_elsewhere_is_refused_and_those_of_our_own_pages_are_not(
    app: "Flask", planted: dict[str, Planted], client: Client
) -> None:
    """Who is not signed in is told so by our own pages, so 403 comes from the check alone."""
    nobody, office = app.test_client(), client("administrator")
    methods = {one for rule in app.url_map.iter_rules() for one in rule.methods or ()}
    assert methods <= {"GET", "HEAD", "OPTIONS", "POST"}
    writes = dict(addresses(app, planted["a"], "POST"))
    assert len(writes) > 40
    for path in writes.values():
        own = nobody.post(path, headers=OWN, base_url=HTTPS, data={"username": "x"})
        assert own.status_code != 403, path
        for who in (nobody, office):
            for said in ELSEWHERE:
                answer = who.post(path, headers=said, base_url=HTTPS, data={"site_id": "1"})
                assert answer.status_code == 403, (path, said)


def test_a_fault_of_the_database_is_told_without_the_values(parts: "Parts") -> None:
    """The log keeps what was raised."""
    row = {"name": "twice", "value": secret("Site.owner_name", "a")}
    with pytest.raises(IntegrityError) as fault, parts.store.session() as session:
        session.execute(insert(SettingRow), [row, row])
    assert not secrets_in(str(fault.value).encode())


def test_every_text_in_the_store_is_planted_or_said_to_be_open(
    parts: "Parts", planted: dict[str, Planted]
) -> None:
    missing = []
    with parts.store.reading() as session:
        for table in Base.metadata.sorted_tables:
            for column in table.columns:
                if not isinstance(column.type, String | JSON):
                    continue
                told = session.scalars(select(column)).all()
                is_planted = any(secrets_in(str(one).encode()) for one in told)
                if not is_planted and column.name not in OPEN.get(table.name, "").split():
                    missing.append(f"{table.name}.{column.name}")
    assert not missing, (
        "Plant these in tests/pages/planting.py, or name them in tests/pages/private_texts.py: "
        f"{', '.join(missing)}."
    )


def test_a_write_to_anothers_record_tells_nothing_of_it(
    app: "Flask", planted: dict[str, Planted], visitors: dict[str, Any]
) -> None:
    for name, (one, roles, of) in visitors.items():
        for whose in set(FIRMS) - set(of):
            for endpoint, path in addresses(app, planted[whose], "POST"):
                if endpoint in NOT_POSTED or path.count("/") < 3 or "/day/" in path:
                    continue
                forms: list[dict[str, Any]] = [
                    {"data": {"site_id": planted[whose].site_id}},
                    {"json": {}},
                ]
                for sent in forms:
                    answer = one.post(path, headers=OWN, base_url=HTTPS, **sent)
                    assert answer.status_code < 500, f"{name} at {path}"
                    for key, hers in secrets_in(answer.data):
                        assert is_for(key, hers, roles, of), f"{name} at {path}: {key}"


def exports() -> Iterator[tuple[str, ...]]:
    """Yield each command that takes a role, but the one that adds a sign-in."""
    for group_name in COMMANDS:
        group = import_module(COMMANDS[group_name][0]).command
        for name, command in getattr(group, "commands", {}).items():
            if any("--role" in one.opts for one in command.params) and group_name != "user":
                yield group_name, name


@pytest.mark.parametrize("command", list(exports()), ids=" ".join)
def test_a_command_for_the_county_writes_nothing_private(
    command: tuple[str, ...], planted: dict[str, Planted], own_demo: "Demo", tmp_path: "Path"
) -> None:
    written = 0
    for ending in ("csv", "geojson", "gpkg", "gpx", "html"):
        to = tmp_path / f"out.{ending}"
        done = CliRunner().invoke(
            cli, [*command, "--to", str(to), "--role", "county", "--store", own_demo.store_url]
        )
        told = (to.read_bytes() if to.exists() else b"") + done.output.encode()
        written += to.exists()
        for key, _ in secrets_in(told):
            assert Role.COUNTY in FIELDS[key].roles, f"{' '.join(command)} .{ending}: {key}"
    assert written >= 3
