"""``riserway bench pages``: how quickly the Day page answers, in a real browser on a full day."""

import shutil
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from registry.cli.bench_county import county_measured
from registry.cli.bench_sync import sync_measured
from registry.cli.options import json_option, print_json, say
from registry.cli.served import START_PATIENCE_S, served, spread_of
from registry.errors import ConfigError

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

BROWSERS = ("chromium", "chromium-browser", "google-chrome")
FLAGS = ("--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--disable-sync")
LEAST_MS = 16
"""A browser does not report inputs that were painted sooner; they count as this long."""
READY_PATIENCE_S = 60
WATCH = """() => {
  window.painted = [];
  new PerformanceObserver((list) => {
    for (const one of list.getEntries()) window.painted.push([one.name, one.duration]);
  }).observe({type: 'event', durationThreshold: 16});
}"""
INPUTS = ("keydown", "pointermove", "pointerup", "pointerdown")


@click.command(epilog="Example: riserway bench pages --visits 60 --moves 10 --json")
@click.option(
    "--visits", type=click.IntRange(8), default=400, show_default=True, help="Visits of the day."
)
@click.option(
    "--moves", type=click.IntRange(1), default=30, show_default=True, help="Visits moved by hand."
)
@click.option(
    "--seconds",
    type=click.FloatRange(1),
    default=20.0,
    show_default=True,
    help="How long the day is ordered, at first and while pages are asked.",
)
@click.option("--seed", type=int, default=1, show_default=True, help="Of places, dates and search.")
@click.option(
    "--county-of",
    "county_of",
    metavar="URL",
    default=None,
    help="Open the county's pages on this store in place of a day; as bench store --keep left it.",
)
@click.option(
    "--opens",
    type=click.IntRange(1),
    default=5,
    show_default=True,
    help="How often each page of the county is opened.",
)
@json_option
def command(
    visits: int,
    moves: int,
    seconds: float,
    seed: int,
    county_of: str | None,
    opens: int,
    as_json: bool,
) -> None:
    """Order an invented day, move visits in a browser, ask pages while it is ordered again.

    RISERWAY_STORE is not looked at: the store is made for this and thrown away. With --county-of
    the County map and the Numbers are opened instead, as staff of one county and of all.
    """
    with tempfile.TemporaryDirectory() as scratch, _browser() as browser:
        folder = Path(scratch)
        if county_of:
            answer = county_measured(browser, county_of, opens)
        else:
            made = _made(folder, visits, seconds, seed)
            with _served(folder, seconds) as url:
                answer = made | _measured(browser, url, moves, seconds)
    if as_json:
        print_json(answer)
        return
    for name, value in answer.items():
        click.echo(f"{name:24} {value}")


@contextmanager
def _browser() -> Iterator["Browser"]:
    """Yield the system's Chromium."""
    try:
        from playwright.sync_api import sync_playwright
    except ImportError as wrong:
        raise ConfigError(
            "What drives a browser is not installed; it comes with the extra:"
            " pip install 'riserway[compare]'."
        ) from wrong
    path = next((found for name in BROWSERS if (found := shutil.which(name))), None)
    if path is None:
        raise ConfigError("There is no Chromium on this machine. Install it, then try again.")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=list(FLAGS))
        try:
            yield browser
        finally:
            browser.close()


def _made(folder: Path, visits: int, seconds: float, seed: int) -> dict[str, Any]:
    """Make the day in a store of the folder."""
    from registry.services.bench_pages import make_full_day
    from registry.wiring import assemble

    say(f"Making a day of {visits} visits.")
    parts = assemble(_store(folder), check=False, folder=folder)
    try:
        with parts.roads() as roads:
            full = make_full_day(
                parts.store, roads, parts.solver(), visits, seconds=seconds, seed=seed
            )
    finally:
        parts.store.close()
    return {
        "visits": visits,
        "routed": sum(len(route.visits) for route in full.day.routes),
        "technicians": full.technicians,
    }


def _store(folder: Path) -> str:
    return f"sqlite:///{folder / 'bench.sqlite'}"


