"""Figures for a Prometheus server to collect: counted per app, in a registry of its own."""

from collections.abc import Callable
from typing import Final

from prometheus_client import CollectorRegistry, Counter, Gauge, Histogram, generate_latest
from prometheus_client.exposition import CONTENT_TYPE_LATEST

TYPE: Final = CONTENT_TYPE_LATEST
STEPS_S: Final = (0.005, 0.01, 0.025, 0.05, 0.1, 0.2, 0.5, 1.0, 2.5, 10.0)


class Figures:
    """What one server process counts of itself, and what it reads from the store when asked."""

    def __init__(self) -> None:
        self._registry = CollectorRegistry()
        self._answers = Counter(
            "threequarter_answers", "Requests answered.", ("route", "method", "status"), registry=self._registry
        )
        self._seconds = Histogram(
            "threequarter_answer_seconds",
            "Time to the whole answer.",
            ("route",),
            buckets=STEPS_S,
            registry=self._registry,
        )

    def answered(self, route: str, method: str, status: int, seconds: float) -> None:
        """Counts an answer. `route` is a pattern of ours, never a path as asked: that could be anything."""
        self._answers.labels(route, method, str(status)).inc()
        self._seconds.labels(route).observe(seconds)

    def read_when_asked(self, name: str, says: str, read: Callable[[], float]) -> None:
        """A gauge that is read at each collection."""
        Gauge(f"threequarter_{name}", says, registry=self._registry).set_function(read)

    def text(self) -> bytes:
        """All figures in the Prometheus text format."""
        return bytes(generate_latest(self._registry))
