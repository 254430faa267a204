"""``riserway bench load``: tiles of the county map asked at rising rates, over several servers."""

import http.client
import os
import tempfile
import time
import urllib.parse
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, closing
from dataclasses import dataclass
from itertools import cycle
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from registry.cli.options import json_option, print_json, say
from registry.cli.served import served, spread_of
from registry.errors import ConfigError

if TYPE_CHECKING:
    from registry.services.bench_load import Tile

RATES = (10, 20, 40, 60, 80, 100, 150, 200)
HANDS = 24
"""Requests under way at once, at most."""
BAR_MS = 100.0
"""What 95 of 100 tiles must be answered within."""
HURRIED = 3.0
"""A rate so many times over the bar ends the climb."""


@dataclass(frozen=True, slots=True)
class Answered:
    """One request: milliseconds from when it was due, and bytes of the tile."""

    ms: float
    n_bytes: int


@click.command("load", epilog="Example: riserway bench load --store URL --seconds 15 --json")
@click.option("--store", metavar="URL", required=True, help="As bench store --keep left it.")
@click.option(
    "--servers", type=click.IntRange(1, 16), default=2, show_default=True, help="Web processes."
)
@click.option(
    "--seconds", type=click.FloatRange(1), default=10.0, show_default=True, help="At each rate."
)
@click.option(
    "--rate",
    "rates",
    type=click.IntRange(1, 2000),
    multiple=True,
    default=RATES,
    help="Tiles a second (repeatable). [default: 10 to 200]",
)
@click.option("--seed", type=int, default=1, show_default=True, help="Of the places asked.")
@json_option
def command(
    store: str, servers: int, seconds: float, rates: tuple[int, ...], seed: int, as_json: bool
) -> None:
    """Ask tiles of zooms 7 to 14 at rising rates, as many people would who move the map.

    Requests are sent when they are due, whether or not earlier ones were answered, and time counts
    from then. At each rate tiles come first that nobody asked before, then the same again.
    """
    from registry.services.bench_store import ON

    with tempfile.TemporaryDirectory() as scratch:
        counties = _let_in(store, Path(scratch))
        spent_s = os.times()
        with ExitStack() as running:
            urls = [
                running.enter_context(
                    served(store, Path(scratch), "--on", ON.isoformat(), number=one)
                )
                for one in range(servers)
            ]
            steps = _climb(urls, counties, rates, seconds, seed)
        after_s = os.times()
    asked = sum(one["tiles"] for one in steps)
    spent = after_s.children_user + after_s.children_system
    spent -= spent_s.children_user + spent_s.children_system
    answer = {
        "servers": servers,
        "seconds": seconds,
        "steps": steps,
        "carried_first": _carried(steps, "first_ms"),
        "carried_again": _carried(steps, "again_ms"),
        "largest_tile_bytes": max((one["largest_bytes"] for one in steps), default=0),
        "server_cpu_ms": round(spent * 1000 / max(asked, 1), 1),
    }
    if as_json:
        print_json(answer)
        return
    for one in steps:
        click.echo(
            f"{one['rate']:>5} tiles a second: 95 of 100 within {one['first_ms']['p95']:,.0f} ms "
            f"the first time, {one['again_ms']['p95']:,.0f} ms again"
        )
    click.echo(
        f"Within {BAR_MS:g} ms: {answer['carried_first']} tiles a second the first time, "
        f"{answer['carried_again']} again."
    )


def _let_in(store: str, folder: Path) -> int:
    from registry.services.bench_load import let_in
    from registry.wiring import assemble

    with closing(assemble(store, folder=folder).store) as opened:
        return let_in(opened)


def _climb(
    urls: Sequence[str], counties: int, rates: Sequence[int], seconds: float, seed: int
) -> list[dict[str, Any]]:
    import numpy as np

    from registry.services.bench_load import mixed_tiles

    chance = np.random.default_rng(seed)
    cookie = _signed_in(urls[0])
    _ask_all(urls, cookie, mixed_tiles(counties, 16 * len(urls), chance), 20.0)  # imports, pools
    steps = []
    for rate in rates:
        say(f"{rate} tiles a second")
        tiles = mixed_tiles(counties, round(rate * seconds), chance)
        first = _ask_all(urls, cookie, tiles, rate)
        again = _ask_all(urls, cookie, tiles, rate)
        steps.append(
            {
                "rate": rate,
                "tiles": len(first) + len(again),
                "first_ms": spread_of([one.ms for one in first]),
                "again_ms": spread_of([one.ms for one in again]),
                "largest_bytes": max(one.n_bytes for one in first),
            }
        )
        if spread_of([one.ms for one in again])["p95"] > HURRIED * BAR_MS:
            break
    return steps


def _carried(steps: Sequence[dict[str, Any]], name: str) -> int:
    """Return the highest rate within the bar, 0 where none is."""
    return max((one["rate"] for one in steps if one[name]["p95"] <= BAR_MS), default=0)


def _ask_all(
    urls: Sequence[str], cookie: str, tiles: Sequence["Tile"], rate: float
) -> list[Answered]:
    """Ask for tiles, one every 1 / ``rate`` seconds, by turns of each server."""
    began = time.perf_counter() + 0.2
    lines: dict[tuple[str, int], http.client.HTTPConnection] = {}
    free = {url: list(range(HANDS)) for url in urls}

    def ask(due_s: float, url: str, tile: "Tile") -> Answered:
        while (ahead := began + due_s - time.perf_counter()) > 0:
            time.sleep(ahead)
        hand = free[url].pop()
        line = lines.setdefault((url, hand), http.client.HTTPConnection(url.split("//")[1]))
        body = _body(line, "/tiles/systems/{}/{}/{}.pbf".format(*tile), cookie)
        free[url].append(hand)
        return Answered((time.perf_counter() - began - due_s) * 1000, len(body))

    with ThreadPoolExecutor(HANDS) as hands:
        asked = [
            hands.submit(ask, number / rate, url, tile)
            for number, (url, tile) in enumerate(zip(cycle(urls), tiles, strict=False))
        ]
        answers = [one.result() for one in asked]
    for line in lines.values():
        line.close()
    return answers


def _body(line: http.client.HTTPConnection, path: str, cookie: str) -> bytes:
    line.request("GET", path, headers={"Cookie": cookie})
    answer = line.getresponse()
    body = answer.read()
    if answer.status not in {200, 204}:
        raise ConfigError(f"{path} is answered with {answer.status}.")
    return body


def _signed_in(url: str) -> str:
    """Return the cookie of a sign-in at a server of our own."""
    from registry.services.bench_load import PASSWORD, SIGN_IN

    with closing(http.client.HTTPConnection(url.split("//")[1])) as line:
        form = urllib.parse.urlencode({"username": SIGN_IN, "password": PASSWORD})
        heads = {
            "Content-Type": "application/x-www-form-urlencoded",
            "Sec-Fetch-Site": "same-origin",
        }
        line.request("POST", "/sign-in", form, heads)
        answer = line.getresponse()
        answer.read()
        cookies = [one.split(";")[0] for one in answer.msg.get_all("Set-Cookie") or ()]
    if not cookies:
        raise ConfigError(f"Signing in to the server of the benchmark failed ({answer.status}).")
    return "; ".join(cookies)
