"""What ``ask`` and ``quote`` share: the files named on the command line, and a text answered from them."""

import argparse
from pathlib import Path
from typing import Any

from bot.assistant import Assistant, Conversation, Turn
from bot.opening import open_assistant
from bot.reading.shape import Reading
from bot.settings import load_settings
from bot.usable import UnusableInput


def assistant_of(arguments: argparse.Namespace) -> Assistant:
    """The assistant over the files that the options or the settings name."""
    settings = load_settings(**paths_given(arguments))
    return open_assistant(settings.catalogue, settings.tables, settings.terms, settings.tariff)


def answered(text: str, assistant: Assistant) -> Turn:
    """The turn that ``text`` opens.

    Raises:
        UnusableInput: something said can't be part of a job, one line each; or no word is in it.
    """
    if not any(character.isalpha() for character in text):
        # In a conversation "277" answers a question; here nothing was asked.
        raise UnusableInput(
            f"{' '.join(text.split())[:40]!r} is no job: say how many, what kind and what watts hang there now"
        )
    turn = assistant.take_turn(Conversation(), text)
    refuse_faults(turn.reading)
    return turn


def refuse_faults(reading: Reading) -> None:
    """Refuses a reading in which something said can't be: zero luminaires, 11 dollars a kWh.

    Raises:
        UnusableInput: one line each.
    """
    if reading.faults:
        raise UnusableInput("\n".join(" ".join(fault.text.split()) for fault in reading.faults))


def paths_given(arguments: argparse.Namespace) -> dict[str, Any]:
    """The files that the options name, by the name of the setting that each stands for."""
    named = {name: getattr(arguments, name) for name in ("catalogue", "tables", "terms", "tariff")}
    return {name: None if path is None else Path(path) for name, path in named.items()}
