"""Real servers on loopback, the command line as a process, and a real browser."""

import io
import os
import re
import shutil
import signal
import subprocess
import sys
import tempfile
from collections.abc import AsyncIterator, Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
import pytest_asyncio
from aiohttp import web
from aiohttp.test_utils import TestClient, TestServer

from bot.__main__ import main
from bot.app import build_app
from bot.settings import Settings
from tests.read_once import read_once
from tests.system.forks import command

if TYPE_CHECKING:
    from playwright.async_api import Browser

ROOT = Path(__file__).resolve().parents[2]
Client = TestClient[web.Request, web.Application]
SESSION_LOOP = pytest.mark.asyncio(loop_scope="session")
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-dev-shm-usage",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]

read_once()


@pytest.fixture
def make_settings(tmp_path: Path) -> Callable[..., Settings]:
    def make(**changes: object) -> Settings:
        values = {"data_folder": tmp_path / "data", "messages_per_minute": 0} | changes
        return Settings.model_validate(values)

    return make


@pytest.fixture
async def client(make_settings: Callable[..., Settings]) -> AsyncIterator[Client]:
    async with TestClient(TestServer(build_app(make_settings()))) as opened:
        yield opened


@dataclass(frozen=True)
class Outcome:
    """How a command ended."""

    status: int
    out: str
    err: str

    @property
    def error_lines(self) -> list[str]:
        return self.err.splitlines()


@pytest.fixture
def wattclerk(tmp_path: Path, tmp_path_factory: pytest.TempPathFactory) -> Callable[..., Outcome]:
    """Runs a command in a process of its own, in an empty folder; forked where all is loaded, which is much faster."""

    def run(*arguments: str | bytes, stdin: bytes = b"", **environ: str) -> Outcome:
        files = tmp_path_factory.mktemp("command")
        status = command(arguments, stdin, command_environment(tmp_path) | environ, tmp_path, files)
        out, err = ((files / name).read_bytes().decode() for name in ("out", "err"))
        assert status is not None
        return Outcome(status, out, err)

    return run


@pytest.fixture
def wattclerk_afresh(tmp_path: Path) -> Callable[..., Outcome]:
    """Runs a command as users do, in an interpreter of its own."""

    def run(*arguments: str | bytes, stdin: bytes = b"", **environ: str) -> Outcome:
        done = subprocess.run(
            [sys.executable, "-P", "-m", "bot", *arguments],
            input=stdin,
            capture_output=True,
            cwd=tmp_path,
            env=command_environment(tmp_path) | environ,
            timeout=60,
            check=False,
        )
        return Outcome(done.returncode, done.stdout.decode(), done.stderr.decode())

    return run


def command_environment(folder: Path) -> dict[str, str]:
    """Nothing of the tester's own settings reaches the command."""
    kept = {k: v for k, v in os.environ.items() if not k.startswith("WATTCLERK_")}
    return kept | {"PYTHONPATH": str(ROOT), "WATTCLERK_DATA_FOLDER": str(folder / "data"), "PYTHONUTF8": "0"}


@pytest.fixture
def refusal_of(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., Outcome]:
    """Runs a command in this process, as `wattclerk` would in its own: much faster, for the many ways to be refused."""

    def run(*arguments: str, stdin: bytes = b"", **environ: str) -> Outcome:
        out, err = io.BytesIO(), io.BytesIO()
        with monkeypatch.context() as here:
            for name in [n for n in os.environ if n.startswith("WATTCLERK_")]:
                here.delenv(name)
            for name, value in ({"WATTCLERK_DATA_FOLDER": str(tmp_path / "data")} | environ).items():
                here.setenv(name, value)
            here.chdir(tmp_path)
            here.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(stdin)))
            here.setattr(sys, "stdout", io.TextIOWrapper(out, write_through=True))
            here.setattr(sys, "stderr", io.TextIOWrapper(err, write_through=True))
            try:
                status = main(list(arguments))
            except SystemExit as stop:
                status = stop.code if isinstance(stop.code, int) else 1
            return Outcome(status, out.getvalue().decode(), err.getvalue().decode())

    return run


@dataclass
class Served:
    """A server process."""

    address: str
    process: subprocess.Popen[str]

    def stop(self) -> int:
        self.process.send_signal(signal.SIGTERM)
        return self.process.wait(20)


def serving(folder: Path, environ: Mapping[str, str] | None = None) -> Iterator[Callable[..., Served]]:
    """Starts `wattclerk serve` on a free port (or the one given) and waits until it says where it is; stops all at the end."""
    started: list[Served] = []

    def start(*options: str, port: int = 0) -> Served:
        process = subprocess.Popen(
            [sys.executable, "-P", "-m", "bot", "serve", "--port", str(port), *options],
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
            cwd=folder,
            env=command_environment(folder) | (environ or {}),
        )
        assert process.stdout is not None
        address = re.search(r"http://\S+", process.stdout.readline())
        assert address is not None, "the server did not say where it is"
        started.append(Served(address.group().rstrip("/"), process))
        return started[-1]

    yield start
    for served in started:
        if served.process.poll() is None:
            served.stop()
        assert served.process.stdout is not None
        served.process.stdout.close()


@pytest.fixture
def serve(tmp_path: Path) -> Iterator[Callable[..., Served]]:
    """A server of the test's own, which it may stop."""
    yield from serving(tmp_path)


@pytest.fixture(scope="session")
def shared_server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """One server for all tests that don't stop it; conversations are apart all the same."""
    started = serving(tmp_path_factory.mktemp("shared"))
    yield next(started)()
    next(started, None)


@pytest.fixture(scope="session")
def chromium() -> str:
    """Path of a Chromium; without one the browser tests are left out, and the summary says so."""
    named = (
        os.environ.get("WATTCLERK_CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
    )
    if not named:
        pytest.skip("no Chromium on this machine: the chat page was not tried in a browser")
    return named


@pytest_asyncio.fixture(scope="session", loop_scope="session")
async def browser(chromium: str) -> AsyncIterator["Browser"]:
    """One Chromium for all tests, which open contexts of their own in it: nothing is shared between those.

    Tests that use it run in the loop of the session (``SESSION_LOOP``).
    """
    from playwright.async_api import async_playwright, expect

    expect.set_options(timeout=15_000)  # a busy machine takes its time
    async with async_playwright() as playwright:
        started = await playwright.chromium.launch(executable_path=chromium, args=FLAGS)
        yield started
        await started.close()


@pytest.fixture(scope="session")
def artifacts() -> Path:
    """Where pictures are kept for a person to look at; never inside the project."""
    folder = Path(
        os.environ.get("WATTCLERK_ARTIFACTS") or Path(tempfile.gettempdir()) / "wattclerk-artifacts"
    )
    folder.mkdir(parents=True, exist_ok=True)
    return folder
