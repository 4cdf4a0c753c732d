"""What later clauses tell of types named before, the unit said once: "The floods are at 40 ft, the shoeboxes 25", "the first are 20 ft up, the others 12".

A number behind a word that points back counts nothing: it takes the unit of the clause before. "Put the 400 on the floods"
gives a lamp to a type that is counted elsewhere.
"""

from bot.reading.bare_numbers import known_watts
from bot.reading.clause import Work, ends_clause
from bot.reading.dealing import best
from bot.reading.mentions import Mention, Option
from bot.reading.message import Scope
from bot.reading.words import words_of

_TOLD = frozenset({"lamps", "watts", "height_ft", "voltage", "cct_k", "spacing_ft"})
_WHOLE = frozenset({"lamps", "voltage", "cct_k"})
_VOLTS = frozenset({208, 277, 347, 480})
"""Bare numbers that say by themselves what they are."""
_LINKS = words_of(
    "are is r at @ to = : - son van estan llevan tienen es have has hang mount run get take go need hold a en de up run"
) | {"go to", "are at", "hang at", "mounted at"}
_ORDER = words_of(
    "first second third former latter last primeros primeras segundos segundas ultimos ultimas primero segundo ultimo"
)
_ONES = words_of("ones one kind type set group")
_THE = words_of("the those los las el la")
_UPON = words_of("for in on en para")


def _run_of_name(work: Work, mentions: list[Mention], at: int) -> int | None:
    """Where the count before a luminaire word stands, within the same noun phrase."""
    for back in range(at - 1, max(at - 5, -1), -1):
        if mentions[back + 1].gap >= 1:
            return None
        if best(mentions[back]) == "qty":
            # "120 for the cans", "13 in the sconces" count none of them
            between = range(mentions[back].last + 1, mentions[back + 1].first)
            return None if any(work.text_at(n) in _UPON for n in between) else back
    return None


def _named(mention: Mention) -> object:
    """The family or size that a mention names or points with."""
    if len(mention.options) != 1:
        return None
    slots = dict(mention.options[0].slots)
    return slots.get("family") or slots.get("_point") or slots.get("size")


class _Later:
    """One message: where its types are counted, and where words point back at them."""

    def __init__(self, work: Work, mentions: list[Mention]) -> None:
        self.work = work
        self.mentions = mentions
        self.counts: dict[object, int] = {}
        """Of each kind the mention that counts it first."""
        self.last_count = -1
        self.pointing: list[int] = []
        """Atoms that point back."""
        back: set[int] = set()
        for number, mention in enumerate(mentions):
            if "_scope" in mention.slots:
                back.add(mention.last)
            name = _named(mention)
            if name is None:
                continue
            count = _run_of_name(work, mentions, number)
            if count is not None:
                self.counts.setdefault(name, count)
                self.last_count = max(self.last_count, mention.first)
            elif name in self.counts:
                back.add(mention.last)
        self.names = back
        for index in range(len(work.atoms)):
            if index in back or self._points(index):
                self.pointing.append(index)

    def _points(self, index: int) -> bool:
        work = self.work
        if work.has(index, "scope") == "others":
            return True
        if work.text_at(index) in _ONES:
            index -= 1
        return work.text_at(index) in _ORDER and work.text_at(index - 1) in _THE

    def subject(self, mention: Mention) -> int | None:
        """The atom that points back right before a number, over "are" and "at" alone."""
        index = mention.first - 1
        for _ in range(3):
            if index >= 0 and self.work.text_at(index) in _LINKS:
                index -= 1
        return index if index in self.pointing else None

    def _beside_lamp(self, number: int) -> bool:
        """Whether a bare number is the watts of a lamp that is named right behind it."""
        mention = self.mentions[number]
        nxt = self.mentions[number + 1] if number + 1 < len(self.mentions) else None
        return best(mention) == "watts" and nxt is not None and nxt.gap == 0 and best(nxt) == "source"

    def given_to(self, mention: Mention) -> bool:
        """Whether "for the" and a type that is counted before follow a number: "277 for the troffers, 120 for the cans"."""
        work = self.work
        index = mention.last + 1
        if work.text_at(index) not in ("for", "on", "en", "para") or work.text_at(index + 1) not in _THE:
            return False
        return any(n in self.names for n in (index + 2, index + 3))

    def told(self, number: int, subject: int) -> int | None:
        """The value before the subject whose unit holds on: of a clause that points back too, at most a sentence away."""
        for back in range(number - 1, -1, -1):
            mention = self.mentions[back]
            if mention.last >= subject:
                continue
            if mention.first <= self.last_count:
                return None
            if best(mention) in _TOLD and (
                not mention.bare
                or len(mention.options) == 1
                or self._beside_lamp(back)
                or (mention.options[0].slots[0][1] in _VOLTS and self.subject(mention) is not None)
            ):
                break
            if mention.bare and best(mention) == "qty":
                return None
        else:
            return None
        ends = sum(ends_clause(self.work.atoms[n]) for n in range(mention.last + 1, subject))
        earlier = any(self.last_count < n < mention.first for n in self.pointing)
        return back if ends <= 1 and earlier else None


