"""The tree of commands, as the documents have to name it."""

import shlex
from collections.abc import Iterator

import click

from registry.cli.main import cli

PLACEHOLDERS = {"DATE": "2026-06-09", "N": "1", "FT": "1"}
"""Words that stand for a value of a certain kind in the documents."""


def leaves(
    command: click.Command = cli, name: str = "riserway"
) -> Iterator[tuple[str, click.Command]]:
    """Yield every command that does something, with the words by which it is called."""
    if not isinstance(command, click.Group):
        yield name, command
        return
    context = click.Context(command, info_name=name)
    for word in command.list_commands(context):
        found = command.get_command(context, word)
        assert found is not None, f"{name} {word} is listed and not there."
        yield from leaves(found, f"{name} {word}")


def groups(
    command: click.Command = cli, name: str = "riserway"
) -> Iterator[tuple[str, click.Group]]:
    """Yield every group of commands, the whole program first."""
    if isinstance(command, click.Group):
        yield name, command
        context = click.Context(command, info_name=name)
        for word in command.list_commands(context):
            found = command.get_command(context, word)
            assert found is not None
            yield from groups(found, f"{name} {word}")


def options(command: click.Command) -> set[str]:
    """Return the long options that a command shows."""
    return {
        word
        for one in command.params
        if isinstance(one, click.Option) and not one.hidden
        for word in one.opts
        if word.startswith("--")
    }


def parsed(words: str) -> None:
    """Parse a command as the shell would hand it over, without running it.

    Raises
    ------
    click.ClickException
        If there is no such command, option or argument.
    """
    left = [PLACEHOLDERS.get(word, word) for word in shlex.split(words)]
    command: click.Command = cli
    name = "riserway"
    while isinstance(command, click.Group) and left and not left[0].startswith("-"):
        context = click.Context(command, info_name=name)
        found = command.get_command(context, left[0])
        if found is None:
            raise click.UsageError(f"There is no command {name} {left[0]}.")
        command, name, left = found, f"{name} {left[0]}", left[1:]
    try:
        command.make_context(name, left)
    except click.exceptions.Exit:  # --help and --version end here
        return
    except click.BadParameter as wrong:
        if wrong.param is None or not isinstance(wrong.param.type, click.Path):
            raise  # a file that is not there does not matter here
