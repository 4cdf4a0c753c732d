"""From tokens to atoms: phrases of the lexicon, numbers (written or said), codes, marks and plain words."""

import re
from functools import cache
from typing import Any, final

from bot.reading import numerals
from bot.reading.codes import bulb_shape, lamp_code, long_code
from bot.reading.phrasing import Key, Meanings
from bot.reading.spelled_out import item_label, order_said, zip_said
from bot.reading.spelling import begins, completes, number_word, respelt, slips, unit_word
from bot.reading.spoken import DIGIT_WORDS, HEARD_WRONG, SOLD, WATT, parted, reheard, unhyphened
from bot.reading.tokens import Token, unglued
from bot.reading.words import lexicon

_NOTHING: dict[str, Any] = {}
_BULLET: dict[str, Any] = {"bullet": True}
_TRADE = frozenset(
    [
        "family",
        "family_weak",
        "source",
        "optic",
        "flag",
        "finish",
        "mount",
        "controls",
        "damp_or_wet",
        "size",
        "voltage",
        "led",
        "generic",
    ]
)


@final
class Atom:
    """The unit that the rules speak of. Never changed once it is made.

    A class of its own, for rules ask atoms for their fields hundreds of times a message: compiled, that costs a tenth of
    asking a named tuple.

    Attributes:
        kind: ``n`` number, ``p`` phrase, ``w`` plain word, ``c`` code, ``s`` mark, ``b`` line break, ``x`` a number
            that is none of our business (a phone, a street, a part number).
        start, end: characters in the text as sent.
        text: folded text.
        value: of a number.
        mean: of a phrase: kind -> value; of a code: the slots that it states.
        glued: no space before it.
        others: other values that a number could be.
        fuzzy: recognised in spite of a slip of the pen.
    """

    __slots__ = ("end", "fuzzy", "glued", "kind", "mean", "others", "start", "text", "value")

    def __init__(
        self,
        kind: str,
        start: int,
        end: int,
        text: str,
        value: float = 0.0,
        mean: dict[str, Any] = _NOTHING,
        glued: bool = False,
        others: tuple[float, ...] = (),
        fuzzy: bool = False,
    ) -> None:
        self.kind = kind
        self.start = start
        self.end = end
        self.text = text
        self.value = value
        self.mean = mean
        self.glued = glued
        self.others = others
        self.fuzzy = fuzzy

    def moved(self, by: int) -> "Atom":
        """The same so many characters further on."""
        return Atom(
            self.kind, self.start + by, self.end + by, self.text, self.value, self.mean, self.glued,
            self.others, self.fuzzy,
        )  # fmt: skip

    def _replace(
        self,
        kind: str | None = None,
        start: int | None = None,
        end: int | None = None,
        text: str | None = None,
        value: float | None = None,
        mean: dict[str, Any] | None = None,
        glued: bool | None = None,
        others: tuple[float, ...] | None = None,
        fuzzy: bool | None = None,
    ) -> "Atom":
        """The atom with some fields otherwise."""
        return Atom(
            self.kind if kind is None else kind,
            self.start if start is None else start,
            self.end if end is None else end,
            self.text if text is None else text,
            self.value if value is None else value,
            self.mean if mean is None else mean,
            self.glued if glued is None else glued,
            self.others if others is None else others,
            self.fuzzy if fuzzy is None else fuzzy,
        )


_FOLLOWED: dict[str, dict[str, tuple[tuple[Key, Meanings], ...]]] = {}
"""By first word, see `_followed`."""


def _followed(first: str) -> dict[str, tuple[tuple[Key, Meanings], ...]]:
    """The phrases that begin with a word by their second word, longest first; under ``""`` the word alone."""
    rests = lexicon().phrases[first]
    alone = tuple([phrase for phrase in rests if not phrase[0]])
    seconds = {rest[0] for rest, _ in rests if rest}
    found = {"": alone} | {
        second: (*[phrase for phrase in rests if phrase[0][:1] == (second,)], *alone) for second in seconds
    }
    _FOLLOWED[first] = found
    return found


