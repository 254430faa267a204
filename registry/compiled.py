"""The decorators that compile a function with numba and keep the machine code on disk."""

import ast
import hashlib
from collections.abc import Callable
from functools import cache, partial
from pathlib import Path
from typing import Any, cast

import numba

ROOT = Path(__file__).parents[1]


@cache
def _imported(module: Path) -> frozenset[Path]:
    """Return the files of ours that a module imports."""
    imports = [
        (one.module, [name.name for name in one.names])
        for one in ast.walk(ast.parse(module.read_text(encoding="utf-8")))
        if isinstance(one, ast.ImportFrom) and one.module and not one.level
    ]
    files = {
        ROOT.joinpath(*name.split(".")).with_suffix(".py")
        for source, names in imports
        for name in (source, *(f"{source}.{one}" for one in names))
    }
    return frozenset(file for file in files if file.is_file())


def sources(module: Path) -> set[Path]:
    """Return a module of ours and all of ours that it imports, one through another."""
    found, to_read = {module}, {module}
    while to_read:
        to_read = {file for one in to_read for file in _imported(one)} - found
        found |= to_read
    return found


@cache
def _stamp(module: Path) -> str:
    """Return a short mark of the sources that a module is made of."""
    text = b"".join(one.read_bytes() for one in sorted(sources(module)))
    return hashlib.sha256(text).hexdigest()[:10]


def compiled[F: Callable[..., Any]](function: F) -> F:
    """Compile a function on first use; later processes load the machine code from disk."""
    return _compiled(function)


def compiled_lean[F: Callable[..., Any]](function: F) -> F:
    """Compile a function that makes no array, in a way that counts no references to arrays.

    Counting them at each call took a quarter of the time of a search.
    """
    return _compiled(function, _nrt=False)


def _compiled[F: Callable[..., Any]](function: F, **options: bool) -> F:
    """Compile a function and mark its machine code.

    numba looks only at the file of the function itself to see whether kept machine code is stale,
    but a caller holds the code of what it calls, and constants of other modules. The mark of
    everything that its module imports, in the function's name, makes every change there start
    afresh.
    """
    stamp = _stamp(Path(function.__code__.co_filename))
    function.__qualname__ = f"{function.__qualname__}_{stamp}"
    compile_it = partial(numba.njit, nogil=True, error_model="numpy", **options)
    try:
        machine_code: Any = compile_it(cache=True)(function)
    except RuntimeError:  # no folder to keep machine code in: compiled anew by each process
        machine_code = compile_it()(function)
    return cast(F, machine_code)
