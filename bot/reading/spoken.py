"""Numbers as people say them: parts that run together, and hyphens inside one number."""

from bot.reading import numerals
from bot.reading.tokens import Token
from bot.reading.words import lexicon, words_of

DIGIT_WORDS = {"oh": 0, "zero": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7,
                "eight": 8, "nine": 9}  # fmt: skip

_TUBE_WORDS = {
    "eight": "T8",
    "eights": "T8",
    "8": "T8",
    "8s": "T8",
    "twelve": "T12",
    "twelves": "T12",
    "12": "T12",
    "12s": "T12",
}
_LONG_THINGS = words_of(
    """strip strips wrap wraps wraparound wraparounds tube tubes vapor vapors fluorescent fluorescents lamp lamps bulb bulbs
    slimline slimlines vaportight vaportights shop jelly channel channels battens led linear"""
)


SOLD = frozenset(
    {
        35,
        50,
        70,
        75,
        100,
        150,
        175,
        200,
        250,
        300,
        310,
        320,
        350,
        400,
        450,
        500,
        600,
        750,
        775,
        875,
        1000,
        1500,
    }
)
"""Watts that discharge and halogen lamps are sold in."""


def _counted_watts(run: list[str], best: list[numerals.Spoken]) -> list[numerals.Spoken] | None:
    """A count and watts that run together: "six thousand watt floods" are six of 1000 W, "twenty four hundred watt" twenty of 400 W."""
    if best[-1].value in SOLD or "-" in run:
        return None
    for cut in range(1, len(run)):
        head, tail = numerals.split(run[:cut])[0], numerals.split(run[cut:])[0]
        if len(head) == len(tail) == 1 and tail[0].value in SOLD and head[0].value < 100:
            return [
                *best[:-1],
                numerals.Spoken(head[0].value, cut),
                numerals.Spoken(tail[0].value, len(run) - cut),
            ]
    return None