def _match(words: list[str], at: int, stop: int) -> tuple[int, Meanings] | None:
    """The longest phrase at ``at``: (index past it, meanings). Hyphens inside a phrase are skipped."""
    followed = _FOLLOWED.get(words[at]) or _followed(words[at])
    to = at + 1
    if to < stop and words[to] == "-":
        to += 1
    for rest, mean in followed.get(words[to] if to < stop else "", ()) or followed[""]:
        to = at + 1
        for word in rest:
            if to < stop and words[to] == "-" and word != "-":
                to += 1
            if to >= stop or words[to] != word:
                break
            to += 1
        else:
            return to, mean
    return None


def _number_run(tokens: list[Token], words: list[str], at: int) -> int:
    """The index past the run of number words that begins at ``at``."""
    to = at
    count = len(words)
    while to < count and to - at < 24:
        word = words[to]
        if (
            word in ("two", "one")
            and words[to + 1 : to + 2] == ["by"]
            and words[to + 2 : to + 3]
            and words[to + 2] in ("four", "two", "fours", "twos", "4", "2")
        ):
            break
        if word in numerals.WORDS:
            to += 1
        elif (
            word in numerals.CUT_ONE and to > at and (words[to - 1] == "y" or words[to - 1] in numerals.HEADS)
        ):
            to += 1  # "treinta y un reflectores", "ciento una luminarias"
        elif (
            word == ","
            and to > at
            and words[to - 1] == "thousand"
            and words[to + 2 : to + 3] == ["hundred"]
            and words[to + 1] in DIGIT_WORDS
        ):
            to += 1  # "one thousand, two hundred six"
        elif (
            word in ("and", "n", "y", "-", "oh", "zero")
            and to > at
            and to + 1 < count
            and (
                words[to + 1] in numerals.WORDS
                or (word == "y" and words[to + 1] in numerals.CUT_ONE and words[to - 1] in numerals.TENS)
            )
        ):
            if word in ("and", "n") and words[to - 1] not in numerals.BEFORE_AND:
                break
            to += 1
        else:
            break
    return to


def _numbers(tokens: list[Token], words: list[str], at: int, out: list[Atom]) -> int:
    """Append the numbers said from ``at`` on; the index past them."""
    to = _number_run(tokens, words, at)
    places = [index for index in range(at, to) if words[index] not in "-,"]
    run = [words[index] for index in places]
    if item_label(words, at, to):
        out.append(
            Atom("p", tokens[at].start, tokens[at].end, words[at], mean=_BULLET, glued=tokens[at].glued)
        )
        return at + 1
    if words[at] in DIGIT_WORDS and to > at + 2 and (said := zip_said(words, at) or order_said(words, at)):
        digits = "".join([str(DIGIT_WORDS[word]) for word in words[at : at + said]])
        start, end = tokens[at].start, tokens[at + said - 1].end
        if zip_said(words, at):
            out.append(Atom("n", start, end, digits, float(digits), glued=tokens[at].glued))
        else:
            mean = {"job_po": (start, end), "said": digits}
            out.append(Atom("p", start, end, digits, mean=mean, glued=tokens[at].glued))
        return at + said
    if len(run) >= 6 and all(word in DIGIT_WORDS for word in run):
        # digits said one by one: a telephone
        out.append(Atom("x", tokens[at].start, tokens[to - 1].end, " ".join(run), glued=tokens[at].glued))
        return to
    best, second = numerals.split(run)
    if not best:
        return at
    apart = parted(words, at, to, best)
    if apart is not None:
        best, second = apart, None
    begin = tokens[at].start
    if words[at] in ("hundred", "thousand") and out and out[-1].text == "a":
        begin = out.pop().start  # "a hundred": the word before it counts it
    position = 0
    seconds = [spoken.value for spoken in second] if second and len(second) == len(best) else []
    for index, spoken in enumerate(best):
        while run[position] in ("and", "n", "y"):
            position += 1
        first, final = tokens[places[position]], tokens[places[position + spoken.words - 1]]
        other = (float(seconds[index]),) if seconds and seconds[index] != spoken.value else ()
        text = " ".join(run[position : position + spoken.words])
        out.append(
            Atom(
                "n",
                begin if not index else first.start,
                final.end,
                text,
                float(spoken.value),
                glued=first.glued,
                others=other,
            )
        )
        position += spoken.words
    # "eleven point five", "point one one": the decimals are said digit by digit
    if to < len(words) and words[to] == "point":
        digits = ""
        end = to + 1
        while end < len(words) and words[end] in DIGIT_WORDS:
            digits += str(DIGIT_WORDS[words[end]])
            end += 1
        if digits:
            told = out[-1]
            out[-1] = told._replace(value=told.value + float("0." + digits), end=tokens[end - 1].end)
            to = end
    return to


