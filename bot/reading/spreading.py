"""What one phrase gives to several types of a list: "18 each of 2x4 and 2x2", "24 and 36 of each resp.", "X and Y have to be bronze".

Before the search the mentions are put in the order in which they would stand had the writer said everything of each type
in turn; what is shared is repeated, with the place in the text that it came from.
"""

from bot.reading.clause import Work, ends_clause
from bot.reading.dealing import MEASURED, best, dealt_in_turn, given_to, runs_of, shared_source
from bot.reading.headings import under_headings
from bot.reading.heads import ADDS_UP, OF_EACH, WORKED_OUT
from bot.reading.holders import HOLDERS
from bot.reading.mentions import Mention, Option
from bot.reading.places_behind import PLACES
from bot.reading.sized_counts import sized_counts
from bot.reading.words import words_of

_NAMING = ("family", "size", "source", "watts")
_EACH = words_of("each ea apiece")
_IN_TURN = words_of("respectively resp each")
_VERBS = (
    "need to be",
    "needs to be",
    "should be",
    "have to be",
    "has to be",
    "must be",
    "are to be",
    "want them",
    "to be",
    "are all",
    "all need",
    "need",
)
_BINDING = words_of("need needs should must have are want get be take stay")
_IDENTITY = frozenset({"qty", "family", "size", "_noun", "led_watts"})


def _only(mention: Mention) -> tuple[str, object] | None:
    """The slot and value of a mention that can be taken one way."""
    if len(mention.options) == 1 and mention.options[0].slots:
        return mention.options[0].slots[0]
    return None


def _as_count(mention: Mention) -> Mention | None:
    for option in mention.options:
        if option.slots and option.slots[0][0] == "qty":
            return mention._replace(options=(Option(option.slots, 5.0, option.rule),))
    return None


def of_each(count: Mention) -> Mention:
    """A count that is said of each of the types named with it."""
    return count._replace(options=(count.options[0]._replace(rule=OF_EACH),))


def _pair(work: Work, mentions: list[Mention], at: int) -> list[int]:
    """The mentions from ``at`` on that name types in a list, each in one word: "2x4 and 2x2", "wall packs, floods and canopies"."""
    first = _only(mentions[at])
    if first is None or first[0] not in _NAMING:
        return []
    run = [at]
    index = at + 1
    while index < len(mentions):
        mention = mentions[index]
        said = _only(mention)
        if said is None or said[0] != first[0]:
            break
        between = range(mentions[index - 1].last + 1, mention.first)
        if not between and not (
            first[0] == "family"
            and work.text_at(mention.last).endswith("s")
            and work.text_at(mentions[index - 1].last).endswith("s")
        ):
            break  # "3 each packs floods bollards" is a list
        if not all(
            "join" in work.atoms[n].mean or work.text_at(n) in (",", "the", "of", "/", "-", "y", "e")
            for n in between
        ):
            break
        if any(dict(mentions[n].options[0].slots).get(first[0]) == said[1] for n in run):
            break
        run.append(index)
        index += 1
    return run if len(run) > 1 else []


def _pair_of_values(work: Work, mentions: list[Mention], at: int) -> list[int]:
    """The mentions from ``at`` on that are watts in a list whose unit is said last: "250 and 400 watt"."""
    for slot, run in runs_of(work, mentions[at : at + 8], len(work.atoms)):
        if slot == "watts" and run[0] == 0:
            for n in run:
                option = next(o for o in mentions[at + n].options if o.slots[:1] and o.slots[0][0] == slot)
                mentions[at + n] = mentions[at + n]._replace(options=(option,), bare=False)
            return [at + n for n in run]
    return []


