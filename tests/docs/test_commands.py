"""Every command stands in docs/commands.md with its options, and the commands of the pages run."""

import json
import re
from pathlib import Path

import click
import pytest

from tests.docs.clicks import groups, leaves, options, parsed
from tests.docs.conftest import RunBlock
from tests.docs.pages import PAGES, Block, blocks, commands
from tests.docs.tables import ROOT

GUIDE = (ROOT / "docs/commands.md").read_text(encoding="utf-8")
SECTIONS = {
    heading.strip("` "): text
    for heading, text in re.findall(r"^### (.+?)\n(.*?)(?=^##|\Z)", GUIDE, re.M | re.S)
}
EVERYWHERE = {"--store", "--json", "--help"}
"""Options that the guide explains once for all commands."""
FILES_IN = GUIDE.partition("## Files in")[2].partition("###")[0]
"""What holds for every kind of file that is imported."""
LEAVES = dict(leaves())
GROUPS = dict(groups())
BLOCKS = [block for page in PAGES for block in blocks(page)]
RUN_PAGES = sorted({block.page for block in BLOCKS if block.where})
ONLY_READ = re.compile(
    r"riserway (serve|demo|import offsets|bench pages)"
    r"|pip install|tests/run|git clone|python -m|pytest"
)


def told(section: str) -> set[str]:
    """Return the options of the table in a section."""
    cells = re.findall(r"^\| (`--[^|]+)\|", section, re.M)
    return {word for cell in cells for word in re.findall(r"--[a-z-]+", cell)}


def example(command: click.Command) -> str:
    return (command.epilog or "").partition(":")[2].strip()


@pytest.mark.parametrize("name", [*GROUPS, *LEAVES])
def test_help_ends_with_an_example_that_parses(name: str) -> None:
    command = GROUPS.get(name) or LEAVES[name]
    assert (command.epilog or "").startswith(("Example: riserway ", "Examples: riserway "))
    for one in example(command).split(" · "):
        parsed(one.removeprefix("riserway "))


def test_the_guide_has_a_section_for_every_command_and_no_other() -> None:
    assert set(SECTIONS) == set(LEAVES)


@pytest.mark.parametrize("name", LEAVES)
def test_the_guide_has_every_option_of_a_command_and_no_other(name: str) -> None:
    shared = told(FILES_IN) if name.startswith("riserway import ") else set()
    own = options(LEAVES[name]) - EVERYWHERE
    assert told(SECTIONS[name]) == own - shared


@pytest.mark.parametrize("name", LEAVES)
def test_the_guide_shows_a_command_in_use(name: str) -> None:
    assert f"{name} " in SECTIONS[name].replace("\n", " ").partition("```sh")[2]


@pytest.mark.parametrize(
    "block", [one for one in BLOCKS if one.kind == "sh"], ids=lambda block: block.name
)
def test_every_command_on_a_page_parses(block: Block) -> None:
    for words in commands(block):
        parsed(words)


def test_the_examples_of_the_guide_are_run() -> None:
    left = [
        block.name
        for block in BLOCKS
        if block.page == "docs/commands.md"
        and block.kind == "sh"
        and not block.where
        and not ONLY_READ.search(block.text)
    ]
    assert left == []


def keys_of(block: Block) -> set[str]:
    """Return the keys that the guide tells of a command's JSON; none where no JSON is printed."""
    words = list(commands(block))
    if len(words) != 1 or not re.search(r"--json|--format json", words[0]):
        return set()
    name = next(one for one in LEAVES if f"riserway {words[0]} ".startswith(f"{one} "))
    text = SECTIONS[name] if "Keys" in SECTIONS[name] else FILES_IN
    line = re.search(r"^Keys(?: of a row)?: (.+?)\.$", text, re.M | re.S)
    assert line, f"{name} has no line of keys in docs/commands.md."
    return set(re.findall(r"`(\w+)`", line[1]))


@pytest.mark.parametrize("page", RUN_PAGES)
def test_the_commands_of_a_page_run_as_it_says(page: str, run_block: RunBlock) -> None:
    for block in [one for one in BLOCKS if one.page == page and one.where]:
        done = run_block(block)
        said = f"{block.name}\n{block.text}\n{done.stdout}\n{done.stderr}"
        assert done.returncode == block.ends_with, said
        assert "Traceback" not in done.stderr, said
        for line in block.shows:
            if line.strip() not in {"", "…"}:
                assert line.strip() in done.stdout + done.stderr, f"{line!r} is missing\n{said}"
        if keys := keys_of(block):
            answer = json.loads(done.stdout)
            assert set(answer[0] if isinstance(answer, list) else answer) == keys, said


def test_the_words_that_the_program_reads_from_the_environment_are_explained() -> None:
    read = {
        name
        for top in ("registry", "web", "tests")
        for file in (ROOT / top).rglob("*")
        if file.suffix in {".py", ""} and file.is_file()
        for name in re.findall(r"\bRISERWAY_[A-Z_]+\b", Path(file).read_text(encoding="utf-8"))
    }
    assert {one for one in read if f"| `{one}` |" not in GUIDE} == set()
