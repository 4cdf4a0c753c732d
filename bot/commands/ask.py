"""``wattclerk ask TEXT``: one text in, one answer out."""

import argparse
from typing import Final

from bot.commands.answering import answered, assistant_of
from bot.commands.text_in import text_given
from bot.replies import Channel, render

CHANNELS: Final[dict[str, Channel]] = {
    "terminal": "terminal",
    "sms": "sms",
    "chat": "chat",
    "email": "email_text",
    "email-html": "email_html",
}


def run(arguments: argparse.Namespace) -> int:
    """Prints the answer in the form of the channel."""
    assistant = assistant_of(arguments)
    turn = answered(text_given(arguments.text), assistant)
    channel: Channel = CHANNELS[arguments.channel]
    print(
        render(
            turn.quote,
            turn.reading,
            channel,
            turn.reading.language,
            turn.conversation.texts,
            assistant.tables,
        )
    )
    return 0