def each_of(work: Work, mentions: list[Mention]) -> list[Mention]:
    """Repeat a count that is said for each of a list: "eighteen each of 2x4 and 2x2 troffers", "a dozen each wall packs and floods"."""
    out = list(mentions)
    at = 0
    while at < len(out) - 2:
        mention = out[at]
        texts = [
            work.text_at(n)
            for n in range(mention.first, min(mention.last + 3, out[at + 1].first, len(work.atoms)))
        ]
        said = any(word in _EACH for text in texts for word in text.split()) or any(
            work.unit(n) == "each" for n in range(mention.last + 1, mention.last + 3)
        )
        count = _as_count(mention) if said and best(mention) == "qty" else None
        spots = _repeats(work, out, at) if count is not None and not _counted_before(out, at) else []
        if count is not None and len(spots) > 1:
            out[at] = count = of_each(count)
            for number in reversed(spots[1:]):
                out.insert(number, count._replace(gap=max(out[number].gap, 2)))
            at = spots[-1] + len(spots)
            continue
        run = (
            _pair(work, out, at + 1) or _pair_of_values(work, out, at + 1)
            if count is not None and work.text_at(mention.first - 1) not in (")", "-", ",")
            else []
        )
        if count is not None and run and not _counted_before(out, at):
            out[at] = count = of_each(count)
            for number in reversed(run[1:]):
                out.insert(number, count._replace(gap=max(out[number].gap, 2)))
            at = run[-1] + len(run)
            continue
        at += 1
    return out


def _repeats(work: Work, mentions: list[Mention], at: int) -> list[int]:
    """Where the types of a list begin behind a count for each: "4 each of 150W HPS floods and 250W HPS floods"."""
    spots = [at + 1]
    seen: set[str] = set()
    for number in range(at + 1, min(len(mentions), at + 24)):
        mention = mentions[number]
        slot = best(mention)
        if slot == "qty" or mention.gap >= 3 or len(mention.options) > 1:
            break
        if slot in seen and mention.gap in (1, 2) and slot in ("family", "size", "source", "watts"):
            # a list of single words is told apart elsewhere
            spots.append(number)
            seen = set()
        seen |= {name for name, _ in mention.options[0].slots}
    return spots if len(spots) > 1 and "family" in seen else []


def _counted_before(mentions: list[Mention], at: int) -> bool:
    """Whether the luminaire word stands before the count: "wall packs 10 ea, 2x4 ..."."""
    return at > 0 and mentions[at].gap == 0 and "family" in mentions[at - 1].slots


def zipped(work: Work, mentions: list[Mention]) -> list[Mention]:
    """Deal lists out in turn: "8 and 12 wall packs, 100W and 250W MH respectively" is 8 of 100 W and 12 of 250 W."""
    said = next(
        (n for n, atom in enumerate(work.atoms) if atom.text in ("respectively", "resp", "in that order")),
        None,
    )
    if said is None:
        return mentions
    runs = runs_of(work, mentions, said)
    size = len(runs[-1][1]) if runs else 0
    runs = [run for run in runs if len(run[1]) == size]
    slots = [slot for slot, _ in runs]
    if (
        size > 1
        and runs
        and all(slot in MEASURED and slot != "qty" for slot in slots)
        and len(set(slots)) == len(slots)
    ):
        return _each_its_own(mentions, runs)
    if (
        size < 2
        or len(runs) < 2
        or len(set(slots)) < len(slots)
        or not {"family", "qty", "size"} & set(slots)
    ):
        return mentions
    first, last = runs[0][1][0], max(run[1][-1] for run in runs)
    inside = {n for _, run in runs for n in run}
    end = next((n for n in range(last + 1, len(mentions)) if mentions[n].first > said), len(mentions))
    rest = [n for n in range(first, end) if n not in inside]
    if any(best(mentions[n]) in slots for n in rest):
        return mentions
    out = list(mentions[:first])
    for turn in range(size):
        held = sorted([(slot, run[turn]) for slot, run in runs], key=lambda item: (item[0] != "qty", item[1]))
        for place, (slot, number) in enumerate(held):
            option = next(o for o in mentions[number].options if o.slots[:1] and o.slots[0][0] == slot)
            taken = mentions[number]._replace(options=(Option(option.slots, 5.0, "in turn"),), bare=False)
            out.append(
                taken._replace(
                    gap=0 if place else max(2, mentions[first].gap) if turn else mentions[first].gap
                )
            )
        out.extend(mentions[n]._replace(gap=0) for n in rest)
    return out + list(mentions[end:])


