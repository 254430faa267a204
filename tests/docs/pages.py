"""Reading the pages: their fenced blocks, their links, their headings."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from tests.docs.tables import ROOT

PAGES = (ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").glob("*.md")))
RUN = re.compile(
    r"<!-- run in (?P<where>the demo county|an empty folder)(?:, ends with (?P<code>\d))? -->"
)
FENCE = re.compile(r"^(?P<indent> *)```(?P<kind>\w*)\s*$")
LINK = re.compile(r"!?\[[^\]]*\]\((?P<to>[^)\s]+)\)|<img src=\"(?P<image>[^\"]+)\"")


@dataclass(frozen=True, slots=True)
class Block:
    """A fenced block of a page.

    ``where`` says in which folder it is run, "" = it is not; ``ends_with`` is its exit code;
    ``shows`` are the lines of the text block right below it.
    """

    page: str
    line: int
    kind: str
    text: str
    where: str = ""
    ends_with: int = 0
    shows: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """Return where the block stands, as a test's name."""
        return f"{self.page}:{self.line}"


def blocks(page: Path) -> list[Block]:
    """Return the fenced blocks of a page in their order."""
    lines = page.read_text(encoding="utf-8").splitlines()
    name = page.relative_to(ROOT).as_posix()
    found: list[Block] = []
    begins: tuple[int, str] | None = None
    for number, line in enumerate(lines):
        fence = FENCE.match(line)
        if fence and begins is None:
            begins = number, fence["kind"]
        elif fence and begins is not None:
            text = "\n".join(lines[begins[0] + 1 : number])
            told = RUN.fullmatch(lines[begins[0] - 1].strip()) if begins[0] else None
            found.append(
                Block(
                    page=name,
                    line=begins[0] + 1,
                    kind=begins[1],
                    text=text,
                    where=told["where"] if told else "",
                    ends_with=int(told["code"] or 0) if told else 0,
                    shows=_shown_below(lines, number),
                )
            )
            begins = None
    assert begins is None, f"{name}: the block that begins on line {begins} has no end."
    return found


def _shown_below(lines: list[str], fence: int) -> tuple[str, ...]:
    """Return the lines of the text block that follows a block at once."""
    after = lines[fence + 1 :]
    if after[:2] != ["", "```text"]:
        return ()
    return tuple(after[2 : after.index("```", 2)])


def commands(block: Block) -> Iterator[str]:
    """Yield the ``riserway`` commands of a block, continued lines joined, pipes taken apart."""
    for line in block.text.replace("\\\n", " ").splitlines():
        for part in re.split(r"\||&&|;", line.partition(" #")[0]):
            words = part.strip()
            if words.startswith(("riserway ", ".venv/bin/riserway ")):
                yield words.partition(" ")[2]


def prose(page: Path) -> str:
    """Return a page without its fenced blocks and comments."""
    text = re.sub(r"^ *```.*?^ *```\s*$", "", page.read_text("utf-8"), flags=re.M | re.S)
    return re.sub(r"<!--.*?-->", "", text, flags=re.S)


def anchors(page: Path) -> set[str]:
    """Return the anchors of a page's headings, as repository hosts make them."""
    headings = re.findall(r"^#+ (.+)$", prose(page), re.M)
    return {re.sub(r"[^\w -]", "", one.lower()).strip().replace(" ", "-") for one in headings}
