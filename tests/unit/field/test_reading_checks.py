"""Whether a reading can be: cases by hand, which the page's JavaScript is held to as well."""

import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.field.reading_checks import (
    Last,
    answers_to,
    check_reading,
    checks_json,
)
from registry.field.reading_pairs import PAIRS, check_pair
from registry.field.reading_words import Level
from registry.records.reading_kinds import ReadingKind
from registry.store.bodies import from_body

CASES: dict[str, Any] = json.loads(
    (Path(__file__).parent / "reading_cases.json").read_text(encoding="utf-8")
)
KINDS = {code: from_body(ReadingKind, body) for code, body in CASES["kinds"].items()}


@pytest.mark.parametrize("case", CASES["readings"], ids=lambda case: case["why"])
def test_a_reading_is_held_to_its_rules(case: dict[str, Any]) -> None:
    on = date.fromisoformat(case["last_on"]) if "last_on" in case else None
    last = Last(value=case.get("last"), on=on, unit=case.get("last_unit", ""))
    found = check_reading(case["text"], KINDS[case["kind"]], last)
    assert [one.rule for one in found] == case["rules"]
    if "level" in case:
        assert {str(one.level) for one in found} == {case["level"]}
    if "words" in case:
        assert found[0].words == case["words"]
    if "contains" in case:
        assert case["contains"] in " ".join(one.words for one in found)
    if "answers" in case:
        assert list(answers_to(found)) == case["answers"]


@pytest.mark.parametrize("case", CASES["pairs"], ids=lambda case: case["why"])
def test_two_ways_to_one_figure_must_agree(case: dict[str, Any]) -> None:
    # Marion County's manual and the trade's arithmetic exercises; 10 %: common practice, no source.
    pair = next(one for one in PAIRS if one.code == case["pair"])
    found = check_pair(pair, case["values"], case["befores"], case["file"])
    assert bool(found) == case["asks"]
    if "words" in case:
        assert found[0].words == case["words"]
    if "contains" in case:
        assert case["contains"] in found[0].words


@given(st.text(max_size=20), st.sampled_from(sorted(KINDS)))
def test_whatever_is_typed_gets_an_answer_in_words(text: str, kind: str) -> None:
    for one in check_reading(text, KINDS[kind], Last(value=3.0, on=date(2025, 6, 1), unit="in")):
        assert one.words
        assert (one.level is Level.BLOCKED) == (not one.choices)


def test_all_rules_are_plain_json() -> None:
    told = json.loads(json.dumps(checks_json(KINDS)))
    assert told["kinds"]["scum"]["possible"] == [0, 60]
    assert {pair["code"] for pair in told["pairs"]} == {pair.code for pair in PAIRS}
