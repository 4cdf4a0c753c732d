"""Work for any server: handed out by the queue library procrastinate, asked for in the transaction that makes it necessary.

A job says only which conversation to look at or which reply to send; what there is to do stands in the rows. So a job
that runs twice, too late or for nothing does no harm.
"""

import asyncio
import logging
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any, Final

import procrastinate
import psycopg
from procrastinate import exceptions
from procrastinate.schema import SchemaManager

from bot.clock import stamp
from bot.inbox import LONGEST_PAUSE, Inbox
from bot.outbox import Outbox
from bot.store.records import StoreUnusable

log = logging.getLogger("wattclerk.work")

QUEUE: Final = "wattclerk"
ANSWER: Final = "wattclerk_answer"
SEND: Final = "wattclerk_send"
LOOK_EVERY: Final = 2.0
LATE: Final = timedelta(seconds=5)
"""By so much work must be overdue before a look asks for it again."""
SILENT_SECONDS: Final = 15.0
"""A worker that has not been heard of for so long is taken for dead, and its jobs are handed out again."""
_NOBODY: Final = procrastinate.App(connector=procrastinate.SyncPsycopgConnector())
"""Asks for jobs only, on connections of its callers."""


class JobQueue:
    """Asks for work on a connection, within its transaction."""

    def __init__(self, connection: "psycopg.Connection[tuple[Any, ...]]") -> None:
        self._connection = connection
        self._settled: list[int] = []

    def answer_later(self, conversation: str, at: str | None) -> None:
        """Somebody is to answer the conversation's waiting messages, not before ``at``."""
        self._ask(ANSWER, f"answer:{conversation}", at, conversation=conversation)

    def send_later(self, reply: int, at: str | None) -> None:
        """Somebody is to send a reply, not before ``at``."""
        self._ask(SEND, f"send:{reply}", at, reply=reply)

    def settled(self, message: int) -> None:
        """Notes a message for `tell`."""
        self._settled.append(message)

    def tell(self, channel: str) -> None:
        """Lets every server know, once this is committed, which messages were settled."""
        if self._settled:
            self._connection.execute("select pg_notify(%s, %s)", [channel, ",".join(map(str, self._settled))])

    def make_tables(self) -> None:
        """The library's own tables, where they are missing."""
        row = self._connection.execute("select to_regclass('procrastinate_jobs')").fetchone()
        if row is None or row[0] is None:
            self._connection.execute(SchemaManager.get_schema().encode())

    def _ask(self, task: str, name: str, at: str | None, **arguments: Any) -> None:
        """A job that is due now is asked for once until somebody takes it; one for later is asked for besides."""
        deferrer = _NOBODY.configure_task(
            task,
            queue=QUEUE,
            queueing_lock=name if at is None else None,
            schedule_at=None if at is None else datetime.fromisoformat(at),
            connection=self._connection,
        )
        with suppress(exceptions.AlreadyEnqueued), self._connection.transaction():
            deferrer.defer(**arguments)


@dataclass(slots=True)
class JobWorker:
    """Works off jobs in this server's event loop, and looks now and then for what fell between."""

    inbox: Inbox
    outbox: Outbox
    url: str
    at_once: int = 8
    _app: procrastinate.App = field(init=False)

    def __post_init__(self) -> None:
        connector = procrastinate.PsycopgConnector(conninfo=self.url, min_size=1, max_size=4)
        self._app = procrastinate.App(connector=connector)
        again = procrastinate.RetryStrategy(max_attempts=20, wait=2, linear_wait=5)

        async def answer(conversation: str) -> None:
            await self.inbox.take_and_answer(conversation)

        async def send(reply: int) -> None:
            await self.outbox.send(reply)

        self._app.task(name=ANSWER, queue=QUEUE, retry=again)(answer)
        self._app.task(name=SEND, queue=QUEUE, retry=again)(send)

    def nudge(self) -> None:
        """Nothing to do: a job wakes the workers by itself."""

    async def run(self) -> None:
        """Works until it is cancelled; a database that goes away is waited for."""
        await asyncio.gather(self._work(), self._look_now_and_then())

    async def _work(self) -> None:
        while True:
            try:
                async with self._app.open_async():
                    await self._app.run_worker_async(
                        queues=[QUEUE],
                        concurrency=self.at_once,
                        install_signal_handlers=False,
                        delete_jobs="successful",
                        update_heartbeat_interval=SILENT_SECONDS / 3,
                        stalled_worker_timeout=SILENT_SECONDS,
                        shutdown_graceful_timeout=5.0,
                    )
            except (exceptions.ConnectorException, psycopg.Error) as error:
                log.warning("jobs can't be worked off: %s", type(error).__name__)
            await asyncio.sleep(LOOK_EVERY)

    async def _look_now_and_then(self) -> None:
        while True:
            try:
                await self._look()
            except (StoreUnusable, exceptions.ConnectorException, psycopg.Error) as error:
                log.warning("waiting messages can't be looked for: %s", error)
            await asyncio.sleep(LOOK_EVERY)

    async def _look(self) -> None:
        inbox = self.inbox
        await inbox.flush()
        await inbox.take_up_dropped()
        now = inbox.clock()
        due, farthest = stamp(now - LATE), stamp(now + 2 * LONGEST_PAUSE)

        def ask(session: Any) -> None:
            session.free_the_dead()
            for conversation in session.free_conversations(due, farthest):
                session.ask_to_answer(conversation)
            for reply in session.due_replies(due, farthest):
                session.ask_to_send(reply)

        await inbox.writing.do(ask, "~")
        manager = self._app.job_manager
        for job in await manager.get_stalled_jobs(queue=QUEUE, seconds_since_heartbeat=SILENT_SECONDS):
            await manager.retry_job(job)