_HALVES = frozenset({"-", "ish", "and", "n", "an", "+", "y", "1", "½", "¼", "¾"})
"""The words that what is added to a number begins with."""


def _half(tokens: list[Token], words: list[str], at: int, out: list[Atom]) -> int:
    """Add "and a half", "1/2", "½" to the number that was said last; the index past it."""
    if at >= len(words) or words[at] not in _HALVES or not out or out[-1].kind != "n":
        return at
    last = out[-1]
    if words[at : at + 2] == ["-", "ish"] or words[at : at + 1] == ["ish"]:
        return at + (2 if words[at] == "-" else 1)
    if (
        words[at] in ("and", "n", "an", "+")
        and words[at + 1 : at + 3] == ["a", "half"]
        and words[at + 3 : at + 4] not in (["dozen"], ["doz"])
    ):
        out[-1] = last._replace(value=last.value + 0.5, end=tokens[at + 2].end)
        return at + 3
    if (
        words[at] in ("and", "n")
        and words[at + 1 : at + 2]
        and words[at + 1] in ("a", "one", "three")
        and words[at + 2 : at + 3] in (["quarter"], ["quarters"])
    ):
        out[-1] = last._replace(
            value=last.value + (0.75 if words[at + 1] == "three" else 0.25), end=tokens[at + 2].end
        )
        return at + 3  # "eight and three quarter cents"
    if words[at : at + 2] == ["y", "medio"] or words[at : at + 2] == ["y", "media"]:
        out[-1] = last._replace(value=last.value + 0.5, end=tokens[at + 1].end)
        return at + 2
    step = at + 1 if words[at : at + 1] == ["-"] else at
    if words[step : step + 3] == ["1", "/", "2"] and last.value == int(last.value) and tokens[step + 1].glued:
        out[-1] = last._replace(value=last.value + 0.5, end=tokens[step + 2].end)
        return step + 3
    if at < len(tokens) and tokens[at].text in ("½", "¼", "¾"):
        out[-1] = last._replace(value=last.value + tokens[at].value, end=tokens[at].end)
        return at + 1
    return at


def _hundreds(tokens: list[Token], words: list[str], at: int, out: list[Atom]) -> int:
    """Finish a number that is half in figures: "4 hunnerd watt", "2-fifty shoeboxes"; the index past it."""
    last = out[-1]
    if not 1 <= last.value <= 15 or last.value != int(last.value) or at >= len(words) or "." in last.text:
        return at
    if words[at] in numerals.HUNDRED:
        watts = at + 2 if words[at + 1 : at + 2] == ["-"] else at + 1
        if (
            words[watts : watts + 1]
            and words[watts] in WATT
            and (watts > at + 1 or last.value * 100 not in SOLD)
        ):
            return at  # "11 hundred-watt wall packs"
        out[-1] = last._replace(value=last.value * 100, end=tokens[at].end)
        return at + 1
    if (
        words[at] == "-"
        and tokens[at].glued
        and at + 1 < len(words)
        and tokens[at + 1].glued
        and words[at + 1] in numerals.TENS
    ):
        together = last.value * 100 + numerals.split([words[at + 1]])[0][0].value
        if together in numerals.FAMILIAR:
            out[-1] = last._replace(value=together, end=tokens[at + 1].end)
            return at + 2
    return at


def _stuck(token: Token) -> list[Atom] | None:
    """As in "twelvewallpacks": a number word that lost its space."""
    text = token.text
    if len(text) < 8:
        return None
    for length in (9, 8, 7, 6, 5, 4, 3):
        head, tail = text[:length], text[length:]
        if head in numerals.WORDS and (mean := _single(tail)) is not None and "family" in mean:
            said = numerals.split([head])[0]
            if not said:
                continue
            value = said[0].value
            middle = token.start + length
            return [
                Atom("n", token.start, middle, head, float(value), glued=token.glued),
                Atom("p", middle, token.end, tail, mean=mean, glued=True),
            ]
    return None


_BEFORE_FIGURES = frozenset(
    {"x", "qty", "at", "ht", "only", "need", "and", "got", "all", "both", "by", "of", "w"}
)


