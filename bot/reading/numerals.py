"""Number words of English and Spanish, and the ways people run them together ("two fifty" is 250)."""

from typing import NamedTuple

_UNITS = {
    "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9,
    "uno": 1, "dos": 2, "tres": 3, "cuatro": 4, "cinco": 5, "seis": 6, "siete": 7, "ocho": 8, "nueve": 9,
}  # fmt: skip
_TEENS = {
    "ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16,
    "seventeen": 17, "eighteen": 18, "nineteen": 19, "diez": 10, "once": 11, "doce": 12, "trece": 13, "catorce": 14,
    "quince": 15, "dieciseis": 16, "diecisiete": 17, "dieciocho": 18, "diecinueve": 19, "veintiuno": 21, "veintiun": 21,
    "veintidos": 22, "veintitres": 23, "veinticuatro": 24, "veinticinco": 25, "veintiseis": 26, "veintisiete": 27,
    "veintiocho": 28, "veintinueve": 29, "veintiuna": 21,
}  # fmt: skip
_TENS = {
    "twenty": 20, "thirty": 30, "forty": 40, "fourty": 40, "fifty": 50, "sixty": 60, "seventy": 70, "eighty": 80,
    "ninety": 90, "veinte": 20, "treinta": 30, "cuarenta": 40, "cincuenta": 50, "sesenta": 60, "setenta": 70,
    "ochenta": 80, "noventa": 90, "twelves": 12, "twenties": 20, "thirties": 30, "forties": 40, "fifties": 50,
    "sixties": 60, "seventies": 70, "eighties": 80, "nineties": 90, "fifteens": 15, "fiddy": 50, "fitty": 50, "fiddies": 50,
    "fidy": 50, "twenny": 20, "ninty": 90, "fivty": 50, "therty": 30, "sevendy": 70,
}  # fmt: skip
_PLURAL_UNITS = {
    "fives": 5,
    "sevens": 7,
    "eights": 8,
    "nines": 9,
    "twos": 2,
    "fours": 4,
    "sixes": 6,
    "threes": 3,
}
_HUNDREDS = {
    "cien": 100, "ciento": 100, "doscientos": 200, "doscientas": 200, "trescientos": 300, "trescientas": 300,
    "cuatrocientos": 400, "cuatrocientas": 400, "quinientos": 500, "quinientas": 500, "seiscientos": 600, "seiscientas": 600,
    "setecientos": 700, "setecientas": 700, "ochocientos": 800, "ochocientas": 800, "novecientos": 900, "novecientas": 900,
}  # fmt: skip
_HUNDRED = frozenset(
    {
        "hundred",
        "hundreds",
        "hunderd",
        "hunnerd",
        "hundered",
        "hundreth",
        "hundrd",
        "hunny",
        "hunna",
        "hunert",
        "hunnert",
        "hunned",
        "cientos",
        "cientas",
    }
)
_THOUSAND = frozenset({"thousand", "thousands", "mil", "thousan"})
HUNDRED = _HUNDRED
BEFORE_AND = _HUNDRED | {"thousand", "thousan"}
"""Words behind which "and" goes on with the number: "two hundred and ten"."""
CUT_ONE = frozenset({"un", "una"})
"""How "uno" ends a Spanish number before its noun; alone it is an article."""
_ZERO = frozenset({"oh", "zero"})
_ANDS = frozenset({"and", "n", "y", "-"})

FAMILIAR = frozenset({120, 208, 240, 277, 347, 480, 150, 175, 250, 310, 320, 350, 100, 400, 750, 1000, 1500})
"""Lamp watts and supply voltages that people say as "two fifty", "four eighty"."""

WORDS = frozenset([*_UNITS, *_TEENS, *_TENS, *_HUNDREDS, *_HUNDRED, *_THOUSAND, *_PLURAL_UNITS])

TENS = frozenset(_TENS)
HEADS = frozenset(_HUNDREDS) | {"mil"}
"""The words that a cut "uno" may follow at once."""


class Spoken(NamedTuple):
    """A number said in words: its value and how many words of the run it took."""

    value: float
    words: int


def _small(words: list[str], at: int) -> tuple[int, int] | None:
    """A number below 100 at ``at``: (value, words taken)."""
    if at >= len(words):
        return None
    word = words[at]
    if word in _TEENS:
        return _TEENS[word], 1
    if word in _TENS:
        to = at + 1
        if to < len(words) and words[to] in ("-", "y") and to + 1 < len(words):
            if words[to + 1] in _UNITS:
                return _TENS[word] + _UNITS[words[to + 1]], 3
            if words[to + 1] in CUT_ONE:
                return _TENS[word] + 1, 3
        if to < len(words) and words[to] in _UNITS:
            return _TENS[word] + _UNITS[words[to]], 2
        if to < len(words) and words[to] in _PLURAL_UNITS:
            return _TENS[word] + _PLURAL_UNITS[words[to]], 2
        return _TENS[word], 1
    if word in _UNITS:
        return _UNITS[word], 1
    if word in CUT_ONE and at:
        return 1, 1
    return None


