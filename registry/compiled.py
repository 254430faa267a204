"""The one decorator that compiles a function with numba and keeps the machine code on disk."""

import hashlib
from collections.abc import Callable
from functools import cache, partial
from pathlib import Path
from typing import Any, cast

import numba


@cache
def _stamp(folder: Path) -> str:
    """Return a short mark of a folder's sources."""
    sources = sorted(folder.glob("*.py"))
    return hashlib.sha256(b"".join(path.read_bytes() for path in sources)).hexdigest()[:10]


def compiled[F: Callable[..., Any]](function: F) -> F:
    """Compile a function on first use; later processes load the machine code from disk.

    numba looks only at the file of the function itself to see whether kept machine code is stale,
    but a caller holds the code of what it calls. The mark of the whole folder in the function's
    name makes every change to any of its files start afresh.
    """
    folder = Path(function.__code__.co_filename).parent
    function.__qualname__ = f"{function.__qualname__}_{_stamp(folder)}"
    compile_it = partial(numba.njit, nogil=True, error_model="numpy")
    try:
        machine_code: Any = compile_it(cache=True)(function)
    except RuntimeError:  # no folder to keep machine code in: compiled anew by each process
        machine_code = compile_it()(function)
    return cast(F, machine_code)
