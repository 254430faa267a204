"""The program calls nobody unless told to, reads no XML, and no word can stall a pattern."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]
FILES = sorted(
    one for top in ("registry", "web", "migrations") for one in (ROOT / top).rglob("*.py")
)
CALLERS = {"urllib.request", "http.client", "ftplib", "smtplib", "telnetlib", "requests", "httpx",
           "aiohttp", "urllib3", "xmlrpc", "socket"}  # fmt: skip
OWN_SERVER = re.compile(
    r"registry/cli/(bench_\w+|demo|served)\.py|web/(serve|listening|tls_front)\.py"
)
"""They ask or look for our own server on this machine, or are it."""
COUNTY = "web/issuer.py"
"""Asks a county's own sign-in, where a setting names one: tests/pages/test_county_sign_in.py holds
it to that host."""
XML_READERS = {"fromstring", "parse", "iterparse", "XML", "XMLParser", "XMLPullParser"}
PATTERN_TAKERS = {"compile", "match", "fullmatch", "search", "sub", "subn", "findall", "finditer",
                  "split"}  # fmt: skip


def imported(tree: ast.AST) -> Iterator[str]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (one.name for one in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield node.module or ""
            yield from (f"{node.module}.{one.name}" for one in node.names)


def trees() -> Iterator[tuple[str, ast.AST]]:
    for file in FILES:
        yield str(file.relative_to(ROOT)), ast.parse(file.read_text(encoding="utf-8"))


def test_one_file_alone_can_call_another_host() -> None:
    found = {
        (file, name)
        for file, tree in trees()
        for name in imported(tree)
        if (name in CALLERS or name.partition(".")[0] in CALLERS) and not OWN_SERVER.match(file)
    }
    assert {file for file, _ in found} == {COUNTY}


def test_xml_is_written_and_never_read() -> None:
    """So no entity of a document is ever resolved; GDAL is given no XML either, see opening.py."""
    found = {
        (file, name)
        for file, tree in trees()
        for name in imported(tree)
        if name.startswith(("lxml", "xml."))
        and (not name.startswith("xml.etree.ElementTree") or name.rpartition(".")[2] in XML_READERS)
        and not name.startswith("xml.sax.saxutils")
    }
    assert found == set()


def patterns() -> Iterator[tuple[str, str]]:
    for file, tree in trees():
        for node in ast.walk(tree):
            if (
                isinstance(node, ast.Call)
                and isinstance(node.func, ast.Attribute)
                and node.func.attr in PATTERN_TAKERS
                and isinstance(node.func.value, ast.Name)
                and node.func.value.id == "re"
                and node.args
                and isinstance(node.args[0], ast.Constant)
                and isinstance(node.args[0].value, str)
            ):
                yield file, node.args[0].value


def loops_in_loops(parsed: Any, inside: bool = False) -> bool:
    """Tell whether something without end is repeated without end, as in ``(a+)+``.

    Such a pattern may try exponentially many ways before it gives up: Weideman et al., "Analyzing
    Matching Time Behavior of Backtracking Regular Expression Matchers" (2016).
    """
    for kind, value in parsed:
        name = str(kind)
        if name in {"MAX_REPEAT", "MIN_REPEAT"}:
            endless = value[1] == re._constants.MAXREPEAT  # type: ignore[attr-defined]
            fixed = _has_a_sign_of_its_own(value[2])
            if endless and inside:
                return True
            if loops_in_loops(value[2], (inside or endless) and not fixed):
                return True
        elif name == "SUBPATTERN":
            if loops_in_loops(value[3], inside):
                return True
        elif name == "BRANCH" and any(loops_in_loops(one, inside) for one in value[1]):
            return True
    return False


def _has_a_sign_of_its_own(parsed: Any) -> bool:
    """Tell whether each turn of a loop begins or ends with one certain sign: one way only."""
    if len(parsed) == 1 and str(parsed[0][0]) == "SUBPATTERN":
        return _has_a_sign_of_its_own(parsed[0][1][3])
    return len(parsed) > 1 and "LITERAL" in {str(parsed[0][0]), str(parsed[-1][0])}


def test_no_pattern_repeats_a_repetition() -> None:
    known = list(patterns())
    assert len(known) > 30
    stalls = [(f, one) for f, one in known if loops_in_loops(re._parser.parse(one))]  # type: ignore[attr-defined]
    assert stalls == []


@pytest.mark.parametrize("pattern", ["(a+)+$", "([a-z]*)*", "(x|[0-9]+)*y"])
def test_a_pattern_that_stalls_is_found(pattern: str) -> None:
    assert loops_in_loops(re._parser.parse(pattern))  # type: ignore[attr-defined]
