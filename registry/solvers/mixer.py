"""The pool of one search: it is priced, mixed into better plans, and tells what to note next."""

import numpy as np

from registry.solvers.pool import Effort, best_mix, columns_of, prices_of
from registry.solvers.rows import Ints
from registry.solvers.search.run import Run
from registry.solvers.search.seen import keep_only, note_route

MARGIN = 3.0
"""Until prices are known, routes are noted that are this much worse than the same technician's
best; in mean drives."""
LEAST_CEILING = 0.6
"""How much worse than its price a route may be at least and still be noted; in mean drives."""
MOST_COLUMNS = 800
"""Routes that the integer program is asked about; with more it rarely ends in time."""
FULL_SHARE, KEPT_SHARE = 0.6, 0.3
"""When the pool is fuller than this, it is cut down to that, the dearest routes first."""


class Mixer:
    """Mixes the routes that a run came across."""

    def __init__(self, run: Run) -> None:
        self._run = run
        self._kinds: Ints = run.day.crew["kind"].copy()

    def note_worthwhile(self) -> None:
        """Note from now on routes that are little worse than the same technician's best so far.

        Before a linear program was solved a visit is priced at its worth, and a kind of technician
        at what the best of its routes saves.
        """
        day, seen, best = self._run.day, self._run.seen, self._run.best
        worth = day.nodes["worth"][: len(day.near)].astype(np.float64)
        routed = best.where >= 0
        saved = np.bincount(best.where[routed], weights=worth[routed], minlength=len(self._kinds))
        seen.price_of_visit[:] = worth
        seen.price_of_kind[:] = -np.inf
        np.maximum.at(seen.price_of_kind, self._kinds, best.tours["price"] - saved)
        seen.ceiling[0] = MARGIN * self._run.scale

    def mix(self, effort: Effort) -> bool:
        """Mix the routes seen; tell whether that made a better plan, where the run then stands."""
        run, seen = self._run, self._run.seen
        known = self._columns_of_best()
        columns = columns_of(run.day, seen)
        kinds = len(columns.limits) - len(columns.worth)
        guess = np.concatenate([seen.price_of_visit, seen.price_of_kind[:kinds]])
        prices = prices_of(columns, np.where(np.isfinite(guess), guess, 0.0))
        if prices is None:
            return False
        better = best_mix(columns, prices, run.cost, known, MOST_COLUMNS, effort)
        if better is not None:
            run.stand_at(self._plan_of(better))
        seen.price_of_visit[:] = prices.of_visit
        seen.price_of_kind[:kinds] = prices.of_kind
        seen.ceiling[0] = max(run.cost - prices.value, LEAST_CEILING * run.scale)
        if seen.size[0] > FULL_SHARE * len(seen.kind):
            size = int(KEPT_SHARE * len(seen.kind))
            keep_only(seen, np.sort(np.argpartition(prices.reduced, size)[:size]))
        return better is not None

    def _columns_of_best(self) -> Ints:
        """Note the routes of the best plan and return their numbers."""
        best, seen, day = self._run.best, self._run.seen, self._run.day
        ceiling = seen.ceiling[0]
        seen.ceiling[0] = np.inf
        driven = np.flatnonzero(best.tours["count"])
        keys = []
        for k in driven:
            note_route(best.stops, best.tours, day.crew, len(day.near), int(k), seen)
            nodes = best.stops["node"][k, : best.tours["count"][k]]
            visits = nodes[nodes < len(day.near)]
            kind_key = seen.kind_keys[self._kinds[k]]
            keys.append(np.bitwise_xor.reduce(seen.node_keys[visits], initial=kind_key))
        seen.ceiling[0] = ceiling
        return np.flatnonzero(np.isin(seen.keys[: seen.size[0]], np.array(keys, np.uint64)))

    def _plan_of(self, chosen: Ints) -> list[Ints]:
        """Return nodes per technician: each chosen route goes to one of its kind."""
        seen = self._run.seen
        plan = [np.array([], np.int64) for _ in self._kinds]
        for route in chosen:
            alike = np.flatnonzero(self._kinds == seen.kind[route])
            k = next(k for k in alike if len(plan[k]) == 0)
            plan[k] = seen.stops[seen.begins[route] : seen.begins[route + 1]].astype(np.int64)
        return plan
