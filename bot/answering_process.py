"""A process that answers one message at a time, and the end of its line that the server holds.

Over the line go pickles, each behind its length. The server's end never waits: what is not here yet is read when it comes.
"""

import asyncio
import copyreg
import gc
import itertools
import logging
import multiprocessing
import os
import pickle
import signal
import socket
import struct
import threading
from collections.abc import Callable
from dataclasses import dataclass, fields
from multiprocessing.context import ForkServerContext
from operator import attrgetter
from typing import Any, Final

from bot.answering import Answered, Before, Outcome, Question, answered
from bot.assistant import Assistant
from bot.contents import Versions, assistant_at
from bot.large_pages import joining_pages
from bot.store.records import DraftQuote
from bot.watch.logs import set_up_logs

log = logging.getLogger("wattclerk.answering")

START_SECONDS: Final = 60.0
GARBAGE_AFTER: Final = 20_000
"""Objects that may pile up before the collector looks: a message leaves some thousands, nearly all of which go by themselves."""
_LENGTH: Final = struct.Struct("!I")
_USUAL_ROOM: Final = 1 << 17
"""Bytes that an answer is read into, again and again; the few that are longer get a room of their own."""


class AnswerFailed(Exception):
    """No answer came: the program has a fault, or the answering process died or took too long."""


@dataclass(frozen=True)
class Given:
    """What a process makes its assistant of; ``logs``: level and form of what it logs."""

    versions: Versions
    pieces: dict[str, bytes]
    logs: tuple[str, str]


Told = Callable[[Outcome | AnswerFailed, bool], None]
"""Is told what came of a question, and whether the process can be asked again."""


class AnsweringProcess:
    """One process, asked from an event loop.

    While it has a question the loop listens to it; one that is asked again as soon as it has answered is listened to on and on.
    """

    def __init__(self, context: ForkServerContext, given: Given) -> None:
        self._line, theirs = socket.socketpair()
        self._process = context.Process(target=_answer_all, args=(theirs, given), daemon=True)
        self._process.start()
        theirs.close()
        assert self._process.pid is not None  # noqa: S101  it was started
        self.pid: int = self._process.pid
        self.free = threading.Event()
        self.free.set()
        self._loop: asyncio.AbstractEventLoop | None = None
        self._told: Told | None = None
        self._timer: asyncio.TimerHandle | None = None
        self._until = 0.0
        self._left = memoryview(b"")
        self._writes = False
        self._room = memoryview(bytearray(_USUAL_ROOM))
        self._got = 0

    def await_ready(self) -> None:
        """Returns when it can be asked.

        Raises:
            RuntimeError: it can't start; the line says why.
        """
        self._line.settimeout(START_SECONDS)
        try:
            fault = _received(self._line)
        except TimeoutError:
            raise RuntimeError("an answering process did not start") from None
        if fault is not None:
            raise RuntimeError(f"an answering process could not start: {fault}")
        self._line.setblocking(False)

    def ask(self, question: Question, longest: float, told: Told) -> None:
        """Asks; ``told`` is called later, by the loop that runs. One question at a time.

        Args:
            question: what is asked.
            longest: how long the answer may take [s], every question the same.
            told: is called once, whatever comes of it, and may ask the next question.
        """
        if self._loop is None:
            self.free.clear()
            self._loop = asyncio.get_running_loop()
            self._loop.add_reader(self._line, self._read)
        self._told = told
        self._until = self._loop.time() + longest
        if self._timer is None:
            self._timer = self._loop.call_at(self._until, self._late, longest)
        self._got = 0
        self._left = memoryview(_packed(question))
        self._write()

    def end(self) -> None:
        """Ends it, whatever it does."""
        if self._line.fileno() < 0:
            return
        self._line.close()
        self._process.join(1.0)
        if self._process.is_alive():
            self._process.kill()
            self._process.join()
        self._process.close()

    def _write(self) -> None:
        assert self._loop is not None  # noqa: S101  it was asked
        try:
            sent = self._line.send(self._left)
        except BlockingIOError:
            sent = 0
        except OSError:
            return  # It died, as the reader finds too.
        self._left = self._left[sent:]
        if self._left:
            self._loop.add_writer(self._line, self._write)
            self._writes = True
        elif self._writes:
            self._loop.remove_writer(self._line)
            self._writes = False

    def _read(self) -> None:
        try:
            count = self._line.recv_into(self._room[self._got :])
        except BlockingIOError:
            return
        except OSError:
            count = 0
        if not count:
            self._gone("the answering process died")
            return
        self._got += count
        if self._got < _LENGTH.size:
            return
        whole = _LENGTH.size + _LENGTH.unpack_from(self._room)[0]
        if whole > len(self._room):
            got, self._room = self._room[: self._got], memoryview(bytearray(whole))
            self._room[: self._got] = got
        if self._got < whole:
            return
        result: Outcome | str = pickle.loads(self._room[_LENGTH.size : whole])  # noqa: S301  our own process
        if whole > _USUAL_ROOM:
            self._room = memoryview(bytearray(_USUAL_ROOM))
        self._end_of_question(AnswerFailed(result) if isinstance(result, str) else result)

    def _end_of_question(self, result: Outcome | AnswerFailed) -> None:
        assert self._told is not None  # noqa: S101  nobody listens to it otherwise
        told, self._told = self._told, None
        told(result, True)
        if self._told is None:
            self._leave()

    def _late(self, longest: float) -> None:
        """The time of one question is over; where others were answered meanwhile, that of the last may not be."""
        assert self._loop is not None  # noqa: S101  it was asked
        if self._loop.time() < self._until:
            self._timer = self._loop.call_at(self._until, self._late, longest)
        else:
            self._gone(f"no answer within {longest:g} s")

    def _gone(self, why: str) -> None:
        assert self._told is not None  # noqa: S101  nobody listens to it otherwise
        told, self._told = self._told, None
        self._leave()
        told(AnswerFailed(why), False)

    def _leave(self) -> None:
        assert self._loop is not None  # noqa: S101  it was asked
        assert self._timer is not None  # noqa: S101  it was asked
        self._timer.cancel()
        self._loop.remove_reader(self._line)
        if self._writes:
            self._loop.remove_writer(self._line)
            self._writes = False
        self._loop = self._timer = None
        self.free.set()


