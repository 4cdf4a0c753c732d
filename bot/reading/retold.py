"""A bare number in a talk about a job that is there: "make it 14", "the low ones are 6", "north ones 25 ft, south ones 40".

Here a number opens no type, so it need not be shy: mostly it is a new count, unless it is a voltage, a colour, or a height
by the words before it. What the job says already decides where the number alone could be two things.
"""

import math
from collections.abc import Collection, Mapping
from typing import Any

from bot.reading.clause import Work, ends_clause
from bot.reading.codes import lamp_tables
from bot.reading.late import Late
from bot.reading.mentions import Mention, Option
from bot.reading.message import Known

_TELLING = frozenset({208, 277, 347, 480})
_VOLTS = _TELLING | {110, 115, 120, 127, 220, 230, 240, 440, 460}
_COLOURS = frozenset({2700, 3000, 3500, 4000, 4100, 5000, 5700, 6500})
_LAMP_WATTS = frozenset({35, 50, 70, 100, 150, 175, 200, 250, 310, 320, 350, 400, 750, 875, 1000, 1500})
_HEIGHT_WORDS = frozenset([
    "at", "@", "up", "a", "hang", "hung", "hanging", "mounted", "mount", "sit", "sits", "lower", "higher", "raise", "drop",
    "son,a", "altura", "montadas", "montados",
])  # fmt: skip
_AFTER = frozenset([
    "miscounted", "recounted", "counted", "siempre", "basta", "bastan", "quedan", "wrong", "oops", "tops", "tbh", "exactly", "perdon", "disculpa", "verdad", "haha",
    "please", "were", "are", "got", "have", "need", "needs", "should", "will", "is", "was", "get", "gets", "less", "fewer", "menos", "except", "excepto", "salvo", "apiece", "pls", "plz", "por", "favor", "now", "then", "tho", "though", "instead", "total", "not", "no", "ahora", "mejor",
    "en", "vez", "nada", "mas", "tambien", "too", "also", "and", "y", "e", "or", "r", "are", "for", "on", "in", "at", "of",
    "them", "those", "these", "em", "ones", "of'", "each", "ea", "apiece", "if", "actually", "sorry", "thanks", "thx", "ok",
    "total,", "per", "max", "min", "ish", "so", "total.", "right", "by", "rather", "al", "de", "ellos", "ellas", "esos", "esas",
    "las", "los", "nomas", "solamente", "only", "just", "altogether", "all", "cada", "c/u", "uno", "una", "off", "to", "as",
    "cuz", "because", "since", "with", "w", "but", "asap", "thx", "thanks", "okay", "btw", "plz", "lol", "man", "bro", "boss", "guys", "again", "first",
    "still", "today", "come", "turns", "turned", "according", "per", "says", "said", "it", "they", "he", "she", "you", "we", "i", "which", "like", "where", "till", "up", "high", "there", "their", "most", "both", "plus", "minus", "resulta", "segun", "dice", "dicen", "porque", "creo", "pero", "when", "however", "gracias", "porfa", "jefe", "instead", "anyway", "after", "unless", "going",
])  # fmt: skip
_LEADING_NAMES = frozenset([
    "room", "bldg", "building", "suite", "unit", "phase", "line", "lines", "item", "type", "number", "no", "option", "page",
    "model", "building,", "level", "floor", "bay", "dock", "po",
])  # fmt: skip

_NUMBERS = frozenset({"qty", "height_ft", "spacing_ft", "voltage", "lamps", "watts", "lamp_feet", "cct_k"})
_MEASURED = Late(
    r"(?<![a-z])(?:measured|measure|taped|tape (?:says|measure)|height|laser(?:ed)?|medi|mide)(?![a-z])[^.;\n\d]{0,24}$"
)
_STAYING = frozenset(
    {
        "stay",
        "stays",
        "staying",
        "keep",
        "leave",
        "hold",
        "remain",
        "remains",
        "cap",
        "keeping",
        "leaving",
        "stop",
        "were",
        "we're",
    }
)
_STRAY = Late(
    r"(?<![a-z])(?:call (?:you|u|me|us|him|her|back|at|tomorrow|around|after)|calls|ring|meet|text|come by|stop by|swing by|be (?:there|here|back|in|out|done|free)|back in|net|terms|competitor|other guy|other place|other quote|quoted|address|(?:room|suite)(?= (?:#|no|num|number|is number)?[ .#]{0,2}$)|route|rt|chapter|"
    r"years old|open(?:s)? (?:at|til|till|until)|close[sd]? (?:at)?|match|beat|til|till|until|before|after|lunch|ship in|weeks?|extension|ext|cell is|number is|fax|invoice|ticket|check #?)(?![a-z])[^.;\n\d]{0,30}$"
)


