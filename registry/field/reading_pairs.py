"""Two ways to one figure that must agree, as data: counter against meter, drawdown against rate."""

from collections.abc import Mapping
from dataclasses import dataclass

from registry.field.reading_words import KEEP, WORDS, Level, Verdict, plain, unit_in, whole_percent
from registry.hydraulics.practice import FLOWS_AGREE_SHARE


@dataclass(frozen=True, slots=True)
class Term:
    """One factor of a way: a reading, how far it went on since the last, a figure on file."""

    source: str
    name: str
    power: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """Two products of readings that must agree; asked about beside the reading ``beside``."""

    code: str
    beside: str
    a: tuple[Term, ...]
    b: tuple[Term, ...]
    a_words: str
    b_words: str
    unit: str
    within_share: float
    source: str


READ, GONE, FILE, NUMBER = "read", "gone", "file", "number"

PAIRS = (
    Pair(
        code="counter and meter",
        beside="hour meter",
        a=(Term(GONE, "counter"), Term(FILE, "gal_per_dose")),
        b=(Term(GONE, "hour meter"), Term(NUMBER, "60"), Term(READ, "pump rate")),
        a_words="counter × dose",
        b_words="hours × pump rate",
        unit="gal",
        within_share=FLOWS_AGREE_SHARE,
        source="The idea: operation and maintenance manual in the archive of Marion County, "
        "Oregon; 10 %: common practice, no source",
    ),
    Pair(
        code="drawdown and rate",
        beside="pump rate",
        a=(Term(READ, "drawdown"), Term(FILE, "gal_per_in"), Term(READ, "drawdown time", -1)),
        b=(Term(READ, "pump rate"),),
        a_words="drawdown × gallons per inch ÷ minutes",
        b_words="the rate written down",
        unit="gpm",
        within_share=FLOWS_AGREE_SHARE,
        source="Operation and maintenance manual in the archive of Marion County, Oregon, steps "
        "14 to 18; 10 %: common practice, no source",
    ),
)


def check_pair(
    pair: Pair,
    values: Mapping[str, float],
    befores: Mapping[str, float],
    file: Mapping[str, float],
) -> list[Verdict]:
    """Return what is asked where two ways to one figure differ; nothing where one is not known.

    Parameters
    ----------
    pair
        The two ways.
    values
        This visit's readings of one system, by kind.
    befores
        The last ones. A counter that went back has no place here.
    file
        Figures on file for the system: ``gal_per_in``, ``gal_per_dose``.
    """
    a, b = (_product(way, values, befores, file) for way in (pair.a, pair.b))
    if a is None or b is None or max(a, b) <= 0:
        return []
    apart_share = abs(a - b) / max(a, b)
    if apart_share <= pair.within_share:
        return []
    words = WORDS["two ways"].format(
        percent=whole_percent(apart_share),
        a_words=pair.a_words,
        b_words=pair.b_words,
        a=plain(a, 1),
        b=plain(b, 1),
        unit_in=unit_in(pair.unit),
        limit=plain(100 * pair.within_share),
    )
    return [Verdict(Level.ASKS, "two ways", words, KEEP)]


def _product(
    way: tuple[Term, ...],
    values: Mapping[str, float],
    befores: Mapping[str, float],
    file: Mapping[str, float],
) -> float | None:
    found = 1.0
    for term in way:
        factor = _factor(term, values, befores, file)
        if factor is None or (factor == 0 and term.power < 0):
            return None
        found *= factor**term.power
    return found


def _factor(
    term: Term,
    values: Mapping[str, float],
    befores: Mapping[str, float],
    file: Mapping[str, float],
) -> float | None:
    if term.source == NUMBER:
        return float(term.name)
    if term.source == FILE:
        return file.get(term.name)
    read = values.get(term.name)
    if term.source == READ or read is None:
        return read
    before = befores.get(term.name)
    return read - before if before is not None and read >= before else None