def _each_its_own(mentions: list[Mention], runs: list[tuple[str, list[int]]]) -> list[Mention]:
    """Give each type that was described before its value of every list: "... 400 and 150 W, 25 and 15 ft respectively"."""
    first = runs[0][1][0]
    size = len(runs[0][1])
    for name in ("qty", "family"):
        types = [n for n in range(first) if best(mentions[n]) == name]
        if len(types) == size:
            break
    else:
        return mentions
    dealt = {n for _, run in runs for n in run}
    lamp = next((shared_source(mentions, run) for slot, run in runs if slot == "watts"), None)
    out = []
    for number, mention in enumerate(mentions):
        if number in dealt or number == lamp:
            continue
        out.append(mention)
        if number in types:
            for slot, run in runs:
                said = mentions[run[types.index(number)]]
                option = next(o for o in said.options if o.slots[:1] and o.slots[0][0] == slot)
                said = said._replace(options=(Option(option.slots, 5.0, "in turn"),), bare=False)
                out.append(given_to(mention, said))
            if lamp is not None:
                out.append(given_to(mention, mentions[lamp]))
    return out


def _set_apart(work: Work, at: int) -> bool:
    """Whether a list ends or begins at a mark or at the text's end."""
    return not 0 <= at < len(work.atoms) or work.atoms[at].kind in ("s", "b")


def in_turn(work: Work, mentions: list[Mention]) -> list[Mention]:
    """Give counts said in the order of a list to its types: "2x4 and 2x2 troffers, 24 and 36 of each resp."."""
    words = [
        n
        for n, atom in enumerate(work.atoms)
        if atom.text in ("respectively", "resp", "in that order", "of each", "each", "of each resp")
    ]
    # without such a word two small counts must be the only ones: "wall packs and floods, 10 and 6, 175 halide both"
    plain = (
        not words
        and sum(best(m) == "qty" for m in mentions) == 2
        and all(m.options[0].slots[0][1] < 50 for m in mentions if best(m) == "qty")
    )
    if not (words or plain) or len(mentions) > 200:
        return mentions
    for at in range(len(mentions) - 3):
        run = _pair(work, mentions, at)
        if not run or (at and best(mentions[at - 1]) == "qty" and mentions[at].gap == 0):
            continue
        after = [
            n
            for n in range(run[-1] + 1, len(mentions))
            if _as_count(mentions[n]) is not None and mentions[n].bare
        ]
        for start in range(len(after)):
            counts = after[start : start + len(run)]
            if len(counts) < len(run) or counts[-1] - counts[0] != len(run) - 1:
                continue
            last = mentions[counts[-1]].last
            if plain and (
                not _set_apart(work, mentions[counts[0]].first - 1) or not _set_apart(work, last + 1)
            ):
                continue
            if not plain and not any(last < word <= last + 3 for word in words):
                continue
            if any(ends_clause(work.atoms[n]) for n in range(mentions[counts[0]].first, last)):
                continue
            moved = [count for n in counts if (count := _as_count(mentions[n])) is not None]
            out = []
            for number, mention in enumerate(mentions):
                if number in run:
                    count = moved[run.index(number)]
                    out.append(count._replace(gap=max(mention.gap, 2 if number != at else mention.gap)))
                    out.append(mention._replace(gap=0))
                elif number not in counts:
                    out.append(mention)
            return out
    return mentions


def _whole_lamps(work: Work, mentions: list[Mention]) -> tuple[list[int], list[int]] | None:
    """The types of a list that tells no lamp, and the watts and lamps that follow it, of each type its own: "7 packs, 3 floods. 250 MH, 400 MH"."""
    first = next((n for n, mention in enumerate(mentions) if "source" in mention.slots), 0)
    sources = [first]
    while sources[-1] + 2 < len(mentions) and "source" in mentions[sources[-1] + 2].slots:
        between = range(mentions[sources[-1]].last + 1, mentions[sources[-1] + 1].first)
        if not between or any(
            not (work.text_at(n) in (",", "/") or "join" in work.atoms[n].mean) for n in between
        ):
            break
        sources.append(sources[-1] + 2)
    if len(sources) < 2 or not first:
        return None
    said = list(range(first - 1, sources[-1] + 1))
    types = [
        n
        for n in range(said[0])
        if not {"family", "size"}.isdisjoint(mentions[n].slots) and len(mentions[n].options) == 1
    ]
    if len(types) != len(sources) or said[0] <= 0:
        return None
    for n in range(said[0]):
        if best(mentions[n]) not in ("qty", "family", "size", "keep_housing", "mount"):
            return None
    for n in said[::2]:
        watts = any(option.slots[:1] and option.slots[0][0] == "watts" for option in mentions[n].options)
        if not watts or mentions[n + 1].gap:
            return None
    if mentions[said[0]].gap < 2:
        return None
    follows = mentions[said[-1] + 1] if said[-1] + 1 < len(mentions) else None
    if follows is not None and follows.gap < 2 and best(follows) in ("qty", "family", "size"):
        return None
    return types, said


