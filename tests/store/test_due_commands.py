import csv
import io
import json
from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from registry.cli.due import command as due
from registry.cli.import_rules import command as import_rules
from registry.errors import ConfigError, FileError, NotFoundError
from registry.services.explain_due import explain_due
from registry.services.recompute_due import recompute_due
from registry.store import Store
from registry.store.tables import PermitConditionRow
from tests.store.due_rows import add, county, house, visit

TODAY = date(2026, 6, 15)
COLUMNS = ["site", "system", "task", "last_done", "due_on", "days_overdue", "rule", "source"]


@pytest.fixture
def url(store: Store, store_url: str) -> str:
    """A store with a gravity system 31 days overdue and one with a name like a formula."""
    with store.session() as session:
        county(session)
        house(session, 1)
        visit(session, 1, date(2023, 5, 15))
        house(session, 2, "mound", site={"key": "=2+2"}, system={"key": "M-1"})
        visit(session, 2, date(2025, 6, 20), ["inspection", "purge"])
        add(
            session,
            PermitConditionRow(
                system_id=2, task="inspection", months=24, citation="Waiver 9", is_waiver=True
            ),
        )
        recompute_due(session, TODAY)
    return store_url


def run(command, url: str, *args: str) -> Result:
    done = CliRunner().invoke(command, [*args, "--store", url])
    if done.exception and not isinstance(done.exception, SystemExit):
        raise done.exception
    return done


def test_rows_are_exactly_those_of_the_contract(url):
    done = run(due, url, "--on", "2026-06-15", "--json")
    first = json.loads(done.stdout)[0]
    assert list(first) == COLUMNS
    rows = {(one["site"], one["task"]): one for one in json.loads(done.stdout)}
    assert rows["S-1", "inspection"] == {
        "site": "S-1",
        "system": "gravity",
        "task": "inspection",
        "last_done": "2023-05-15",
        "due_on": "2026-05-15",
        "days_overdue": 31,
        "rule": "wa-gravity",
        "source": "WAC 246-272A-0270 (1)(d)(i)",
    }
    assert rows["=2+2", "purge"]["days_overdue"] == -5
    assert rows["=2+2", "purge"]["system"] == "M-1"


def test_csv_has_one_header_and_nothing_that_a_spreadsheet_runs(url):
    done = run(due, url, "--on", "2026-06-15", "--format", "csv")
    header, *rows = csv.reader(io.StringIO(done.stdout))
    assert header == COLUMNS
    assert {row[0] for row in rows} == {"S-1", "'=2+2"}


def test_geojson_is_a_collection_of_points(url):
    done = run(due, url, "--on", "2026-06-15", "--format", "geojson", "--limit", "1")
    (feature,) = json.loads(done.stdout)["features"]
    assert feature["geometry"]["type"] == "Point"
    assert list(feature["properties"]) == COLUMNS


def test_the_table_counts_what_is_due_and_overdue(url):
    done = run(due, url, "--on", "2026-06-15", "--within", "0", "--jurisdiction", "Own County")
    assert done.stdout.splitlines()[0].split() == COLUMNS
    assert "by 0 days after 2026-06-15" in done.stderr
    assert len(done.stdout.splitlines()) - 1 == int(done.stderr.split()[0])


def test_a_name_that_is_not_known_is_refused_with_those_that_are(url):
    with pytest.raises(NotFoundError, match="Known: Other Firm, Own Firm"):
        run(due, url, "--firm", "Nobody")
    with pytest.raises(NotFoundError, match="S-99"):
        run(due, url, "--why", "S-99")


def test_one_site_is_explained_with_every_rule_that_was_looked_at(url):
    done = run(due, url, "--why", "S-1", "--on", "2026-06-15")
    said = done.stdout
    assert "System inspection: due 2026-05-15, 31 days overdue on 2026-06-15" in said
    assert "WAC 246-272A-0270 (1)(d)(i) (law): every 36 months from 2023-05-15" in said
    assert "This sets the date." in said
    assert "a house default stands only where nothing binds" in said
    assert "WAC 246-272A-0270 (1)(d)(ii) (law): does not apply" in said
    assert "Of other rule sets" in said
    assert "the tank's size is not on file" in said


def test_a_waiver_is_named_with_the_law_that_it_sets_aside(store, url):
    with store.reading() as session:
        found = {one.task: one for one in explain_due(session, 2, TODAY)}
    said = " ".join(found["inspection"].sentences)
    assert "Waiver 9 (permit): every 24 months from 2025-06-20, so 2027-06-20. This sets" in said
    assert "set aside by Waiver 9" in said
    assert found["treatment check"].obligation is None


def test_the_explanation_says_the_date_that_is_kept(store, url):
    from registry.store.obligations import obligations_of_sites

    with store.reading() as session:
        for site in (1, 2):
            kept = {one.task: one.due_on for one in obligations_of_sites(session, [site])}
            said = {
                one.task: one.obligation.due_on
                for one in explain_due(session, site, TODAY)
                if one.obligation
            }
            assert said == kept


RULES = """
[rules.own-gravity]
task = "inspection"
months = 24
system_kinds = ["gravity"]
jurisdiction = "Own County"
status = "law"
citation = "County code 5.6"
"""


def inspection(url: str) -> tuple[str, str]:
    """Return rule and date of the gravity system's inspection."""
    rows = json.loads(run(due, url, "--on", "2026-06-15", "--json").stdout)
    row = next(one for one in rows if (one["site"], one["task"]) == ("S-1", "inspection"))
    return row["source"], row["due_on"]


def test_importing_rules_changes_dates_at_once_and_twice_changes_nothing(url, tmp_path):
    file = tmp_path / "rules.toml"
    file.write_text(RULES, encoding="utf-8")
    counts = json.loads(run(import_rules, url, str(file), "--json").stdout)
    assert {
        name: counts[name] for name in ("read", "added", "changed", "unchanged", "rejected")
    } == {
        "read": 1,
        "added": 1,
        "changed": 0,
        "unchanged": 0,
        "rejected": 0,
    }
    assert counts["rejects_file"] is None
    assert "Computed again: inspection; 1 obligations changed." in counts["notes"][0]
    assert inspection(url) == ("County code 5.6", "2025-05-15")
    again = json.loads(run(import_rules, url, str(file), "--json").stdout)
    assert (again["added"], again["unchanged"], again["notes"]) == (0, 1, [])


def test_a_rule_file_with_a_mistake_is_refused_whole(url, tmp_path: Path):
    file = tmp_path / "rules.toml"
    file.write_text(RULES + RULES.replace("own-gravity", "other").replace("24", "0"), "utf-8")
    with pytest.raises(ConfigError, match="rule “other”, key “months”: write a whole number"):
        run(import_rules, url, str(file))
    assert inspection(url) == ("WAC 246-272A-0270 (1)(d)(i)", "2026-05-15")
    file.write_bytes(b"\xff\xfe")
    with pytest.raises(FileError, match="not text in UTF-8"):
        run(import_rules, url, str(file))
    with pytest.raises(FileError, match="cannot be read"):
        run(import_rules, url, str(tmp_path / "none.toml"))
