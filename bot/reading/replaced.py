"""New LEDs told together with what they take the place of: "16 LED high bays 200w, replaces 16 high bays 400 MH" is one type.

What hangs there gives the lamp, the new ones give the watts of the LED. A count or a luminaire word that is said again for the
other side is left out, so that the search sees one type; where the two differ, the second is a doubt.
"""

from typing import Any

from bot.reading.clause import Work, ends_clause
from bot.reading.dealing import best
from bot.reading.mentions import Mention, Option
from bot.reading.words import words_of

_REPLACES = words_of(
    "replaces replacing replace reemplazan reemplaza reemplazando reemplazar sustituyen sustituir sustituyendo"
)
_WISHES = words_of("replace replacing reemplazar reemplazando sustituir sustituyendo")
"""Of these the ones that may as well begin a sentence of their own."""
_PLACE = words_of("place lieu lugar vez") | {"in place"}
_GONE = words_of(
    "replace replacing swap swapping change changing convert converting remove removing take taking pull pulling rip tear upgrade"
    " upgrading out old existing current viejos viejas actuales cambiar cambiando cambiamos reemplazar reemplazando quitar quitando quitamos sustituir"
)
_BY = words_of(
    "with w for to by con por a install installing put hang instalar poner in new proposed nuevos nuevas"
)
_BESIDE = words_of("and also plus then y tambien & +")
_ALIKE = frozenset({"panel", "troffer"})
"""Families that one and the same luminaire may be called by before and after."""
_WANTED_FOR = {
    "panel": frozenset({"troffer", "wrap"}),
    "troffer": frozenset({"panel", "wrap"}),
    "high_bay": frozenset({"strip", "low_bay"}),
    "low_bay": frozenset({"strip", "high_bay"}),
    "strip": frozenset({"wrap", "vapor_tight"}),
    "wrap": frozenset({"strip", "vapor_tight"}),
    "vapor_tight": frozenset({"strip", "wrap"}),
    "area": frozenset({"flood", "street", "security"}),
    "flood": frozenset({"area"}),
    "garage": frozenset({"canopy", "vapor_tight"}),
}
"""Kinds of luminaire, and what may hang where they are wanted (common practice, no source)."""
_NOTHING: frozenset[str] = frozenset()
_MORE = words_of("also too plus another more additional tambien ademas")
_OF_THE_NEW = frozenset(
    {
        "family",
        "_led",
        "led_watts",
        "led_lumens",
        "cct_k",
        "cri",
        "size",
        "finish",
        "voltage",
        "controls",
        "optic",
        "mount",
    }
)
"""What may be said of new luminaires; a lamp or a count makes them a type of their own."""
_LED = frozenset({"_led", "led_watts"})
_LAMP = frozenset({"lamp_feet", "lamps", "size"})
_MOST = 12
"""Mentions that tell of one side."""


def in_place(work: Work, mentions: list[Mention]) -> list[Mention]:
    """The mentions with each pair of new and old as one type."""
    if len(mentions) < 4 or "led" not in work.folded:
        return mentions
    out: list[Mention | None] = []
    past = 0
    for turn in range(1, len(work.atoms) - 1):
        while past < len(mentions) and mentions[past].first <= turn:
            past += 1
        if past == len(mentions):
            break
        if past < 2:
            continue
        old_first = work.atoms[turn].text in _BY
        if not old_first and not _replaces(work, turn):
            continue
        sides = _sides(work, mentions, past, old_first)
        if sides is not None and (one := _one_type(mentions, *sides, past, old_first)) is not None:
            out = out or list(mentions)
            out[sides[0] : sides[1]] = one
    return [mention for mention in out if mention is not None] if out else mentions


def _replaces(work: Work, turn: int) -> bool:
    """Whether a word says that what stands before it takes the place of what follows."""
    text = work.atoms[turn].text
    if text in _REPLACES:
        lead = turn - 1
        if work.text_at(lead) in ("to", "para"):
            lead -= 1
        elif text in _WISHES and lead >= 0 and ends_clause(work.atoms[lead]):
            return False
        return work.text_at(lead) not in _BESIDE
    return text == "instead of" or (text in ("of", "de") and work.text_at(turn - 1) in _PLACE)


def _sides(work: Work, mentions: list[Mention], past: int, old_first: bool) -> tuple[int, int] | None:
    """Where the type before the word begins, and where the one behind it ends."""
    first = past - 1
    while first > 0 and past - first < _MOST and best(mentions[first]) != "qty":
        first -= 1
    lead = mentions[first].first
    if old_first and not any(
        not _GONE.isdisjoint(work.text_at(n).split()) for n in range(max(0, lead - 4), lead)
    ):
        return None
    end = past + 1
    while end < len(mentions) and end - past < _MOST:
        slot = best(mentions[end])
        if mentions[end].gap >= 3 or (mentions[end].gap and slot in ("qty", "_led", "led_watts")):
            break
        if slot == "qty" and any(best(mentions[n]) == "qty" for n in range(past, end)):
            break
        end += 1
    return first, end


