"""Which luminaire types a clause is about: all of them, one named before, the others, or a type of its own."""

from collections.abc import Collection
from dataclasses import replace
from typing import Literal, NamedTuple, final

from bot.reading.atoms import Atom
from bot.reading.clause import Work
from bot.reading.mentions import Mention
from bot.reading.message import Scope

_SENTENCE = frozenset(".;!?")
_POINTING = frozenset(
    {
        "the",
        "those",
        "these",
        "on",
        "for",
        "my",
        "our",
        "that",
        "only",
        "just",
        "los",
        "las",
        "el",
        "la",
        "para",
        "en",
        "them",
    }
)
_IS = frozenset({"are", "is", "r", "get", "gets", "have", "has", "need", "needs", "should", "want", "theyre", "were", "can", "take",
                 "ones", "one", "go", "son", "van", "estan", "be", "at", "run", "which", "that", "those", "=", "-", ":", "llevan", "es",
                 "stay", "will", "would", "being", "only", "all", "go to", "goes to", "going to"})  # fmt: skip


class Stretch(NamedTuple):
    """Mentions that belong together: a description of types (``scope`` None), or what is said of types in scope.

    Attributes:
        scope: which types; ``None`` for a description.
        mentions: in text order, the words that only point left out.
        negative: the clause takes its types away ("no photocell" is not that; "but not the exits" is).
        hard: the writer named the scope; a soft one was inferred (a sentence of attributes only).
    """

    scope: Scope | None
    mentions: list[Mention]
    negative: bool = False
    hard: bool = True
    remove: bool = False


@final
class Segment:
    __slots__ = ("excepted", "first", "last", "sentence")

    def __init__(self, first: int, last: int, sentence: int, excepted: bool) -> None:
        self.first = first
        self.last = last
        self.sentence = sentence
        self.excepted = excepted


_DO = frozenset(
    {
        "do",
        "use",
        "put",
        "need",
        "want",
        "quote",
        "price",
        "going with",
        "go with",
        "pon",
        "ponle",
        "haz",
        "quiero",
    }
)
_UPON = frozenset({"on", "for", "en", "para"})


def _says_of_another(work: Work, start: int, index: int) -> bool:
    """Whether a figure begins what is said of another type: a value was said on one, and another is named behind it."""
    rest = any(work.has(n, "scope") == "others" for n in range(index + 2, index + 5))
    if not rest and work.unit(index + 1) not in ("v", "kelvin", "ft") and work.text_at(index + 1) != "k":
        return False
    before = [n for n in range(start, index) if work.text_at(n) in _UPON]
    if (
        not before
        or before[-1] < index - 5
        or work.atoms[index - 1].kind == "s"
        or work.has(index - 1, "join")
    ):
        return False
    return any(work.text_at(n) in _UPON for n in range(index + 1, min(index + 4, len(work.atoms))))


_VALUES = frozenset({"finish", "controls", "optic", "mount", "damp_or_wet"})


def _of_one_behind_all(work: Work, start: int, index: int) -> bool:
    """Whether a value of one type begins here, where one of all types was said right before: "all at 20 ft black on the floods"."""
    atom = work.atoms[index]
    if atom.kind == "n":
        upon = index + 1 if work.unit(index + 1) is None and work.text_at(index + 1) != "k" else index + 2
    elif not _VALUES.isdisjoint(atom.mean):
        upon = index + 1
    else:
        return False
    if work.text_at(upon) not in ("on", "for"):
        return False
    named = upon + 2 if "the" in work.cue(upon + 1) else upon + 1
    if named >= len(work.atoms) or _NAMES.isdisjoint(work.atoms[named].mean):
        return False
    lead = index - 1
    if work.has(lead, "join"):
        lead -= 1
    whole = [n for n in range(max(start, index - 8), lead) if work.has(n, "scope") in ("all", "both")]
    return bool(whole) and any(
        work.atoms[n].kind == "n" or not _VALUES.isdisjoint(work.atoms[n].mean)
        for n in range(whole[-1] + 1, lead + 1)
    )


def _for_the_rest(work: Work, start: int, join: int) -> bool:
    """Whether a value of all others follows one of a type that is named: "480 for the floods and 277 everywhere else"."""
    if not any(work.has(n, "scope") == "others" for n in range(join + 2, join + 6)):
        return False
    if any(work.atoms[n].kind in ("s", "b") for n in range(join + 1, min(join + 3, len(work.atoms)))):
        return False
    upon = [
        n
        for n in range(max(start, join - 6), join)
        if work.text_at(n) in _UPON or work.text_at(n) in ("at", "in")
    ]
    return bool(upon) and any(not _NAMES.isdisjoint(work.atoms[n].mean) for n in range(upon[-1] + 1, join))


_NAMES = frozenset({"family", "family_weak", "pointer", "size"})


def _said_before(work: Work, index: int) -> bool:
    """Whether a number, a luminaire word or a slot stands before the atom."""
    return any(atom.kind in ("n", "c") or not _TOLD.isdisjoint(atom.mean) for atom in work.atoms[:index])


def segments_of(work: Work, in_conversation: bool = False) -> list[Segment]:
    """Clauses as atom ranges: cut at sentence ends, line breaks, commas and "except"."""
    kept = work.cut
    if kept is not None and kept[1] == in_conversation and _same_atoms(kept[0], work.atoms):
        return list(kept[2])
    out = _segments(work, in_conversation)
    work.cut = (list(work.atoms), in_conversation, out)
    return list(out)