def lamps_in_turn(work: Work, mentions: list[Mention]) -> list[Mention]:
    """Give lamps said in the order of the types to them: "8 wall packs and 6 floods, 150 HPS and 400 MH respectively"."""
    word = next(
        (
            n
            for n, atom in enumerate(work.atoms)
            if atom.text in ("respectively", "resp", "in that order", "respectivamente")
        ),
        None,
    )
    if word is None:
        found = _whole_lamps(work, mentions)
        if found is None:
            return mentions
        types, said = found
    else:
        start = word
        while start > 0 and not ends_clause(work.atoms[start - 1]):
            start -= 1
        inside = [n for n, m in enumerate(mentions) if start <= m.first < word]
        types = [
            n
            for n in inside
            if not {"family", "size"}.isdisjoint(mentions[n].slots) and len(mentions[n].options) == 1
        ]
        if not types:
            return mentions
        said = [n for n in inside if n > types[-1]]
    if not 2 <= len(types) <= 6 or not all(n and _as_count(mentions[n - 1]) is not None for n in types):
        return mentions
    groups: list[list[int]] = []
    for n in said:
        between = range(mentions[n - 1].last + 1, mentions[n].first)
        if not groups or any("join" in work.atoms[i].mean or work.text_at(i) in (",", "/") for i in between):
            groups.append([])
        groups[-1].append(n)
    if len(groups) != len(types):
        return mentions
    out: list[Mention] = []
    for number, mention in enumerate(mentions):
        if number in said:
            continue
        out.append(mention)
        if number in types:
            for n in groups[types.index(number)]:
                kept = tuple(
                    option
                    for option in mentions[n].options
                    if not option.slots or option.slots[0][0] != "qty"
                )
                out.append(mentions[n]._replace(gap=0, options=kept or mentions[n].options))
    return out


def each_behind(work: Work, mentions: list[Mention]) -> list[Mention]:
    """Give a count that is said behind a list to each of its types: "wall packs and floods, 8 each, 250 MH"."""
    for at in range(2, len(mentions)):
        count = _as_count(mentions[at])
        after = work.text_at(mentions[at].last + 1)
        if count is None or not (
            after in _EACH
            or after == "of each"
            or "each" in (work.unit(mentions[at].last), work.unit(mentions[at].last + 1))
            or work.text_at(mentions[at].last) in _EACH
        ):
            continue
        count = of_each(count)
        first = at - 1
        while first > 0 and _pair(work, mentions, first - 1)[-1:] == [at - 1]:
            first -= 1
        run = list(range(first, at))
        if len(run) < 2 or (first and _as_count(mentions[first - 1]) is not None):
            continue
        out = mentions[:first]
        for n in run:
            out.append(count._replace(gap=max(mentions[n].gap, 2) if n != first else mentions[n].gap))
            out.append(mentions[n]._replace(gap=0))
        return out + mentions[at + 1 :]
    return mentions


def each_of_all(work: Work, mentions: list[Mention]) -> list[Mention]:
    """Give a count that is said of each behind types that are told in several words to all: "70w hps pack and 150w hps pack, 8 of each"."""
    counts = [n for n, m in enumerate(mentions) if best(m) == "qty"]
    if len(counts) != 1 or counts[0] < 3:
        return mentions
    at = counts[0]
    count = _as_count(mentions[at])
    said = {work.text_at(n) for n in range(mentions[at].last, mentions[at].last + 2)}
    if count is None or said.isdisjoint(
        {"each", "ea", "apiece", "of each", "of each one", "of both", "each one"}
    ):
        return mentions
    types = [n for n in range(at) if best(mentions[n]) == "family"]
    if len(types) < 2 or mentions[at].gap < 1 or any("_scope" in m.slots for m in mentions):
        return mentions
    out: list[Mention] = []
    for n, mention in enumerate(mentions):
        if n == at:
            continue
        out.append(mention)
        if n in types:
            out.append(count._replace(gap=0))
    return out


