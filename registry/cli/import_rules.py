"""``riserway import rules``: task kinds and interval rules from a TOML file."""

from contextlib import closing
from pathlib import Path

import click

from registry.cli.options import json_option, store_option


@click.command("rules", epilog="Example: riserway import rules county-rules.toml")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--who", default="", help="Who imports, for the history. [default: you]")
@json_option
@store_option
def command(file: Path, who: str, as_json: bool, store: str | None) -> int:
    """Read interval rules and task kinds from FILE; due dates that they touch follow at once.

    A rule of a code that is kept already is changed; see docs/rules.md for all keys.
    """
    from registry.cli.import_options import tell, user_name
    from registry.services.import_outcome import ImportRequest
    from registry.services.import_rules import import_rules
    from registry.wiring import assemble

    parts = assemble(store)
    request = ImportRequest(path=file, who=who or user_name(), now=parts.now())
    with closing(parts.store), parts.store.session() as session:
        outcome = import_rules(session, request, parts.today())
    return tell(outcome, as_json=as_json)
