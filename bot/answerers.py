"""Who answers: a thread of this process, or processes of their own, which use every core and can be ended in mid-answer.

An answering process knows no store and no network. It is handed what a message needs and hands back what is to be kept.
One that dies or takes too long is replaced; the message that it had is told as failed, and its keeper decides about it.
"""

import asyncio
import gc
import logging
import multiprocessing
import os
import queue
import signal
import threading
import time
from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from multiprocessing.connection import Connection
from typing import Any, Final, Protocol

from bot.answering import Before, Outcome, Question, answered
from bot.assistant import Assistant
from bot.contents import Versions, assistant_at
from bot.watch.logs import set_up_logs

log = logging.getLogger("wattclerk.answering")

LONGEST_ANSWER_SECONDS: Final = 30.0
START_SECONDS: Final = 60.0
RESTART_SECONDS: Final = 1.0
GARBAGE_AFTER: Final = 20_000
"""Objects that may pile up before the collector looks: a message leaves some thousands, nearly all of which go by themselves."""


class AnswerFailed(Exception):
    """No answer came: the program has a fault, or the answering process died or took too long."""


class Answerers(Protocol):
    """Answers messages."""

    async def answer(self, question: Question) -> Outcome:
        """The outcome.

        Raises:
            AnswerFailed: there is none; the line says why, and holds nothing that a stranger wrote.
        """

    def close(self) -> None:
        """Ends after the answers that are under way."""


class OwnThread:
    """One thread of this process."""

    def __init__(self, assistant: Assistant, versions: Versions) -> None:
        self._assistant = assistant
        self._versions = versions
        self._thread = ThreadPoolExecutor(max_workers=1, thread_name_prefix="answers")

    async def answer(self, question: Question) -> Outcome:
        """The outcome."""
        loop = asyncio.get_running_loop()
        try:
            return await loop.run_in_executor(
                self._thread, answered, self._assistant, self._versions, question
            )
        except Exception as error:
            log.exception("a message could not be answered")
            raise AnswerFailed(f"the program failed ({type(error).__name__})") from None

    def close(self) -> None:
        """Ends after the answers that are under way."""
        self._thread.shutdown()


class OwnProcesses:
    """Several processes; each has a thread here that hands it one message at a time."""

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
        self._context.set_forkserver_preload(["bot.answerers"])
        self._given = _Given(versions, dict(pieces), logs)
        self._longest = longest_seconds
        self._waiting: queue.SimpleQueue[_Asked | None] = queue.SimpleQueue()
        self._processes = [self._start() for _ in range(count)]
        self._threads = [
            threading.Thread(target=self._serve, args=(n,), name=f"answers-{n}", daemon=True)
            for n in range(count)
        ]
        for each in self._processes:
            each.await_ready()
        for thread in self._threads:
            thread.start()

    @property
    def pids(self) -> list[int]:
        """The processes' ids."""
        return [each.pid for each in self._processes]

    async def answer(self, question: Question) -> Outcome:
        """The outcome."""
        loop = asyncio.get_running_loop()
        future: asyncio.Future[Outcome] = loop.create_future()
        self._waiting.put(_Asked(question, loop, future))
        return await future

    def close(self) -> None:
        """Ends after the answers that are under way."""
        for _ in self._threads:
            self._waiting.put(None)
        for thread in self._threads:
            thread.join()

    def _start(self) -> "_Process":
        return _Process(self._context, self._given)

    def _serve(self, place: int) -> None:
        while (asked := self._waiting.get()) is not None:
            try:
                result: Outcome | AnswerFailed = self._processes[place].ask(asked.question, self._longest)
            except _Gone as gone:
                log.error("an answering process was replaced: %s", gone)
                asked.tell(AnswerFailed(str(gone)))
                self._replace(place)
            else:
                asked.tell(result)
        self._processes[place].end()

    def _replace(self, place: int) -> None:
        """Goes on trying: a machine that has no memory left now may have some in a moment."""
        self._processes[place].end()
        while True:
            try:
                self._processes[place] = self._start()
                self._processes[place].await_ready()
            except (RuntimeError, OSError, EOFError) as error:
                log.error("an answering process can't be started: %s", error)
                time.sleep(RESTART_SECONDS)
            else:
                return