def _same_atoms(one: list[Atom], two: list[Atom]) -> bool:
    """Whether two lists hold the very same atoms."""
    if len(one) != len(two):
        return False
    for index in range(len(one)):  # noqa: SIM110 - half the time of all()
        if one[index] is not two[index]:
            return False
    return True


def _value_of_rest(work: Work, start: int, index: int) -> bool:
    """Whether a clause is a value and "the rest" behind it, with nothing else: "480 on the poles, 277 the rest"."""
    last = index + 1 >= len(work.atoms) or work.atoms[index + 1].kind in ("s", "b")
    return last and all(
        _NAMED.isdisjoint(work.atoms[n].mean) and work.atoms[n].kind != "w" for n in range(start, index)
    )


def _segments(work: Work, in_conversation: bool) -> list[Segment]:
    out: list[Segment] = []
    start, sentence, excepted = 0, 0, False
    count = len(work.atoms)
    for index in range(count):
        atom = work.atoms[index]
        if (
            in_conversation
            and atom.text in _DO
            and index > start + 1
            and index + 1 < count
            and work.atoms[index + 1].kind == "n"
            and any("remove" in (work.has(n, "action") or ()) for n in range(start, index))
        ):
            # "scrap the wallpacks we'll do 10 sconces instead"
            out.append(Segment(start, index - 1, sentence, excepted))
            start, excepted = index, False
            continue
        if index > start + 1 and _of_one_behind_all(work, start, index):
            # "everything is 277 bronze on the shoeboxes"
            out.append(Segment(start, index - 1, sentence, excepted))
            start, excepted = index, False
            continue
        if not atom.mean and atom.kind not in ("s", "b"):
            if (
                in_conversation
                and atom.kind == "n"
                and index > start
                and _says_of_another(work, start, index)
            ):
                # "3000K on the 100s 5000K on the others"
                out.append(Segment(start, index - 1, sentence, excepted))
                start, excepted = index, False
            continue
        cut = 0
        if atom.kind == "b" or (atom.kind == "s" and atom.text in _SENTENCE):
            cut = 2
        elif atom.kind == "s" and atom.text in (",", "-", ")", ":") and not (atom.text == "-" and atom.glued):
            cut = 1
        elif atom.mean.get("scope") == "except":
            # "sorry to bug you but cobra heads ...": nothing was said before that it could be an exception from
            if not in_conversation and work.has(index - 1, "scope") == "same":
                continue  # "8 more, same but T8": what differs, and no exception
            cut = 3 if in_conversation or _said_before(work, index) else 1
        elif (
            atom.mean.get("scope") == "others"
            and index > start
            and (
                work.atoms[index - 1].kind == "n"
                or (
                    in_conversation
                    and not {"unit", "finish", "controls", "voltage", "colour", "optic"}.isdisjoint(
                        work.atoms[index - 1].mean
                    )
                )
                or (in_conversation and work.text_at(index - 1) == "k")
            )
            and atom.text.rsplit(" ", 1)[-1] not in ("elsewhere", "else")
            and not _value_of_rest(work, start, index)
        ):
            # "bollards 120 rest 277"
            out.append(Segment(start, index - 1, sentence, excepted))
            start, excepted = index, False
        elif (
            (atom.mean.get("join") and work.has(index + 1, "scope") in ("all", "both", "others"))
            or (atom.mean.get("join") and work.text_at(index + 1) in ("the", "those", "los", "las"))
            or (
                # "add 2 floods and drop the canopy", "kill the strips and do 20 wraps": another thing to do
                atom.mean.get("join")
                and (
                    not {"remove", "change", "add"}.isdisjoint(work.has(index + 1, "action") or ())
                    or work.text_at(index + 1) in ("do", "put", "quote", "pon", "ponle")
                )
            )
            or (atom.mean.get("join") and _for_the_rest(work, start, index))
        ):
            cut = 1
        elif atom.mean.get("bullet") and index > start:
            # an item of an inline list begins
            out.append(Segment(start, index - 1, sentence, excepted))
            start, excepted = index, False
            sentence += 1
        if cut:
            if index > start:
                out.append(Segment(start, index - 1, sentence, excepted))
            start = index + 1
            if cut == 2:
                sentence += 1
            excepted = cut == 3
    if start < count:
        out.append(Segment(start, count - 1, sentence, excepted))
    return out


def _key(mention: Mention) -> tuple[str, object] | None:
    """What a mention could point with: a family, a size, a source, plural watts."""
    if len(mention.options) == 1:
        slots = dict(mention.options[0].slots)
        if "_scope" in slots:
            return "scope", slots["_scope"]
        if "_point" in slots:
            return "family", slots["_point"]
        for slot in ("family", "size", "source"):
            if slot in slots:
                return slot, slots[slot]
    return None


def _has_qty(mention: Mention) -> bool:
    return mention.options[0].slots[:1] != () and mention.options[0].slots[0][0] == "qty"


def _qty_before(work: Work, mentions: list[Mention], index: int) -> bool:
    """Whether a count stands before the luminaire word at ``index`` within the same noun phrase."""
    for back in range(index - 1, max(index - 5, -1), -1):
        if any(
            option.slots and option.slots[0][0] == "qty" and option.score > 0
            for option in mentions[back].options
        ):
            return True
        if mentions[back + 1].gap >= 1:
            return False
    return False