def _with_unit(later: _Later) -> list[Mention]:
    """Give bare numbers behind pointing words the unit of the clause before."""
    mentions = later.mentions
    for number, mention in enumerate(mentions):
        if not mention.bare or mention.first <= later.last_count or mention.options[0].rule == "labelled":
            continue
        subject = later.subject(mention)
        follows = mentions[number + 1] if number + 1 < len(mentions) else None
        if subject is None and later.given_to(mention) and number:
            before = next(
                (mentions[n] for n in range(number - 1, -1, -1) if best(mentions[n]) in _TOLD), None
            )
            if (
                before is not None
                and before.first > later.last_count
                and later.given_to(before)
                and best(mention) == "qty"
            ):
                slot = best(before)
                value = later.work.atoms[mention.first].value
                there = float(before.options[0].slots[0][1])
                if there / 4 <= value <= there * 4:
                    said = Option(
                        ((slot, int(value) if slot in _WHOLE else value),), 4.0, "unit of the clause before"
                    )
                    mentions[number] = mention._replace(options=(said,), bare=False)
            continue
        if subject is None or (
            follows is not None
            and follows.gap == 0
            and best(follows) in ("family", "size", "source", "watts")
        ):
            continue
        if (at := later.told(number, subject)) is None:
            continue
        slot, there = mentions[at].options[0].slots[0]
        value = float(later.work.atoms[mention.first].value)
        if not isinstance(there, (int, float)) or not there / 4 <= value <= there * 4:
            continue
        if slot == "lamps" and value > 8:
            continue
        said = Option(((slot, int(value) if slot in _WHOLE else value),), 4.0, "unit of the clause before")
        mentions[number] = mention._replace(options=(said,), bare=False)
    return mentions


def _with_lamp(later: _Later) -> list[Mention]:
    """Give watts of a type named again the lamp of the clause before: "the packs are 100 MH and the floods 400"."""
    mentions = later.mentions
    sources = [n for n, m in enumerate(mentions) if best(m) == "source"]
    if len(sources) != 1 or mentions[sources[0]].first <= later.last_count:
        return mentions
    lamp = mentions[sources[0]]
    out: list[Mention] = []
    for number, mention in enumerate(mentions):
        out.append(mention)
        if (
            number > sources[0]
            and best(mention) == "watts"
            and later.subject(mention) is not None
            and any(later.last_count < n < lamp.first for n in later.pointing)
        ):
            # it stands where the watts do, and comes from where the lamp is named
            out.append(lamp._replace(gap=0, first=mention.first, last=mention.last))
    return out


def _put_on(work: Work, mentions: list[Mention]) -> list[Mention]:
    """Read "put the 400 on the floods and the 250 on the shoeboxes" as lamps of types that are counted elsewhere."""
    starts: dict[object, int] = {}
    for number, mention in enumerate(mentions):
        name = _named(mention)
        count = _run_of_name(work, mentions, number) if name is not None else None
        if count is not None and work.text_at(mentions[count].first - 1) not in _THE:
            starts.setdefault(name, mentions[count].start)
    out = list(mentions)
    for number in range(len(mentions) - 1):
        mention, nxt = mentions[number], mentions[number + 1]
        if (
            not mention.bare
            or work.text_at(mention.first - 1) not in _THE
            or work.atoms[mention.first].value not in known_watts()
        ):
            continue
        links = [
            work.text_at(n) for n in range(mention.last + 1, nxt.first) if work.text_at(n) not in ("s", "'")
        ]
        name = _named(nxt)
        if len(links) != 2 or links[0] not in ("on", "in", "for", "to", "en", "para") or links[1] not in _THE:
            continue
        if name not in starts:
            continue
        watts = Option((("watts", float(work.atoms[mention.first].value)),), 5.0, "put on")
        scope = Scope("family", nxt.start, nxt.end, spots=(starts[name],))
        out[number] = mention._replace(options=(watts,), bare=False)
        out[number + 1] = nxt._replace(options=(Option((("_scope", scope),), 0.0, "put on"),))
    return out


_LAMP = frozenset({"watts", "source", "lamps", "lamp_feet"})


