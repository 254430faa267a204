"""Kept machine code is of the sources as they are: the mark covers what a module is made of."""

from pathlib import Path

from registry import compiled
from registry.solvers import clocks
from registry.solvers.bound import labels
from registry.solvers.search import annealing


def names_of(module):
    return {one.name for one in compiled.sources(Path(module.__file__))}


def test_the_mark_of_compiled_code_covers_what_it_calls_and_their_constants():
    for search in (annealing, labels):
        assert names_of(search) >= names_of(clocks) > {"clocks.py", "rows.py", "problem.py"}


def test_the_mark_of_compiled_code_leaves_out_what_it_does_not_use():
    assert not names_of(annealing) & {"labels.py", "combined.py", "pool.py"}
    assert not names_of(labels) & {"annealing.py", "flat.py"}
