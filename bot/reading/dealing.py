"""Lists of values that are dealt to the types in their order without a word for it: "4 floods and 9 packs, 400 and 100 watt, at 25 and 10 ft"."""

from collections.abc import Iterator

from bot.reading.clause import Work
from bot.reading.mentions import Mention, Option

MEASURED = ("qty", "watts", "height_ft", "voltage", "cct_k", "lamps", "led_watts")
"""Slots that a list gives in turn."""


def best(mention: Mention) -> str:
    """The slot that a mention most likely fills; empty where it is none."""
    slots = mention.options[0].slots
    return slots[0][0] if slots else ""


def runs_of(work: Work, mentions: list[Mention], stop: int) -> list[tuple[str, list[int]]]:
    """Lists of values of one slot before an atom: "8 and 12", "100w and 250w"."""
    out: list[tuple[str, list[int]]] = []
    at = 0
    while at < len(mentions) and mentions[at].last < stop:
        slot = best(mentions[at])
        if at + 1 < len(mentions) and mentions[at].bare:
            later = best(mentions[_with_unit(work, mentions, at)])
            if any(o.slots[:1] and o.slots[0][0] == later for o in mentions[at].options):
                slot = later  # "400 and 150 watt"
        likeliest = mentions[at].options[0]
        if (likeliest.rule == "in turn" and likeliest.score == 5.0) or (
            slot not in MEASURED and slot not in ("family", "size", "source")
        ):
            slot = ""
        run = [at]
        closed = False
        index = at + 1
        while slot and index < len(mentions) and mentions[index].last < stop:
            between = range(mentions[index - 1].last + 1, mentions[index].first)
            if not between or not all(
                "join" in work.atoms[n].mean or work.text_at(n) in (",", "/", "the", "at", "@")
                for n in between
            ):
                break
            if not any(o.slots[:1] and o.slots[0][0] == slot for o in mentions[index].options):
                break
            joined = any("join" in work.atoms[n].mean for n in between)
            if closed and not joined:
                break  # "8 and 6, 15 and 20 ft"
            closed = joined
            run.append(index)
            index += 1
        if slot and len(run) > 1:
            out.append((slot, run))
        at = index if len(run) > 1 else at + 1
    return out


def _parted(work: Work, one: Mention, two: Mention) -> bool:
    """Whether nothing but the marks of a list stands between two mentions."""
    between = range(one.last + 1, two.first)
    return len(between) > 0 and all(
        "join" in work.atoms[n].mean or work.text_at(n) in (",", "/", "the", "at", "@") for n in between
    )


def _with_unit(work: Work, mentions: list[Mention], at: int) -> int:
    """The first mention of the list that begins at ``at`` that has a unit, "25 ft" in "12, 18 and 25 ft"; else the next one."""
    index = at + 1
    while (
        index + 1 < len(mentions)
        and index < at + 8
        and mentions[index].bare
        and _parted(work, mentions[index - 1], mentions[index])
    ):
        index += 1
    if mentions[index].bare or not _parted(work, mentions[index - 1], mentions[index]):
        return at + 1
    return index


def _types(mentions: list[Mention], stop: int, slot: str, many: int) -> list[int]:
    """Where the types before a list of values are named or counted, if there are so many of them and none has such a value."""
    for name in ("family", "qty") if slot != "qty" else ("family",):
        types = [n for n in range(stop) if best(mentions[n]) == name]
        if len(types) == many:
            starts = types
            break
    else:
        return []
    if any(best(mentions[n]) == slot for n in range(stop)):
        return []
    sentence = stop
    while sentence > 0 and mentions[sentence].gap < 3:
        sentence -= 1
        if "_scope" in mentions[sentence].slots or "_same" in mentions[sentence].slots:
            return []
    return starts


def shared_source(mentions: list[Mention], run: list[int]) -> int | None:
    """The lamp that is named right before or right behind a list of watts, where no other is; "..., MH, 250 and 400" too."""
    named = [n for n, mention in enumerate(mentions) if "source" in mention.slots]
    if len(named) != 1:
        return None
    at = named[0]
    if at == run[-1] + 1 or (at == run[0] - 1 and (mentions[run[0]].gap == 0 or mentions[at].gap >= 2)):
        return at
    return None