def _code(token: Token) -> list[Atom]:
    """What a token of letters followed by digits says: a lamp code, ``x14``, ``qty20``, or a stranger."""
    text = token.text
    slots = lamp_code(text)
    if slots is not None:
        return [Atom("c", token.start, token.end, text, mean=slots, glued=token.glued)]
    letters = len(text) - len(text.lstrip("abcdefghijklmnopqrstuvwxyz"))
    head, tail = text[:letters], text[letters:]
    digits = tail[: len(tail) - len(tail.lstrip("0123456789"))]
    unit = tail[len(digits) :]
    if (not unit or "unit" in (_single(unit) or _NOTHING)) and head in _BEFORE_FIGURES:
        middle = token.start + letters
        mean = _single(head)
        parts = [
            Atom("p" if mean else "w", token.start, middle, head, mean=mean or _NOTHING, glued=token.glued),
            Atom("n", middle, middle + len(digits), digits, float(digits), glued=True),
        ]
        if unit:
            measure = _single(unit) or _NOTHING
            parts.append(Atom("p", middle + len(digits), token.end, unit, mean=measure, glued=True))
        return parts
    if bulb_shape(text):
        return [Atom("x", token.start, token.end, text, mean={"bulb": text}, glued=token.glued)]
    apart = _run_together(token)
    if apart is not None:
        return apart
    return [Atom("x", token.start, token.end, text, glued=token.glued)]


_PARTS = re.compile(r"[a-z]+|[0-9]+")
_APART = frozenset({"family", "source", "finish", "unit", "controls"})


def _run_together(token: Token) -> list[Atom] | None:
    """As in "halide24ft277v": words of the trade and figures that lost their spaces; ``None`` where it is no such run."""
    parts = _PARTS.findall(token.text)
    if len(parts) < 2 or "".join(parts) != token.text or len(parts[0]) < 2:
        return None
    out: list[Atom] = []
    start = token.start
    for part in parts:
        glued = token.glued if not out else True
        if part in ("need", "got", "want", "qty", "have", "and", "plus") and not out:
            out.append(Atom("w", start, start + len(part), part, glued=glued))
            start += len(part)
            continue
        if part[0] == "w" and len(part) > 2 and (lamp := _single(part[1:])) is not None and "source" in lamp:
            out.append(Atom("p", start, start + 1, "w", mean=_single("w") or _NOTHING, glued=True))
            start, part = start + 1, part[1:]
        if part[0].isdigit():
            out.append(Atom("n", start, start + len(part), part, float(part), glued=glued))
        else:
            mean = _single(part)
            if mean is None or _APART.isdisjoint(mean):
                return None
            out.append(Atom("p", start, start + len(part), part, mean=mean, glued=glued))
        start += len(part)
    return out


_STUCK_UNITS = ("lamps", "lamp", "watts", "watt", "w", "feet", "ft", "volts", "volt")
_STUCK_BEHIND = frozenset({"source", "family", "scope", "led"})


def _behind_unit(tokens: list[Token], at: int) -> tuple[list[Atom] | None, int]:
    """A unit that lost the space behind it, and how many tokens more it took: "175wmh", "2lampt8", "20ftup"."""
    token = tokens[at]
    unit = next((name for name in _STUCK_UNITS if token.text.startswith(name)), "")
    rest = token.text[len(unit) :]
    if not unit or not rest:
        return None, 0
    middle = token.start + len(unit)
    parts = [Atom("p", token.start, middle, unit, mean=_single(unit) or _NOTHING, glued=True)]
    behind = tokens[at + 1] if at + 1 < len(tokens) else None
    mean = _single(rest)
    if mean is None and behind is not None and behind.glued and behind.kind == "n":
        tube = rest + behind.text
        code = lamp_code(tube)
        named = _single(tube) if code is None else None
        if code is not None:
            parts.append(Atom("c", middle, behind.end, tube, mean=code, glued=True))
            return parts, 1
        if named is not None and "source" in named:
            parts.append(Atom("p", middle, behind.end, tube, mean=named, glued=True))
            return parts, 1
    if mean is None or not (
        rest == "up" or "poles" in mean.get("cue", ()) or not _STUCK_BEHIND.isdisjoint(mean)
    ):
        return None, 0
    parts.append(Atom("p", middle, token.end, rest, mean=mean, glued=True))
    return parts, 0


