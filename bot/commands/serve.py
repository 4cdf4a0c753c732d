"""``wattclerk serve``: the chat page and the JSON API, until it is told to stop."""

import argparse
import errno
import logging
import socket
import sys
from typing import Final

from aiohttp import web

from bot.app import build_app
from bot.commands.answering import paths_given
from bot.settings import DEFAULT_PORT, Settings, load_settings
from bot.usable import UnusableInput

PORTS_TRIED: Final = 20
GRACE_SECONDS: Final = 5.0


def run(arguments: argparse.Namespace) -> int:
    """Serves; returns when it was told to stop."""
    settings = load_settings(host=arguments.host, port=arguments.port, **paths_given(arguments))
    logging.basicConfig(
        stream=sys.stderr, format="%(asctime)s %(levelname)s %(message)s", level=logging.WARNING
    )
    with listen(settings) as listening:
        web.run_app(
            build_app(settings),
            sock=listening,
            print=lambda *_: _announce(settings, listening),
            access_log=None,
            shutdown_timeout=GRACE_SECONDS,
        )
    return 0


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
