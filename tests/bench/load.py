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

from aiohttp import ClientSession, ClientTimeout, TCPConnector

TALKS: Final = (
    ("twelve 250W wallpacks at 20 ft, $0.11/kWh, dusk-to-dawn", "make it 14", "they are 480v"),
    (
        "8 400w metal halide shoebox heads on 25' poles in toledo, 480v, bronze",
        "how did you get the payback?",
    ),
    ("36 2x4 troffers 4 lamp t8, office, 13 cents", "what about 20 more in the warehouse, 400w MH highbays"),
    ("cuanto por 10 wallpacks de 175w, 15 pies, toda la noche", "que sean 12"),
    ("20 400W MH highbays, two shifts, 8.5 cents", "undo"),
    ("6 150w hps wall packs and 10 250w floods, canopy 12 x 100w mh", "thanks"),
)
"""What is said in a conversation, in turn; then it begins anew."""


class Sender:
    """Sends, and notes how long each answer took [s]."""

    def __init__(self, address: str, session: ClientSession) -> None:
        self._url = f"{address}/api/messages"
        self._session = session
        self.took: list[float] = []
        self.failed = 0
        self.received_bytes = 0

    async def send(self, text: str, conversation: str | None, due: float | None = None) -> str | None:
        message = {"message_id": secrets.token_hex(16), "text": text}
        if conversation is not None:
            message["conversation"] = conversation
        begun = time.perf_counter() if due is None else due
        async with self._session.post(self._url, json=message) as answer:
            body = await answer.read()
            self.took.append(time.perf_counter() - begun)
            self.received_bytes += len(body)
            if answer.status != 200:
                self.failed += 1
                return None
        # Reading all of it as JSON would cost the machine as much as a good part of the answer.
        at = body.find(b'"conversation":"') + 16
        return body[at : body.index(b'"', at)].decode() if at > 15 else None

    async def talk(self, script: tuple[str, ...]) -> None:
        conversation = None
        for text in script:
            conversation = await self.send(text, conversation)


async def closed(sender: Sender, seconds: float, at_once: int) -> float:
    """As many conversations side by side as ``at_once``; gives how long it took [s]."""
    scripts = itertools.cycle(TALKS)
    begun = time.perf_counter()

    async def one() -> None:
        while time.perf_counter() - begun < seconds:
            await sender.talk(next(scripts))

    await asyncio.gather(*(one() for _ in range(at_once)))
    return time.perf_counter() - begun


async def paced(sender: Sender, seconds: float, rate: float) -> float:
    """So many messages a second, each of an even chance to begin a conversation or to go on with one."""
    scripts = itertools.cycle(TALKS)
    begun = time.perf_counter()
    under_way: set[asyncio.Task[Any]] = set()
    free: list[tuple[str, tuple[str, ...]]] = []

    async def one(due: float) -> None:
        conversation, script = free.pop(0) if len(free) > 40 else (None, next(scripts))
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


async def measured(address: str, seconds: float, at_once: int, rate: float | None) -> dict[str, Any]:
    """What came of it; times in milliseconds."""
    async with ClientSession(timeout=ClientTimeout(total=120), connector=TCPConnector(limit=0)) as session:
        warm = Sender(address, session)
        await asyncio.gather(*(warm.talk(script) for script in TALKS))
        sender = Sender(address, session)
        spent = time.process_time()
        if rate is None:
            took = await closed(sender, seconds, at_once)
        else:
            took = await paced(sender, seconds, rate)
        spent = time.process_time() - spent
    ordered = sorted(sender.took)
    return {
        "messages": len(ordered),
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
    arguments = parser.parse_args()
    found = asyncio.run(measured(arguments.address, arguments.seconds, arguments.at_once, arguments.rate))
    print(json.dumps(found))
    return 0


if __name__ == "__main__":
    sys.exit(main())