def parted(words: list[str], at: int, to: int, best: list[numerals.Spoken]) -> list[numerals.Spoken] | None:
    """Numbers that run together in speech though what follows parts them; ``None`` where nothing does.

    "two thirty two watt t eights" is two of 32 W (there is no tube of 232 W); "forty eight foot strips" is forty of 8 ft.
    """
    last = best[-1]
    begin = to - last.words
    if last.words < 2 or not 13 < last.value < 10_000:
        return None
    behind = to + 1 if words[to : to + 1] == ["-"] else to  # "hundred and twenty four-foot strips"
    after = words[behind : behind + 5]
    if after[:1] and after[0] in ("watt", "watts", "watters", "watter", "w", "t", "t8", "t12"):
        rest = after[1:] if after[0].startswith("w") else after
        name = (
            rest[1]
            if len(rest) > 1 and rest[0] in ("t", "tee", "tea")
            else rest[0].lstrip("t")
            if rest
            else ""
        )
        source = _TUBE_WORDS.get(name, "")
        sold = {"T8": (17, 25, 28, 32, 59), "T12": (20, 30, 34, 40, 60)}.get(source, ())
        watts = last.value % 100
        if last.value > 100 and watts in sold and last.value // 100 <= 8 and words[begin + 1] != "hundred":
            return [*best[:-1], numerals.Spoken(last.value // 100, 1), numerals.Spoken(watts, last.words - 1)]
        return _counted_watts(words[begin:to], best) if rest is not after and begin == at else None
    if last.value >= 1000:
        return None
    if (
        after[:1]
        and after[0] in ("lamp", "lamps", "tube", "tubes", "bulb", "bulbs", "lampers")
        and words[to - 1] in ("one", "two", "three", "four", "six")
        and last.value % 10
        and last.value > 20
        and words[to - 2] not in ("-", "hundred")
    ):
        lamps = last.value % 10
        return [*best[:-1], numerals.Spoken(last.value - lamps, last.words - 1), numerals.Spoken(lamps, 1)]
    if after[:1] and after[0] in ("foot", "feet", "ft", "footers", "footer"):
        feet = last.value % 10
        if (
            feet in (2, 3, 4, 5, 6, 8)
            and words[to - 1] in DIGIT_WORDS
            and last.value > 20
            and words[to - 2] not in ("-", "hundred")
            and (begin == 0 or words[begin - 1] not in ("at", "up", "to", "is", "are", "about", "around"))
            and (after[0].startswith("footer") or any(word in _LONG_THINGS for word in after[1:4]))
        ):
            return [*best[:-1], numerals.Spoken(last.value - feet, last.words - 1), numerals.Spoken(feet, 1)]
    return None


_SURELY = {"fore": "four", "won": "one", "ate": "eight", "tree": "three", "sicks": "six"}
"""Words that no number's place gives another sense."""
_PERHAPS = {"for": "four", "to": "two", "too": "two", "sick": "six"}
_MISHEARD = _SURELY | _PERHAPS
_UNITS = words_of(
    "foot feet ft watt watts wat volt volts lamp lamps lampers tube tubes bulb bulbs inch inches"
)
_FEET = words_of("foot feet ft footers footer")
WATT = words_of("watt watts wat wats w")
_HOLDING = words_of("with w has have takes take holds hold each are use uses")
_TOWARD = words_of(
    "down up go going goes switch switching swap swapping change changing convert converting upgrade upgrading drop close equal equivalent from back led leds it them these those move moving cut"
)
"""Words behind which "to" leads to what is asked for."""
_AFTER_NUMBER = {"sense": "cents", "scents": "cents", "bolts": "volts", "vaults": "volts", "vults": "volts"}
_POLES = {"polls": "poles", "poll": "pole"}
HEARD_WRONG = frozenset([*_MISHEARD, *_AFTER_NUMBER, *_POLES])


def _is_number(word: str) -> bool:
    return word in numerals.WORDS or word in DIGIT_WORDS or word.replace(".", "").isdigit()


def _names(words: list[str], at: int, *kinds: str) -> bool:
    """Whether a name of the trade of one of these kinds stands at ``at``."""
    return at < len(words) and any(
        not mean.keys().isdisjoint(kinds) and words[at + 1 : at + 1 + len(rest)] == list(rest)
        for rest, mean in lexicon().phrases.get(words[at], ())
    )


_SIDES = words_of("for fore four fours to too two twos 2 4 2s 4s")


def _in_number(words: list[str], at: int) -> bool:
    """Whether what was heard as another word at ``at`` is a number: by what stands beside it."""
    word = words[at]
    before = words[at - 1] if at else ""
    after = words[at + 1] if at + 1 < len(words) else ""
    beyond = words[at + 2] if at + 2 < len(words) else ""
    sure = word in _SURELY
    if (after == "by" and beyond in _SIDES and word in ("to", "too", "won")) or (
        before == "by"
        and word in ("to", "too", "for", "fore")
        and at > 1
        and words[at - 2] in ("two", "2", "one", "1")
    ):
        return True  # "forty too by for troffers"
    if after in numerals.HUNDRED:
        to = at + 2
        while to < len(words) and words[to] in numerals.WORDS:
            to += 1
        unit = words[to] if to < len(words) else ""
        return before not in numerals.WORDS and (
            word not in ("to", "for") or unit in WATT or unit in ("volt", "volts")
        )
    if (
        after in _FEET
        and word in ("for", "fore", "ate")
        and (beyond in _LONG_THINGS or (_is_number(before) and beyond not in ("candles", "candle")))
    ):
        return True  # "eight for foot strips"
    if after in ("heads", "head") and beyond in ("each", "per", "apiece", "on"):
        return word in ("to", "too", "for", "fore")  # "poles to heads each"
    if before in numerals.TENS and not before.endswith("s"):
        # "twenty for hi bays", "twenty too foot ceiling"; "twenty to thirty" is a range
        return after in _UNITS or (word != "to" and _names(words, at + 1, "family"))
    if before == "point" and after not in DIGIT_WORDS:
        return word != "sick"  # "ten point to cents"
    if after in ("heads", "head") and before in _HOLDING:
        return word in ("to", "too", "for", "fore")
    if after in ("lamps", "tubes", "bulbs") and beyond in ("each", "per", "apiece"):
        return True
    if after in ("lamp", "lamps", "lampers", "tube", "tubes", "bulb", "bulbs"):
        priced = before == "each" and at > 1 and _is_number(words[at - 2])  # "$48 each for lamps"
        if sure or (before in _HOLDING and not priced) or (word == "sick" and after.startswith("lamp")):
            return True
        return after in ("lamp", "tube", "lampers") and (
            beyond in ("t", "tea", "tee") or _names(words, at + 2, "source", "family", "size")
        )
    if after == "oh" and beyond in DIGIT_WORDS:
        return word in ("to", "too")  # "to oh eight"
    if (
        before in ("plus", "also", "and")
        and word in ("for", "fore", "to", "too")
        and _names(words, at + 1, "family")
    ):
        # "twelve canopy lights and for garage lights": one more item of a list that counts
        earlier = words[:at]
        return "for" not in earlier and any(heard in numerals.WORDS for heard in earlier)
    if after == "of" and beyond in ("them", "em", "those", "these", "um"):
        return word != "sick"
    if word in ("to", "too") and after == "shifts":
        return True
    if after in numerals.TENS:
        # "won seventy five watt", "to seventy seven volt"
        to = at + 3 if beyond in DIGIT_WORDS else at + 2
        unit = words[to] if to < len(words) else ""
        if word == "won":
            return True
        said = numerals.split([_MISHEARD[word], *words[at + 1 : to]])[0]
        if len(said) != 1 or said[0].value not in numerals.FAMILIAR:
            return False
        return unit in ("volt", "volts") or (
            unit in WATT and (word != "to" or (before not in _TOWARD and not _is_number(before)))
        )
    return word in ("ate", "won", "tree") and not _is_number(before) and _names(words, at + 1, "family")


def reheard(words: list[str]) -> None:
    """Put right, in place, number words and units that were heard as others: "for hundred watt", "with to lamps", "eleven sense"."""
    for at, word in enumerate(words):
        if word in _AFTER_NUMBER:
            if at and _is_number(words[at - 1]):
                words[at] = _AFTER_NUMBER[word]
        elif word in _POLES:
            if word == "polls" or (at and words[at - 1] in _FEET):
                words[at] = _POLES[word]
        elif word in _MISHEARD and _in_number(words, at):
            words[at] = _MISHEARD[word]


_SMALL = words_of("one two three four five six seven eight nine")
_LARGER = words_of(
    """oh zero ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen twenty thirty forty fourty
    fifty sixty seventy eighty ninety fifties seventies eighties forties"""
)


def unhyphened(tokens: list[Token]) -> list[Token]:
    """Tokens without hyphens that only join: in a number of two parts ("two-fifty", "two-oh-eight", but "ten-twelve" keeps its), and before feet ("20-ft")."""
    last = len(tokens) - 1
    return [
        token
        for at, token in enumerate(tokens)
        if not (
            token.text == "-"
            and token.glued
            and 0 < at < last
            and tokens[at + 1].glued
            and (
                (tokens[at - 1].text in _SMALL and tokens[at + 1].text in _LARGER)
                or (tokens[at - 1].text in ("oh", "zero") and tokens[at + 1].text in _SMALL)
                or (tokens[at - 1].kind == "n" and tokens[at + 1].text in ("ft", "foot", "feet"))
            )
        )
    ]
