"""Reading ahead gives the same steps in the same order, and raises where it must."""

from collections.abc import Iterator

import pytest

from registry.imports.ahead import ahead


def test_every_step_comes_once_and_in_order() -> None:
    assert list(ahead(iter(range(100)))) == list(range(100))
    assert list(ahead(iter([None, None]))) == [None, None]
    assert list(ahead(iter([]))) == []


def test_an_error_is_raised_after_the_steps_before_it() -> None:
    def steps() -> Iterator[int]:
        yield 1
        raise ZeroDivisionError

    found = ahead(steps())
    assert next(found) == 1
    with pytest.raises(ZeroDivisionError):
        next(found)


def test_a_reader_that_is_left_early_ends() -> None:
    import threading

    found = ahead(iter(range(100)))
    assert next(found) == 0
    found.close()  # type: ignore[attr-defined]
    assert not any(one.name.startswith("reading") for one in threading.enumerate())
