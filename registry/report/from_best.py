"""How far a plan is from the best possible, in the words that the page and the terminal share."""

from math import ceil


def from_best(gap: float | None) -> str:
    """Return what is proven of a plan, as an end to "how far from the best possible".

    Parameters
    ----------
    gap
        What the plan costs above the bound, as a share of the bound; None where nothing is proven.
        It is rounded up, since it is a promise.
    """
    if gap is None:
        return "not proven for this plan"
    if gap <= 0:
        return "it is the best possible, proven"
    return f"at most {ceil(1000 * gap - 1e-9) / 10:.1f} % above it"
