"""Sends messages to a server and measures; a process of its own, so that it can't slow the server's thread down.

    python -m tests.bench.load ADDRESS --seconds 10 --at-once 32        # as fast as they are answered
    python -m tests.bench.load ADDRESS --seconds 10 --rate 150          # so many a second, whatever happens

Prints one JSON object. With a rate, a wait counts from the moment at which the message was due.
"""

import argparse
import asyncio
import itertools
import json
import secrets
import sys
import time
from typing import Any, Final
from urllib.parse import urlsplit

TALKS: Final = (
    ("{qty} {watts}W wallpacks at {feet} ft, ${dollars}/kWh, dusk-to-dawn", "make it {more}", "they are 480v"),
    (
        "{qty} {watts}w metal halide shoebox heads on {feet}' poles in toledo, 480v, bronze",
        "how did you get the payback?",
    ),
    ("{qty} 2x4 troffers 4 lamp t8, office, {cents} cents", "what about {more} more in the warehouse, {watts}w MH highbays"),
    ("cuanto por {qty} wallpacks de {watts}w, {feet} pies, toda la noche", "que sean {more}"),
    ("{qty} {watts}W MH highbays, two shifts, {cents} cents", "undo"),
    ("{qty} 150w hps wall packs and {more} {watts}w floods, canopy {feet} x 100w mh", "thanks"),
)  # fmt: skip
"""What is said in a conversation, in turn; the numbers differ from one conversation to the next."""


FEET: Final = (10, 12, 14, 15, 16, 18, 20, 22, 24, 25, 30)
"""Heights that people say (common practice, no source)."""


