"""Numbers as people say them: parts that run together, and hyphens inside one number."""

from bot.reading import numerals
from bot.reading.tokens import Token
from bot.reading.words import words_of

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


_SOLD = frozenset(
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
    if best[-1].value in _SOLD or "-" in run:
        return None
    for cut in range(1, len(run)):
        head, tail = numerals.split(run[:cut])[0], numerals.split(run[cut:])[0]
        if len(head) == len(tail) == 1 and tail[0].value in _SOLD and head[0].value < 100:
            if run[cut:] == ["hundred"] and head[0].value < 20:
                continue
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
    if after[:1] and after[0] in ("watt", "watts", "w", "t", "t8", "t12"):
        rest = after[1:] if after[0] in ("watt", "watts", "w") else after
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


_MISHEARD = {"for": "four", "fore": "four", "to": "two", "too": "two", "won": "one", "ate": "eight"}


def reheard(words: list[str]) -> None:
    """As in "for hundred watt": a number word that was heard as another, right before "hundred"."""
    for at in range(len(words) - 1):
        if words[at + 1] in ("hundred", "hunderd", "hunnerd") and words[at] in _MISHEARD:
            if at and words[at - 1] in numerals.WORDS:
                continue
            if words[at] in ("to", "for") and words[at + 2 : at + 3] not in (
                ["watt"],
                ["watts"],
                ["wat"],
                ["wats"],
                ["w"],
            ):
                continue
            words[at] = _MISHEARD[words[at]]


_SMALL = words_of("one two three four five six seven eight nine")
_LARGER = words_of(
    """oh zero ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen twenty thirty forty fourty
    fifty sixty seventy eighty ninety fifties seventies eighties forties"""
)


def unhyphened(tokens: list[Token]) -> list[Token]:
    """Tokens without the hyphens inside a number said in two parts: "two-fifty", "two-oh-eight" (but "ten-twelve" keeps its)."""
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
            )
        )
    ]
