"""Misspelt words that lead to something ("custmer:", "need by firday", "sparkign"): put right before the text is read.

The words of the trade are mended one by one where they stand; these are words of the sentences around them, which are
looked for in the text itself.
"""

import re
from dataclasses import replace
from functools import lru_cache

from rapidfuzz.distance import OSA

from bot.reading import numerals
from bot.reading.intents import intent_words
from bot.reading.message import Message
from bot.reading.spaced import as_sent
from bot.reading.spelling import respelt
from bot.reading.words import lexicon, words_of

_WORD = re.compile(r"[a-z]{5,20}")
_LEADING = words_of(
    """customer client cliente project deadline needed friday monday tuesday wednesday thursday saturday sunday
    viernes jueves martes miercoles sabado domingo weekdays weekends january february september october november december
    enero febrero septiembre octubre noviembre diciembre thanksgiving christmas tomorrow location proyecto"""
)
_TEENS = {
    "for": "four", "four": "four", "fore": "four", "six": "six", "sicks": "six", "seven": "seven", "ate": "eigh", "eight": "eigh",
    "eigh": "eigh", "nine": "nine", "fif": "fif", "thir": "thir", "thur": "thir",
}  # fmt: skip
_HEARD = re.compile(
    r"(?<![a-z])(?:(?P<teen>for|four|fore|six|sicks|seven|ate|eight?|nine|fif|th[iu]r)[ -]teen(?![a-z])"
    r"|(?P<pa>pa)(?= (?:el|la|los|las|un|una|que|mi|reemplazar|cambiar|quitar|poner|sustituir|cotizar|afuera|la|[a-z]{3,12}(?:ar|er|ir))(?![a-z])))"
)
"""Numbers heard in two words ("for teen"), and "para" as it is spoken."""
_NAMES: tuple[str, ...] = ("customer", "site", "po")
"""Slots whose value is as written."""


@lru_cache(maxsize=1)
def _by_first_letter() -> dict[str, tuple[str, ...]]:
    known = lexicon().known
    found: dict[str, list[str]] = {}
    for word in sorted(_LEADING | {word for word in intent_words() if len(word) >= 6 and word not in known}):
        found.setdefault(word[0], []).append(word)
    return {first: tuple(words) for first, words in found.items()}


@lru_cache(maxsize=4096)
def cue_word(word: str) -> str | None:
    """The leading word that ``word`` is a misspelling of; ``None`` where it is near none, or rather a word of the trade.

    >>> cue_word("custmer"), cue_word("firday"), cue_word("hobart")
    ('customer', 'friday', None)
    """
    if word in _LEADING or word in intent_words():
        return None
    best: tuple[int, str] | None = None
    allowed = 1 if len(word) < 9 else 2
    for candidate in _by_first_letter().get(word[0], ()):
        distance = OSA.distance(word, candidate, score_cutoff=allowed)
        if (
            distance <= allowed
            and (best is None or (distance, candidate) < best)
            and _slipped(word, candidate)
        ):
            best = (distance, candidate)
    if best is None:
        return None
    trade = respelt(word)
    if trade is not None and trade != best[1] and OSA.distance(word, trade) <= best[0]:
        return None
    return best[1]


def _slipped(word: str, right: str) -> bool:
    """Whether it is a slip of the pen and no other form of the word, nor another word ("figured", "stocked")."""
    if right.startswith(word) or word.startswith(right):
        return False
    if right in _LEADING:
        return True
    alike = 0
    while word[alike] == right[alike]:
        alike += 1
    # letters swapped, left out or doubled: a letter in place of another rather makes another word
    dropped = len(word) != len(right) or sorted(word) == sorted(right)
    return dropped and (alike < len(word) - 3 or right in intent_words("handoff"))


def mended(text: str, folded: str) -> tuple[str, list[int]] | None:
    """The text with its leading words put right, and for each of its characters the place in the text as sent.

    Returns:
        ``None`` where nothing is to be mended.
    """
    lex = lexicon()
    heard = list(_HEARD.finditer(folded)) if "teen" in folded or " pa " in folded else []
    strange = {
        word
        for word in _WORD.findall(folded)
        if word not in lex.plain and word not in lex.known and word not in numerals.WORDS
    }
    better = {word: right for word in strange if (right := cue_word(word)) is not None} if strange else {}
    if not better and not heard:
        return None
    out: list[str] = []
    kept: list[int] = []
    at = 0
    put = [
        (*match.span(), better[match.group()]) for match in _WORD.finditer(folded) if match.group() in better
    ]
    put.extend((*match.span(), "para" if match["pa"] else _TEENS[match["teen"]] + "teen") for match in heard)
    for start, end, right in sorted(put):
        if start < at:
            continue
        out.append(text[at:start])
        kept.extend(range(at, start))
        sent = text[start:end]
        out.append(right.upper() if sent.isupper() else right.capitalize() if sent[:1].isupper() else right)
        last = len(right) - 1
        kept.extend(end - 1 if n == last else min(start + n, end - 1) for n in range(len(right)))
        at = end
    out.append(text[at:])
    kept.extend(range(at, len(text)))
    return "".join(out), kept


def with_sent_places(message: Message, kept: list[int], text: str) -> Message:
    """The message read of a mended text with its places, and its names, in the text as sent."""
    told = as_sent(message, kept, len(text))
    for slot in _NAMES:
        said = told.job.get(slot)
        if said is not None and isinstance(said.value, str):
            told.job[slot] = replace(said, value=text[said.start : said.end])
    return told
