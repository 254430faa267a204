"""What a server process counts of its own work, for a program that watches it.

By the pattern of an address, never by the address itself: nothing tells which site, day or person
was asked for, and the number of lines stays small.
"""

from collections.abc import Mapping

from prometheus_client import CollectorRegistry, Counter, Gauge, Histogram, ProcessCollector
from prometheus_client.exposition import choose_encoder

METHODS = frozenset({"GET", "HEAD", "POST", "PUT", "DELETE", "OPTIONS"})
OTHER = "other"
"""Any other method: a visitor may invent as many as they like."""
BUCKETS_S = (0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 10.0)
"""Upper ends of the classes of answering times. [s]"""


class Measured:
    """The counts of one process since its start."""

    def __init__(self) -> None:
        self._all = CollectorRegistry()
        ProcessCollector(registry=self._all)
        self._requests = Counter(
            "riserway_requests",
            "Requests answered, by the pattern of their address.",
            ("method", "route", "status"),
            registry=self._all,
        )
        self._seconds = Histogram(
            "riserway_request_seconds",
            "Time from a request's arrival at the pages to its answer.",
            ("route",),
            buckets=BUCKETS_S,
            registry=self._all,
        )
        self._open = Gauge(
            "riserway_requests_open", "Requests being answered now.", registry=self._all
        )
        self._jobs = Gauge(
            "riserway_jobs",
            "Long work that has not ended.",
            ("state",),
            registry=self._all,
        )

    def begun(self) -> None:
        """Count a request that begins."""
        self._open.inc()

    def answered(self, method: str, route: str, status: int, seconds: float) -> None:
        """Count an answer."""
        known = method if method in METHODS else OTHER
        self._requests.labels(known, route, str(status)).inc()
        self._seconds.labels(route).observe(seconds)

    def over(self) -> None:
        """Count a request as over, however it ended."""
        self._open.dec()

    def text(self, jobs: Mapping[str, int], accepts: str) -> tuple[bytes, str]:
        """Return all counts and their media type, in the edition of the format that is accepted."""
        for state, count in jobs.items():
            self._jobs.labels(state).set(count)
        encode, media_type = choose_encoder(accepts)
        return encode(self._all), media_type