_MANY = words_of("number amount count many quantity qty")
_AT = words_of("on in at for en")
_LEAD = words_of("the our my bldg building lot la el")
_IN_ONE_WORD = words_of(
    "upstairs downstairs inside outside indoors outdoors front back rear arriba abajo adentro afuera"
)
_HEADING = frozenset({":", "-", "=", "is", "has", "has the", "the", "gets"})


def _place_of_same(work: Work, at: int) -> int:
    """The atom past the place that "the same" is in, from an atom on: "in the barn", "on bldg B", "number in back"; the atom itself where none is."""
    index = at + (work.text_at(at) in _MANY)
    if work.text_at(index) not in _AT:
        return index
    index += 1
    while work.text_at(index) in ("the", "our", "my", "el", "la", "other"):
        index += 1
    first = index
    while index < len(work.atoms) and index < first + 3:
        word = work.text_at(index)
        named = word in PLACES or word in HOLDERS
        lone = index > first and work.text_at(index - 1) in _LEAD and (len(word) == 1 or word.isdigit())
        if not (named or lone) and index == first and work.atoms[index].kind == "w":
            # "at the tennis courts"
            named = work.text_at(index + 1) in PLACES or work.text_at(index + 1) in HOLDERS
        if not (named or lone) or "family" in work.atoms[index].mean:
            break
        index += 1
    return index if index > first else at


def _same_so_many(work: Work, mentions: list[Mention], n: int) -> Mention | None:
    """As in "Oak St ditto, 9 of them", "back lot the same (5)": a type like the one before, so many of it."""
    mention = mentions[n]
    if mention.options[0].slots != (("_same", True),) or n + 1 >= len(mentions) or mention.gap < 2:
        return None
    behind = mentions[n + 1]
    many = _as_count(behind)
    if many is None or behind.gap > 2 or behind.first > mention.last + 2:
        return None
    after = behind.last + 1
    closed = after >= len(work.atoms) or work.atoms[after].kind in ("s", "b")
    if not closed or (not behind.bare and best(behind) != "qty"):
        return None
    slots = (*many.options[0].slots, ("_placed", True), ("_same", True))
    return Mention(
        mention.first,
        behind.last,
        behind.start,
        behind.end,
        (Option(slots, 4.0, "the same, so many"),),
        mention.gap,
        False,
        behind.others,
    )


def same_there(work: Work, mentions: list[Mention]) -> list[Mention]:
    """Give a place that has "the same" the count of the type before it: "1st floor: 42 troffers 2x4. 2nd floor: same.", "10 in the shop, same in the barn"."""
    out: list[Mention] = []
    counted: Mention | None = None
    past = -1
    for n, mention in enumerate(mentions):
        if mention.last < past:
            continue  # the place's own name: "in the barn"
        if counted is not None and (told := _same_so_many(work, mentions, n)) is not None:
            counted, past = told, told.last + 1
            out.append(told)
            continue
        if counted is None or mention.options[0].slots != (("_same", True),):
            if best(mention) == "qty":
                counted = mention
            out.append(mention)
            continue
        after = _place_of_same(work, mention.last + 1)
        placed = after > mention.last + 2
        if not placed and work.text_at(mention.last + 1) in _IN_ONE_WORD:
            after, placed = mention.last + 2, True  # "same downstairs", "same back"
        before = work.text_at(mention.first - 1) if work.unit(mention.first - 1) is None else ""  # "400w"
        headed = before in _HEADING or before in PLACES or before in HOLDERS
        if not placed and mention.gap < 2 and out[-1] is counted:
            headed = False  # "and 9 more around back same thing": the place of that count
        ends = after >= len(work.atoms) or ends_clause(work.atoms[after]) or work.text_at(after) == ","
        rest = next((m for m in mentions[n + 1 :] if m.first >= after), None)
        if (
            ends
            and (headed or placed)
            and (mention.gap >= 2 or (mention.gap >= 1 and placed) or before in PLACES or before in HOLDERS)
            and (rest is None or rest.gap >= (2 if placed else 3) or best(rest) in ("qty", "_same"))
        ):
            many = dict(counted.options[0].slots)["qty"]
            same = Option((("qty", many), ("_placed", True), ("_same", True)), 4.0, "the same there")
            if out[-1] is counted:
                sure = tuple([option for option in counted.options if option.slots[:1] == (("qty", many),)])
                out[-1] = counted._replace(options=sure)
            mention = counted = mention._replace(options=(same,), others=(None,))
            past = after
        out.append(mention)
    return out


