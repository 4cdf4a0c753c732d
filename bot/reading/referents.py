"""What a clause of a first message refers back to: "480 over the ice", "the first two in black", "Type III on C".

A word that names a place tells types apart when it is said again: it stood beside a type, and now stands beside a voltage
or a colour. Ordinals ("the first two"), letters and item numbers ("A and B"), in and out ("exterior 3000K") do the same.
Each such phrase becomes a mention that points (``_scope``); which types it means is settled here, by where they are described.
"""

from functools import cached_property
from typing import NamedTuple

from bot.reading.atoms import Atom
from bot.reading.clause import Work
from bot.reading.mentions import Mention, Option, gap_between
from bot.reading.message import Scope
from bot.reading.scopes import segments_of
from bot.reading.words import words_of

_IDENTITY = frozenset({"qty", "family", "source", "watts", "size", "led_watts", "lamps", "input_watts", "_led", "_same"})
_LAMP = frozenset({"source", "watts", "lamps", "input_watts"})
_TRADE = ("family", "source", "size", "optic", "finish", "mount", "damp_or_wet", "controls", "flag", "colour", "voltage",
          "led", "scope", "join", "generic", "action", "days", "ampm")  # fmt: skip
_SMALL = words_of(
    """the a an of to in on at by over under for from with and or but is are was be been has have had need needs want wants get gets
    got will would should must can could may might it its they them those these this that there here we our us you your he she his her i
    my me so as if then than too also all both each every any some more most other others another one ones only just not no yes aff afg
    do does did make made go going run runs put keep use using used please pls thanks thank hi hello new old up down out off
    about around near along above below behind what which who when where how much many like light lights lighting fixture
    fixtures head heads lamp lamps bulb bulbs type types kind kinds color colour voltage volts volt watt watts height feet foot
    ft temp finish mount mounted mounting ceiling ceilings high tall are's same now today what whats think guess believe theres there's still really well ok okay
    el la los las de del en con y o un una por para que son es esta estan hay lo su sus al como mas todo todos todas
    quote price replace replacing existing currently currently install installed total count each ea qty quantity power"""
)
_PREPOSITIONS = words_of("in on at over along around outside inside by above behind near under for from en sobre through throughout across of w")
_OUT = dict.fromkeys(("outside", "outdoor", "outdoors", "exterior", "afuera"), "outside") | dict.fromkeys(
    ("inside", "indoor", "indoors", "interior", "adentro"), "inside"
)
INDOOR = frozenset({"high_bay", "low_bay", "troffer", "panel", "strip", "wrap", "downlight", "track", "exit", "vapor_tight"})
OUTDOOR = frozenset({"wall_pack", "flood", "area", "street", "canopy", "security", "bollard", "post_top", "landscape", "sign"})
_FIRST = words_of("first last primeros primeras ultimos ultimas")
_PLACE_IN_ORDER = {"first": 0, "second": 1, "third": 2, "fourth": 3, "last": -1, "former": 0, "latter": -1, "1st": 0, "2nd": 1, "3rd": 2,
                   "primero": 0, "primera": 0, "segundo": 1, "segunda": 1, "ultimo": -1, "ultima": -1}  # fmt: skip
_THINGS = words_of("one ones type types kind kinds set sets group line item items lights fixtures is are gets get in at on should")
_RANKS = {"1st": "first", "2nd": "second", "3rd": "third", "4th": "fourth", "5th": "fifth", "6th": "sixth"}
_LISTED = words_of("item items line lines type types bldg bldgs building buildings # no lot lots area areas zone zones unit units bay bays group")

_NUMBERED = words_of("item items line lines type types #")


EXTREMES = dict.fromkeys(("low", "lower", "short", "shorter"), "least height_ft") | dict.fromkeys(
    ("high", "higher", "tall", "taller"), "most height_ft"
) | dict.fromkeys(("small", "smaller", "little"), "least size") | dict.fromkeys(("big", "bigger", "large", "larger"), "most size")


class Anchor(NamedTuple):
    """A mention that begins the description of a type: its count, or its luminaire word where there is no count."""

    mention: Mention
    segment: int
    family: str | None
    counted: bool
    sized: bool = False


