"""Prints what is read of very many texts, one JSON line each: `python -m tests.unit.machine_code.every_reading`.

The whole corpus as conversations, the fuzzer's seeds, and (as many as a number behind the command says) texts put together from pieces of both,
the same ones in each run; a second number takes one in so many of each. Run with and without ``WATTCLERK_INTERPRETED=1`` (and one
``PYTHONHASHSEED``), the two must print the same bytes.
"""

import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from zlib import crc32

from bot.conversation import read_turns
from bot.machine_code import used
from bot.reading import CannotRead, read_first, read_message
from tests.corpus.records import records
from tests.fuzz.target import ASKED
from tests.fuzz.test_any_text import PIECES

SEEDS = Path(__file__).parents[2] / "fuzz" / "seeds"
PIECED = 800
BETWEEN = (" ", " ", " ", ", ", "\n", "", "\t", " - ", ". ")


def pieced(texts: list[str], count: int) -> Iterator[str]:
    """Texts made of words of the corpus, trade words and marks, chosen by a checksum: no chance in it."""
    words = sorted({word for text in texts for word in text.split()})
    for number in range(count):
        at = crc32(b"%d" % number)
        out = []
        for step in range(at % 40 + 1):
            at = crc32(b"%d %d" % (at, step))
            known = words if at & 0x10000 else PIECES
            out += [known[at % len(known)], BETWEEN[(at >> 20) % len(BETWEEN)]]
        yield "".join(out)
        # and a real message that breaks off, or runs on in another
        one, other = texts[at % len(texts)], texts[(at >> 8) % len(texts)]
        yield one[: at % (len(one) + 1)] + BETWEEN[(at >> 20) % len(BETWEEN)] + other


def told(text: str, number: int) -> Any:
    """What is read of a text as a first message and as one of a conversation, or how it is refused."""
    try:
        message = read_message(text, asked=ASKED[number % len(ASKED)], in_conversation=True)
        return [read_first(text).as_json(), repr(message)]
    except CannotRead as refused:
        return [type(refused).__name__, str(refused)]


def main() -> int:
    """Print it all; on stderr, in which form it was read."""
    more = int(sys.argv[1]) if len(sys.argv) > 1 else PIECED
    one_in = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    texts = []
    for record in records():
        turns = [(turn["text"], turn.get("asked")) for turn in record["turns"]]
        texts += [text for text, _ in turns]
        if crc32(record["id"].encode()) % one_in:
            continue
        print(json.dumps([record["id"], [reading.as_json() for reading in read_turns(turns)]]))
    seeds = [seed.read_text("utf-8") for seed in sorted(SEEDS.iterdir())]
    for number, text in enumerate([*seeds, *pieced(texts, more)]):
        print(json.dumps([number, told(text, number)]))
    print(json.dumps({"read_message": type(read_message).__name__, "used": used}), file=sys.stderr)
    return 0


if __name__ == "__main__":
    sys.exit(main())