def _lamps_for(later: _Later) -> list[Mention]:
    """Read lamps that are told for each type in turn: "400 mh for the floods, 175 for the packs", "26w cfl in the cans, 13 in the sconces".

    The type that the words name is counted before; a kind of lamp that only the first clause names is that of all.
    """
    work, mentions = later.work, later.mentions
    clauses: list[tuple[int, int, int]] = []
    for number, mention in enumerate(mentions):
        name = _named(mention)
        if name not in later.counts or mention.first <= later.last_count:
            continue
        link = mention.first - 1
        if work.text_at(link) in _THE:
            link -= 1
        if work.text_at(link) not in _UPON:
            continue
        start = number
        while start > 0 and (start == number or mentions[start].gap == 0) and mentions[start - 1].last < link:
            start -= 1
            if not _LAMP & mentions[start].slots:
                start = number
                break
        if start == number or mentions[start].gap == 0 or mentions[start].first <= later.last_count:
            continue
        clauses.append((start, number, later.counts[name]))
    if len(clauses) < 2 or len({at for _, _, at in clauses}) < len(clauses):
        return mentions
    out = list(mentions)
    lamp: Mention | None = None
    added: list[tuple[int, Mention]] = []
    for start, number, at in clauses:
        named = False
        for n in range(start, number):
            held = mentions[n]
            option = next((o for o in held.options if o.slots[:1] and o.slots[0][0] == "watts"), None)
            if held.bare and option is not None and best(held) == "qty":
                out[n] = held._replace(
                    options=(Option(option.slots, 4.0, "unit of the clause before"),), bare=False
                )
            named = named or "source" in held.slots
            if lamp is None and "source" in held.slots and held.options[0].slots[0][0] == "source":
                lamp = held
        if not named and lamp is not None:
            added.append(
                (
                    number,
                    lamp._replace(gap=0, first=mentions[number - 1].first, last=mentions[number - 1].last),
                )
            )
        scope = Scope("family", mentions[number].start, mentions[number].end, spots=(mentions[at].start,))
        out[number] = mentions[number]._replace(options=(Option((("_scope", scope),), 0.0, "told for it"),))
    for n in range(len(added) - 1, -1, -1):
        out.insert(added[n][0], added[n][1])
    return out


_BARELY = words_of("just only about are is but like at up maybe around sit hang son solo nomas") | {
    ")",
    "ones",
    "(",
}
_PARTS = frozenset({",", "and", "y", "but"})


def _as_high(work: Work, mentions: list[Mention]) -> list[Mention]:
    """Read a bare number that ends a clause behind its count as a height, as before: "4 in front at 22 ft, 6 in back just 10"."""
    out = mentions
    for number in range(2, len(mentions)):
        mention = mentions[number]
        if not (mention.bare and best(mention) in ("qty", None)):
            continue
        at = number - 1
        while at > max(0, number - 4) and best(mentions[at]) in ("family", "_point", "_noun"):
            at -= 1
        count = mentions[at]
        if not (count.bare and best(count) == "qty" and at):
            continue
        after = mention.last + 1
        if after < len(work.atoms) and not (work.atoms[after].kind == "b" or work.text_at(after) in ",.;!"):
            continue
        words = [work.text_at(n) for n in range(count.last + 1, mention.first)]
        if not words or words[-1] not in _BARELY or not _PARTS.isdisjoint(words):
            continue
        there = mentions[at - 1]
        if best(there) in ("_point", "_noun") and at > 1:
            there = mentions[at - 2]
        if best(there) != "height_ft" or there.bare or count.first - there.last > 9:
            continue
        high = there.options[0].slots[0][1]
        value = float(work.atoms[mention.first].value)
        if not isinstance(high, (int, float)) or not 6 <= value <= 120 or not high / 4 <= value <= high * 4:
            continue
        if out is mentions:
            out = list(mentions)
        said = Option((("height_ft", value),), 4.0, "unit of the clause before")
        out[number] = mention._replace(options=(said,), bare=False)
    return out


def told_later(work: Work, mentions: list[Mention]) -> list[Mention]:
    """The mentions of a first message with the numbers of later clauses taken for what the clauses before measure."""
    if len(mentions) < 5 or len(mentions) > 400:
        return mentions
    mentions = _as_high(work, mentions)
    mentions = _put_on(work, list(mentions))
    later = _Later(work, mentions)
    if len(later.counts) > 1:
        later.mentions = mentions = _lamps_for(later)
    if len(later.counts) < 2 or not later.pointing or later.pointing[-1] < later.last_count:
        return mentions
    later.mentions = _with_unit(later)
    return _with_lamp(later)
