"""Misspelt words of the trade: the nearest word of the lexicon, or none. A total order breaks ties."""

import re
from functools import lru_cache

from rapidfuzz.distance import OSA

from bot.reading import numerals
from bot.reading.words import lexicon, words_of

# misspelt or misheard words that stand in some phrase of the lexicon: no word is mended into one of these
_ODD = words_of(
    """halaide hallyde hellide haloid halogenide hayride hallowed allied arounds bathe bathes baze bazes beds backed baes
    bayer bayers boxs brushed essent essents flos fluro guey gueys hailed heards heds hoods jell jely jellie kilovat laid
    layed lide lits meadow mettle nght nite paqs packets packeds pact pacts pannel pannels pecks picks pucks puls pulst
    quise scones sine sines ther tites tack vape vapes vaporer warr hed ley bey obra tira tiro moja mano kilo tres twos
    flower forest fellowship holiday medal mental middle exist exists ballard bullard pollard trooper truffle park patch
    whole wolf walk highway scone bass phase show"""
)


@lru_cache(maxsize=1)
def _by_first_letter() -> dict[str, tuple[str, ...]]:
    lex = lexicon()
    buckets: dict[str, list[str]] = {}
    for word in sorted(lex.known):
        if len(word) >= 4 and word.isalpha() and word not in _ODD:
            buckets.setdefault(word[0], []).append(word)
    return {first: tuple(words) for first, words in buckets.items()}


def slips_allowed(length: int) -> int:
    """How many slips of the pen a word of ``length`` letters may hold."""
    if length < 4:
        return 0
    return 1 if length < 7 else 2 if length < 11 else 3


def slips(word: str, meant: str) -> int:
    """How many slips of the pen lie between a word and the word that was meant."""
    return OSA.distance(word, meant)


@lru_cache(maxsize=8192)
def respelt(word: str) -> str | None:
    """The word of the lexicon that ``word`` is a misspelling of; ``None`` where it is a word by itself or near none.

    >>> respelt("troffar")
    'troffer'
    """
    lex = lexicon()
    if len(word) < 4 or len(word) > 24 or word in lex.known or word in lex.plain:
        return None
    if word.endswith("s") and word[:-1] in lex.plain:
        # a plural, or the short form of "is": "heights", "everythings"
        return word[:-1] if word[:-1] in lex.known and len(word) > 4 else None
    if (full := _in_full(word)) is not None:
        return full
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


_VOWELS = frozenset("aeiou")


@lru_cache(maxsize=1)
def _by_consonants() -> dict[str, tuple[str, ...]]:
    found: dict[str, list[str]] = {}
    for words in _by_first_letter().values():
        for word in words:
            found.setdefault(_consonants(word), []).append(word)
    return {bones: tuple(words) for bones, words in found.items()}


def _consonants(word: str) -> str:
    return word[0] + "".join([char for char in word[1:] if char not in _VOWELS])


def _in_full(word: str) -> str | None:
    """The shortest word that ``word`` is without its vowels, one kept at most: "wllpcks", "hlde".

    >>> _in_full("hlde"), _in_full("wllpcks"), _in_full("sodum")
    ('halide', 'wallpacks', None)
    """
    bones = _consonants(word)
    if len(bones) < 3 or len(word) - len(bones) > 1:
        return None
    fitting = [
        (len(meant), meant)
        for meant in _by_consonants().get(bones, ())
        if len(meant) > len(word) and _drops_letters(word, meant)
    ]
    return min(fitting)[1] if fitting else None


def _drops_letters(word: str, meant: str) -> bool:
    """Whether the letters of ``word`` stand in ``meant`` in their order."""
    letters = iter(meant)
    return all(char in letters for char in word)


_NAMES = ("family", "source", "controls", "mount", "optic", "flag", "damp_or_wet", "schedule")


@lru_cache(maxsize=4096)
def completes(first: str, word: str) -> str | None:
    """The word that ``word`` is a slip of, if ``first`` and that word make a name of the trade: ("hi", "bys") is "bays"."""
    plain = word in lexicon().plain
    if plain and len(word) < 5:
        return None
    best: tuple[int, str] | None = None
    for rest, mean in lexicon().phrases.get(first, ()):
        if len(rest) != 1 or len(rest[0]) < 3 or not any(kind in mean for kind in _NAMES):
            continue
        if plain and "family" not in mean:
            continue
        limit = 1 if len(word) < 6 or plain else 2
        distance = OSA.distance(word, rest[0], score_cutoff=limit)
        if distance > limit and word == _consonants(rest[0]):
            distance = limit  # "mtl hld"
        if distance <= limit and word[0] == rest[0][0] and (best is None or (distance, rest[0]) < best):
            best = (distance, rest[0])
    return best[1] if best else None


_DOUBLED = re.compile(r"(.)\1+")
_ORDINALS = words_of("third fourth fifth sixth seventh eighth ninth tenth first")
_NUMBER_WORDS = tuple(sorted(word for word in numerals.WORDS if len(word) >= 4))


@lru_cache(maxsize=4096)
def number_word(word: str) -> str | None:
    """The number word that ``word`` is a slip of: one letter wrong, missing, doubled or swapped, and no word by itself.

    >>> number_word("forteen"), number_word("eigth"), number_word("seen")
    ('fourteen', 'eight', None)
    """
    if (
        len(word) < 4
        or len(word) > 14
        or word in lexicon().plain
        or word in lexicon().known
        or word in _ORDINALS
    ):
        return None
    single = _DOUBLED.sub(r"\1", word)
    if single in numerals.WORDS and len(single) == 3:
        return single  # "tenn", "sixx"
    best: tuple[int, str] | None = None
    for candidate in _NUMBER_WORDS:
        if candidate[0] != word[0] or abs(len(candidate) - len(word)) > 1:
            continue
        distance = OSA.distance(word, candidate, score_cutoff=1)
        if distance <= 1 and (best is None or (distance, candidate) < best):
            best = (distance, candidate)
    return best[1] if best else None


_UNIT_WORDS = ("feet", "foot", "inch", "lamp", "lamps", "volt", "volts", "watt", "watts")


@lru_cache(maxsize=4096)
def unit_word(word: str) -> str | None:
    """The unit that a word right behind a number is a slip of: one letter wrong, missing, doubled or swapped.

    >>> unit_word("foor"), unit_word("wattt"), unit_word("food")
    ('foot', 'watt', None)
    """
    lex = lexicon()
    if not 3 <= len(word) <= 6 or ((word in lex.known or word in lex.plain) and word != "foto"):
        return None
    for candidate in _UNIT_WORDS:
        if candidate[0] == word[0] and OSA.distance(word, candidate, score_cutoff=1) <= 1:
            return candidate
    return None


@lru_cache(maxsize=4096)
def begins(word: str, second: str) -> str | None:
    """The word that ``word`` is a slip of, if that word and ``second`` make a name of the trade: ("wal", "pack") is "wall"."""
    best: tuple[int, str] | None = None
    for candidate in _by_first_letter().get(word[0], ()):
        limit = 1 if len(word) < 6 else 2
        if abs(len(candidate) - len(word)) > limit:
            continue
        distance = OSA.distance(word, candidate, score_cutoff=limit)
        if distance > limit or (best is not None and (distance, candidate) >= best):
            continue
        if any(
            rest[:1] == (second,) and any(kind in mean for kind in _NAMES)
            for rest, mean in lexicon().phrases.get(candidate, ())
        ):
            best = (distance, candidate)
    return best[1] if best else None