def dealt_in_turn(work: Work, mentions: list[Mention]) -> list[Mention]:
    """Give each type its value of a list that has as many as there are types, none of which has such a value yet."""
    out = mentions
    for _ in range(4):
        found = next(_lists(work, out), None)
        if found is None:
            return out
        out = found
    return out


def _lists(work: Work, mentions: list[Mention]) -> Iterator[list[Mention]]:
    """The mentions with one list dealt, for each list that can be."""
    for slot, run in runs_of(work, mentions, len(work.atoms)):
        if slot not in MEASURED or mentions[run[0]].gap >= 4:
            continue
        if not _alike(work, mentions, slot, run):
            continue
        after = run[-1] + 1
        if slot == "qty" and (
            any(best(m) == "qty" for n, m in enumerate(mentions) if n not in run)
            or not _bare_list(work, mentions, run)
        ):
            continue
        types = _types(mentions, run[0], slot, len(run))
        if (
            not types
            or any(best(m) == slot for m in mentions[after:])
            or (types[-1] == run[0] - 1 and not mentions[run[0]].gap)
        ):
            continue
        if any(
            work.has(n, "scope") in ("all", "both")
            for n in range(mentions[types[-1]].last + 1, mentions[run[0]].first)
        ):
            continue  # "both halide, 18 ft & 22 ft": dealt where the scope is
        yield _deal(mentions, slot, run, types)


def _alike(work: Work, mentions: list[Mention], slot: str, run: list[int]) -> bool:
    """Whether the values of a list are all most likely of one slot, the unit behind the last at least, and "and" joins the last."""
    last = range(mentions[run[-2]].last + 1, mentions[run[-1]].first)
    joined = any("join" in work.atoms[n].mean or work.text_at(n) == "/" for n in last)
    for number in run:
        mention = mentions[number]
        option = next(o for o in mention.options if o.slots[:1] and o.slots[0][0] == slot)
        if best(mention) == slot or (joined and option.rule == "unit behind a list"):
            continue
        if number == run[0] or not joined or option.score < 0.0:
            return False
    return joined or slot == "qty"


def _bare_list(work: Work, mentions: list[Mention], run: list[int]) -> bool:
    """Whether nothing that counts could be meant stands right behind a list of counts."""
    behind = run[-1] + 1
    return behind == len(mentions) or mentions[behind].gap >= 1


def given_to(mention: Mention, said: Mention) -> Mention:
    """What was said elsewhere as if it stood right behind a mention: in the clause of that, with its own place in the text."""
    return said._replace(first=mention.first, last=mention.last, gap=0)


_BEFORE = frozenset(
    {"watts", "source", "size", "lamps", "lamp_feet", "finish", "_led", "led_watts", "price_now"}
)


def _leads(out: list[Mention]) -> int:
    """Where the noun phrase begins that the last mention ends."""
    lead = len(out) - 1
    while lead and out[lead].gap == 0 and best(out[lead - 1]) in _BEFORE:
        lead -= 1
    return lead


def _deal(mentions: list[Mention], slot: str, run: list[int], types: list[int]) -> list[Mention]:
    lamp = shared_source(mentions, run) if slot == "watts" else None
    ahead = types[0] > 0 and mentions[types[0]].gap == 0
    out: list[Mention] = []
    for number, mention in enumerate(mentions):
        if number in run or number == lamp:
            continue
        if number not in types:
            out.append(mention)
            continue
        said = mentions[run[types.index(number)]]
        option = next(o for o in said.options if o.slots[:1] and o.slots[0][0] == slot)
        given = given_to(mention, said._replace(options=(Option(option.slots, 5.0, "in turn"),), bare=False))
        if slot == "qty":
            # the count leads its type, and the words that stand before the luminaire word: "the 250 halide wallpacks"
            out.append(mention)
            lead = _leads(out) if ahead else len(out) - 1
            gap = out[lead].gap
            out[lead] = out[lead]._replace(gap=0)
            out.insert(lead, given._replace(gap=max(gap, 2) if lead else gap))
            continue
        out.append(mention)
        out.append(given)
        if lamp is not None:
            out.append(given_to(mention, mentions[lamp]))
    return out
