"""A process that answers one message at a time, and the end of its line that the server holds.

Over the line go pickles, each behind its length. The server's end never waits: what is not here yet is read when it comes.
"""

import asyncio
import copyreg
import gc
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
from bot.store.records import DraftQuote
from bot.watch.logs import set_up_logs

log = logging.getLogger("wattclerk.answering")

START_SECONDS: Final = 60.0
GARBAGE_AFTER: Final = 20_000
"""Objects that may pile up before the collector looks: a message leaves some thousands, nearly all of which go by themselves."""
_LENGTH: Final = struct.Struct("!I")
_MOST_AT_ONCE: Final = 1 << 18


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
    """One process, asked from an event loop."""

    def __init__(self, context: ForkServerContext, given: Given) -> None:
        self._line, theirs = socket.socketpair()
        self._process = context.Process(target=_answer_all, args=(theirs, given), daemon=True)
        self._process.start()
        theirs.close()
        assert self._process.pid is not None  # noqa: S101  it was started
        self.pid: int = self._process.pid
        self.free = threading.Event()
        self.free.set()
        self._exchange: _Exchange | None = None

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
            longest: how long the answer may take [s].
            told: is called once, whatever comes of it.
        """
        self.free.clear()

        def ended(result: Outcome | AnswerFailed, again: bool) -> None:
            self._exchange = None
            self.free.set()
            told(result, again)

        self._exchange = _Exchange(self._line, _packed(question), longest, ended)

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


class _Exchange:
    """One question on its way out, its answer on its way in."""

    def __init__(self, line: socket.socket, packed: bytes, longest: float, ended: Told) -> None:
        self._loop = asyncio.get_running_loop()
        self._line, self._number = line, line.fileno()
        self._left = memoryview(packed)
        self._got = bytearray()
        self._writes = False
        self._ended = ended
        self._timer = self._loop.call_later(longest, self._gone, f"no answer within {longest:g} s")
        self._loop.add_reader(self._number, self._read)
        self._write()

    def _write(self) -> None:
        try:
            sent = self._line.send(self._left)
        except BlockingIOError:
            sent = 0
        except OSError:
            return  # It died, as the reader finds too.
        self._left = self._left[sent:]
        if self._left:
            self._loop.add_writer(self._number, self._write)
            self._writes = True
        elif self._writes:
            self._loop.remove_writer(self._number)
            self._writes = False

    def _read(self) -> None:
        try:
            data = self._line.recv(_MOST_AT_ONCE)
        except BlockingIOError:
            return
        except OSError:
            data = b""
        if not data:
            self._gone("the answering process died")
            return
        self._got += data
        if len(self._got) < _LENGTH.size or len(self._got) < _LENGTH.size + _LENGTH.unpack_from(self._got)[0]:
            return
        result: Outcome | str = pickle.loads(memoryview(self._got)[_LENGTH.size :])  # noqa: S301  our own process
        self._leave()
        self._ended(AnswerFailed(result) if isinstance(result, str) else result, True)

    def _gone(self, why: str) -> None:
        self._leave()
        self._ended(AnswerFailed(why), False)

    def _leave(self) -> None:
        self._timer.cancel()
        self._loop.remove_reader(self._number)
        if self._writes:
            self._loop.remove_writer(self._number)


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
    try:
        while True:
            question = _received(line)
            try:
                result: Outcome | str = answered(assistant, given.versions, question)
            except Exception as error:
                log.exception("a message could not be answered")
                result = f"the program failed ({type(error).__name__})"
            line.sendall(_packed(result))
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
