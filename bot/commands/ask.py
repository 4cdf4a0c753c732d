"""``wattclerk ask TEXT``: one text in, one answer out."""

import argparse

from bot.commands.answering import answered
from bot.commands.text_in import text_given
from bot.replies import render


def run(arguments: argparse.Namespace) -> int:
    """Prints the answer in the form of the channel."""
    turn = answered(text_given(arguments.text), arguments)
    print(render(turn.quote, turn.reading, arguments.channel, turn.reading.language))
    return 0