@cache
def _closed_up() -> dict[str, dict[str, Any]]:
    """Names of the trade of several words, written as one: "dusktodawn", "metalhalide"."""
    found: dict[str, dict[str, Any]] = {}
    for first, rests in lexicon().phrases.items():
        for rest, mean in rests:
            if rest and not _CLOSED_KINDS.isdisjoint(mean):
                name = first + "".join(rest)
                if len(name) >= 7 and name.isalpha():
                    found.setdefault(name, mean)
    return found


_CLOSED_KINDS = frozenset(
    {"family", "source", "controls", "mount", "optic", "flag", "damp_or_wet", "schedule"}
)
_RUN_KINDS = frozenset({"family", "source", "finish", "mount", "controls", "led"})


@cache
def _run_on(text: str) -> tuple[tuple[int, str, dict[str, Any]], ...]:
    """The names of the trade that a word without spaces is made of, each with its length; none where it is no such word.

    >>> [name for _, name, _ in _run_on("halidewallpacks")]
    ['halide', 'wallpacks']
    """
    whole = _closed_up().get(text)
    if whole is not None:
        return ((len(text), text, whole),)
    for length in range(len(text) - 3, 2, -1):
        head, tail = text[:length], text[length:]
        first = _single(head) or _closed_up().get(head)
        if first is None or _RUN_KINDS.isdisjoint(first):
            continue
        second = _single(tail) or _closed_up().get(tail)
        if second is not None and not _RUN_KINDS.isdisjoint(second):
            return ((length, head, first), (len(tail), tail, second))
    return ()


def _torn(tokens: list[Token], at: int) -> tuple[str, float, dict[str, Any]] | None:
    """As in "can opy lites": a word of the trade with a space too many; its text, no value, what it means."""
    second = tokens[at + 1]
    if second.kind != "w" or len(second.text) < 3 or second.glued:
        return None
    lex = lexicon()
    if second.text in lex.known or second.text in lex.plain or second.text in numerals.WORDS:
        return None
    text = tokens[at].text + second.text
    if len(text) < 6 or text not in lex.phrases:
        return None
    mean = _single(text)
    if mean is None or not (
        "family" in mean or "family_weak" in mean or "source" in mean or "finish" in mean
    ):
        return None
    if "family_weak" in mean:
        mean = {**mean, "family": mean["family_weak"]}
    return text, 0.0, mean


def _joined(tokens: list[Token], at: int, stop: int) -> tuple[int, dict[str, Any]] | None:
    """A lamp's designation that the tokens cut up ("F32T8/841", "90PAR38", "M-59"): (index past it, its slots)."""
    run = tokens[at].text
    ends: list[tuple[int, str]] = []
    to = at + 1
    while to < stop and to - at < 9 and tokens[to].glued and len(run) < 24:
        token = tokens[to]
        if token.kind == "p":
            if token.text not in "/-" or not (to + 1 < stop and tokens[to + 1].glued):
                break
        elif token.kind == "b":
            break
        run += token.text
        to += 1
        if token.kind != "p":
            ends.append((to, run))
    for to, run in reversed(ends):
        slots = long_code(run)
        if slots is not None:
            return to, slots
    return None


def _single(word: str) -> dict[str, Any] | None:
    for rest, mean in lexicon().phrases.get(word, ()):
        if not rest:
            return mean
    return None


_OF_POLES = frozenset({"light", "lights", "lamp", "lamps", "head", "heads", "fixture", "fixtures"})
_LIGHTS = frozenset({"lts", "lgts", "lghts", "lites", "lihgts", "ligths"})


def _respell(tokens: list[Token]) -> tuple[list[str], set[int]]:
    """The words of the tokens with slips of the pen mended, and which were mended."""
    words: list[str] = []
    mended: set[int] = set()
    known = lexicon().known
    for index, token in enumerate(tokens):
        word = token.text
        if word in _LIGHTS and index and tokens[index - 1].kind == "w":
            words.append("lights")  # "yard lts"
            mended.add(index)
            continue
        if token.kind != "w" or (
            (word in known or word in numerals.WORDS) and (not index or tokens[index - 1].kind != "n")
        ):
            words.append(word)
            continue
        unit = unit_word(word) if token.kind == "w" and index and tokens[index - 1].kind == "n" else None
        if unit is not None:
            word = unit
            mended.add(index)
        elif token.kind == "w" and len(word) >= 4 and word not in known and word not in numerals.WORDS:
            better = number_word(word) or respelt(word)
            if (index and (near := completes(tokens[index - 1].text if not words else words[-1], word))) or (
                (index + 1 < len(tokens) and (near := begins(word, tokens[index + 1].text)))
                and (better is None or slips(word, near) <= slips(word, better))
            ):
                better = near
            if better is not None:
                word = better
                mended.add(index)
        elif token.kind == "w" and len(word) == 3 and word not in known and word not in numerals.WORDS:
            near = completes(words[-1], word) if words else None
            if near is None and index + 1 < len(tokens):
                near = begins(word, tokens[index + 1].text)
            if near is not None:
                word = near
                mended.add(index)
        words.append(word)
    return words, mended


