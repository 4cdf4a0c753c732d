"""Types that join a job by their name alone: "oh and the post tops too", "add an exit sign", "i forgot the bollards, 70w mh"."""

from dataclasses import replace

from bot.reading.fitting import near_families
from bot.reading.joins import public
from bot.reading.late import Late
from bot.reading.message import Known, Passage, Said, Scope

_ADDS = Late(
    r"(?:^|[.;!?\n] ?|, ?) *(?P<lead>(?:(?:oh|ok|okay|so|hey|well|btw|actually|but|ah|hmm|and|also|plus|y|e|tambien|i|we|can you|could you|please|pls|lets|let's|me|nos|se me|just|then|even) ?,? ){0,4}"
    r"(?:(?:forgot|forgetting|need|have|want|got|add|include|throw in|put in|do|quote|price|missed|left out|dont forget|don't forget|agrega\w{0,3}|incluye\w{0,2}|suma\w{0,2}|falta\w{0,4}|olvid\w{1,5}|pon\w{0,3}|ocup\w{1,5}|necesit\w{1,5}|cotiza\w{0,3})(?: in| on| also| too| tambien| about)? )?)"
    r"(?P<the>(?:(?:the|my|our|those|some|one|a|an|un|una|los|las|unos|unas|el|la) )?)(?P<sort>(?:[a-z-]{2,12} ){0,2})$"
)
_ADDING = Late(
    r"(?<![a-z])(?:and|also|plus|y|tambien|forgot|forgetting|missed|left out|add|include|throw in|put in|forget|agrega\w{0,3}|incluye\w{0,2}|suma\w{0,2}|falta\w{0,4}|olvid\w{1,5})(?![a-z])"
)
_TOO = Late(r"(?<![a-z])(?:too|also|as well|tambien)(?![a-z])")
_ENDS = Late(
    r" ?(?:$|[.,;!(-]|(?:lights?|fixtures?|ones|too|also|as well|out|in|on|by|at|over|up|down|for|near|along|please|pls|then|behind|around|with|w|tambien|de|en|del|afuera|atras|con|porfa|por|we|that|outside|inside)(?![a-z])|\d)"
)
_NO_SORT = frozenset(
    {"are", "is", "not", "no", "were", "than", "with", "on", "for", "of", "to", "in", "from", "like", "as", "more", "less", "all", "only"}
)  # fmt: skip
_ONE = frozenset({"a", "an", "one", "un", "una"})


def added_by_name(folded: str, passages: list[Passage], known: Known | None) -> list[Passage]:
    """The passages with what only names a type that is not there yet, in words that add, as a new type."""
    if known is None or not known.lines or len(passages) > 3:
        return passages
    passages = _part_of_named(folded, [_as_led(passage, known) for passage in passages], known)
    if "?" in folded:
        return passages
    new = [n for n, passage in enumerate(passages) if _names_new(passage, known)]
    if len(new) != 1:
        return passages
    if (counted := _counted_behind(folded, passages, new[0])) is not None:
        return counted
    passage = passages[new[0]]
    told = passage.slots.get("family")
    if told is not None:
        family, start, end = told.value, min(said.start for said in passage.slots.values()), told.end
    elif passage.scope is None:
        return passages
    else:
        family, start, end = passage.scope.families[0], passage.scope.start, passage.scope.end
    lead = _ADDS.search(folded[max(0, start - 60) : start])
    if lead is None or (passage.scope is not None and _ENDS.match(folded[end:]) is None):
        return passages
    if not _ADDING.search(lead["lead"]) and not _TOO.search(folded[end : end + 40]):
        return passages
    if not _NO_SORT.isdisjoint(lead["sort"].split()):
        return passages
    slots = dict(passage.slots)
    if told is None:
        slots["family"] = Said(family, start, end, rule="added by its name")
    the = lead["the"].strip()
    if the in _ONE and "qty" not in slots:
        first = start - (len(lead["the"]) + len(lead["sort"]))
        slots["qty"] = Said(1, first, first + len(the), rule="one")
    out = list(passages)
    for n, other in enumerate(passages):
        # "and a flood by the sign, 400 mh": what is said beside it and of no type is said of it
        if (
            n != new[0]
            and other.action == "change"
            and other.scope is None
            and not other.slots.keys() & slots.keys()
        ):
            slots.update(other.slots)
            out[n] = replace(other, slots={})
    out[new[0]] = Passage("state", slots, None, labels=passage.labels, same=passage.same)
    return [one for one in out if one.slots or one.action != "change" or one.scope is not None]


_BETWEEN = Late(
    r"(?: (?:too|also|as well|after all|tambien|back|again))? ?[,:;.-]{0,2} ?(?:(?:like|about|around|there (?:are|is)|there's|theres|its|it's|they have|we have|got|has|have|son|hay|just|only|call it|say|make it) )?"
)
_OF_THEM = Late(r" ?(?:of|de) ?(?:them|those|these|em|'em|ellos|ellas|esos|esas)(?![a-z])")


