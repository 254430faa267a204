"""Reading one step ahead: the next rows are read while the last ones are being written."""

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor


def ahead[T](steps: Iterator[T]) -> Iterator[T]:
    """Yield what an iterator yields, with its next step running in a thread meanwhile.

    The writer waits for the database most of its time; the reader uses that time. An error of a
    step is raised where its result would have come.
    """
    with ThreadPoolExecutor(1, thread_name_prefix="reading") as pool:
        waiting = pool.submit(next, steps, _END)
        while (step := waiting.result()) is not _END:
            waiting = pool.submit(next, steps, _END)
            yield step  # type: ignore[misc]  # what is not the end is a T


_END = object()