def _below_thousand(words: list[str], at: int) -> list[tuple[int, int, float]]:
    """Every number below 1000 that may be said at ``at``: (value, words taken, cost)."""
    out: list[tuple[int, int, float]] = []
    word = words[at]
    if word in _HUNDREDS:
        out.append((_HUNDREDS[word], 1, 1.0))
        rest = _small(words, at + 1)
        if rest:
            out.append((_HUNDREDS[word] + rest[0], 1 + rest[1], 0.9))
        return out
    small = _small(words, at)
    if small is None:
        if word in _HUNDRED:
            out.append((100, 1, 1.0))
            to = at + 2 if at + 1 < len(words) and words[at + 1] in _ANDS else at + 1
            rest = _small(words, to)
            if rest:
                out.append((100 + rest[0], to - at + rest[1], 0.9))
        return out
    value, used = small
    out.append((value, used, 1.0))
    if word in _TENS and used > 1:
        out.append((_TENS[word], 1, 1.0))
    after = at + used
    if after < len(words) and words[after] in _HUNDRED:
        out.append((value * 100, used + 1, 1.0))
        to = after + 1
        if to < len(words) and words[to] in _ANDS:
            to += 1
        rest = _small(words, to)
        if rest:
            out.append((value * 100 + rest[0], to - at + rest[1], 0.9))
    elif word in _UNITS and after < len(words):
        if words[after] in _ZERO and after + 1 < len(words) and words[after + 1] in _UNITS:
            out.append((value * 100 + _UNITS[words[after + 1]], used + 2, 1.0))
        rest = _small(words, after)
        if rest and rest[0] >= 10:
            together = value * 100 + rest[0]
            out.append((together, used + rest[1], 0.9 if together in FAMILIAR else 1.3))
            if rest[1] > 1 and words[after] in _TENS:
                whole = value * 100 + _TENS[words[after]]
                out.append((whole, used + 1, 0.9 if whole in FAMILIAR else 1.3))
    return out


def _spoken(words: list[str], at: int) -> list[tuple[int, int, float]]:
    """Every number that may be said at ``at``: (value, words taken, cost; lower is likelier)."""
    out = _below_thousand(words, at)
    if words[at] in _THOUSAND:
        out.append((1000, 1, 1.0))
        heads = [(1, 0, 1.0)]
    else:
        heads = list(out)
    for value, used, cost in heads:
        after = at + used
        if after < len(words) and words[after] in _THOUSAND:
            out.append((value * 1000, used + 1, cost))
            to = after + 1
            if to + 1 < len(words) and words[to] in ("and", "n"):
                to += 1
                for rest, more, _ in _below_thousand(words, to):
                    if rest < 100 and more:
                        # "one thousand and fifty"
                        out.append((value * 1000 + rest, to - at + more, cost))
            elif to < len(words):
                for rest, more, _ in _below_thousand(words, to):
                    if rest >= 100 or more:
                        out.append((value * 1000 + rest, used + 1 + more, cost))
    return out


def split(words: list[str]) -> tuple[list[Spoken], list[Spoken] | None]:
    """The likeliest numbers said by a run of number words, and the next likeliest where it is near.

    >>> [n.value for n in split(["forty", "two", "four", "hundred"])[0]]
    [42, 400]
    """
    count = len(words)
    best: list[list[tuple[float, tuple[Spoken, ...]]]] = [[] for _ in range(count + 1)]
    best[0] = [(0.0, ())]
    for at in range(count):
        if not best[at]:
            continue
        best[at].sort(key=lambda item: (item[0], len(item[1])))
        del best[at][3:]
        if words[at] in _ANDS or words[at] in _ZERO:
            best[at + 1].extend((cost + 0.6, done) for cost, done in best[at])
            continue
        for value, used, cost in _spoken(words, at):
            for total, done in best[at]:
                best[at + used].append((total + cost, (*done, Spoken(value, used))))
    final = sorted(best[count], key=lambda item: (item[0], len(item[1])))
    if not final:
        return [], None
    second = next(
        (list(done) for cost, done in final[1:] if cost - final[0][0] < 0.25 and done != final[0][1]), None
    )
    return list(final[0][1]), second