@dataclass(frozen=True)
class _Given:
    """What a process makes its assistant of."""

    versions: Versions
    pieces: dict[str, bytes]
    logs: tuple[str, str]


@dataclass(frozen=True, slots=True)
class _Asked:
    question: Question
    loop: asyncio.AbstractEventLoop
    future: "asyncio.Future[Outcome]"

    def tell(self, result: Outcome | AnswerFailed) -> None:
        try:
            self.loop.call_soon_threadsafe(self._deliver, result)
        except RuntimeError:
            log.warning("an answer came after everybody had left")

    def _deliver(self, result: Outcome | AnswerFailed) -> None:
        if self.future.done():
            return
        if isinstance(result, AnswerFailed):
            self.future.set_exception(result)
        else:
            self.future.set_result(result)


class _Gone(Exception):
    """The process died, or was too slow; the line says which."""


class _Process:
    def __init__(self, context: Any, given: _Given) -> None:
        self._ours, theirs = context.Pipe()
        self._process = context.Process(target=_answer_all, args=(theirs, given), daemon=True)
        self._process.start()
        theirs.close()
        self.pid: int = self._process.pid

    def await_ready(self) -> None:
        if not self._ours.poll(START_SECONDS):
            raise RuntimeError("an answering process did not start")
        fault = self._ours.recv()
        if fault is not None:
            raise RuntimeError(f"an answering process could not start: {fault}")

    def ask(self, question: Question, longest: float) -> Outcome | AnswerFailed:
        try:
            self._ours.send(question)
            if not self._ours.poll(longest):
                raise _Gone(f"no answer within {longest:g} s")
            result: Outcome | str = self._ours.recv()
        except (EOFError, OSError):
            raise _Gone("the answering process died") from None
        return AnswerFailed(result) if isinstance(result, str) else result

    def end(self) -> None:
        if self._ours.closed:
            return
        self._ours.close()
        self._process.join(1.0)
        if self._process.is_alive():
            self._process.kill()
            self._process.join()
        self._process.close()


def _answer_all(pipe: Connection, given: _Given) -> None:
    """The life of an answering process: it ends when the other end of the pipe is closed, however that came about."""
    # Ctrl-C at the terminal, or a service that is stopped, reaches every process; the server decides when these end.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_IGN)
    threading.Thread(target=_end_with_the_server, daemon=True).start()
    set_up_logs(*given.logs)
    try:
        assistant = assistant_at(given.versions, given.pieces.__getitem__)
        _warm_up(assistant, given.versions)
    except Exception as error:
        pipe.send(f"{type(error).__name__}: {error}")
        return
    pipe.send(None)
    try:
        while True:
            question = pipe.recv()
            try:
                result: Outcome | str = answered(assistant, given.versions, question)
            except Exception as error:
                log.exception("a message could not be answered")
                result = f"the program failed ({type(error).__name__})"
            pipe.send(result)
    except (EOFError, BrokenPipeError, ConnectionResetError):
        os._exit(0)


WARMING_UP: Final = (
    "ten 250w wallpacks 20 ft, 12 cents, dusk to dawn",
    "4 400w mh shoebox heads 25' poles in ohio",
    "30 2x4 troffers 4 lamp t8 office and 6 400w mh highbays in the warehouse",
    "cuanto por 10 wallpacks de 175w, 15 pies, toda la noche",
    "6 150w hps wall packs, 10 250w floods, how did you get the payback?",
)


def _warm_up(assistant: Assistant, versions: Versions) -> None:
    """Answers the usual kinds once, so that no sender waits for what is loaded and compiled at the first use."""
    for text in WARMING_UP:
        answered(assistant, versions, Question(Before(), text, form="sms"))
    # What is there now stays: the collector need not look through it again and again.
    gc.collect()
    gc.freeze()
    gc.set_threshold(GARBAGE_AFTER)


def _end_with_the_server() -> None:
    """Ends this process when the server is gone, even in the middle of an answer."""
    server = multiprocessing.parent_process()
    if server is not None:
        server.join()
    os._exit(0)