def _value(side: list[Mention], slot: str) -> Any:
    """The value that a side gives a slot most likely."""
    return next((m.options[0].slots[0][1] for m in side if best(m) == slot), None)


def _one_type(
    mentions: list[Mention], first: int, end: int, past: int, old_first: bool
) -> list[Mention | None] | None:
    """The mentions of both sides as those of one type; ``None`` where they are none."""
    said, again = mentions[first:past], mentions[past:end]
    old, new = (said, again) if old_first else (again, said)
    led = [
        any(_LED.intersection([slot for slot, _ in m.options[0].slots]) for m in side) for side in (old, new)
    ]
    if led != [False, True] or _value(new, "source") is not None:
        return None
    if all(_value(old, slot) is None for slot in ("source", "watts", "lamps")):
        return None
    counts = _value(said, "qty"), _value(again, "qty")
    names = _value(said, "family"), _value(again, "family")
    alike = None in names or names[0] == names[1] or _ALIKE.issuperset(names)
    if counts == (None, None) or not (alike or counts[0] == counts[1]):
        return None
    both: list[Mention | None] = []
    fitted = _value(new, "led_watts") is not None
    for number, mention in enumerate([*said, *again], first):
        slot = best(mention)
        mended: Mention | None = mention
        is_new = (number >= past) is old_first
        first_slots = mention.options[0].slots
        if is_new and len(first_slots) > 1 and ("_led", True) in first_slots:
            bare = tuple([pair for pair in first_slots if pair[0] != "_led"])  # "LED panels"
            mention = mention._replace(options=(mention.options[0]._replace(slots=bare),))
            mended = mention
        if is_new and slot == "_led":
            mended = None
        elif is_new and slot == "watts" and not fitted:
            watts = Option(
                (("led_watts", mention.options[0].slots[0][1]),), 5.0, "watts of the LED asked for"
            )
            mended, fitted = mention._replace(options=(watts,), bare=False), True
        elif is_new and slot in _LAMP and _value(old, slot) is not None:
            mended = (
                None  # "take out 10 8 ft T12 strips and put 10 4 ft LED strips": what hangs there is told
            )
        elif slot in ("qty", "family"):
            values = counts if slot == "qty" else names
            if number >= past and values[0] is not None:
                mended = None
            elif number < past and values[1] not in (None, values[0]):
                mended = mention._replace(others=(*mention.others, values[1]))
        both.append(mended)
    return both


def wanted(work: Work, mentions: list[Mention]) -> list[Mention]:
    """The mentions without the name of what is wanted in place of the types told before: "48 troffers T12. Please quote 4000K flat panels".

    Such a name has a wish before it and no count; the old name stands, the new one is a doubt.
    """
    if len(mentions) < 4:
        return mentions
    counted: list[int] = []
    old: set[str] = set()
    for number, mention in enumerate(mentions):
        if best(mention) != "family":
            continue
        name = mention.options[0].slots[0][1]
        span = _wish(work, mentions, number) if old and old <= _WANTED_FOR.get(name, _NOTHING) else []
        if not span:
            if any(best(m) == "qty" for m in mentions[max(0, number - 5) : number + 6]):
                counted.append(number)
                old.add(name)
            continue
        gone = {number, *[n for n in span if best(mentions[n]) == "_led"]}
        out = [
            m._replace(others=(*m.others, name)) if n in counted else m
            for n, m in enumerate(mentions)
            if n not in gone
        ]
        work.use(mention.first, mention.last)
        return out
    return mentions


def _wish(work: Work, mentions: list[Mention], number: int) -> list[int]:
    """The mentions of the clause in which a luminaire word is wished for with no count and no lamp; none where it is not."""
    first = number
    while first > 0 and number - first < _MOST and mentions[first].gap < 2:
        first -= 1
    end = number + 1
    while end < len(mentions) and end - number < _MOST and mentions[end].gap < 2:
        end += 1
    span = list(range(first, end))
    if any(best(mentions[n]) not in _OF_THE_NEW for n in span) or any(
        best(mentions[n]) == "family" for n in span if n != number
    ):
        return []
    start = mentions[first].first - 1
    wish = False
    while start >= 0 and work.atoms[start].kind not in ("s", "b"):
        wish = wish or "want" in work.cue(start)
        if work.atoms[start].kind == "n" or work.text_at(start) in _MORE:
            return []
        start -= 1
    after = mentions[end - 1].last + 1
    if start < 0 or not wish or work.text_at(after) in _MORE:
        return []
    return span