def follows_plainly(work: Work, at: int, pointers: Collection[int] = ()) -> bool:
    """Whether behind the number at ``at`` nothing stands that it could count instead: "3 kids", "10 minutes"."""
    nxt = at + 1
    if nxt >= len(work.atoms) or nxt in pointers:
        return True
    atom = work.atoms[nxt]
    if ends_clause(atom) or atom.kind in ("s", "b"):
        return True
    if atom.kind == "w":
        return atom.text in _AFTER or len(atom.text) <= 2
    return True


def lines_of(known: Known | None) -> tuple[Mapping[str, Any], ...]:
    """The lines of the job, none where it is not known."""
    return known.lines if known is not None else ()


_TUBES = frozenset({"T12", "T8", "T5", "T5HO"})


def _in_a_lamp_talk(work: Work, at: int, known: Known | None) -> bool:
    """Whether a small figure stands beside a tube's code or word, and the tubes in each are not told yet: "F32T8, there are 3"."""
    lines = lines_of(known)
    if not lines or any("lamps" in line or not line.get("qty") for line in lines):
        return False
    return any(
        (atom.kind == "c" and atom.mean.get("source") in _TUBES)
        or atom.text in ("tube", "tubes", "tubos", "tubo")
        for atom in work.atoms[max(0, at - 10) : at]
    )


def _ratio(one: float, other: float) -> float:
    return abs(math.log(one / other)) if one > 0 and other > 0 else 9.0