def talk_of(number: int, unlike: bool = False) -> tuple[str, ...]:
    """What is said in the conversation of that number: always the same, and no two alike in their numbers.

    ``unlike``: heights by the hundredth of a foot, so that hardly any line is like one before it.
    """
    # multiples of numbers that share no factor with what they are taken modulo go through all of it, in no visible order
    cents = 70 + number * 61 % 171
    values = {
        "qty": 2 + number * 37 % 89,
        "more": 2 + number * 53 % 119,
        "watts": (175, 250, 400)[number * 5 // 6 % 3],
        "feet": f"{9 + number * 997 % 2500 / 100:.2f}" if unlike else FEET[number * 7 // 6 % len(FEET)],
        "cents": f"{cents / 10:.1f}",
        "dollars": f"{cents / 1000:.4f}",
    }
    talk = TALKS[number % len(TALKS)]
    return tuple(text.format(**values) for text in talk)


class Line(asyncio.Protocol):
    """One connection, kept open: one request at a time. A full client costs the machine as much as a part of the answer."""

    def __init__(self) -> None:
        self._got = bytearray()
        self._whole = 0
        self._answer: asyncio.Future[tuple[int, bytes]] | None = None
        self._transport: asyncio.Transport | None = None

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        assert isinstance(transport, asyncio.Transport)
        self._transport = transport

    def ask(self, request: bytes) -> "asyncio.Future[tuple[int, bytes]]":
        """Status and body of the answer."""
        assert self._transport is not None
        self._got.clear()
        self._whole = 0
        self._answer = asyncio.get_running_loop().create_future()
        self._transport.write(request)
        return self._answer

    def data_received(self, data: bytes) -> None:
        self._got += data
        if not self._whole:
            end = self._got.find(b"\r\n\r\n")
            if end < 0:
                return
            head = bytes(self._got[:end]).lower()
            at = head.index(b"content-length:") + 15
            self._whole = end + 4 + int(head[at:].split(b"\r\n", 1)[0])
        if len(self._got) >= self._whole and self._answer is not None:
            body = bytes(self._got[self._got.index(b"\r\n\r\n") + 4 : self._whole])
            answer, self._answer = self._answer, None
            answer.set_result((int(self._got[9:12]), body))

    def connection_lost(self, error: Exception | None) -> None:
        if self._answer is not None and not self._answer.done():
            self._answer.set_exception(error or ConnectionResetError("the server hung up"))

    def close(self) -> None:
        if self._transport is not None:
            self._transport.close()


class Sender:
    """Sends, and notes how long each answer took [s]."""

    def __init__(self, address: str, lines: list[Line]) -> None:
        place = urlsplit(address)
        assert place.hostname is not None
        assert place.port is not None
        self._host, self._port = place.hostname, place.port
        self._head = f"POST /api/messages HTTP/1.1\r\nHost: {place.netloc}\r\nContent-Type: application/json\r\n".encode()
        self._free = lines
        self.took: list[float] = []
        self.failed = 0
        self.received_bytes = 0

    async def send(self, text: str, conversation: str | None, due: float | None = None) -> str | None:
        message = {"message_id": secrets.token_hex(16), "text": text}
        if conversation is not None:
            message["conversation"] = conversation
        said = json.dumps(message).encode()
        begun = time.perf_counter() if due is None else due
        line = self._free.pop() if self._free else await self._new_line()
        status, body = await line.ask(b"%sContent-Length: %d\r\n\r\n%s" % (self._head, len(said), said))
        self._free.append(line)
        self.took.append(time.perf_counter() - begun)
        self.received_bytes += len(body)
        if status != 200:
            self.failed += 1
            return None
        # Reading all of it as JSON would cost the machine as much as a good part of the answer.
        at = body.find(b'"conversation":"') + 16
        return body[at : body.index(b'"', at)].decode() if at > 15 else None

    async def _new_line(self) -> Line:
        _, line = await asyncio.get_running_loop().create_connection(Line, self._host, self._port)
        return line

    async def talk(self, script: tuple[str, ...]) -> None:
        conversation = None
        for text in script:
            conversation = await self.send(text, conversation)


def distinct_shares(unlike: bool, talks: int = 1000) -> tuple[float, float]:
    """Of the messages of so many conversations, how many differ from all before them; the same of those that begin one."""
    said = [talk_of(number, unlike) for number in range(talks)]
    every = [text for talk in said for text in talk]
    return len(set(every)) / len(every), len({talk[0] for talk in said}) / talks


async def closed(sender: Sender, seconds: float, at_once: int, first: int, unlike: bool) -> float:
    """As many conversations side by side as ``at_once``; gives how long it took [s]."""
    numbers = itertools.count(first)
    begun = time.perf_counter()

    async def one() -> None:
        while time.perf_counter() - begun < seconds:
            await sender.talk(talk_of(next(numbers), unlike))

    await asyncio.gather(*(one() for _ in range(at_once)))
    return time.perf_counter() - begun


async def paced(sender: Sender, seconds: float, rate: float, first: int, unlike: bool) -> float:
    """So many messages a second, each of an even chance to begin a conversation or to go on with one."""
    numbers = itertools.count(first)
    begun = time.perf_counter()
    under_way: set[asyncio.Task[Any]] = set()
    free: list[tuple[str, tuple[str, ...]]] = []

    async def one(due: float) -> None:
        conversation, script = free.pop(0) if len(free) > 40 else (None, talk_of(next(numbers), unlike))
        name = await sender.send(script[0], conversation, due)
        if name is not None and len(script) > 1:
            free.append((name, script[1:]))

    for number in range(int(seconds * rate)):
        due = begun + number / rate
        await asyncio.sleep(max(0.0, due - time.perf_counter()))
        task = asyncio.create_task(one(due))
        under_way.add(task)
        task.add_done_callback(under_way.discard)
    while under_way:
        await asyncio.wait(set(under_way))
    return time.perf_counter() - begun


async def measured(
    address: str, seconds: float, at_once: int, rate: float | None, first: int, unlike: bool
) -> dict[str, Any]:
    """What came of it; times in milliseconds."""
    lines: list[Line] = []
    warm = Sender(address, lines)
    await asyncio.gather(*(warm.talk(talk_of(first + number, unlike)) for number in range(2 * len(TALKS))))
    first += 2 * len(TALKS)
    sender = Sender(address, lines)
    spent = time.process_time()
    if rate is None:
        took = await closed(sender, seconds, at_once, first, unlike)
    else:
        took = await paced(sender, seconds, rate, first, unlike)
    spent = time.process_time() - spent
    for line in lines:
        line.close()
    ordered = sorted(sender.took)
    return {
        "messages": len(ordered),
        "warming": len(warm.took),
        "failed": sender.failed,
        "per_second": round(len(ordered) / took, 1),
        "p50_ms": round(1000 * ordered[len(ordered) // 2], 1),
        "p95_ms": round(1000 * ordered[int(len(ordered) * 0.95)], 1),
        "p99_ms": round(1000 * ordered[int(len(ordered) * 0.99)], 1),
        "kilobytes_each": round(sender.received_bytes / len(ordered) / 1000, 1),
        "sender_ms_each": round(1000 * spent / len(ordered), 2),
    }


def main() -> int:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("address")
    parser.add_argument("--seconds", type=float, default=10)
    parser.add_argument("--at-once", type=int, default=32)
    parser.add_argument("--rate", type=float)
    parser.add_argument("--first", type=int, default=0, help="number of the first conversation")
    parser.add_argument("--unlike", action="store_true", help="hardly any line is like one before it")
    arguments = parser.parse_args()
    found = asyncio.run(
        measured(
            arguments.address,
            arguments.seconds,
            arguments.at_once,
            arguments.rate,
            arguments.first,
            arguments.unlike,
        )
    )
    print(json.dumps(found))
    return 0


if __name__ == "__main__":
    sys.exit(main())