def _packed(value: Any) -> bytes:
    body = pickle.dumps(value, pickle.HIGHEST_PROTOCOL)
    return _LENGTH.pack(len(body)) + body


def _received(line: socket.socket) -> Any:
    """The next value.

    Raises:
        EOFError: the other end is closed.
    """
    length = _LENGTH.unpack(_exactly(line, _LENGTH.size))[0]
    return pickle.loads(_exactly(line, length))  # noqa: S301  our own server


def _exactly(line: socket.socket, count: int) -> bytearray:
    got = bytearray(count)
    left = memoryview(got)
    while left:
        received = line.recv_into(left)
        if not received:
            raise EOFError("the other end is closed")
        left = left[received:]
    return got


def _as_its_values(kind: type[Any]) -> None:
    """Has a dataclass pickled as a call with its values: the way that comes with slots asks for the fields every time."""
    values = attrgetter(*(field.name for field in fields(kind)))
    copyreg.pickle(kind, lambda each: (kind, values(each)))


for _kind in (Question, Before, Answered, DraftQuote, Versions):
    _as_its_values(_kind)


def _answer_all(line: socket.socket, given: Given) -> None:
    """The life of an answering process: it ends when the other end of the line is closed, however that came about."""
    # Ctrl-C at the terminal, or a service that is stopped, reaches every process; the server decides when these end.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_IGN)
    threading.Thread(target=_end_with_the_server, daemon=True).start()
    set_up_logs(*given.logs)
    try:
        assistant = assistant_at(given.versions, given.pieces.__getitem__)
        _warm_up(assistant, given.versions)
    except Exception as error:
        line.sendall(_packed(f"{type(error).__name__}: {error}"))
        return
    line.sendall(_packed(None))
    joining = joining_pages()
    try:
        for number in itertools.count(1):
            question = _received(line)
            try:
                result: Outcome | str = answered(assistant, given.versions, question)
            except Exception as error:
                log.exception("a message could not be answered")
                result = f"the program failed ({type(error).__name__})"
            line.sendall(_packed(result))
            if number > JOINS_AFTER:
                next(joining, None)
    except (EOFError, BrokenPipeError, ConnectionResetError):
        os._exit(0)


JOINS_AFTER: Final = 200
"""Answers after which a process joins its pages, one an answer: by then they hold what it goes back to again and again."""
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