def verbs_share(work: Work, mentions: list[Mention]) -> list[Mention]:
    """Repeat for every type of a list what its verb says of all: "20 troffers and 8 cans need to be 3500K"."""
    verbs = [
        n
        for n, atom in enumerate(work.atoms)
        if atom.kind in ("w", "p") and atom.text.split(" ", 1)[0] in _BINDING
    ]
    if not verbs:
        return mentions
    out = mentions
    for verb in verbs[:8]:
        start = verb
        while start > 0 and not ends_clause(work.atoms[start - 1]):
            start -= 1
        stop = verb
        while stop < len(work.atoms) and not (ends_clause(work.atoms[stop]) or work.text_at(stop) == ","):
            stop += 1
        types = [n for n, m in enumerate(out) if start <= m.first < verb and best(m) == "qty"]
        said = [m for m in out if verb < m.first < stop]
        if len(types) < 2 or not said or any(best(m) in _IDENTITY or "_scope" in m.slots for m in said):
            continue
        before = [m for m in out if start <= m.first < verb]
        if not before or "_scope" in before[-1].slots:
            continue  # "..., the 1000s are on 480": the verb of what points
        # the verb is the list's own: it follows the last type, and "and" joins that to the one before
        last_type = out[types[-1]]
        joined = any(
            "join" in work.atoms[n].mean for n in range(max(start, last_type.first - 3), last_type.first)
        )
        led = any(work.has(n, "scope") in ("both", "all") for n in range(start, last_type.first))
        if not (joined or led) or not any(
            m.slots & {"family", "size"} for m in before if m.first > last_type.first
        ):
            continue
        naming = [m for m in before if m.first > last_type.first and m.slots & {"family", "size"}]
        if any(m.gap >= 2 for m in naming[1:]) or any(
            work.has(n, "scope") == "except" for n in range(last_type.first, verb)
        ):
            continue  # the verb is that of a type named again: "19 2x2s, the 2x4s are 4 lamp"
        if any(
            n for n in range(last_type.first, verb) if work.text_at(n) in ("that", "which", "who", "they")
        ):
            continue
        copied: list[Mention] = []
        for number, mention in enumerate(out):
            if number in types[1:]:
                mine = {
                    slot
                    for m in out[types[types.index(number) - 1] : number]
                    for slot in m.options[0].slots and [m.options[0].slots[0][0]]
                }
                copied.extend(m._replace(gap=0) for m in said if best(m) not in mine)
            copied.append(mention)
        out = copied
    return out


_NOT_HEADED = frozenset(
    {
        "qty",
        "family",
        "size",
        "_noun",
        "_scope",
        "_same",
        "_point",
        "led_watts",
        "_led",
        "input_watts",
        "price_now",
    }
)


def _end_of_heading(work: Work, mark: int, marks: list[int]) -> int:
    """Where what a heading holds for ends: its line; of a heading on a line of its own the lines up to the next one."""
    own_line = mark + 1 < len(work.atoms) and work.atoms[mark + 1].kind == "b"
    for n in range(mark + 2 if own_line else mark + 1, len(work.atoms)):
        if not own_line:
            if (work.atoms[n].kind == "b" and n > mark + 1) or work.text_at(n) in (".", ";"):
                return n
            continue
        if work.atoms[n].kind == "b" and n + 1 < len(work.atoms):
            if work.atoms[n + 1].kind == "b":
                return n
            line_end = next(
                (k for k in range(n + 1, len(work.atoms)) if work.atoms[k].kind == "b"), len(work.atoms)
            )
            if line_end - 1 in marks:
                return n
    return len(work.atoms)