_BEHIND_WATTS = {"hm": "haluro", "vm": "mercurio"}
"""Short names of lamps that are other words elsewhere."""


_SHORT = {"ch": "cobrahead", "son": "sodium"}
"""Names that mean a luminaire or a lamp only where they stand among codes and watts."""
_SPANISH = frozenset(
    {
        "para",
        "las",
        "los",
        "la",
        "el",
        "de",
        "del",
        "en",
        "como",
        "todos",
        "todas",
        "puros",
        "unos",
        "unas",
        "y",
    }
)


def _short(words: list[str], at: int, before: Atom) -> int:
    """The index past a short name that is one here: "HPS150 CH x 40", "30 CH 250 HPS", "250W SON-T"; 0 where it is none."""
    after = words[at + 1] if at + 1 < len(words) else ""
    if words[at] == "ch":
        counted = before.kind == "n" and after[:1].isdigit()
        return at + 1 if before.kind == "c" or "source" in before.mean or counted else 0
    if before.mean.get("unit") != "w" or after[:1].isdigit() or after in _SPANISH or after in numerals.WORDS:
        return 0  # "campanas de 400w son 14"
    return at + 3 if words[at + 1 : at + 3] in (["-", "t"], ["-", "e"]) else at + 1


def _of_lamp(before: Atom) -> bool:
    """Whether what stands before a lamp's short name leads to it: "400 HM", "175 W HM", "reflectores VM"."""
    mean = before.mean
    return (before.kind == "n" and before.value >= 35) or mean.get("unit") == "w" or "family" in mean