class Reference(NamedTuple):
    """A phrase that points: its atoms, and the anchors of the types it means."""

    first: int
    last: int
    anchors: tuple[int, ...]
    extreme: str = ""


def _best(mention: Mention) -> str:
    slots = mention.options[0].slots
    return slots[0][0] if slots else ""


def _value(mention: Mention, slot: str) -> object:
    return next((value for name, value in mention.options[0].slots if name == slot), None)


def singular(word: str) -> str:
    """The word without the ending of a plural."""
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    return word[:-1] if word.endswith("s") and not word.endswith("ss") and len(word) > 3 else word


def _rank(work: Work, atom: Atom) -> str:
    """The ordinal that a figure with an ending is ("2nd"); else empty."""
    return _RANKS.get(work.folded[atom.start : atom.end]) or _RANKS.get(work.folded[atom.start : atom.end + 2], "")


class Referents:
    """Finds the pointing phrases of one first message."""

    def __init__(self, work: Work, mentions: list[Mention]) -> None:
        self.work = work
        self.mentions = mentions
        self.segments = segments_of(work)
        self.held: list[list[Mention]] = [[] for _ in self.segments]
        cursor = 0
        for mention in mentions:
            while cursor + 1 < len(self.segments) and mention.first > self.segments[cursor].last:
                cursor += 1
            if self.segments:
                self.held[cursor].append(mention)
        self.starts = {segment.first for segment in self.segments}
        self.bare = {mention.first for mention in mentions}
        self.anchors = self._find_anchors()

    @cached_property
    def first_of(self) -> dict[int, int]:
        """The first clause of every sentence that describes a type."""
        return {self.segments[anchor.segment].sentence: anchor.segment for anchor in reversed(self.anchors)}

    @cached_property
    def slots_by_atom(self) -> dict[int, frozenset[str]]:
        """What the mention over an atom may say."""
        return {index: m.slots for m in self.mentions for index in range(m.first, m.last + 1)}

    @cached_property
    def lettered(self) -> frozenset[int]:
        """Letters that name the items of a list without a mark: "A 12 troffers, B 8 strips"."""
        run: list[int] = []
        for segment in self.segments:
            text = self.work.text_at(segment.first)
            if len(text) == 1 and text == "abcdefgh"[len(run) : len(run) + 1] and segment.first < segment.last and (
                self.work.atoms[segment.first + 1].kind == "n"
            ):
                run.append(segment.first)
        return frozenset(run) if len(run) > 1 else frozenset()

    @cached_property
    def marks(self) -> set[str]:
        """The letters and numbers that name items somewhere in the message."""
        return {self._mark(index) for index in range(len(self.work.atoms))}

    @cached_property
    def places(self) -> dict[str, list[int]]:
        """Where words that may name places stand; few messages point at them, so they are looked for when one does."""
        return self._places()

    def _find_anchors(self) -> list[Anchor]:
        out: list[Anchor] = []
        named: set[str] = set()
        fresh = True
        for number, held in enumerate(self.held):
            for mention in held:
                best = _best(mention)
                family = _value(mention, "family")
                if best == "qty":
                    if self._rather_volts(mention, held) or self._item_number(mention):
                        continue
                    if out and not out[-1].counted and out[-1].segment == number:
                        # "wallpacks 12": the luminaire word came first
                        out[-1] = out[-1]._replace(mention=mention, counted=True)
                        named.add(str(out[-1].family))
                    else:
                        out.append(Anchor(mention, number, None, True))
                    fresh = True
                elif (family is not None or best == "size") and "_point" not in mention.slots:
                    name = str(family) if family is not None else "troffer"
                    if out and fresh and out[-1].family is None:
                        out[-1] = out[-1]._replace(family=name)
                        if out[-1].counted:
                            named.add(name)
                    elif out and out[-1].segment == number and (out[-1].sized != (best == "size")):
                        pass  # "55 lay-ins 2x4": the size of the type that was named
                    elif name not in named:
                        out.append(Anchor(mention, number, name, False, best == "size"))
                    fresh = False
        return out

    def _item_number(self, mention: Mention) -> bool:
        """Whether a figure only names an item of the list: "#3 needs type V"."""
        work = self.work
        return mention.bare and work.text_at(mention.first - 1) in _LISTED and work.text_at(mention.first) in self.marks

    @staticmethod
    def _rather_volts(mention: Mention, held: list[Mention]) -> bool:
        """Whether a bare number counts nothing here: "480 on the lot and 120 on the building"."""
        return (
            mention.bare
            and any(option.slots[:1] and option.slots[0][0] == "voltage" for option in mention.options)
            and not any(other.slots & {"family", "size", "source", "watts"} and not other.bare for other in held)
        )

    def _content(self, index: int) -> list[str]:
        """The words of an atom that may name a place."""
        atom = self.work.atoms[index]
        if atom.kind in ("n", "x", "p") and (rank := _rank(self.work, atom)):
            return [rank]
        if atom.kind not in ("w", "p") or any(kind in atom.mean for kind in _TRADE):
            return []
        if "unit" in atom.mean and index and self.work.atoms[index - 1].kind == "n":
            return []
        return [
            _OUT.get(word, singular(word))
            for word in atom.text.split()
            if len(word) >= 3 and word not in _SMALL and word.isalpha()
        ]

    def _mark(self, index: int) -> str:
        """The letter or number that names an item here: "A)", "Bldg B:", "Item 2"; else empty."""
        work = self.work
        atom = work.atoms[index]
        if atom.kind == "x" or (atom.mean.get("bullet") and len(atom.text) > 1):
            words = work.folded[atom.start : atom.end].rstrip(").:-# ").split()
            named = 1 <= len(words) <= 2 and len(words[-1]) <= 2 and (len(words) == 1 or words[0] in _LISTED)
            return words[-1].lstrip("#") if named and (words[-1].isalpha() or words[-1].lstrip("#").isdigit()) else ""
        text = atom.text
        if len(text) == 1 and (atom.mean.get("bullet") or index in self.lettered):
            return text
        one = len(text) == 1 and (text.isalpha() or text.isdigit())
        if not one:
            return ""
        if work.text_at(index - 1) in (_LISTED if text.isalpha() else _NUMBERED):
            return text
        after = work.text_at(index + 1)
        starts = index == 0 or work.atoms[index - 1].kind == "b" or work.text_at(index - 1) in (".", ";", ",", "(") or after == ")"
        return text if starts and after in (")", ":", ".", "-") and (text.isalpha() or after == ")") else ""

    def _places(self) -> dict[str, list[int]]:
        """Where words that may name places stand in clauses that describe a type: word -> numbers of anchors."""
        by_segment: dict[int, list[int]] = {}
        for number, anchor in enumerate(self.anchors):
            by_segment.setdefault(anchor.segment, []).append(number)
        out: dict[str, list[int]] = {}
        taken = {index for mention in self.mentions for index in range(mention.first, mention.last + 1)}
        heading: list[str] = []
        for number, segment in enumerate(self.segments):
            mine = by_segment.get(number, [])
            words: list[tuple[int, str]] = []
            for index in range(segment.first, segment.last + 1):
                if index in taken and "_point" not in self._slots_at(index) and not self._content(index):
                    continue
                words.extend((index, word) for word in self._content(index))
                mark = self._mark(index)
                if mark:
                    words.append((index, "#" + mark))
            if not mine:
                # "Dining room: 26 cans": a clause without mentions heads what follows it
                opens = not number or self.segments[number - 1].sentence != segment.sentence
                nxt = self.work.text_at(self.segments[number + 1].first) if number + 1 < len(self.segments) else ""
                leads = (
                    self.work.text_at(segment.last + 1) in (":", "-", ")")
                    or nxt in ("which", "that", "has", "have", "with", "there", "theres", "where")
                    or self.work.has(segment.first - 1, "join") is not None
                )
                if all("_point" in mention.slots for mention in self.held[number]) and (opens or leads):
                    heading = [word for _, word in words]
                elif not opens:
                    before = [a for n in range(number - 1, max(-1, number - 6), -1) if self.segments[n].sentence == segment.sentence for a in by_segment.get(n, [])[-1:]]
                    for _, word in words:
                        out.setdefault(word, []).extend(before[:1])
                continue
            for word in heading:
                out.setdefault(word, []).extend(mine)
            heading = [] if number + 1 < len(self.segments) and self.segments[number + 1].sentence != segment.sentence else heading
            for index, word in words:
                out.setdefault(word, []).append(self._beside(index, mine))
        return out

    def _slots_at(self, index: int) -> frozenset[str]:
        return self.slots_by_atom.get(index, frozenset())

    def _beside(self, index: int, anchors: list[int]) -> int:
        """Which of a clause's types a place word belongs to: the one before it behind "in" or "on", else the one after it."""
        work = self.work
        back = index - 1
        while back >= 0 and index - back < 5 and (
            work.text_at(back) in ("the", "our", "my", "each", "back", "front", "el", "la", "'", "-", "all")
            or work.atoms[back].kind == "n"
            or work.unit(back) in ("ft", "m")
        ):
            back -= 1
        before = [n for n in anchors if self.anchors[n].mention.first <= index]
        after = [n for n in anchors if self.anchors[n].mention.first > index]
        if before and (work.text_at(back) in _PREPOSITIONS or not after):
            return before[-1]
        return (after or before)[0]

    def _ordinals(self, index: int) -> Reference | None:
        """As in "the first two", "the last one", "the second one"."""
        work = self.work
        text = work.text_at(index)
        if text not in _PLACE_IN_ORDER and text not in _FIRST:
            return None
        total = len(self.anchors)
        nxt = index + 1
        if text in _FIRST and nxt < len(work.atoms) and work.atoms[nxt].kind in ("n", "x") and 2 <= work.atoms[nxt].value < total:
            many = int(work.atoms[nxt].value)
            chosen = range(total - many, total) if text in ("last", "ultimos", "ultimas") else range(many)
            return Reference(index, nxt, tuple(chosen))
        if work.text_at(index - 1) not in ("the", "el", "la", "los", "las") or work.text_at(nxt) not in _THINGS:
            return None
        place = _PLACE_IN_ORDER.get(text)
        if place is None or not -total <= place < total:
            return None
        last = nxt if work.text_at(nxt) in ("one", "ones", "type", "kind", "set", "group", "line", "item") else index
        return Reference(index, last, (place % total,))

    def _two_of(self, number: int) -> Reference | None:
        """As in "both of those on dimmers" in the midst of more than two types: the two described last."""
        work, segment = self.work, self.segments[number]
        before = [n for n, anchor in enumerate(self.anchors) if anchor.segment < number]
        if len(before) < 2 or len(self.anchors) < 3:
            return None
        for index in range(segment.first, segment.last + 1):
            if work.has(index, "scope") == "both":
                last = index + 1 if work.text_at(index + 1) in ("of those", "of these", "of them", "kinds", "types") else index
                return Reference(index, last, tuple(before[-2:]))
        return None

    def _extreme(self, index: int) -> Reference | None:
        """As in "the low ones", "the big ones": which they are is told by the types' heights, sizes or watts."""
        work = self.work
        kind = EXTREMES.get(work.text_at(index))
        if kind is None or work.text_at(index - 1) not in ("the", "those", "los", "las") or work.text_at(index + 1) not in ("ones", "one", "guys", "units", "poles", "lights", "fixtures", "heads"):
            return None
        return Reference(index, index + 1, (), kind)

    def _sided(self, word: str) -> tuple[int, ...]:
        families = INDOOR if word == "inside" else OUTDOOR
        return tuple(n for n, anchor in enumerate(self.anchors) if anchor.family in families)

    def references(self, number: int) -> list[Reference]:
        """The pointing phrases of one clause, side by side ones joined ("in the plant and yard")."""
        segment = self.segments[number]
        found: list[Reference] = []
        work = self.work
        index = segment.first
        while index <= segment.last:
            ordinal = self._ordinals(index)
            if ordinal is not None:
                found.append(ordinal)
                index = ordinal.last + 1
                continue
            text = work.text_at(index)
            anchors: set[int] = set()
            listed = text in _LISTED and (self._mark(index + 1) if index < segment.last else "")
            for word in () if listed else self._content(index):
                known = self.places.get(word)
                if word in ("inside", "outside"):
                    sided = list(self._sided(word))
                    if sided and (known is None or len(sided) < len(self.anchors)):
                        known = sided
                if known:
                    anchors = anchors & set(known) or set(known) if anchors else set(known)
            if (extreme := self._extreme(index)) is not None:
                found.append(extreme)
                index = extreme.last + 1
                continue
            if not anchors and work.atoms[index].kind == "x" and (mark := self._mark(index)) and "#" + mark in self.places:
                anchors = set(self.places["#" + mark])
            if not anchors and len(text) == 1 and "#" + text in self.places and self._points_with(index, found):
                anchors = set(self.places["#" + text])
            if anchors:
                first = index
                if work.text_at(index - 1) in _LISTED and index > segment.first:
                    first = index - 1
                if found and all(
                    "join" in work.atoms[n].mean or work.text_at(n) in (",", "the", "our", "in", "on") or work.text_at(n) in _LISTED
                    for n in range(found[-1].last + 1, index)
                ):
                    adjacent = found[-1].last + 1 == index
                    before = set(found[-1].anchors)
                    both = (before & anchors or before | anchors) if adjacent else before | anchors
                    found[-1] = Reference(found[-1].first, index, tuple(sorted(both)))
                else:
                    found.append(Reference(first, index, tuple(sorted(anchors))))
            index += 1
        return found

    def _points_with(self, index: int, found: list[Reference]) -> bool:
        """Whether a lone letter or figure names an item here: "on C", "items 1 and 2", "C is"."""
        work = self.work
        before, after = work.text_at(index - 1), work.text_at(index + 1)
        if work.text_at(index).isdigit():
            return before in _LISTED or (bool(found) and work.has(index - 1, "join") is not None and found[-1].last == index - 2)
        return (
            before in _PREPOSITIONS or before in _LISTED
            or (work.has(index - 1, "join") is not None and bool(found))
            or after in ("is", "are", "gets", "=", "should", "needs")
            or (len(self.lettered) > 1 and (after in ("", ",", ".", ";") or work.has(index + 1, "join") is not None))
            or (work.text_at(index) != "a" and index in self.starts and (index + 1 in self.bare or work.has(index + 1, "join") is not None))
        )

    def run(self) -> list[Mention]:
        """The mentions with the pointing ones put in."""
        if len(self.anchors) < 2 and not any(atom.text in EXTREMES for atom in self.work.atoms):
            return self.mentions
        put: dict[int, list[Mention]] = {}
        gone: set[int] = set()
        described = {anchor.segment for anchor in self.anchors}
        earliest = min(described, default=-1)
        pointing: dict[int, Scope] = {}
        for number, held in enumerate(self.held):
            if not held or number in described or number < earliest or len(put) > 24:
                continue
            if any("family" in mention.slots or "_scope" in mention.slots for mention in held):
                continue
            references = self.references(number)
            if not references and (two := self._two_of(number)) is not None:
                references = [two]
            if not references:
                continue
            inside = [mention for mention in held if not any(r.first <= mention.first <= r.last for r in references)]
            named = {
                "voltage" if self._rather_volts(mention, held) else _best(mention)
                for mention in inside
                if "_point" not in mention.slots
            }
            explicit = self._explicit(references[0]) or bool(references[0].extreme)
            lampless = named & _IDENTITY <= _LAMP and not any(self._lamped(n) for r in references for n in r.anchors)
            if not named or (named & _IDENTITY and not explicit and not lampless):
                continue
            if not explicit and not self._aside_of(number):
                continue
            if "qty" in named and any(self.anchors[n].counted for r in references for n in r.anchors):
                continue
            for reference in references:
                scope = self._scope(reference)
                put.setdefault(number, []).append(self._mention(reference, scope))
                gone.update(id(m) for m in held if reference.first <= m.first <= reference.last or "_point" in m.slots)
            if len(references) == 1 and inside[-1].last < references[0].first:
                pointing[number] = self._scope(references[0])
        self._lead_in(put, pointing)
        if not put:
            return self.mentions
        out = [mention for mention in self.mentions if id(mention) not in gone]
        out.extend(mention for many in put.values() for mention in many)
        out.sort(key=lambda mention: (mention.first, mention.last))
        return out

    def _lamped(self, number: int) -> bool:
        """Whether the description of a type says what lamp it has."""
        first = self.anchors[number].mention
        stop = self.anchors[number + 1].mention.first if number + 1 < len(self.anchors) else len(self.work.atoms)
        sentence = self.segments[self.anchors[number].segment].sentence
        low = self.anchors[number - 1].mention.last if number else -1
        return any(
            m.slots & {"source", "watts"} and not m.bare
            for segment, held in zip(self.segments, self.held, strict=True)
            if segment.sentence == sentence
            for m in held
            if low < m.first < stop and (m.first > first.first or m.gap == 0)
        )

    def _aside_of(self, number: int) -> bool:
        """Whether no type is described in the same sentence before the clause: what follows a type at once is its own."""
        sentence = self.segments[number].sentence
        first = self.first_of.get(sentence)
        return first is None or first >= number or self.segments[number].excepted

    def _explicit(self, reference: Reference) -> bool:
        """Whether the phrase speaks of the luminaires there and not of the place: "the alley ones", "the office is"."""
        after = self.work.text_at(reference.last + 1)
        return after in ("ones", "one", "are", "is", "have", "has", "get", "gets", "=", ":", "fixtures", "lights", "guys")

    def _scope(self, reference: Reference) -> Scope:
        work = self.work
        if reference.extreme:
            which, by = reference.extreme.split()
            start, end = work.atoms[reference.first].start, work.atoms[reference.last].end
            return Scope("family", start, end, lowest=by if which == "least" else "", highest=by if which == "most" else "")
        spots = tuple(self.anchors[n].mention.start for n in reference.anchors)
        return Scope("family", work.atoms[reference.first].start, work.atoms[reference.last].end, spots=spots)

    def _mention(self, reference: Reference, scope: Scope) -> Mention:
        work = self.work
        work.use(reference.first, reference.last)
        gap = gap_between(work, reference.first - 1, reference.first)
        return Mention(reference.first, reference.last, scope.start, scope.end, (Option((("_scope", scope),), 0.0, "said before"),), gap)

    def _lead_in(self, put: dict[int, list[Mention]], pointing: dict[int, Scope]) -> None:
        """Carry a pointer at a clause's end to the clause before a comma: "277V, 4000K in the locker rooms"."""
        for number, scope in pointing.items():
            before = number - 1
            if (
                before < 0 or before in put or not self.held[before]
                or self.segments[before].sentence != self.segments[number].sentence
                or any(anchor.segment == before for anchor in self.anchors)
                or self._all_of_it(before)
            ):
                continue
            slots = {_best(mention) for mention in self.held[before]}
            if slots & _IDENTITY:
                continue
            contrasted = {
                _best(mention) for other in put if other != number for mention in self.held[other]
            }
            if len(pointing) > 1 and not slots & contrasted:
                continue
            last = self.segments[before].last
            put[before] = [Mention(last, last, scope.start, scope.end, (Option((("_scope", scope),), 0.0, "said before"),))]

    def _all_of_it(self, number: int) -> bool:
        segment = self.segments[number]
        return any(self.work.has(index, "scope") for index in range(segment.first, segment.last + 1))


def refer(work: Work, mentions: list[Mention]) -> list[Mention]:
    """The mentions of a first message with its pointing phrases put in among them."""
    if len(mentions) < 3 or not _several(mentions):
        return mentions
    return Referents(work, mentions).run()


def _several(mentions: list[Mention]) -> bool:
    """Whether there may be two types: a count and a luminaire word after it are one, whatever else is said."""
    counts = [n for n, mention in enumerate(mentions) if _best(mention) == "qty"]
    names = [n for n, mention in enumerate(mentions) if _best(mention) == "size" or _value(mention, "family") is not None]
    return len(counts) + len(names) > 1 and not (len(counts) == len(names) == 1 and counts[0] < names[0])