def _calm(work: Work, mentions: list[Mention], held: list[int]) -> list[Mention]:
    """A heading's mentions, its bare numbers taken as watts beside a lamp and as volts behind "on": "400 MH:", "on 277:"."""
    lamp = any(best(mentions[n]) == "source" for n in held)
    out = []
    for n in held:
        mention = mentions[n]
        slot = best(mention)
        if mention.bare and (
            (slot == "watts" and lamp)
            or (slot == "voltage" and work.text_at(mention.first - 1) in ("on", "at", "en", "a"))
        ):
            mention = mention._replace(options=mention.options[:1], bare=False)
        out.append(mention)
    return out


def _bracketed(work: Work, mentions: list[Mention], mark: int) -> bool:
    """Whether a bracket holds a list of counted types: "400w halide (16 high bays, 6 floods)"."""
    close = next((n for n in range(mark + 1, len(work.atoms)) if work.text_at(n) == ")"), -1)
    inside = [m for m in mentions if mark < m.first < close]
    return (
        len(inside) > 3
        and sum(best(m) == "qty" for m in inside) > 1
        and sum(best(m) == "family" for m in inside) > 1
        and best(inside[0]) == "qty"
    )


def headed(work: Work, mentions: list[Mention]) -> list[Mention]:
    """Repeat for every type of a list what its heading says: "480V: 6 floods, 4 shoeboxes. 277V: 12 wallpacks"."""
    if len(mentions) > 300:
        return mentions
    marks = [
        n
        for n, atom in enumerate(work.atoms)
        if atom.kind == "s"
        and (atom.text == ":" or (atom.text == "(" and n and _bracketed(work, mentions, n)))
    ]
    if not marks or len(marks) > 60:
        return mentions
    heads: list[tuple[int, list[Mention], set[int], int]] = []
    for mark in marks:
        start = mark
        while start > 0 and not (ends_clause(work.atoms[start - 1]) or work.text_at(start - 1) in (",", ")")):
            start -= 1
        held = [n for n, m in enumerate(mentions) if start <= m.first and m.last < mark]
        said = _calm(work, mentions, held)
        if held and not any(m.bare or len(m.options) > 1 or m.slots & _NOT_HEADED for m in said):
            bracket = work.text_at(mark) == "("
            stop = next(
                (
                    n
                    for n in range(mark + 1, len(work.atoms))
                    if (work.atoms[n].kind == "b" and n > mark + 1)
                    or work.text_at(n) in ((")",) if bracket else (".", ";"))
                ),
                len(work.atoms),
            )
            heads.append((mark, said, {id(mentions[n]) for n in held}, stop))
    out = mentions
    for mark, said, own, stop in heads[::-1]:
        counts = [m for m in out if mark < m.first < stop and best(m) == "qty"]
        if (len(counts) < 2 and len(heads) < 2) or not counts:
            continue
        under = [m for m in out if mark < m.first < stop]
        told = {slot for m in said for slot in m.slots}
        if any(best(m) in told and not m.bare for m in under):
            continue
        kept: list[Mention] = []
        for m in out:
            if id(m) in own:
                continue
            kept.append(m._replace(gap=max(m.gap, 3)) if m is counts[0] else m)
            if any(m is count for count in counts):
                kept.extend(one._replace(gap=0) for one in said)
        out = kept
    return out


_ELLIPTIC = frozenset({"lamps", "watts", "height_ft", "voltage", "cct_k"})


def unit_of_the_part_before(work: Work, mentions: list[Mention]) -> list[Mention]:
    """Give a bare number of a part the unit of the part before: "20 have 4 lamps and the rest 3"."""
    out = mentions
    for at in range(2, len(mentions)):
        mention = mentions[at]
        lead = mentions[at - 1]
        if (
            not mention.bare
            or "_part" not in lead.slots
            or mention.gap > 1
            or mention.options[0].rule == "labelled"
        ):
            continue
        if (
            at + 1 < len(mentions)
            and mentions[at + 1].gap == 0
            and best(mentions[at + 1]) in ("family", "size", "source")
        ):
            continue
        told = next(
            (n for n in range(at - 2, -1, -1) if best(mentions[n]) in _ELLIPTIC and not mentions[n].bare),
            None,
        )
        if told is None or told == 0 or mentions[told - 1].options[0].rule not in (WORKED_OUT, ADDS_UP):
            continue
        slot = best(mentions[told])
        value = float(work.atoms[mention.first].value)
        there = mentions[told].options[0].slots[0][1]
        near = isinstance(there, (int, float)) and there / 4 <= value <= there * 4
        if not near or (slot == "lamps" and value > 8):
            continue
        if out is mentions:
            out = list(mentions)
        whole = slot in ("lamps", "voltage", "cct_k")
        said = Option(((slot, int(value) if whole else value),), 4.0, "unit of the part before")
        out[at] = mention._replace(options=(said,), bare=False)
    return out