def _scope_of(work: Work, mention: Mention, key: tuple[str, object]) -> Scope:
    slot, value = key
    if isinstance(value, Scope):
        return value
    if slot == "family":
        families: tuple[object, ...] = (value,)
        if value == "area" and "_point" in mention.slots and not _the_lot(work, mention):
            families = ("area", "street", "post_top")
        return Scope("family", mention.start, mention.end, families=families)  # type: ignore[arg-type]
    if slot == "size":
        return Scope("family", mention.start, mention.end, size=str(value))
    return Scope("family", mention.start, mention.end, source=value)  # type: ignore[arg-type]


def _the_lot(work: Work, mention: Mention) -> bool:
    """Whether a word for the parking lot points at its heads, which are there: not all that stands on poles does."""
    return "area" in work.flags.get("families", ()) and "lot" in work.text_at(mention.first)


def _pointed(work: Work, mention: Mention) -> bool:
    """Whether words around a luminaire word make it a pointer: "the poles are", "on the floods", "the T5 ones"."""
    if "_point" in mention.slots or "_scope" in mention.slots:
        return True
    before = work.text_at(mention.first - 1)
    before2 = work.text_at(mention.first - 2)
    after = work.text_at(mention.last + 1)
    if after in ("ones", "one") and before in ("the", "those", "los", "las"):
        return True
    if before in ("the", "those", "los", "las", "el", "la"):
        return (
            after in _IS
            or before2 in ("on", "for", "in", "only", "except", "but", "to", "at", "en", "para", "all")
            or after == ""
            or not after.isalpha()
            or (
                mention.first > 1 and work.atoms[mention.first - 2].kind == "n"
            )  # "480 the floods and 120 the packs"
        )
    if before not in ("on", "for", "para"):
        return False
    # "T3 on shoeboxes T5 on bollards": another type is told in its turn
    return after in ("", ".", ",", ";", "\n", "ones", "only") or any(
        work.text_at(n) == before for n in range(mention.last + 2, mention.last + 4)
    )


_REMOVE_NEVER = frozenset({"ditch", "get rid of", "replace", "scrap", "dont need", "extra", "skip"})


_SPLIT_VERBS = frozenset({"take", "leave", "pull", "cut", "knock", "keep", "saca", "deja"})


def removes(work: Work, first: int, before: int) -> bool:
    """Whether the words of the clause before a luminaire word take it away: "forget the floods", "take the floods off"."""
    first = max(first, before - 16)
    follows = before + 1
    while (
        follows < len(work.atoms)
        and follows < before + 3
        and work.text_at(follows) in ("lights", "ones", "heads")
    ):
        follows += 1
    if work.text_at(follows) == "back" and work.text_at(follows + 1) in ("off", "out"):
        follows += 1  # "take the wallpacks back off"
    leaves = work.text_at(follows) in ("off", "out", "fuera") and (
        follows + 1 >= len(work.atoms) or work.atoms[follows + 1].kind in ("s", "b")
    )
    if leaves and before - first <= 2:
        return True
    if work.text_at(follows) in ("off", "out", "fuera", "afuera") and any(
        word in _SPLIT_VERBS
        for index in range(max(first, before - 16), before)
        for word in work.text_at(index).split()
    ):
        return True
    for index in range(max(first, before - 16), before):
        if (
            "not" in work.cue(index)
            and index >= before - (1 if work.text_at(index) in ("no", "sin", "not") else 2)
            and work.text_at(index)
            in (
                "no",
                "skip",
                "without",
                "not the",
                "not",
                "dont need",
                "dont want",
                "sin",
                "ya no quiero",
                "minus the",
                "no more",
                "leave off",
                "exclude",
            )
        ):
            return True
        if "remove" in (work.has(index, "action") or ()) and not (
            work.text_at(index) in _REMOVE_NEVER and work.is_number(index + 1)
        ):
            return True
    return False


_TOLD = frozenset(
    [
        "family",
        "family_weak",
        "source",
        "size",
        "voltage",
        "finish",
        "controls",
        "optic",
        "colour",
        "mount",
        "led",
        "scope",
        "generic",
        "pointer",
        "keep_housing",
    ]
)
_IDENTITY = frozenset(
    {
        "family",
        "source",
        "watts",
        "size",
        "qty",
        "_noun",
        "led_watts",
        "lamps",
        "_same",
        "input_watts",
        "_led",
    }
)
"""Slots that make a clause speak of a type of its own."""
_LAMP_SLOTS = frozenset({"source", "watts", "lamps", "lamp_feet", "size"})
_ADDING = frozenset(
    {"also", "add", "plus", "another", "and", "also need", "need", "want", "got", "have", "agrega", "tambien"}
)
_LINKS = frozenset({"r", "are", "is", "at", "@", "to", "=", "son", "theyre", "be", "es", "on", "up", "a"})


_PRICED = frozenset(
    {
        "price",
        "prices",
        "pricing",
        "quote",
        "quotes",
        "number",
        "numbers",
        "cost",
        "estimate",
        "precio",
        "cotizacion",
    }
)


