"""Figures for machines that watch the floor, in the text form of Prometheus.

Never names a piece, a job or a person: labels are few and fixed.
"""

from collections.abc import Callable, Iterator
from typing import get_args

from prometheus_client import (
    CONTENT_TYPE_LATEST,
    CollectorRegistry,
    Counter,
    Histogram,
    ProcessCollector,
    generate_latest,
)
from prometheus_client.metrics_core import GaugeMetricFamily, Metric
from prometheus_client.registry import Collector
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from floor.ledger import LedgerError
from floor.service.service import Service
from floor.web.gate.access import only_from_here
from shared.scan import Answer, OutcomeWord, Scan

BUCKETS_S = (0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0)


class Metrics:
    """The figures of one floor, in a registry of their own."""

    def __init__(self, service: Service) -> None:
        self.registry = CollectorRegistry()
        self._scans = Counter("piecewalk_scans", "Reads answered, by outcome.", ["outcome"], registry=self.registry)
        for word in get_args(OutcomeWord):
            self._scans.labels(word)  # a rate needs the zero before the first
        self._failed = Counter(
            "piecewalk_scans_not_recorded", "Reads that could not be recorded when they came.", registry=self.registry
        )
        self._seconds = Histogram(
            "piecewalk_scan_seconds", "From a read to its durable answer.", buckets=BUCKETS_S, registry=self.registry
        )
        self.registry.register(_FloorFigures(service))
        ProcessCollector(registry=self.registry)

    def watched(self, scan: Callable[[Scan], Answer]) -> Callable[[Scan], Answer]:
        """The same function, with each call counted and timed."""

        def counted(read: Scan) -> Answer:
            with self._failed.count_exceptions(), self._seconds.time():
                answer = scan(read)
            self._scans.labels(answer.outcome).inc()
            return answer

        return counted

    def routes(self) -> list[Route]:
        """What the app has to serve. A plain route: a mounted app would answer with a redirect."""
        return [Route("/metrics", self.get)]

    async def get(self, request: Request) -> Response:
        """The figures, for this machine only: a proxy or an agent on it passes them on."""
        only_from_here(request)
        text = await run_in_threadpool(generate_latest, self.registry)
        return Response(text, headers={"Content-Type": CONTENT_TYPE_LATEST, "Cache-Control": "no-store"})


class _FloorFigures(Collector):
    """Figures that are read off the floor when somebody asks."""

    def __init__(self, service: Service) -> None:
        self._service = service

    def collect(self) -> Iterator[Metric]:
        recording = 0 if self._service.recording.trouble else 1
        yield GaugeMetricFamily("piecewalk_recording", "Whether reads can be recorded, by the last try.", recording)
        try:
            with self._service.reading() as floor:
                rows, pieces, alarms = floor.seq, len(floor.open), len(floor.alarms)
        except LedgerError:
            yield GaugeMetricFamily("piecewalk_ledger_up", "Whether the ledger can be read.", 0)
            return
        yield GaugeMetricFamily("piecewalk_ledger_up", "Whether the ledger can be read.", 1)
        yield GaugeMetricFamily("piecewalk_ledger_rows", "Rows in the ledger.", rows)
        yield GaugeMetricFamily("piecewalk_open_pieces", "Pieces that are neither finished nor given up.", pieces)
        yield GaugeMetricFamily("piecewalk_alarms", "Alarms that stand.", alarms)
        if (age_s := self._service.last_append_age_s()) is not None:
            yield GaugeMetricFamily("piecewalk_last_append_age_seconds", "Since the ledger grew last.", age_s)
