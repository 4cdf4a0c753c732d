"""Coverage-guided fuzzing of the reader: `python -m tests.fuzz.run --seconds 1500`. A long run, never part of the tests.

Needs atheris, which is no dependency of the project: `pip install atheris` into an environment of its own, beside the
project's own dependencies. What it finds is written as `finding-<digest>.txt` (one a kind of fault, the shortest text seen)
into the folder of finds; a minimised finding belongs into `seeds/`, which `test_seeds.py` runs with every test run.

Half of the inputs are bytes taken as UTF-8; half are a walk over words of the trade, numbers and marks, so that the search
is soon past the tokeniser. An input that takes more than `SLOW` times what its length lets expect, thrice, is a finding too.
"""

import argparse
import os
import sys
import tempfile
import time
import traceback
from pathlib import Path

import atheris  # type: ignore[import-untyped, import-not-found, unused-ignore]

from tests.fuzz.finds import Finds, kind_of

SLOW = 50.0
"""Times the linear expectation at which an input counts as slow."""
HERE = Path(__file__).parent
SEEDS = HERE / "seeds"

with atheris.instrument_imports(include=["bot.reading"]):
    from tests.fuzz.target import ASKED, try_text

from bot.reading.words import lexicon  # noqa: E402 - after the instrumented imports

PIECES = (
    *["12", "250", "20", "4", "0.11", "11", "277", "480", "1", "0", "999999999", "3.5", "½", "2x4", "25'", "10'6\"", "30'-0\"", "6am", "10pm", "24/7", "x14", "12ea", "12-", "(12)", "#7", "43604"],
    *["F32T8", "M58", "MH250/U", "LU250", "S50", "H39", "MV175", "PAR38", "F96T12HO", "2L", "4-lamp", "175MH", "150HPS", "13c/kwh", "$0.11/kWh", "¢", "$", "%", "@", "&", "/", "|", "-", "–", "—", ",", ".", ";", ":", "(", ")", "[", "]", "*", "'", '"', "?", "!"],
    "\n", "\t", "\r\n", "\n\n", "  ", " | ", ", ", "\u00a0", "\u200b", "\ufe0f", "é", "e\u0301", "💡", "𝟏𝟐", "１２", "ﬁ", "İ", "ß",
)  # fmt: skip


def _vocabulary() -> tuple[str, ...]:
    phrases = sorted(
        {" ".join((head, *rest)) for head, tails in lexicon().phrases.items() for rest, _ in tails}
    )
    return (*PIECES, *phrases)


class Expected:
    """Seconds that a text of a given length may be expected to take, from plain texts read at the start."""

    def __init__(self) -> None:
        small, large = "12 250w wallpacks at 20 ft 277v. ", "12 250w wallpacks at 20 ft 277v. " * 100
        for text in (small, large):
            self.seconds(text, None)
        low = min(self.seconds(small, None) for _ in range(5))
        high = min(self.seconds(large, None) for _ in range(5))
        self.each = high / len(large)
        self.least = low

    @staticmethod
    def seconds(text: str, asked: str | None) -> float:
        start = time.process_time()
        try_text(text, asked)
        return time.process_time() - start

    def of(self, text: str) -> float:
        return max(self.least, self.each * len(text))


def text_of(data: bytes, vocabulary: tuple[str, ...]) -> tuple[str, str | None]:
    """The text that an input of the fuzzer stands for, and what we had asked."""
    if not data:
        return "", None
    asked = ASKED[data[0] % len(ASKED)]
    body = data[1:]
    if data[0] & 0x80:
        return body.decode("utf-8", errors="replace"), asked
    words = []
    for high, low in zip(body[::2], body[1::2], strict=False):
        number = high << 8 | low
        # one in four is a number, a mark or an oddity: they are where readings collide
        words.append(PIECES[number % len(PIECES)] if high & 3 == 0 else vocabulary[number % len(vocabulary)])
        if low & 7:
            words.append(" ")
    return "".join(words), asked


def _bytes(text: str) -> bytes:
    return text.encode("utf-8", errors="surrogatepass")


def main() -> int:
    """Fuzz for the time given; the exit status is 1 where there is a finding."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--seconds", type=int, default=600)
    parser.add_argument("--finds", type=Path, help="folder for findings (default: a new temporary one)")
    parser.add_argument(
        "--corpus", type=Path, help="folder that keeps the fuzzer's own corpus from run to run"
    )
    given = parser.parse_args()
    folder = given.finds or Path(tempfile.mkdtemp(prefix="finds-"))
    folder.mkdir(parents=True, exist_ok=True)
    corpus = given.corpus or Path(tempfile.mkdtemp(prefix="corpus-"))
    corpus.mkdir(parents=True, exist_ok=True)
    for seed in sorted(SEEDS.glob("*.txt")):
        (corpus / seed.name).write_bytes(b"\x80" + seed.read_bytes())
    vocabulary, finds, expected = _vocabulary(), Finds(folder), Expected()
    runs = 0
    begun = time.monotonic()

    def one(data: bytes) -> None:
        nonlocal runs
        runs += 1
        text, asked = text_of(data, vocabulary)
        try:
            took = expected.seconds(text, asked)
        except Exception as error:
            finds.add(kind_of(error), _bytes(text), traceback.format_exc())
        else:
            most = SLOW * expected.of(text)
            if took > most and all(expected.seconds(text, asked) > most for _ in range(3)):
                finds.add(
                    "slow", _bytes(text), f"{took:.4f} s where {expected.of(text):.6f} s may be expected"
                )
        if time.monotonic() - begun > given.seconds:
            finds.summary(runs, time.monotonic() - begun)
            sys.stdout.flush()
            # libFuzzer never returns: leave from here, past its own handlers
            os._exit(1 if finds.times else 0)

    atheris.Setup(
        [sys.argv[0], str(corpus), "-max_len=2048", "-timeout=60", "-rss_limit_mb=1500", "-verbosity=0"], one
    )
    atheris.Fuzz()
    return 0


if __name__ == "__main__":
    sys.exit(main())