def _counted(work: Work, mentions: list[Mention], n: int, held: list[int]) -> bool:
    """Whether a count leads up to the luminaire word over lamps and sizes alone: "2 new led floods"."""
    for back in range(n - 1, max(n - 5, -1), -1):
        if back not in held or mentions[back + 1].gap >= 1:
            return False
        if _has_qty(mentions[back]):
            leading = work.text_at(mentions[back].first - 1)
            between = range(mentions[back].last + 1, mentions[back + 1].first)
            apart = any(
                work.text_at(i) in ("for", "on", "para", "of the", "of those") or work.text_at(i) in _IS
                for i in between
            )
            priced = leading in ("on", "for") and work.text_at(mentions[back].first - 2) in _PRICED
            return (leading not in _LINKS or priced) and not apart and (back < n - 1 or priced)
        if mentions[back].slots & {"family", "_scope", "_point"}:
            return False
    return False


def _told_in_pairs(mentions: list[Mention], n: int, on_the_job: Collection[object]) -> bool:
    """Whether a figure behind each name is all that is said: "packs 120 floods 277"."""
    if not _name_and_figure(mentions, n, on_the_job):
        return False
    lead = n
    while lead >= 2 and _name_and_figure(mentions, lead - 2, on_the_job):
        lead -= 2
    if lead and mentions[lead - 1].bare and mentions[lead - 1].last + 1 == mentions[lead].first:
        return False  # "8 floods 12 bollards 5 canopies"
    before = (
        n >= 2
        and _name_and_figure(mentions, n - 2, on_the_job)
        and mentions[n - 1].last + 1 == mentions[n].first
    )
    return before or (
        _name_and_figure(mentions, n + 2, on_the_job) and mentions[n + 1].last + 1 == mentions[n + 2].first
    )


def _name_and_figure(mentions: list[Mention], n: int, on_the_job: Collection[object]) -> bool:
    """Whether a type that is there is named, and a bare figure stands right behind it."""
    if n + 1 >= len(mentions) or (key := _key(mentions[n])) is None:
        return False
    figure = mentions[n + 1]
    return (
        key[0] == "family"
        and key[1] in on_the_job
        and figure.bare
        and mentions[n].last + 1 == figure.first == figure.last
    )


def _subject(work: Work, mentions: list[Mention], n: int, asked: str | None, held: list[int]) -> bool:
    """Whether a luminaire word in a conversation is what the clause speaks about, and no new type: it has no count of its own."""
    mention = mentions[n]
    key = _key(mention)
    if key is None:
        return False
    if key[0] == "scope":
        return True
    if key[0] not in ("family", "size") or (asked == key[0] and len(mentions) == 1):
        return False
    if (
        asked in ("height_ft", "voltage", "watts", "lamps", "cct_k", "qty")
        and sum(1 for m in mentions if _key(m) is not None) >= 2
    ):
        return True
    on_the_job = work.flags.get("families")
    if (
        key[0] == "family"
        and on_the_job
        and key[1] not in on_the_job
        and any(
            "add" in (work.has(i, "action") or ()) for i in range(max(mention.first - 4, 0), mention.first)
        )
    ):
        return False
    if key[0] == "family" and on_the_job and _told_in_pairs(mentions, n, on_the_job):
        return True
    if _counted(work, mentions, n, held) and not removes(work, 0, mention.first):
        return False
    back = n - 1
    if (
        back >= 0
        and mentions[back].options
        and any(o.slots[:1] and o.slots[0][0] == "qty" for o in mentions[back].options)
    ):
        between = range(mentions[back].last + 1, mention.first)
        plain = (
            all(
                work.atoms[i].kind in ("w", "p")
                and work.text_at(i) not in _IS
                and work.text_at(i) not in ("for", "on", "para")
                for i in between
            )
            and len(between) <= 2
        )
        linked = work.text_at(mentions[back].first - 1) in _LINKS
        if plain and not linked:
            return False
        if (
            work.text_at(mentions[back].last) in ("of the", "of those")
            or work.unit(mentions[back].last) == "each"
        ):
            return False
    if any(
        _has_qty(mentions[i]) and mentions[i].options[0].rule != "bare count"
        for i in range(max(held[0], n - 12), min(held[-1], n + 12) + 1)
    ):
        return _pointed(work, mention) and work.text_at(mention.last + 1) in _IS
    before = work.text_at(mention.first - 1)
    after = work.text_at(mention.last + 1)
    if (
        len(mentions) == 1
        or before in ("the", "those", "los", "las", "el", "la", "on", "for")
        or after in _IS
        or after in ("i", ",", "those", "+", "plus")
    ):
        return True
    # "wallpacks 277", "photocells on the wall packs": attributes only beside it
    near = range(max(held[0], n - 12), min(held[-1], n + 12) + 1)
    others = {o.slots[0][0] for i in near for o in mentions[i].options[:1] if o.slots and i != n}
    listed = before in ("and", ",", "&", "y", "n") and any(
        _key(mentions[i]) is not None for i in near if i < n
    )
    return not (others & {"qty", "source", "watts"}) and (listed or before not in _ADDING)


def _beside_family(mention: Mention) -> Mention | None:
    """What a luminaire phrase says beside the family: "recessed troffers" are mounted recessed."""
    if len(mention.options) != 1:
        return None
    left = tuple(item for item in mention.options[0].slots if item[0] == "mount")
    return mention._replace(options=(mention.options[0]._replace(slots=left),)) if left else None


_Pointers = list[tuple[int, tuple[str, object]]]


