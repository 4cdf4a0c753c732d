"""``wattclerk tariff FILE``: checks a tariff and says what is in it."""

import argparse
from pathlib import Path

from bot.opening import open_tariff
from bot.tariff_words import tariff_lines


def run(arguments: argparse.Namespace) -> int:
    """Prints the tariff in plain words; a fault is one line, naming file, key, what stands there and what may."""
    tariff = open_tariff(Path(arguments.file))
    if tariff is not None:
        for line in tariff_lines(tariff):
            print(line)
    return 0
