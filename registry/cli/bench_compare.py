"""``riserway bench compare``: our engine beside others, the same processor seconds each."""

from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

import click

from registry.cli.options import json_option, print_json, say

if TYPE_CHECKING:
    from collections.abc import Sequence

    from registry.solvers.contest import Entrant, Entry


class Seconds(click.ParamType):  # type: ignore[type-arg]  # whichever click's stubs are read
    """Search times such as ``2,10,30``."""

    name = "S,S,…"

    def convert(
        self, value: "str | list[float]", param: click.Parameter | None, ctx: click.Context | None
    ) -> list[float]:
        """Return the seconds, or end with a sentence about what is wrong."""
        if isinstance(value, list):
            return value
        try:
            some = [float(word) for word in value.split(",")]
        except ValueError:
            some = []
        if not some or min(some) <= 0:
            self.fail(f"“{value}” are no seconds. Write them as 2,10,30.", param, ctx)
        return some


@click.command(
    "compare", epilog="Example: riserway bench compare R211.txt day60.json --seconds 2,10,30"
)
@click.argument(
    "files",
    nargs=-1,
    required=True,
    metavar="FILE...",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
)
@click.option(
    "--seconds",
    type=Seconds(),
    default="2,10,30",
    show_default=True,
    help="Processor seconds for each search.",
)
@click.option("--only", default="", metavar="NAMES", help="Engines, by name, with commas between.")
@click.option("--seed", type=int, default=1, show_default=True, help="Seed of the searches.")
@json_option
def command(
    files: tuple[Path, ...], seconds: list[float], only: str, seed: int, as_json: bool
) -> None:
    """Set the engine of ``plan`` beside OR-Tools and PyVRP on instances of ``bench solve``.

    The searches run one after the other, each in a fresh process on one thread for the same
    processor seconds; riserway-two runs two seeds at once and takes the better plan. Gaps are to
    the best known cost (bks.json or a .sol beside FILE), else to the best that was found here.
    """
    from registry.solvers.contest import chosen, compete, standings
    from registry.solvers.instances import read_instance

    for file in files:
        read_instance(file)  # bad files are told before anything is searched
    entrants, left_out = chosen([word.strip() for word in only.split(",") if word.strip()])
    for sentence in left_out:
        say(sentence)
    entries = compete(files, entrants, seconds, seed, _say_entry)
    if as_json:
        print_json(
            {
                "engines": {one.name: one.title for one in entrants},
                "runs": [
                    {"instance": one.instance, "engine": one.engine, "gap": one.gap}
                    | {"limit": one.seconds}
                    | asdict(one.attempt)
                    for one in entries
                ],
                "summary": [asdict(one) for one in standings(entries)],
                "left_out": left_out,
            }
        )
        return
    click.echo("\n".join(table(entrants, entries, seconds)))


def _say_entry(entry: "Entry") -> None:
    found = entry.attempt.cost
    what = entry.attempt.why if found is None else f"{found:,.1f}"
    say(f"{entry.instance}, {entry.seconds:g} s, {entry.engine}: {what}")


def table(
    entrants: "Sequence[Entrant]", entries: "Sequence[Entry]", seconds: "Sequence[float]"
) -> list[str]:
    """Return the lines of the table of gaps, in percent."""
    from registry.solvers.contest import standings

    names = [one.name for one in entrants]
    gaps = {(one.instance, one.seconds, one.engine): one.gap for one in entries}
    lines = [_line("gap, %", "seconds", names)]
    for instance in dict.fromkeys(one.instance for one in entries):
        lines += [
            _line(instance, f"{limit_s:g}", [_cell(gaps[instance, limit_s, n]) for n in names])
            for limit_s in seconds
        ]
    totals = {(one.engine, one.seconds): one for one in standings(entries)}
    for limit_s in seconds:
        some = [totals[name, limit_s] for name in names]
        lines.append(_line("median", f"{limit_s:g}", [_cell(one.median) for one in some]))
        lines.append(_line("worst", f"{limit_s:g}", [_cell(one.worst) for one in some]))
    return lines


def _line(first: str, second: str, cells: "Sequence[str]") -> str:
    return f"{first:16} {second:>7} " + " ".join(f"{cell:>13}" for cell in cells)


def _cell(gap: float | None) -> str:
    return "none" if gap is None else f"{gap:.2f}"
