"""What is counted and measured, in the text form that Prometheus reads. No label holds anything of a person."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from prometheus_client import (
    CollectorRegistry,
    Counter,
    Gauge,
    Histogram,
    PlatformCollector,
    ProcessCollector,
)
from prometheus_client.core import GaugeMetricFamily, Metric
from prometheus_client.exposition import CONTENT_TYPE_LATEST, generate_latest
from prometheus_client.registry import Collector

from bot.store.records import Counts

CONTENT_TYPE: Final = CONTENT_TYPE_LATEST
SECONDS: Final = (0.002, 0.005, 0.01, 0.02, 0.03, 0.06, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 10.0)
DOUBTS: Final = (0, 1, 2, 3, 5, 8, 13)
MOST_LABELS: Final = 1024


@dataclass(frozen=True, slots=True)
class Depths:
    """What is in the store at one moment.

    Attributes:
        oldest_seconds: how long the longest waiting message that is due has waited [s]; 0 where none is.
        catalogue_seconds: since the served catalogue was imported [s].
        mails: of the mail desk that are not seen to yet: all of them ("open"), and those whose last try failed ("troubled").
        sends: of staff that did not go ("failed"), of which nobody can tell ("unsure"), that are on their way ("sending").
        oldest_mail_seconds: since the longest open mail was found [s]; 0 where none is.
    """

    counts: Counts
    oldest_seconds: float
    catalogue_seconds: float
    mails: Mapping[str, int]
    sends: Mapping[str, int]
    oldest_mail_seconds: float


class Metrics:
    """The measures of one server."""

    def __init__(self) -> None:
        self.registry = CollectorRegistry()
        self._requests = Counter(
            "wattclerk_requests",
            "Answered HTTP requests.",
            ("route", "method", "status"),
            registry=self.registry,
        )
        self._request_seconds = Histogram(
            "wattclerk_request_seconds", "From a request's head to the end of its handler.", ("route",),
            buckets=SECONDS, registry=self.registry,
        )  # fmt: skip
        self._messages = Counter(
            "wattclerk_messages",
            "Messages, by what became of them.",
            ("channel", "outcome"),
            registry=self.registry,
        )
        self._message_seconds = Histogram(
            "wattclerk_message_seconds", "From a message's arrival to its kept answer.", ("channel",),
            buckets=SECONDS, registry=self.registry,
        )  # fmt: skip
        self._doubts = Histogram(
            "wattclerk_doubts_per_message", "Slots of a message that could mean something else.",
            buckets=DOUBTS, registry=self.registry,
        )  # fmt: skip
        self._errors = Counter("wattclerk_errors", "What failed, by kind.", ("kind",), registry=self.registry)
        self._sockets = Gauge("wattclerk_open_chats", "Open chat pages.", registry=self.registry)
        self._connections = Gauge("wattclerk_open_connections", "Open connections.", registry=self.registry)
        self._sign_ins = Counter(
            "wattclerk_sign_ins", "Sign-ins, by outcome.", ("outcome",), registry=self.registry
        )
        # A library's look-up by label takes locks and checks names each time; there are a few dozen of each.
        self._requests_of = lru_cache(MOST_LABELS)(self._requests.labels)
        self._request_seconds_of = lru_cache(MOST_LABELS)(self._request_seconds.labels)
        self._messages_of = lru_cache(MOST_LABELS)(self._messages.labels)
        self._message_seconds_of = lru_cache(MOST_LABELS)(self._message_seconds.labels)
        ProcessCollector(registry=self.registry)
        PlatformCollector(registry=self.registry)
        self._depths = _DepthsCollector()
        self.registry.register(self._depths)

    def request_done(self, route: str, method: str, status: int, seconds: float) -> None:
        """An HTTP request was answered."""
        self._requests_of(route, method, str(status)).inc()
        self._request_seconds_of(route).observe(seconds)

    def message_done(self, channel: str, outcome: str, seconds: float) -> None:
        """A message was answered, refused or failed."""
        self._messages_of(channel, outcome).inc()
        self._message_seconds_of(channel).observe(seconds)

    def message_read(self, doubts: int) -> None:
        """A message was read with so many doubts."""
        self._doubts.observe(doubts)

    def failed(self, kind: str) -> None:
        """Something failed."""
        self._errors.labels(kind).inc()

    def sign_in(self, outcome: str) -> None:
        """Somebody tried to sign in."""
        self._sign_ins.labels(outcome).inc()

    def text(self, depths: Depths, sockets: int, connections: int) -> bytes:
        """All of it, with what is in the store now."""
        self._sockets.set(sockets)
        self._connections.set(connections)
        self._depths.now = depths
        return generate_latest(self.registry)


class _DepthsCollector(Collector):
    """What is counted where it stands, at the moment when it is asked for."""

    now: Depths | None = None

    def collect(self) -> Iterator[Metric]:
        if self.now is None:
            return
        messages = GaugeMetricFamily(
            "wattclerk_inbox", "Kept messages that are not answered.", labels=("state",)
        )
        for state in ("waiting", "aside"):
            messages.add_metric((state,), self.now.counts.messages.get(state, 0))
        yield messages
        replies = GaugeMetricFamily("wattclerk_outbox", "Kept replies that are not sent.", labels=("state",))
        for state in ("waiting", "failed"):
            replies.add_metric((state,), self.now.counts.replies.get(state, 0))
        yield replies
        yield GaugeMetricFamily(
            "wattclerk_oldest_waiting_seconds", "Age of the longest waiting message that is due.",
            value=self.now.oldest_seconds,
        )  # fmt: skip
        yield GaugeMetricFamily(
            "wattclerk_catalogue_age_seconds", "Since the served catalogue was imported.",
            value=self.now.catalogue_seconds,
        )  # fmt: skip
        mails = GaugeMetricFamily(
            "wattclerk_mails", "Found mails that are not seen to yet; of them, those whose last try failed.",
            labels=("state",),
        )  # fmt: skip
        sends = GaugeMetricFamily(
            "wattclerk_mail_sends", "Mails of staff that are not known to have gone.", labels=("state",)
        )
        for family, counts in ((mails, self.now.mails), (sends, self.now.sends)):
            for state, count in counts.items():
                family.add_metric((state,), count)
            yield family
        yield GaugeMetricFamily(
            "wattclerk_oldest_mail_seconds", "Since the longest open mail was found.", value=self.now.oldest_mail_seconds
        )  # fmt: skip
