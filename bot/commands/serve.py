"""``wattclerk serve``: the chat page and the JSON API, until it is told to stop."""

import argparse
import asyncio
import errno
import gc
import signal
import socket
from typing import Final

from aiohttp import web

from bot.answering_process import GARBAGE_AFTER
from bot.app import build_app
from bot.channels.connections import BoundedRunner
from bot.commands.answering import paths_given
from bot.machine_code import used
from bot.settings import DEFAULT_PORT, Settings, load_settings
from bot.usable import UnusableInput
from bot.watch.logs import set_up_logs

PORTS_TRIED: Final = 20
GRACE_SECONDS: Final = 5.0


def run(arguments: argparse.Namespace) -> int:
    """Serves; returns when it was told to stop."""
    settings = load_settings(
        host=arguments.host, port=arguments.port, workers=arguments.workers, **paths_given(arguments)
    )
    if settings.workers is None:
        settings = settings.model_copy(update={"workers": 1})
    set_up_logs(settings.log_level, settings.log_form)
    with listen(settings) as listening:
        asyncio.run(_serve(settings, listening))
    return 0


async def _serve(settings: Settings, listening: socket.socket) -> None:
    """Until a signal; what is being answered then is answered and kept."""
    stop = asyncio.Event()
    loop = asyncio.get_running_loop()
    for number in (signal.SIGINT, signal.SIGTERM):
        loop.add_signal_handler(number, stop.set)
    runner = BoundedRunner(build_app(settings), shutdown_timeout=GRACE_SECONDS)
    try:
        await runner.setup()
        # Catalogue and tables stay: the collector need not stop the server to look through them (a tenth of a second) again.
        gc.collect()
        gc.freeze()
        gc.set_threshold(GARBAGE_AFTER)
        await web.SockSite(runner, listening).start()
        _announce(settings, listening)
        await stop.wait()
    finally:
        await runner.cleanup()


def listen(settings: Settings) -> socket.socket:
    """A listening socket on the asked port, or on the first free one where none was asked.

    Raises:
        UnusableInput: the port is taken or not allowed, or the host is not ours.
    """
    ports = [settings.port] if settings.port is not None else range(DEFAULT_PORT, DEFAULT_PORT + PORTS_TRIED)
    for port in ports:
        try:
            return _bound(settings.host, port)
        except OSError as error:
            if error.errno == errno.EADDRINUSE:
                continue
            raise UnusableInput(f"can't listen on {settings.host} port {port}: {error.strerror}") from None
    if settings.port is not None:
        raise UnusableInput(
            f"port {settings.port} is in use: stop what listens there, or choose another with --port (0 takes a free one)"
        )
    raise UnusableInput(
        f"ports {DEFAULT_PORT} to {DEFAULT_PORT + PORTS_TRIED - 1} are all in use: choose one with --port (0 takes a free one)"
    )


def _bound(host: str, port: int) -> socket.socket:
    family, kind, protocol, _, address = socket.getaddrinfo(
        host, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE
    )[0]
    listening = socket.socket(family, kind, protocol)
    try:
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind(address)
        # Listening at once: two servers started together must not both believe that they have the port.
        listening.listen(128)
    except OSError:
        listening.close()
        raise
    return listening


def _announce(settings: Settings, listening: socket.socket) -> None:
    port = listening.getsockname()[1]
    host = f"[{settings.host}]" if ":" in settings.host else settings.host
    print(f"Wattclerk is at http://{host}:{port}/", flush=True)
    print(f"Conversations and quotes are kept in {settings.place}. Stop with Ctrl-C.", flush=True)
    for why in used.values():
        if why:
            print(f"Messages are read interpreted, in twice the time: {why}. See deploy/compile.", flush=True)
