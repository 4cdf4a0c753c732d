"""The seeds of the fuzzer and all its minimised findings, read with every test run."""

from pathlib import Path

import pytest

from bot.reading import CannotRead, read_first, read_message
from tests.fuzz.target import ASKED, plain, try_text

SEEDS = sorted((Path(__file__).parent / "seeds").glob("*.txt"))


def text_of(seed: Path) -> str:
    """The text of a seed, with its line ends as they are."""
    return seed.read_bytes().decode("utf-8", errors="surrogatepass")


def test_there_are_seeds() -> None:
    assert len(SEEDS) >= 8


@pytest.mark.parametrize("seed", SEEDS, ids=lambda seed: seed.stem)
@pytest.mark.parametrize("asked", ASKED)
def test_a_seed_is_read_or_refused_with_a_typed_error(seed: Path, asked: str | None) -> None:
    try_text(text_of(seed), asked)


@pytest.mark.parametrize("seed", SEEDS, ids=lambda seed: seed.stem)
def test_a_seed_is_read_the_same_twice(seed: Path) -> None:
    text = text_of(seed)
    try:
        once = plain(read_first(text)), plain(read_message(text, in_conversation=True))
    except CannotRead:
        with pytest.raises(CannotRead):
            read_first(text)
    else:
        assert once == (plain(read_first(text)), plain(read_message(text, in_conversation=True)))
