"""How the check of a store is printed, for people and as JSON."""

from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from registry.services.look_after_store import StoreCheck


def as_document(found: "StoreCheck") -> dict[str, Any]:
    """Return what a check found as the keys that stay."""
    return {
        "revision": found.revision,
        "dialect": found.dialect,
        "sites": found.sites,
        "problems": found.problems,
    }


def print_found(found: "StoreCheck") -> None:
    """Print what a check found in sentences."""
    click.echo(f"{found.dialect}, revision {found.revision or 'none'}, {found.sites:,} sites.")
    for problem in found.problems:
        click.echo(f"Problem: {problem}")
    if not found.problems:
        click.echo("No problems.")
