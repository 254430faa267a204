"""How a command ends: 0 done, 1 done with rejects, 2 wrong use or refused, 3 our fault."""

import logging
import secrets
from typing import Any

import click

from registry.errors import RegistryError

REJECTED = 1
REFUSED = 2
OUR_FAULT = 3


def run_with_clear_endings(cli: click.Command, args: list[str] | None = None) -> int:
    """Run a click command and return its exit code; a user's mistake never shows a traceback."""
    try:
        answer: Any = cli.main(args=args, prog_name="riserway", standalone_mode=False)
    except click.exceptions.Exit as end:
        return end.exit_code
    except click.ClickException as wrong:
        wrong.show()
        return REFUSED
    except (click.Abort, KeyboardInterrupt):
        click.echo("Stopped. What was finished before is kept.", err=True)
        return REFUSED
    except RegistryError as wrong:
        click.echo(f"riserway: {wrong}", err=True)
        return REFUSED
    except Exception:
        fault = secrets.token_hex(4)
        logging.getLogger("riserway").exception("fault %s", fault)
        click.echo(f"riserway: this is our fault, not yours (error id {fault}).", err=True)
        return OUR_FAULT
    return answer if isinstance(answer, int) else 0