def _joined(
    work: Work, mentions: list[Mention], pointers: _Pointers, held: list[int]
) -> tuple[_Pointers, set[int]]:
    """Pointing words side by side are one ("the floods out back"); a place beside a type that is described points at nothing.

    Returns:
        The pointers that are left, and the mentions that went into them.
    """
    out: _Pointers = []
    absorbed: set[int] = set()
    pointing = {n for n, _ in pointers}
    for n, key in pointers:
        mention = mentions[n]
        if (
            isinstance(key[1], Scope)
            and key[1].labels
            and not pointing & {n - 1, n + 1}
            and _beside_described(mentions, n, held)
        ):
            absorbed.add(n)
            continue
        if out and out[-1][0] == n - 1 - sum(1 for m in absorbed if out[-1][0] < m < n):
            before = mentions[out[-1][0]]
            between = range(before.last + 1, mention.first)
            plain = len(between) <= 2 and all(
                work.atoms[i].kind in ("w", "p")
                and work.text_at(i) not in _IS
                and "join" not in work.atoms[i].mean
                for i in between
            )
            one, two = _scope_of(work, before, out[-1][1]), _scope_of(work, mention, key)
            if (
                plain
                and mention.gap == 0
                and (bool(one.families) != bool(two.families) or one.labels or two.labels)
            ):
                out[-1] = (out[-1][0], ("scope", _both(one, two)))
                absorbed.add(n)
                continue
        out.append((n, key))
    return out, absorbed


def _both(one: Scope, two: Scope) -> Scope:
    """The lines that fit both."""
    return replace(
        one,
        start=min(one.start, two.start),
        end=max(one.end, two.end),
        families=one.families or two.families,
        source=one.source or two.source,
        watts=one.watts or two.watts,
        labels=one.labels + two.labels,
        height_ft=one.height_ft or two.height_ft,
        size=one.size or two.size,
        lowest=one.lowest or two.lowest,
        highest=one.highest or two.highest,
        having=one.having + two.having,
    )


def _no_count(mention: Mention) -> Mention:
    """A bare number in "all but the cans (120)" that may be volts counts nothing."""
    options = tuple(option for option in mention.options if option.slots and option.slots[0][0] == "voltage")
    return mention._replace(options=options) if mention.bare and options else mention


def _leads_types(work: Work, index: int, held: list[int], mentions: list[Mention]) -> bool:
    """Whether "both" or "all" only opens a list of types that are described here: "both the 9 cans and the 12 floods"."""
    if work.text_at(index) == "all" and work.text_at(index - 1) in ("is", "are", "was", "its", "theyre"):
        # "the hall is all 2x4 lay-ins": a type of its own
        near = next((mentions[n] for n in held if mentions[n].first > index), None)
        return near is not None and near.first <= index + 2 and bool(near.slots & {"family", "size"})
    if work.text_at(index) not in ("both", "all", "ambos", "ambas") or work.text_at(index + 1) not in (
        "the",
        "our",
        "my",
        "los",
        "las",
    ):
        return False
    first = next((mentions[n] for n in held if mentions[n].first > index), None)
    return (
        first is not None
        and first.first == index + 2
        and (_has_qty(first) or (work.text_at(index) != "all" and "family" in first.slots))
    )


def _of_one_type(mentions: list[Mention], index: int) -> bool:
    """Whether a message that begins with "all" describes one type: "all the packs are 250 hps, theres 28"."""
    if not mentions or mentions[0].first < index:
        return False
    counts = [
        mention
        for mention in mentions
        if mention.options[0].slots[:1] and mention.options[0].slots[0][0] == "qty"
    ]
    named = [mention for mention in mentions if mention.slots & {"family", "size"}]
    return len(counts) == 1 and len(named) < 2 and (not named or named[0].first < counts[0].first)


def _on_each(work: Work, index: int) -> bool:
    """Whether "on each" ends a clause: "photocell on each," is said of all."""
    return (
        work.text_at(index) == "each"
        and work.text_at(index - 1) == "on"
        and work.has(index - 2, "family") is None  # "one shoebox on each" pole
        and (index + 1 >= len(work.atoms) or work.atoms[index + 1].kind in ("s", "b"))
    )


def _counted_before(stretches: list[Stretch], rest: list[Mention], scope_at: int) -> bool:
    """Whether the count of the first type stands in brackets right before it: "(12) floods 240V / all bronze"."""
    if not rest or not stretches or stretches[-1].scope is not None or not stretches[-1].mentions:
        return False
    count = stretches[-1].mentions[-1]
    near = next((m for m in rest if "family" in m.slots and m.first < scope_at), None)
    return near is not None and _has_qty(count) and rest[0].first == count.last + 2


_ALL_AROUND = frozenset({"all around", "all over", "everywhere", "throughout", "across the board"})


def _reaches(work: Work, mention: Mention, scope_at: int) -> bool:
    """Whether a slot that stands apart is said of all: "31 cobras 120V / 12 cobras 240V / bronze on all"."""
    last = scope_at - 1
    if work.text_at(scope_at) in _ALL_AROUND and mention.last == last and not mention.bare:
        return work.text_at(mention.first - 1) in (
            "its",
            "it's",
            "is",
            "thats",
            "are",
            "theyre",
            "all",
            ",",
            "and",
        )
    if work.text_at(last) in ("on", "for", "in", "en", "para"):
        last -= 1
    elif not work.text_at(scope_at).startswith(("on ", "for ", "en ")) and not _ends_here(work, scope_at):
        return False
    return (
        mention.last == last
        and mention.options[0].slots[:1] != ()
        and mention.options[0].slots[0][0] not in _IDENTITY
        and mention.first > 0
        and (work.atoms[mention.first - 1].kind in ("s", "b") or _ends_here(work, scope_at))
    )