def _served(folder: Path, seconds: float) -> AbstractContextManager[str]:
    """Serve the folder's store as on the day."""
    from registry.services.bench_pages import ON

    return served(_store(folder), folder, "--on", ON.isoformat(), "--seconds", str(seconds))


def _measured(browser: "Browser", url: str, moves: int, seconds: float) -> dict[str, Any]:
    from registry.services.bench_pages import ON, PASSWORD, SIGN_IN

    context = browser.new_context(base_url=url, viewport={"width": 1280, "height": 900})
    page = context.new_page()
    page.goto("/sign-in")
    page.fill("#username", SIGN_IN)
    page.fill("#password", PASSWORD)
    page.click("button[type=submit]")
    began = time.perf_counter()
    page.goto(f"/day/{ON}")
    give_up = began + READY_PATIENCE_S
    while not page.evaluate("document.body.dataset.hand === 'ready'"):
        if time.perf_counter() > give_up:
            raise ConfigError("The Day page does not get ready: is any visit on a route?")
        page.wait_for_timeout(50)
    ready_s = time.perf_counter() - began
    say("Moving visits.")
    told = {"moves": moves, "ready_s": round(ready_s, 2)} | _moved(page, moves)
    say("Asking pages while the day is ordered.")
    cookies = "; ".join(f"{one['name']}={one['value']}" for one in context.cookies())
    told |= {"pages_while_solving_ms": _while_solving(url, cookies, seconds)}
    say("Sending a full outbox.")
    told |= sync_measured(page, ON.isoformat())
    context.close()
    return told


def _moved(page: "Page", moves: int) -> dict[str, Any]:
    """Move visits by keyboard, each to another technician, and return how long that took."""
    page.evaluate(WATCH)
    names = page.evaluate("[...document.querySelectorAll('.lift')].map((one) => one.dataset.stop)")
    inputs = 0
    for name in names[:: max(1, len(names) // moves)][:moves]:
        settled = page.evaluate("performance.getEntriesByName('change').length")
        page.locator(f'.lift[data-stop="{name}"]').focus()
        for key in ("Enter", "ArrowDown", "ArrowRight", "ArrowRight", "ArrowLeft", "Enter"):
            page.keyboard.press(key)
            page.wait_for_timeout(60)
            inputs += 1
        give_up = time.monotonic() + START_PATIENCE_S
        while page.evaluate("performance.getEntriesByName('change').length") == settled:
            if time.monotonic() > give_up:
                break
            page.wait_for_timeout(20)
    painted = [ms for name, ms in page.evaluate("window.painted") if name in INPUTS]
    painted += [LEAST_MS] * max(0, inputs - len(painted))
    ends = page.evaluate(
        "performance.getEntriesByType('resource').map((one) => [one.name, one.duration])"
    )
    return {
        "input_to_paint_ms": spread_of(painted),
        "settled_ms": spread_of(
            page.evaluate("performance.getEntriesByName('change').map((one) => one.duration)")
        ),
        "try_ms": spread_of([ms for name, ms in ends if name.endswith("try.json")]),
        "places_ms": spread_of([ms for name, ms in ends if name.endswith("places.json")]),
    }


def _while_solving(url: str, cookies: str, seconds: float) -> dict[str, float]:
    """Order the day again, and ask other pages until that should end."""
    from registry.services.bench_pages import ON

    paths = ("/due/", "/county/", "/sites/1", f"/gate/1/{ON}", f"/day/{ON.replace(day=16)}")
    _answered(url, f"/day/{ON}/order", cookies, b"")
    took: list[float] = []
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        for path in paths:
            began = time.perf_counter()
            _answered(url, path, cookies)
            took.append((time.perf_counter() - began) * 1000)
    return spread_of(took)


def _answered(url: str, path: str, cookies: str, sent: bytes | None = None) -> None:
    """Ask our own server for a page, or send it an empty form."""
    heads = {"Cookie": cookies, "Sec-Fetch-Site": "same-origin"}
    asked = urllib.request.Request(url + path, headers=heads, data=sent)  # noqa: S310 - our own server
    try:
        with urllib.request.urlopen(asked, timeout=60) as answer:  # noqa: S310
            answer.read()
    except OSError as wrong:
        raise ConfigError(f"{path} is not answered: {wrong}.") from wrong
