"""Numbers that are said for what they name, not for how many: "item one", a ZIP code or an order number told digit by digit."""

from bot.reading.spoken import DIGIT_WORDS
from bot.reading.words import words_of

_LABELS = words_of("number item line type group kind")
_DIGITS = words_of("one two three four five six seven eight nine")
_NEAR = 90
"""So many words away the next or the last number of such a list may stand."""
_STATES = words_of("""alabama alaska arizona arkansas california colorado connecticut delaware florida georgia hawaii idaho illinois indiana
    iowa kansas kentucky louisiana maine maryland massachusetts michigan minnesota mississippi missouri montana nebraska nevada
    hampshire jersey mexico york carolina dakota ohio oklahoma oregon pennsylvania island tennessee texas utah vermont virginia
    washington wisconsin wyoming oh tx pa fl ga il in ia ks ky la ma md me mi mn ms mo mt nc nd ne nh nj nm nv ny ok or ri sc
    sd tn ut va vt wa wi wv wy al ak az ar ca co ct de hi id""")
_NUMBER = words_of("number num no is # numero")


def item_label(words: list[str], at: int, to: int) -> bool:
    """Whether the number word at ``at`` numbers an item of a spoken list: "number one twenty two high bays ... number two sixteen".

    Args:
        words: of the text.
        at: the first word of a run of number words.
        to: the index past the run.
    """
    if to - at < 2 or not at or words[at - 1] not in _LABELS or words[at] not in _DIGITS:
        return False
    value, label = DIGIT_WORDS[words[at]], words[at - 1]
    after = DIGIT_WORDS.get(words[at + 1], 99)
    for n in range(max(1, at - _NEAR), min(at + _NEAR, len(words))):
        if words[n - 1] == label and n != at and words[n] in _DIGITS:
            beside = DIGIT_WORDS[words[n]]
            if beside == value - 1 and n < at:
                return True
            if value == 1 and beside == 2 and n > at:
                return after != 0  # "number one oh eight"
    return False


def order_said(words: list[str], at: int) -> int:
    """How many words from ``at`` on tell an order's number digit by digit, behind "p o number"; 0 where none do."""
    before = at - 1
    while before > 0 and before >= at - 2 and words[before] in _NUMBER:
        before -= 1
    if before < 0:
        return 0
    name, first = words[before], words[before - 1] if before else ""
    if not (name in ("po", "p.o", "p.o.") or (first, name) in _ORDER):
        return 0
    to = at
    while to < len(words) and to < at + 12 and words[to] in DIGIT_WORDS:
        to += 1
    return to - at if to - at >= 3 else 0


_ORDER = frozenset({("p", "o"), ("pee", "oh"), ("pee", "o"), ("p", "oh"), ("purchase", "order")})


def zip_said(words: list[str], at: int) -> int:
    """5 where the words from ``at`` on tell a ZIP code digit by digit, behind a state's name or the word "zip"; else 0."""
    if not (words[at - 1 : at] and words[at - 1] in _STATES) and {"zip", "zipcode"}.isdisjoint(
        words[max(0, at - 3) : at]
    ):
        return 0
    digits = words[at : at + 6]
    if len(digits) < 5 or any(word not in DIGIT_WORDS for word in digits[:5]):
        return 0
    return 0 if len(digits) == 6 and digits[5] in DIGIT_WORDS else 5
