"""Chance for the compiled search: small, quick, and the same on every machine.

xorshift64* after Marsaglia, "Xorshift RNGs", Journal of Statistical Software 8(14), 2003, and
Vigna, "An experimental exploration of Marsaglia's xorshift generators, scrambled", ACM
Transactions on Mathematical Software 42(4), 2016.
"""

import numpy as np
import numpy.typing as npt

from registry.compiled import compiled_lean

type Chance = npt.NDArray[np.uint64]


def chance_from(seed: int) -> Chance:
    """Return the state of the generator for a seed, shape (1,); each seed gives its own run."""
    return np.random.SeedSequence(seed).generate_state(1, np.uint64) | np.uint64(1)


@compiled_lean
def drawn(chance: Chance) -> float:
    """Return the next number, at least 0 and below 1."""
    x = chance[0]
    x ^= x >> np.uint64(12)
    x ^= x << np.uint64(25)
    x ^= x >> np.uint64(27)
    chance[0] = x
    return float((x * np.uint64(2685821657736338717)) >> np.uint64(11)) / 9007199254740992.0


@compiled_lean
def drawn_below(chance: Chance, limit: int) -> int:
    """Return the next whole number, at least 0 and below a limit."""
    return int(drawn(chance) * limit)