def _counted_behind(folded: str, passages: list[Passage], new: int) -> list[Passage] | None:
    """A type that is not there yet with its count told behind its name: "he does want the bollards, 7 of em 70 MH"."""
    passage = passages[new]
    told, scope = passage.slots.get("family"), passage.scope
    if told is not None:
        said = told
    elif scope is not None:
        said = Said(scope.families[0], scope.start, scope.end, rule="added by its name")
    else:
        return None
    for n, other in enumerate(passages):
        count = other.slots.get("qty")
        if (
            n == new
            or count is None
            or count.start < said.end
            or other.scope is not None
            or "family" in other.slots
            or other.action not in ("change", "split", "state", "add")
            or other.slots.keys() & passage.slots.keys()
            or _BETWEEN.fullmatch(folded[said.end : count.start]) is None
        ):
            continue
        behind = folded[count.start : count.end + 12]
        if not _OF_THEM.search(behind) and count.end < len(folded.rstrip(" .!")):
            continue  # "the bollards, 12 ft"
        slots = {**passage.slots, **other.slots, "family": said}
        out = [one for m, one in enumerate(passages) if m not in (n, new)]
        out.insert(min(new, len(out)), Passage("state", slots, None, passage.labels, same=passage.same))
        return out
    return None


def _part_of_named(folded: str, passages: list[Passage], known: Known) -> list[Passage]:
    """Parts of a type that is named right before: "the floods, 4 of them are 480" are floods, whatever was spoken of last."""
    for n, part in enumerate(passages):
        count = part.slots.get("qty")
        if part.action != "split" or part.scope is not None or count is None or "family" in part.slots:
            continue
        for m, named in enumerate(passages):
            scope = named.scope
            if (
                m != n
                and named.action == "change"
                and scope is not None
                and scope.kind == "family"
                and not named.slots
                and not named.times
                and not known.families.isdisjoint(scope.families)
                and scope.end <= count.start
                and _BETWEEN.fullmatch(folded[scope.end : count.start]) is not None
            ):
                out = list(passages)
                out[n] = replace(part, scope=scope)
                del out[m]
                return out
    return passages


_DIFFERS = frozenset(
    {"watts", "source", "height_ft", "size", "lamp_feet", "lamps", "voltage", "finish", "cct_k"}
)


def more_of_another(passages: list[Passage], known: Known | None) -> list[Passage]:
    """As in "one more, a 400", "2 more at 30 ft": more of the same but for what is said beside makes a type of its own."""
    more = next((one for one in passages if one.more), None)
    if known is None or not known.lines or more is None:
        return passages
    if more.action != "add" or not more.more or "qty" not in more.slots or "family" in more.slots:
        return passages
    if more.scope is not None or more.labels or len(passages) > 2:
        return passages
    slots = public(more.slots)
    for other in passages:
        if other is more:
            continue
        if (
            other.action != "change"
            or other.scope is not None
            or not other.slots
            or other.slots.keys() & slots.keys()
        ):
            return passages
        if any(said.start < more.slots["qty"].start for said in other.slots.values()):
            return passages
        slots.update(public(other.slots))
    told = slots.keys() - {"qty"}
    if not told or not told <= _DIFFERS:
        return passages
    if not any(
        all(line.get(slot) not in (None, slots[slot].value) for slot in told) for line in known.lines[-1:]
    ):
        return passages
    return [Passage("copy", slots)]


def _as_led(passage: Passage, known: Known) -> Passage:
    """Watts of a type of which the job has LEDs: "60 2x4 panels 40w" were wanted, so "18 2x2 panels 30w" are."""
    slots, family = passage.slots, passage.slots.get("family")
    if family is None or "watts" not in slots or "source" in slots or passage.action not in ("state", "add"):
        return passage
    alike = [line for line in known.lines if line.get("family") == family.value]
    if not alike or any("led_watts" not in line or "source" in line for line in alike):
        return passage
    return replace(
        passage, slots={("led_watts" if slot == "watts" else slot): said for slot, said in slots.items()}
    )


def _names_new(passage: Passage, known: Known) -> bool:
    """Whether a passage names one family that is not on the job, counts none, and takes nothing away."""
    scope = passage.scope
    if "qty" in passage.slots or passage.times or passage.more:
        return False
    if passage.action == "state" and scope is None and "family" in passage.slots:
        return _is_new(passage.slots["family"].value, known)
    return (
        passage.action == "change"
        and isinstance(scope, Scope)
        and scope.kind == "family"
        and len(scope.families) == 1
        and passage.slots.keys() <= {"source", "watts", "lamps", "lamp_feet", "size", "height_ft"}
        and scope.families[0] is not None
        and _is_new(scope.families[0], known)
    )


def _is_new(family: str, known: Known) -> bool:
    return known.families.isdisjoint(near_families((family,)))
