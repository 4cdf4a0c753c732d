"""The lane to a store: what shares a transaction."""

import asyncio
from collections.abc import Iterator
from contextlib import contextmanager
from typing import cast

import pytest

from bot.store.ledger import Lane
from bot.store.session import Session


class Transactions:
    """Opens transactions on nothing, and counts what each was asked for."""

    def __init__(self) -> None:
        self.asked: list[int] = []

    @contextmanager
    def begin(self) -> Iterator[Session]:
        self.asked.append(0)
        yield cast(Session, self)

    def note(self) -> int:
        self.asked[-1] += 1
        return len(self.asked)


def note(session: Session) -> int:
    return cast(Transactions, session).note()


@pytest.mark.parametrize("may_linger", [True, False])
async def test_a_lane_that_may_linger_waits_for_more(
    may_linger: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("bot.store.ledger.LINGER_SECONDS", 0.3)
    transactions = Transactions()
    lane = Lane("tried", transactions.begin, may_linger=lambda: may_linger)

    first = asyncio.create_task(lane.do(note))
    await asyncio.sleep(0.1)
    second = await lane.do(note)

    assert (await first, second) == ((1, 1) if may_linger else (1, 2))
    assert transactions.asked == ([2] if may_linger else [1, 1])
    lane.close()
