"""``riserway bench solve``: the engine of ``plan`` on a published day or instance."""

import json
from dataclasses import replace
from pathlib import Path

import click

from registry.cli.options import json_option, print_json, say
from registry.errors import FileError


@click.command(epilog="Example: riserway bench solve day60.json --seconds 10 --to plan.json --json")
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--seconds", type=click.FloatRange(min=0, min_open=True), help="Time to search.")
@click.option(
    "--rounds",
    type=click.IntRange(min=1),
    help="Rounds to search instead of seconds: then the same seed gives the same plan.",
)
@click.option("--seed", type=int, default=1, show_default=True, help="Seed of the search.")
@click.option(
    "--to",
    "to_file",
    type=click.Path(dir_okay=False, path_type=Path),
    help="Write the plan to a JSON file.",
)
@click.option(
    "--processor-time",
    is_flag=True,
    help="Count processor seconds, for fair comparisons on a busy machine.",
)
@click.option(
    "--bound-seconds",
    type=click.FloatRange(min=0),
    default=0.0,
    help="Time to prove, after the search, how far the plan is from the best possible. [0]",
)
@json_option
def command(
    file: Path,
    seconds: float | None,
    rounds: int | None,
    seed: int,
    to_file: Path | None,
    processor_time: bool,
    bound_seconds: float,
    as_json: bool,
) -> None:
    """Solve FILE, a service-day/1 JSON file or a text file in Solomon's layout.

    For Solomon files distances are cut to one decimal and the cost is the total distance; for
    service days it is the driving in seconds and the worth of the visits left waiting.
    """
    from registry.plan.check import breaches, totals_of
    from registry.solvers.bound.lower import LowerBound
    from registry.solvers.budget import processor_clock, wall_clock
    from registry.solvers.combined import CombinedSolver
    from registry.solvers.instances import plan_document, read_instance

    if (seconds is None) == (rounds is None):
        raise click.UsageError("Give either --seconds or --rounds.")
    instance = read_instance(file)
    clock = processor_clock if processor_time else wall_clock
    solver = CombinedSolver(clock=clock)
    solution = solver.solve(
        instance.problem,
        seconds=seconds,
        rounds=rounds,
        seed=seed,
        progress=lambda step: say(
            f"{step.seconds:7.1f} s  {step.text}"
            + ("" if step.cost is None else f" Cost {step.cost / instance.per_unit:g}.")
        ),
    )
    proven = None
    if bound_seconds > 0 and not breaches(instance.problem, solution.routes):
        proven = LowerBound(clock).bound(
            instance.problem,
            solution,
            seconds=bound_seconds,
            progress=lambda step: say(f"{step.seconds:7.1f} s  {step.text}"),
        )
        solution = replace(solution, routes=proven.routes or solution.routes)
        say(proven.text)
    found = breaches(instance.problem, solution.routes)
    for breach in found:
        say(f"The plan is not feasible: {breach.text}")
    totals = totals_of(instance.problem, solution.routes)
    if to_file is not None:
        try:
            to_file.write_text(
                json.dumps(plan_document(instance, solution), indent=1), encoding="utf-8"
            )
        except OSError as wrong:
            raise FileError(f"{to_file} cannot be written: {wrong.strerror}.") from wrong
    answer = {
        "instance": instance.problem.name,
        "seconds": round(solution.seconds, 3),
        "rounds": solution.rounds,
        "seed": seed,
        "engine": solution.engine,
        "feasible": not found,
        "cost": totals.cost / instance.per_unit if instance.per_unit > 1 else totals.cost,
        "routes": sum(1 for calls in solution.routes if calls),
        "served": totals.served,
        "bound": None
        if proven is None or proven.value is None
        else proven.value / instance.per_unit
        if instance.per_unit > 1
        else proven.value,
        "gap": None if proven is None or proven.gap is None else round(proven.gap, 6),
    }
    if as_json:
        print_json(answer)
    else:
        for name, value in answer.items():
            click.echo(f"{name:>10}  {'not proven' if value is None else value}")