def parted_alike(mentions: list[Mention]) -> list[Mention]:
    """Part two types that stand side by side with the same count: "10 bollards 10 acorns"."""
    out = mentions
    for at in range(2, len(mentions) - 1):
        count, name = mentions[at], mentions[at + 1]
        if (
            count.gap == 0
            and name.gap == 0
            and best(count) == "qty"
            and best(name) == best(mentions[at - 1]) == "family"
            and best(mentions[at - 2]) == "qty"
            and count.options[0].slots == mentions[at - 2].options[0].slots
            and name.options[0].slots != mentions[at - 1].options[0].slots
        ):
            if out is mentions:
                out = list(mentions)
            out[at] = count._replace(gap=2)
    return out


def named_before_led(mentions: list[Mention]) -> list[Mention]:
    """Let the name lead where "LED" stands before it and its count behind: "and led sconces, 6 with 26w cfl"."""
    out = mentions
    for at in range(1, len(mentions) - 2):
        led, name, count = mentions[at], mentions[at + 1], mentions[at + 2]
        if (
            led.gap >= 1
            and led.options[0].slots == (("_led", True),)
            and name.gap == 0
            and best(name) == "family"
            and count.gap >= 1
            and best(count) == "qty"
            and not (
                at + 3 < len(mentions) and mentions[at + 3].gap == 0 and best(mentions[at + 3]) == "family"
            )
        ):
            if out is mentions:
                out = list(mentions)
            out[at], out[at + 1] = name._replace(gap=led.gap), led._replace(gap=0)
    return out


def kits_for(work: Work, mentions: list[Mention]) -> list[Mention]:
    """Let kits belong to the type that they are for: "40 troffers ..., and led tubes for 16 strips"."""
    out = mentions
    for at in range(1, len(mentions) - 1):
        kits, count = mentions[at], mentions[at + 1]
        if (
            kits.options[0].slots[:1] == (("keep_housing", True),)
            and count.gap <= 1
            and best(count) == "qty"
            and count.first <= kits.last + 3
            and work.text_at(kits.last + 1) in ("for", "in", "on", "para", "en")
        ):
            if out is mentions:
                out = list(mentions)
            out[at], out[at + 1] = count._replace(gap=max(kits.gap, count.gap)), kits._replace(gap=0)
    return out


def told_behind(mentions: list[Mention]) -> list[Mention]:
    """Bind what follows a count of "fixtures" behind a comma to it: "48 fixtures, 2x4 3 lamp T8, plus 6 in the office"."""
    out = mentions
    for at in range(2, len(mentions) - 1):
        size = mentions[at]
        if (
            size.gap == 2
            and best(size) == "size"
            and mentions[at - 1].options[0].slots == (("_noun", True),)
            and best(mentions[at - 2]) == "qty"
            and mentions[at + 1].gap == 0
            and best(mentions[at + 1]) in ("lamps", "source")
        ):
            if out is mentions:
                out = list(mentions)
            out[at] = size._replace(gap=0)
    return out


def spread(work: Work, mentions: list[Mention]) -> list[Mention]:
    """The mentions of a first message with what is shared by a list's types repeated for each."""
    mentions = sized_counts(work, mentions)
    if len(mentions) < 4:
        if len(mentions) == 3:
            mentions = each_behind(work, each_of(work, mentions))
        return same_there(work, mentions) if len(mentions) > 1 else mentions
    mentions = unit_of_the_part_before(
        work, told_behind(parted_alike(named_before_led(kits_for(work, mentions))))
    )
    below = under_headings(work, mentions)
    mentions = same_there(work, each_of_all(work, headed(work, mentions) if below is mentions else below))
    dealt = zipped(work, mentions)
    if dealt is mentions:
        dealt = lamps_in_turn(work, in_turn(work, each_behind(work, each_of(work, mentions))))
    return verbs_share(work, dealt_in_turn(work, dealt))
