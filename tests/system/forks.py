"""Processes forked from one that has everything loaded: servers, watchers and commands, which tests start by the hundred.

What only a fresh interpreter would show is tried by fewer tests, which start one.
"""

import io
import multiprocessing
import os
import sys
import traceback
from collections.abc import Callable, Mapping
from multiprocessing.forkserver import ensure_running
from multiprocessing.process import BaseProcess
from pathlib import Path
from typing import Any

_FORKS = multiprocessing.get_context("forkserver")


def ready() -> None:
    """Starts the process that others are forked from; of all who use it, whoever comes first says what it loads."""
    _FORKS.set_forkserver_preload(["tests.system.loaded"])
    ensure_running()


def forked(target: Callable[..., object], *given: Any, **named: Any) -> BaseProcess:
    """A process that does what it is told and ends."""
    ready()
    process = _FORKS.Process(target=target, args=given, kwargs=named, daemon=True)
    process.start()
    return process


def ended(process: BaseProcess, name: str, seconds: float) -> int | None:
    """How a process ended; one that does not is killed."""
    process.join(seconds)
    if process.is_alive():
        process.kill()
        process.join()
        raise AssertionError(f"{name} did not end")
    return process.exitcode


def command(
    arguments: tuple[str | bytes, ...], stdin: bytes, environ: Mapping[str, str], folder: Path, files: Path
) -> int | None:
    """Runs a command as the command line does, in ``folder``; its output goes to ``files/out`` and ``files/err``."""
    (files / "in").write_bytes(stdin)
    words = [os.fsencode(word) for word in arguments]
    process = forked(_command, words, dict(environ), str(folder), str(files))
    return ended(process, "the command", 60)


def _command(words: list[bytes], environ: dict[str, str], folder: str, files: str) -> None:
    """As if the interpreter had just been started with these words; ends the process."""
    from bot.__main__ import main

    os.chdir(folder)
    for name, number, mode in (
        ("in", 0, os.O_RDONLY),
        ("out", 1, os.O_WRONLY | os.O_CREAT),
        ("err", 2, os.O_WRONLY | os.O_CREAT),
    ):
        opened = os.open(f"{files}/{name}", mode, 0o600)
        os.dup2(opened, number)
        os.close(opened)
    sys.stdin = io.TextIOWrapper(open(0, "rb", closefd=False))  # noqa: SIM115  a descriptor
    sys.stdout = io.TextIOWrapper(open(1, "wb", closefd=False))  # noqa: SIM115
    sys.stderr = io.TextIOWrapper(open(2, "wb", closefd=False), line_buffering=True)  # noqa: SIM115
    os.environ.clear()
    os.environ.update(environ)
    status: object = 1
    try:
        status = main([os.fsdecode(word) for word in words])
    except SystemExit as stop:
        status = stop.code
    except BaseException:
        traceback.print_exc()
    sys.stdout.flush()
    sys.stderr.flush()
    os._exit(status if isinstance(status, int) else 0 if status is None else 1)
