"""Misspelt words of the trade: the nearest word of the lexicon, or none. A total order breaks ties."""

from functools import lru_cache

from rapidfuzz.distance import OSA

from bot.reading.words import lexicon


@lru_cache(maxsize=1)
def _by_first_letter() -> dict[str, tuple[str, ...]]:
    lex = lexicon()
    buckets: dict[str, list[str]] = {}
    for word in sorted(lex.known):
        if len(word) >= 4 and word.isalpha():
            buckets.setdefault(word[0], []).append(word)
    return {first: tuple(words) for first, words in buckets.items()}


def slips_allowed(length: int) -> int:
    """How many slips of the pen a word of ``length`` letters may hold."""
    if length < 4:
        return 0
    return 1 if length < 7 else 2 if length < 11 else 3


@lru_cache(maxsize=8192)
def respelt(word: str) -> str | None:
    """The word of the lexicon that ``word`` is a misspelling of; ``None`` where it is a word by itself or near none.

    >>> respelt("hallide")
    'halide'
    """
    lex = lexicon()
    if len(word) < 4 or len(word) > 24 or word in lex.known or word in lex.plain:
        return None
    if word.endswith("s") and word[:-1] in lex.plain:
        return None
    best: tuple[int, int, str] | None = None
    allowed = slips_allowed(len(word))
    for candidate in _by_first_letter().get(word[0], ()):
        if abs(len(candidate) - len(word)) > allowed:
            continue
        if len(word) == 4 and candidate[-1] != word[-1]:
            continue
        distance = OSA.distance(word, candidate, score_cutoff=allowed)
        if distance <= min(allowed, slips_allowed(len(candidate))):
            # nearer first, then the same ending (people keep the plural), then the alphabet
            rank = (distance, 0 if candidate[-1] == word[-1] else 1, candidate)
            if best is None or rank < best:
                best = rank
    return best[2] if best else None
