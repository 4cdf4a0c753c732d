"""Who answers: a thread of this process, or processes of their own, which use every core and can be ended in mid-answer.

An answering process knows no store and no network. It is handed what a message needs and hands back what is to be kept.
One that dies or takes too long is replaced; the message that it had is told as failed, and its keeper decides about it.
"""

import asyncio
import logging
import multiprocessing
import threading
import time
from collections import deque
from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from typing import Final, Protocol

from bot.answering import Outcome, Question, answered
from bot.answering_process import AnswerFailed, AnsweringProcess, Given
from bot.assistant import Assistant
from bot.contents import Versions

__all__ = ["AnswerFailed", "Answerers", "OwnProcesses", "OwnThread"]

log = logging.getLogger("wattclerk.answering")

LONGEST_ANSWER_SECONDS: Final = 30.0
RESTART_SECONDS: Final = 1.0
LONG_LINE: Final = 2
"""Questions in line for each that answers: an answer takes about 5 ms."""


class Answerers(Protocol):
    """Answers messages."""

    async def answer(self, question: Question) -> Outcome:
        """The outcome.

        Raises:
            AnswerFailed: there is none; the line says why, and holds nothing that a stranger wrote.
        """

    def is_behind(self) -> bool:
        """Whether so many questions stand in line that one that comes a hundredth of a second later is answered no later."""

    def close(self) -> None:
        """Ends after the answers that are under way."""


class OwnThread:
    """One thread of this process."""

    def __init__(self, assistant: Assistant, versions: Versions) -> None:
        self._assistant = assistant
        self._versions = versions
        self._thread = ThreadPoolExecutor(max_workers=1, thread_name_prefix="answers")
        self._asked = 0

    async def answer(self, question: Question) -> Outcome:
        """The outcome."""
        loop = asyncio.get_running_loop()
        self._asked += 1
        try:
            return await loop.run_in_executor(
                self._thread, answered, self._assistant, self._versions, question
            )
        except Exception as error:
            log.exception("a message could not be answered")
            raise AnswerFailed(f"the program failed ({type(error).__name__})") from None
        finally:
            self._asked -= 1

    def is_behind(self) -> bool:
        """Whether several wait behind the one that is being answered."""
        return self._asked > 1 + LONG_LINE

    def close(self) -> None:
        """Ends after the answers that are under way."""
        self._thread.shutdown()


class OwnProcesses:
    """Several processes, each handed one message at a time by the event loop."""

    def __init__(
        self,
        count: int,
        versions: Versions,
        pieces: Mapping[str, bytes],
        longest_seconds: float = LONGEST_ANSWER_SECONDS,
        logs: tuple[str, str] = ("warning", "json"),
    ) -> None:
        """Starts them, and waits until every one is ready. ``logs``: level and form of what they log."""
        # A clean process forks them, which has no threads and no open store, with the modules loaded once for all.
        self._context = multiprocessing.get_context("forkserver")
        self._context.set_forkserver_preload(["bot.answering_process"])
        self._given = Given(versions, dict(pieces), logs)
        self._longest = longest_seconds
        self._closing = False
        self._waiting: deque[tuple[Question, asyncio.Future[Outcome]]] = deque()
        self._replacing: set[threading.Thread] = set()
        self._processes = [AnsweringProcess(self._context, self._given) for _ in range(count)]
        for each in self._processes:
            each.await_ready()
        self._idle = list(self._processes)

    @property
    def pids(self) -> list[int]:
        """The processes' ids."""
        return [each.pid for each in self._processes]

    async def answer(self, question: Question) -> Outcome:
        """The outcome."""
        if self._closing:
            raise AnswerFailed("the server is being stopped")
        future: asyncio.Future[Outcome] = asyncio.get_running_loop().create_future()
        self._waiting.append((question, future))
        self._hand_out()
        return await future

    def is_behind(self) -> bool:
        """Whether several wait for each process. Asked from any thread."""
        return len(self._waiting) >= LONG_LINE * len(self._processes)

    def close(self) -> None:
        """Ends after the answers that are under way; not called from the loop while there are any."""
        self._closing = True
        for thread in list(self._replacing):
            thread.join()
        for each in self._processes:
            each.free.wait(self._longest)
        for each in self._processes:
            each.end()

    def _hand_out(self) -> None:
        while self._idle and self._waiting:
            question, future = self._waiting.popleft()
            if not future.done():
                self._ask(self._idle.pop(), question, future)

    def _ask(self, process: AnsweringProcess, question: Question, future: "asyncio.Future[Outcome]") -> None:
        def told(result: Outcome | AnswerFailed, again: bool) -> None:
            if again:
                self._idle.append(process)
                self._hand_out()
            else:
                log.error("an answering process was replaced: %s", result)
                self._have_replaced(process)
            if future.done():
                return
            if isinstance(result, AnswerFailed):
                future.set_exception(result)
            else:
                future.set_result(result)

        process.ask(question, self._longest, told)

    def _have_replaced(self, gone: AnsweringProcess) -> None:
        """A process takes a while to start: the loop does not wait for it."""
        place, loop = self._processes.index(gone), asyncio.get_running_loop()
        thread = threading.Thread(
            target=self._replace, args=(place, loop), name=f"replaces-{place}", daemon=True
        )
        self._replacing.add(thread)
        thread.start()

    def _replace(self, place: int, loop: asyncio.AbstractEventLoop) -> None:
        """Goes on trying: a machine that has no memory left now may have some in a moment."""
        try:
            self._processes[place].end()
            while not self._closing:
                try:
                    self._processes[place] = AnsweringProcess(self._context, self._given)
                    self._processes[place].await_ready()
                except (RuntimeError, OSError, EOFError) as error:
                    log.error("an answering process can't be started: %s", error)
                    self._processes[place].end()
                    time.sleep(RESTART_SECONDS)
                else:
                    loop.call_soon_threadsafe(self._ready, self._processes[place])
                    return
        except RuntimeError:
            log.warning("an answering process was ready after everybody had left")
        finally:
            self._replacing.discard(threading.current_thread())

    def _ready(self, process: AnsweringProcess) -> None:
        self._idle.append(process)
        self._hand_out()