def retold(
    work: Work, at: int, known: Known | None, before: list[Mention], pointers: Collection[int] = ()
) -> list[Option] | None:
    """What a bare number may change; ``None`` where it is rather part of a description.

    Args:
        work: the desk.
        at: the number's atom.
        known: what the job says already.
        before: the mentions of the message so far.
        pointers: atoms at which a phrase begins that points at types.
    """
    atom = work.atoms[at]
    value = atom.value
    right = work.flags.get("put_right")
    if right is not None and right[0] == at:
        return [
            Option(((right[1], right[2]),), 6.0, "puts right what was said last"),
            Option((), -3.0, "nothing"),
        ]
    if value <= 0 or value != int(value):
        return None
    prev = work.text_at(at - 1)
    if _STRAY.search(work.folded[max(0, atom.start - 48) : atom.start]):
        return [Option((), 3.0, "of something else"), Option((("qty", int(value)),), 0.0, "bare count")]
    whole = int(value)
    if value >= 20 and (
        (work.text_at(at + 1) == "s" and work.atoms[at + 1].glued)
        or (work.text_at(at + 1) == "'" and work.text_at(at + 2) == "s")
    ):
        was = work.flags.get("instead", {}).get(at)
        if was is not None:
            work.flags.setdefault("denied", []).append(("watts", was))
        return [Option((("watts", value),), 3.0, "so many watts"), Option((), -2.0, "nothing")]
    if not follows_plainly(work, at, pointers) or (
        prev in _LEADING_NAMES and not (at == 1 and work.flags.get("corrects"))
    ):
        return [Option((), 3.0, "counts something else"), Option((("qty", whole),), 0.0, "bare count")]
    options: list[Option] = [Option((), -2.0, "nothing")]
    was_said = work.flags.get("instead", {}).get(at)
    if was_said is not None and known is not None:
        if known.job.get("metric"):
            was_ft = round(float(was_said) * 3.28084, 2)
            if not any(line.get("qty") == was_said for line in known.lines) and any(
                line.get("height_ft") == was_ft for line in known.lines
            ):
                # "no son 8, son 7": metres
                work.flags.setdefault("denied", []).append(("height_ft", was_ft))
                return [Option((("height_ft", round(value * 3.28084, 2)),), 6.0, "instead of what was said")]
        for slot in ("qty", "height_ft", "voltage", "watts", "lamps", "cct_k", "lamp_feet"):
            if any(line.get(slot) == was_said for line in known.lines):
                work.flags.setdefault("denied", []).append((slot, was_said))
                given = whole if slot in ("qty", "voltage", "lamps", "cct_k") else value
                return [
                    Option(((slot, given),), 6.0, "instead of what was said"),
                    Option((), -3.0, "nothing"),
                ]
    high = (
        prev in _HEIGHT_WORDS
        or (
            "up" in work.cue(at - 2)
            and not (prev in ("to", "at", "a") and work.text_at(at - 2) == "up")
            and prev in ("is", "are", "r", "=", "around", "about", "of", ":", "es", "not", "to", "at", "a")
        )
        or "up" in work.cue(at - 1)
        or "up" in work.cue(at + 1)
    )
    if "poles" in work.cue(at - 1) and high and work.text_at(at - 2) not in ("at", "on", "up"):
        # "make the poles 10", "poles 25": a count or a height, by what is there
        tall = [float(line["height_ft"]) for line in lines_of(known) if line.get("height_ft")]
        many = [float(line["qty"]) for line in lines_of(known) if line.get("qty")]
        high = bool(tall) and min(_ratio(value, one) for one in tall) < min(
            (_ratio(value, one) for one in many), default=9.0
        )
    elif (
        not high
        and any("poles" in work.cue(n) for n in range(max(0, at - 6), at))
        and not any(work.atoms[n].kind in ("n", "s", "b") for n in range(max(0, at - 6), at))
    ):
        tall = [float(line["height_ft"]) for line in lines_of(known) if line.get("height_ft")]
        many = [float(line["qty"]) for line in lines_of(known) if line.get("qty")]
        high = bool(tall) and min(_ratio(value, one) for one in tall) + 0.05 < min(
            (_ratio(value, one) for one in many), default=9.0
        )
    if not high and any(
        work.text_at(n) in ("shorter", "taller", "higher", "lower") for n in range(max(0, at - 8), at)
    ):
        high = any(
            line.get("height_ft") for line in lines_of(known)
        )  # "the poles are shorter than i said, 20"
    if _MEASURED.search(work.folded[: atom.start]) and any(line.get("height_ft") for line in lines_of(known)):
        high = True  # "ok measured, 22"
    if prev in ("to", "a") and any(
        work.text_at(n) in ("count", "qty", "quantity", "number", "cantidad")
        and not any(work.atoms[k].kind in ("s", "b") for k in range(n, at))
        for n in range(max(0, at - 7), at)
    ):
        high = False  # "drop the count on the poles to 16"
    if prev in ("at", "@") and any(work.text_at(n) in _STAYING for n in range(max(0, at - 6), at)):
        # "the shoeboxes stay at 10": what is there and nearest
        tall = [float(line["height_ft"]) for line in lines_of(known) if line.get("height_ft")]
        many = [float(line["qty"]) for line in lines_of(known) if line.get("qty")]
        high = min((_ratio(value, one) for one in tall), default=9.0) < min(
            (_ratio(value, one) for one in many), default=8.0
        )
    if prev == "a" and any(word in work.folded for word in ("cambia", "ponle", "sube", "subele", "bajale")):
        high = False
    if high and known is not None and known.job.get("metric") and 2 <= value <= 40:
        options.append(Option((("height_ft", round(value * 3.28084, 2)),), 4.0, "metres by the word before"))
    elif high and 6 <= value <= 120 and whole not in (110, 115, 120):
        options.append(
            Option((("height_ft", value),), 4.0 if value <= 60 else 2.5, "height by the word before")
        )
    if whole in _VOLTS:
        score = 3.6 if whole in _TELLING else 3.0
        options.append(Option((("voltage", whole),), score, "bare volts"))
    if whole in _COLOURS:
        options.append(Option((("cct_k", whole),), 3.4, "bare colour"))
    count = 2.0
    lines = known.lines if known is not None else ()
    counts = [float(line["qty"]) for line in lines if line.get("qty")]
    lamps = [line for line in lines if line.get("watts") and line.get("source")]
    if whole in _LAMP_WATTS:
        near_count = min((_ratio(value, one) for one in counts), default=1.2)
        near_watts = min(
            (
                _ratio(value, line["watts"])
                for line in lamps
                if value in lamp_tables().watts.get(line["source"], frozenset()) and line["watts"] != value
            ),
            default=9.0,
        )
        same = any(line["watts"] == value for line in lamps)
        score = 1.0 + max(-3.0, min(3.0, 2.0 * (near_count - near_watts) - 0.4)) if near_watts < 9 else -1.0
        if same:
            score = max(score, 1.0)
        options.append(Option((("watts", value),), score, "bare watts"))
    if whole in _VOLTS and counts and min(_ratio(value, one) for one in counts) < 0.2:
        count = 3.3
    elif whole in _TELLING:
        count = -1.0
    last = next(
        (
            m
            for m in before[::-1]
            if m.options and m.options[0].slots and m.options[0].slots[0][0] in _NUMBERS
        ),
        None,
    )
    if last is not None and (slot := last.options[0].slots[0][0]) in (
        "height_ft",
        "spacing_ft",
        "voltage",
        "lamps",
        "watts",
    ):
        was = last.options[0].slots[0][1]
        pointed = any(work.has(i, "scope") for i in range(last.last + 1, at)) or any(
            m.first > last.last and any(name in ("_scope", "_point", "family", "size") for name in m.slots)
            for m in before
        )
        if (
            pointed
            and isinstance(was, (int, float))
            and _ratio(value, float(was)) < 1.3
            and slot != "voltage"
        ):
            # "north ones 25 ft, south ones 40": the same slot goes on
            given = int(value) if slot == "lamps" else value
            options = [option for option in options if option.slots[:1] != ((slot, given),)]
            options.append(Option(((slot, given),), 3.8, "the slot before goes on"))
    if 1 <= whole <= 6 and _in_a_lamp_talk(work, at, known):
        options.append(Option((("lamps", whole),), 4.0, "so many tubes"))
    if prev in ("at", "@") and value < 6:
        # "at 3": an hour
        count = -3.0
    if counts and value >= 500 and value > 30 * max(counts):
        count = -3.0
    options.append(Option((("qty", whole),), count, "bare count"))
    options.sort(key=lambda option: -option.score)
    return options[:4]