def _ends_here(work: Work, index: int) -> bool:
    """Whether a word ends its clause: ".. / 120v all", "... on all need by friday"."""
    return (
        index + 1 >= len(work.atoms)
        or work.atoms[index + 1].kind in ("s", "b")
        or ("by_date" in work.cue(index + 1) and " " in work.text_at(index + 1))
    )


def _beside_described(mentions: list[Mention], n: int, held: list[int]) -> bool:
    """Whether a type with a count of its own stands in the same clause: "4 floods out back"."""
    near = [mentions[m] for m in held if m != n]
    return any(_has_qty(m) for m in near) and any(m.slots & {"family", "size"} for m in near)


_NAMED = frozenset({"family", "family_weak", "pointer", "scope", "size", "source"})
_TYPES = frozenset({"qty", "family", "size", "_noun", "_scope", "_point", "_same"})


def _told_in_turn(mentions: list[Mention], by_segment: list[list[int]]) -> list[int]:
    """The clauses that tell nothing but a lamp, or what else was told so of a type before, where each type is followed by its own."""
    lamps: list[int] = []
    others: list[int] = []
    told: set[str] = set()
    types = 0
    own = False
    for place, held in enumerate(by_segment):
        if not held:
            continue
        slots = {option.slots[0][0] for m in held for option in mentions[m].options[:1] if option.slots}
        if slots & _TYPES:
            if types and not own:
                return []  # a type that is followed by no lamp of its own
            types += 1
            own = sum(_has_qty(mentions[m]) for m in held) != 1
            if own:
                return []
        elif not types or any(mention.options[0].slots[:1] == () for mention in [mentions[m] for m in held]):
            return []
        elif "source" in slots and slots <= _LAMP_SLOTS and not own:
            lamps.append(place)
            own = True
        elif (own and slots & told) or types < 2:
            others.append(place)
        if not slots & _TYPES:
            told |= slots
    return sorted([*lamps, *others]) if own and len(lamps) >= 2 and types == len(lamps) else []


def _points_on(
    work: Work,
    mentions: list[Mention],
    by_segment: list[list[int]],
    segments: list[Segment],
    place: int,
    announced: set[tuple[str, object]],
) -> bool:
    """Whether the rest of a sentence that begins with attributes only points at types that were described before: "208v, shoeboxes on 25 ft poles"."""
    if work.text_at(segments[place].last + 1) != ",":
        return False
    for later in range(place + 1, len(segments)):
        if segments[later].sentence != segments[place].sentence:
            break
        for n in by_segment[later]:
            key = _key(mentions[n])
            if _has_qty(mentions[n]) or (key is not None and key[0] != "scope" and key not in announced):
                return False
    return True


