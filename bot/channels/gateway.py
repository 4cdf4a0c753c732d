"""The protocol of channels that send: mail, text messages. The web channel needs none: its pages fetch their answers.

A gateway is one file in `bot/channels/`: a module that has ``open_gateway(settings)``, which gives its `Gateway`, or
``None`` where the settings don't ask for it. What comes in it hands to `bot.inbox.Inbox.keep`; once that returns, the
message is kept and the other side may be told so. What goes out it is handed by `bot.outbox`.
"""

import importlib
import pkgutil
from typing import Protocol

import bot.channels
from bot.replies import Channel
from bot.settings import Settings
from bot.store.records import Outgoing


class NotSent(Exception):
    """This time it failed; the line says why. It is tried again."""


class NeverSent(Exception):
    """It will fail every time (no such address); the line says why. It is set aside."""


class Gateway(Protocol):
    """Sends replies over one channel.

    Attributes:
        name: of the channel, as its messages carry it.
        form: of the words that it sends.
    """

    @property
    def name(self) -> str: ...

    @property
    def form(self) -> Channel: ...

    async def send(self, outgoing: Outgoing) -> None:
        """Sends a reply; returning means that the other side has taken it.

        The same reply may come again where we died before we could note that it was sent: ``outgoing.key`` tells it.

        Raises:
            NotSent, NeverSent: it was not taken.
        """


def open_gateways(settings: Settings) -> dict[str, Gateway]:
    """The gateways that the settings ask for, by name of the channel.

    Raises:
        engine.errors.ConfigurationError: one can't be opened.
    """
    found: dict[str, Gateway] = {}
    for module in pkgutil.iter_modules(bot.channels.__path__):
        opener = getattr(importlib.import_module(f"bot.channels.{module.name}"), "open_gateway", None)
        gateway = None if opener is None else opener(settings)
        if gateway is not None:
            found[gateway.name] = gateway
    return found
