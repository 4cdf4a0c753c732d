"""``wattclerk generic-light TEXT``: the generic photometric file that stands for what hangs there now, as LM-63."""

import argparse
import sys

from bot.commands.answering import answered, assistant_of
from bot.commands.text_in import text_given
from bot.usable import UnusableInput
from engine.light.legacy_file import legacy_photometry
from engine.light.lm63_writer import lm63_text


def run(arguments: argparse.Namespace) -> int:
    """Prints the file of the first luminaire that the text names; it says in its keywords that it is generic."""
    assistant = assistant_of(arguments)
    lines = answered(text_given(arguments.text), assistant).reading.lines
    photometry = legacy_photometry(lines[0], assistant.tables) if lines else None
    if photometry is None:
        raise UnusableInput(
            'no generic light for this: say the kind of luminaire and its lamp, as in "250W metal halide wall pack"'
        )
    sys.stdout.write(lm63_text(photometry))
    return 0