def plan(
    work: Work, mentions: list[Mention], in_conversation: bool = False, asked: str | None = None
) -> list[Stretch]:
    """Split the mentions into descriptions and scoped clauses, in text order."""
    segments = segments_of(work, in_conversation)
    by_segment: list[list[int]] = [[] for _ in segments]
    said_in: dict[int, set[str]] = {}
    sentence_qty: set[int] = set()
    cursor = 0
    last_identity = -1
    counts_told: list[int] = []
    for number, mention in enumerate(mentions):
        counts_told.append(
            (counts_told[-1] if number else 0) + (number > 0 and _has_qty(mentions[number - 1]))
        )
        while cursor + 1 < len(segments) and mention.first > segments[cursor].last:
            cursor += 1
        by_segment[cursor].append(number)
        sentence = segments[cursor].sentence
        first_option = mention.options[0]
        if first_option.slots:
            said_in.setdefault(sentence, set()).add(first_option.slots[0][0])
        if _has_qty(mention):
            sentence_qty.add(sentence)
            last_identity = number
        elif (named := _key(mention)) is not None and named[0] != "scope":
            last_identity = number
    announced: set[tuple[str, object]] = {("family", family) for family in work.flags.get("rows", ())}
    told = 0
    stretches: list[Stretch] = []
    current: Scope | None = None
    current_sentence = -1
    hard = True
    described = 0
    lampless = True
    total_types = sum(
        1
        for number, mention in enumerate(mentions)
        if _has_qty(mention) or (mention.slots & {"family"} and not _qty_before(work, mentions, number))
    )

    turns = [] if in_conversation or total_types < 2 else _told_in_turn(mentions, by_segment)

    # "12 at 250W, 8 at 400W. Metal halide.": the only lamp that is named ends the message
    lone_source = sum(1 for mention in mentions if "source" in mention.slots) == 1
    last_word = mentions[-1].last if mentions else -1

    def push(scope: Scope | None, held: list[Mention], is_hard: bool, is_negative: bool = False) -> None:
        if scope is None and stretches and stretches[-1].scope is None:
            stretches[-1].mentions.extend(held)
        else:
            stretches.append(Stretch(scope, held, is_negative, is_hard))

    for place, segment in enumerate(segments):
        held = by_segment[place]
        scope: Scope | None = None
        scope_at = None
        for index in range(segment.first, segment.last + 1) if work.speaks_of("scope", "unit:each") else ():
            kind = work.has(index, "scope")
            if not in_conversation and _on_each(work, index):
                kind = "all"
            if kind == "all" and scope is not None and scope.kind == "others":
                continue  # "the other ones are all 120"
            if (
                kind == "both"
                and in_conversation
                and "family" in (work.atoms[index + 1].mean if index + 1 < len(work.atoms) else {})
            ):
                continue  # "both floods on 480"
            if kind in ("all", "both", "others", "that") and not work.used[index]:
                if _leads_types(work, index, held, mentions):
                    continue
                if kind == "all" and not in_conversation and _of_one_type(mentions, index):
                    continue
                nxt = work.atoms[index + 1] if index + 1 < len(work.atoms) else None
                if nxt is not None and nxt.kind == "n" and kind != "both" and index + 1 <= segment.last:
                    follow = [mentions[n] for n in held if mentions[n].first == index + 1]
                    if (
                        follow
                        and _has_qty(follow[0])
                        and len(work.atoms) > index + 2
                        and "at" not in work.cue(index + 1)
                    ):
                        continue
                if scope is not None and scope.kind == "others" and kind != "others":
                    continue  # "the other ones are all 120"
                atom = work.atoms[index]
                whole: Literal["all", "others", "that"] = (
                    "others" if kind == "others" else "that" if kind == "that" else "all"
                )
                scope = Scope(whole, atom.start, atom.end)
                scope_at = index
        if scope is not None and in_conversation and scope.kind == "all" and scope_at is not None:
            nearest = next((mentions[n] for n in held if mentions[n].first > scope_at), None)
            if nearest is not None and nearest.first <= scope_at + 3 and "_scope" in nearest.slots:
                # "everything in front": all of what is there
                scope = None
        if segment.sentence != current_sentence:
            current = None
        current_sentence = segment.sentence
        if segment.excepted and not in_conversation:
            for n in held:
                mentions[n] = _no_count(mentions[n])
        counted = any(_has_qty(mentions[m]) for m in held)
        keys = [(n, key) for n in held if (key := _key(mentions[n])) is not None]
        pointers: list[tuple[int, tuple[str, object]]] = []
        if scope is None or segment.excepted:
            while held and told < held[0]:
                if (earlier_key := _key(mentions[told])) is not None and not isinstance(
                    earlier_key[1], Scope
                ):
                    announced.add(earlier_key)
                told += 1
            for n, key in keys:
                mention = mentions[n]
                if in_conversation and _subject(work, mentions, n, asked, held):
                    pointers.append((n, key))
                    continue
                if key[0] == "scope":
                    pointers.append((n, key))
                    continue
                if counted or (n > held[0] and _qty_before(work, mentions, n)):
                    continue
                pointed = _pointed(work, mention)
                repeated = not isinstance(key[1], Scope) and (
                    key in announced or (key == ("source", "T5") and ("source", "T5HO") in announced)
                )
                if (
                    segment.excepted
                    or (
                        removes(work, segment.first, mention.first)
                        and (repeated or in_conversation or n == held[0])
                        and key[0] in ("family", "size")
                    )
                    or (
                        repeated
                        and (
                            pointed
                            or (
                                # "..., bronze packs white canopies"
                                mention.gap == 0
                                and n - 1 in held
                                and "finish" in mentions[n - 1].slots
                                and len(held) > 2
                            )
                            or (key[0] in ("family", "size") and segment.sentence not in sentence_qty)
                            or (
                                key[0] in ("family", "size")
                                and work.text_at(mention.last + 1) in _IS
                                and not (
                                    work.text_at(mention.last + 1) in ("-", ":", "=")
                                    and n + 1 < len(mentions)
                                    and mentions[n + 1].first == mention.last + 2
                                    and _has_qty(mentions[n + 1])
                                )
                            )
                        )
                    )
                    or (
                        in_conversation
                        and key[0] in ("family", "size")
                        and (pointed or work.text_at(mention.last + 1) in _IS)
                    )
                ):
                    pointers.append((n, key))
                    if segment.excepted:
                        break
        if not held and not scope:
            continue
        if in_conversation and pointers:
            pointers, absorbed = _joined(work, mentions, pointers, held)
            held = [n for n in held if n not in absorbed]
        if pointers:
            first_is_pointer = pointers[0][0] == held[0]
            if len(pointers) == 1:
                n, key = pointers[0]
                scope = _scope_of(work, mentions[n], key)
                if removes(work, segment.first, mentions[n].first):
                    stretches.append(Stretch(scope, [], remove=True))
                    continue
                rest = [mentions[m] for m in held if m != n]
                if (extra := _beside_family(mentions[n])) is not None:
                    rest.append(extra)
                whole_before = stretches[-1] if stretches else None
                if (
                    segment.excepted
                    and whole_before is not None
                    and whole_before.scope is not None
                    and whole_before.scope.kind == "all"
                    and not whole_before.mentions
                ):
                    # "everything except the canopy is 480": the value is that of everything else
                    whole_before.mentions.extend(rest)
                    rest = []
                push(scope, rest, True, segment.excepted and not rest)
                current, hard, _negative = scope, True, segment.excepted
                continue
            bounds = [n for n, _ in pointers]
            for number, (n, key) in enumerate(pointers):
                if first_is_pointer:
                    low, high = n, bounds[number + 1] if number + 1 < len(bounds) else held[-1] + 1
                else:
                    low, high = (bounds[number - 1] + 1 if number else held[0]), n + 1
                scope = _scope_of(work, mentions[n], key)
                if number == 0 and removes(work, segment.first, mentions[n].first):
                    stretches.append(Stretch(scope, [], remove=True))
                    continue
                extra = _beside_family(mentions[n])
                here = [mentions[m] for m in held if low <= m < high and m != n]
                if first_is_pointer and not here and number + 1 < len(bounds) and not in_conversation:
                    # "bollards and post tops 70 MH": what is said of the second is said of both
                    twin = bounds[number + 1]
                    if any(work.has(i, "join") for i in range(mentions[n].last + 1, mentions[twin].first)):
                        end = bounds[number + 2] if number + 2 < len(bounds) else held[-1] + 1
                        here = [mentions[m] for m in held if twin < m < end]
                push(scope, [*here, extra] if extra is not None else here, True)
                current, hard = scope, True
            continue
        if scope is not None:
            rest = [mentions[m] for m in held]
            if scope_at is not None and (
                (any(_has_qty(m) for m in rest) and any("family" in m.slots for m in rest))
                or (not in_conversation and _counted_before(stretches, rest, scope_at))
                or (
                    not in_conversation
                    and scope.kind == "all"
                    and sum(_has_qty(m) and m.first < scope_at for m in rest) > 0
                    and not any(_has_qty(m) and m.first > scope_at for m in rest)
                )
            ):
                # "20 shoeboxes 400w all bronze": the types before the scope word are described, the rest is scoped
                before = [m for m in rest if m.first < scope_at]
                after = [m for m in rest if m.first > scope_at]
                if (
                    before
                    and (not after or _ends_here(work, scope_at))
                    and _reaches(work, before[-1], scope_at)
                ):
                    after.insert(0, before.pop())
                if before:
                    push(None, before, True)
                    described += 1
                push(scope, after, True)
            else:
                push(scope, rest, True)
            current, hard = scope, True
            continue
        slots: set[str] = set()
        for m in held:
            options = mentions[m].options
            slots |= (
                mentions[m].slots if len(options) == 1 else {o.slots[0][0] for o in options[:1] if o.slots}
            )
        attribute_only = bool(held) and not (slots & _IDENTITY)
        loose = (
            in_conversation
            and bool(held)
            and all(mentions[m].bare or not (mentions[m].slots & _IDENTITY) for m in held)
        )
        # "all T12, 2 lamp each": the rest of the lamp is that of all as well
        lamp_of_all = (
            not in_conversation
            and current is not None
            and current.kind == "all"
            and bool(held)
            and slots <= _LAMP_SLOTS
            and stretches[-1].scope is current
            and bool(stretches[-1].mentions)
            and not any(not m.slots.isdisjoint(slots) for m in stretches[-1].mentions)
        )
        headed = (
            in_conversation
            and current is not None
            and bool(held)
            and "family" not in slots
            and work.folded[current.end : current.end + 2].lstrip()[:1] in (":", "-")
        )
        # "the floods, 250 watt metal halide": what is pointed at is told of behind the comma
        headed = headed or (
            in_conversation
            and current is not None
            and stretches[-1].scope is current
            and not stretches[-1].negative
            and not stretches[-1].remove
            and slots.isdisjoint(("family", "size", "qty"))
            and not any(not m.slots.isdisjoint(slots) for m in stretches[-1].mentions)
        )
        if (attribute_only or loose or headed or lamp_of_all) and current is not None:
            push(current, [mentions[m] for m in held], hard)
            continue
        sentence_slots = said_in.get(segment.sentence, set())
        if place in turns:
            # "13 barn lights. 175 merc. 4 wall packs. 100 HPS."
            push(None, [mentions[held[0]]._replace(gap=1), *[mentions[m] for m in held[1:]]], True)
            continue
        if (
            not in_conversation
            and held
            and total_types >= 2
            and slots <= _LAMP_SLOTS
            and sentence_slots <= _LAMP_SLOTS
            and (
                not described
                or lampless
                or (slots == {"source"} and lone_source and segment.last >= last_word)
            )
            and work.text_at(segment.first - 1) in ("", ".", "!", ";", ",")
            and work.text_at(segment.last + 1) in ("", ".", "!", ";", ",")
        ):
            # "Mostly T8 here." before the types; "250 W metal halide." behind types that say no lamp
            push(
                Scope("all", mentions[held[0]].start, mentions[held[-1]].end),
                [mentions[m] for m in held],
                False,
            )
            continue
        excepting = place + 1 < len(segments) and segments[place + 1].excepted
        if (
            attribute_only
            and not in_conversation
            and total_types >= 2
            and excepting
            and described
            and segments[place + 1].sentence == segment.sentence
            and (not place or segments[place - 1].sentence != segment.sentence)
        ):
            # "277 except the cans at 120"
            push(
                Scope("all", mentions[held[0]].start, mentions[held[-1]].end),
                [mentions[m] for m in held],
                False,
            )
            continue
        if attribute_only and not in_conversation and total_types >= 2:
            later = last_identity > held[-1]
            earlier = described > 0
            if (
                not (later and earlier)
                if not (sentence_slots & _IDENTITY)
                else counts_told[held[0]] > 1
                and (not place or segments[place - 1].sentence != segment.sentence)
                and _points_on(work, mentions, by_segment, segments, place, announced)
            ):
                soft = Scope("all", mentions[held[0]].start, mentions[held[-1]].end)
                push(soft, [mentions[m] for m in held], False)
                continue
        if held:
            current = None
            lampless = lampless and not slots & _LAMP_SLOTS
            push(None, [mentions[m] for m in held], True)
            described += 1
    return stretches