def atomise(tokens: list[Token], masked: list[tuple[int, int, dict[str, Any]]]) -> list[Atom]:
    """Atoms of a token list.

    Args:
        tokens: of the folded text.
        masked: stretches that other recognisers took, in order: (start, end, what they mean); each becomes one atom
            of kind ``x``, or ``p`` where it means something.
    """
    if "-" in [token.text for token in tokens]:
        tokens = unhyphened(tokens)
    if "c" in [token.kind for token in tokens]:
        tokens = unglued(tokens)
    words, mended = _respell(tokens)
    if not HEARD_WRONG.isdisjoint(words):
        reheard(words)
    out: list[Atom] = []
    numbers, phrases = numerals.WORDS, lexicon().phrases
    at, count, mask = 0, len(tokens), 0
    while at < count:
        token = tokens[at]
        token_start, token_end, text = token.start, token.end, token.text
        kind, value, glued = token.kind, token.value, token.glued
        stop = count
        if masked:
            while mask < len(masked) and masked[mask][1] <= token_start:
                mask += 1
            if mask < len(masked) and masked[mask][0] <= token_start:
                start, end, mean = masked[mask]
                out.append(Atom("p" if mean else "x", start, end, text, mean=mean))
                while at < count and tokens[at].start < end:
                    at += 1
                mask += 1
                continue
            if mask < len(masked):
                # a phrase never runs into a masked stretch
                limit = masked[mask][0]
                stop = min(count, at + 12)
                while stop > at + 1 and tokens[stop - 1].start >= limit:
                    stop -= 1
        if kind == "b":
            out.append(Atom("b", token_start, token_end, "\n"))
            at += 1
            continue
        if kind != "p" and at + 1 < stop:
            after = tokens[at + 1]
            if (
                after.glued
                and len(text) <= 9
                and (after.text in "/-" if after.kind == "p" else after.kind != "b")
            ):
                joined = _joined(tokens, at, stop)
                if joined is not None:
                    to, slots = joined
                    run = " ".join([token.text for token in tokens[at:to]])
                    out.append(Atom("c", token_start, tokens[to - 1].end, run, mean=slots, glued=glued))
                    at = to
                    continue
        word = words[at]
        if glued and kind == "w" and len(text) > 2 and text not in phrases and out and out[-1].kind == "n":
            parted, more = _behind_unit(tokens, at)
            if parted is not None:
                out.extend(parted)
                at += 1 + more
                continue
        if kind == "w" and at + 1 < stop and (torn := _torn(tokens, at)) is not None:
            out.append(Atom("p", token_start, tokens[at + 1].end, torn[0], torn[1], torn[2], glued, (), True))
            at += 2
            continue
        if word in _SHORT and out and (past := _short(words, at, out[-1])):
            mean = _single(_SHORT[word]) or _NOTHING
            out.append(Atom("p", token_start, tokens[past - 1].end, word, mean=mean, glued=glued))
            at = past
            continue
        hit = _match(words, at, stop) if word in phrases else None
        if (
            hit
            and "size" in hit[1]
            and words[hit[0] : hit[0] + 1] == ["x"]
            and hit[0] + 2 < count
            and tokens[hit[0] + 1].kind == "n"
            and words[hit[0] + 2] == "x"
        ):
            hit = None  # "4x 2x2 troffers": a count, then the size
        if hit and hit[0] < stop and words[hit[0]] in _OF_POLES and "per_pole" in hit[1].get("cue", ()):
            hit = _match(words, at, hit[0] - 1)  # "off a pole light"
        if (
            word == "the"
            and hit
            and hit[0] == at + 2
            and words[at + 1] in phrases
            and (named := _match(words, at + 1, stop)) is not None
            and named[0] > hit[0]
            and "family" in named[1]
        ):
            hit = _match(words, at, at + 1)  # "the lot lights"
        if hit and not (kind == "w" and word in numbers and hit[0] == at + 1):
            to, mean = hit
            fuzzy = bool(mended) and not mended.isdisjoint(range(at, to))
            if to > at + 1:
                word = " ".join(words[at:to])
            out.append(Atom("p", token_start, tokens[to - 1].end, word, 0.0, mean, glued, (), fuzzy))
            at = to
            continue
        if kind == "n":
            out.append(Atom("n", token_start, token_end, text, value, _NOTHING, glued, (), False))
            at = _half(tokens, words, _hundreds(tokens, words, at + 1, out), out)
        elif (
            word == "point"
            and at + 1 < count
            and words[at + 1] in DIGIT_WORDS
            and not (out and out[-1].kind == "n")
        ):
            to = at + 1  # "point one oh nine a kilowatt hour"
            while to < count and words[to] in DIGIT_WORDS:
                to += 1
            digits = "".join([str(DIGIT_WORDS[digit]) for digit in words[at + 1 : to]])
            end = tokens[to - 1].end
            out.append(Atom("n", token_start, end, "." + digits, float("0." + digits), glued=glued))
            at = to
        elif kind == "w" and word in numbers:
            to = _numbers(tokens, words, at, out)
            if to == at:
                out.append(Atom("w", token_start, token_end, word, glued=glued))
                to = at + 1
            at = _half(tokens, words, to, out)
        elif word in _BEHIND_WATTS and out and _of_lamp(out[-1]):
            mean = _single(_BEHIND_WATTS[word]) or _NOTHING
            out.append(Atom("p", token_start, token_end, word, mean=mean, glued=glued))
            at += 1
        elif kind == "c":
            out.extend(_code(token))
            at += 1
        else:
            stuck = _stuck(token) if kind == "w" and len(text) >= 8 else None
            if stuck is None and kind == "w" and 7 <= len(text) <= 30 and text not in lexicon().plain:
                begin = token_start
                stuck = []
                for length, name, mean in _run_on(text):
                    stuck.append(
                        Atom("p", begin, begin + length, name, mean=mean, glued=glued or bool(stuck))
                    )
                    begin += length
                stuck = stuck or None
            if stuck is not None:
                out.extend(stuck)
            else:
                plain = "w" if kind == "w" else "s"
                out.append(Atom(plain, token_start, token_end, word, 0.0, _NOTHING, glued, (), False))
            at += 1
    return out


def is_trade(atom: Atom) -> bool:
    """Whether the atom is a word of the trade (and must not go unread in silence)."""
    return atom.kind == "c" or not _TRADE.isdisjoint(atom.mean)
