"""What ``ask`` and ``quote`` share: the files named on the command line, and a text answered from them."""

import argparse
from pathlib import Path

from bot.assistant import Assistant, Conversation, Turn
from bot.opening import open_assistant
from bot.reading.shape import Reading
from bot.settings import load_settings
from bot.usable import UnusableInput


def assistant_of(arguments: argparse.Namespace) -> Assistant:
    """The assistant over the files that the options or the settings name."""
    settings = load_settings(catalogue=_path(arguments.catalogue), tables=_path(arguments.tables))
    return open_assistant(settings.catalogue, settings.tables)


def answered(text: str, arguments: argparse.Namespace) -> Turn:
    """The turn that ``text`` opens.

    Raises:
        UnusableInput: something said can't be part of a job; one line each.
    """
    turn = assistant_of(arguments).take_turn(Conversation(), text)
    refuse_faults(turn.reading)
    return turn


def refuse_faults(reading: Reading) -> None:
    """Refuses a reading in which something said can't be: zero luminaires, 11 dollars a kWh.

    Raises:
        UnusableInput: one line each.
    """
    if reading.faults:
        raise UnusableInput("\n".join(" ".join(fault.text.split()) for fault in reading.faults))


def _path(argument: str | None) -> Path | None:
    return None if argument is None else Path(argument)
