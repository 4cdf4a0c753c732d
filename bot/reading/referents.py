"""What a clause of a first message refers back to: "480 over the ice", "the first two in black", "Type III on C".

A word that names a place tells types apart when it is said again: it stood beside a type, and now stands beside a voltage
or a colour. Ordinals ("the first two"), letters and item numbers ("A and B"), in and out ("exterior 3000K") do the same.
Each such phrase becomes a mention that points (``_scope``); which types it means is settled here, by where they are described.
"""

from bisect import bisect_left, bisect_right
from operator import attrgetter
from typing import NamedTuple

from bot.reading.clause import Work
from bot.reading.described import LISTED, PREPOSITIONS, Described, best, rank_of, value_of
from bot.reading.mentions import Mention, Option, gap_between
from bot.reading.message import Scope
from bot.reading.words import words_of

_FIRST_ATOM = attrgetter("first")
_IDENTITY = frozenset(
    {"qty", "family", "source", "watts", "size", "led_watts", "lamps", "input_watts", "_led", "_same"}
)
_LAMP = frozenset({"source", "watts", "lamps", "input_watts"})
INDOOR = frozenset(
    {"high_bay", "low_bay", "troffer", "panel", "strip", "wrap", "downlight", "track", "exit", "vapor_tight"}
)
OUTDOOR = frozenset(
    {"wall_pack", "flood", "area", "street", "canopy", "security", "bollard", "post_top", "landscape", "sign"}
)
_FIRST = words_of("first last primeros primeras ultimos ultimas")
_PLACE_IN_ORDER = {"first": 0, "second": 1, "third": 2, "fourth": 3, "last": -1, "former": 0, "latter": -1, "1st": 0, "2nd": 1, "3rd": 2,
                   "primero": 0, "primera": 0, "segundo": 1, "segunda": 1, "ultimo": -1, "ultima": -1,
                   "primeros": 0, "primeras": 0, "segundos": 1, "segundas": 1, "ultimos": -1, "ultimas": -1}  # fmt: skip
_STOREYS = words_of(
    "floor floors level levels piso pisos nivel niveles storey story wing phase shift row building bldg lot"
)
_THE = words_of("the el la los las")
_UPON = words_of("on for in en para to")
_THINGS = words_of(
    "one ones type types kind kinds set sets group line item items lights fixtures is are gets get in at on should son van estan llevan tienen have hang r"
)
EXTREMES = (
    dict.fromkeys(("low", "lower", "short", "shorter"), "least height_ft")
    | dict.fromkeys(("high", "higher", "tall", "taller"), "most height_ft")
    | dict.fromkeys(("small", "smaller", "little"), "least size")
    | dict.fromkeys(("big", "bigger", "large", "larger"), "most size")
)


class Reference(NamedTuple):
    """A phrase that points: its atoms, and the anchors of the types it means."""

    first: int
    last: int
    anchors: tuple[int, ...]
    extreme: str = ""


class Referents(Described):
    """Finds the pointing phrases of one first message."""

    def _ordinals(self, index: int) -> Reference | None:
        """As in "the first two", "the last one", "the second one"."""
        work = self.work
        text = self._order(index)
        if text not in _PLACE_IN_ORDER and text not in _FIRST:
            return None
        total = len(self.anchors)
        nxt = index + 1
        if (
            text in _FIRST
            and nxt < len(work.atoms)
            and work.atoms[nxt].kind in ("n", "x")
            and 2 <= work.atoms[nxt].value < total
        ):
            many = int(work.atoms[nxt].value)
            chosen = range(total - many, total) if text in ("last", "ultimos", "ultimas") else range(many)
            return Reference(index, nxt, tuple(chosen))
        alone = self._alone(index)
        if not self._leads(index) or (
            work.text_at(nxt) not in _THINGS
            and text not in ("former", "latter")
            and not self._contrasted(index)
            and not alone
        ):
            return None
        if work.text_at(index - 1) not in _THE and not self._spoken_of_again(index):
            return None
        if self.storeys:
            return None  # "2nd floor 30 troffers, 3rd floor 28. Second in 3500K": a floor
        place = _PLACE_IN_ORDER.get(text)
        if place is None or not -total <= place < total:
            return None
        last = (
            nxt
            if work.text_at(nxt) in ("one", "ones", "type", "kind", "set", "group", "line", "item")
            else index
        )
        return Reference(index, last, (place % total,))

    def _order(self, index: int) -> str:
        """The text of an atom; of a figure with an ending ("1st") the ordinal that it is."""
        atom = self.work.atoms[index]
        return rank_of(self.work, atom) if atom.mean.get("date") == "ordinal" else atom.text

    @property
    def ordered(self) -> list[int]:
        """The atoms that are ordinals."""
        if self._ordered is None:
            self._ordered = [n for n in range(len(self.work.atoms)) if self._order(n) in _PLACE_IN_ORDER]
        return self._ordered

    @property
    def storeys(self) -> bool:
        """Whether ordinals tell floors or buildings apart."""
        if self._storeys is None:
            self._storeys = any(self.work.text_at(n + 1) in _STOREYS for n in self.ordered)
        return self._storeys

    def _leads(self, index: int) -> bool:
        """Whether an ordinal has its article, or begins a clause without one: "First are 150 W, second 100"."""
        return self.work.text_at(index - 1) in _THE or index in self.starts

    def _alone(self, index: int) -> bool:
        """Whether an ordinal ends its clause behind "on" or "for": "dimming for the first, nothing on the second"."""
        work, nxt = self.work, index + 1
        ended = nxt >= len(work.atoms) or work.atoms[nxt].kind in ("s", "b")
        if work.text_at(index) not in ("former", "latter"):
            return ended and work.text_at(index - 2) in _UPON
        # "150w HPS the former, 400w MH the latter": nobody calls anything else so
        return (ended or "join" in work.atoms[nxt].mean) and (
            work.text_at(index - 2) in _UPON
            or any(m.last == index - 2 and best(m) not in ("", "qty") for m in self.mentions)
        )

    def _spoken_of_again(self, index: int) -> bool:
        """Whether an ordinal without its article is a pronoun: another one has its turn too, or a verb follows."""
        work = self.work
        if work.text_at(index + 1) in ("are", "is", "ones", "one", "get", "gets", "r"):
            return True
        return any(n != index and self._leads(n) for n in self.ordered)

    def _contrasted(self, index: int) -> bool:
        """Whether a value stands right behind "the latter", or behind "the first" where another is told in its turn."""
        work = self.work
        value = next((mention for mention in self.mentions if mention.first == index + 1), None)
        if value is None or best(value) in ("", "qty"):
            return False
        return work.text_at(index) in ("former", "latter") or any(
            n != index
            and (
                work.text_at(n - 1) == work.text_at(index - 1) or (n in self.starts and index in self.starts)
            )
            for n in self.ordered
        )

    def _two_of(self, number: int) -> Reference | None:
        """As in "both of those on dimmers" in the midst of more than two types: the two described last."""
        work, segment = self.work, self.segments[number]
        before = [n for n, anchor in enumerate(self.anchors) if anchor.segment < number]
        if len(before) < 2 or len(self.anchors) < 3:
            return None
        for index in range(segment.first, segment.last + 1):
            if work.has(index, "scope") == "both":
                last = (
                    index + 1
                    if work.text_at(index + 1) in ("of those", "of these", "of them", "kinds", "types")
                    else index
                )
                return Reference(index, last, tuple(before[-2:]))
        return None

    def _extreme(self, index: int) -> Reference | None:
        """As in "the low ones", "the big ones": which they are is told by the types' heights, sizes or watts."""
        work = self.work
        kind = EXTREMES.get(work.text_at(index))
        if (
            kind is None
            or work.text_at(index - 1) not in ("the", "those", "los", "las")
            or work.text_at(index + 1)
            not in ("ones", "one", "guys", "units", "poles", "lights", "fixtures", "heads")
        ):
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
            listed = text in LISTED and (self.mark(index + 1) if index < segment.last else "")
            for word in () if listed else self.content(index):
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
            if (
                not anchors
                and work.atoms[index].kind == "x"
                and (mark := self.mark(index))
                and "#" + mark in self.places
            ):
                anchors = set(self.places["#" + mark])
            if (
                not anchors
                and len(text) == 1
                and "#" + text in self.places
                and self._points_with(index, found)
            ):
                anchors = set(self.places["#" + text])
            if anchors:
                first = index
                if work.text_at(index - 1) in LISTED and index > segment.first:
                    first = index - 1
                if found and all(
                    "join" in work.atoms[n].mean
                    or work.text_at(n) in (",", "the", "our", "in", "on")
                    or work.text_at(n) in LISTED
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
            return before in LISTED or (
                bool(found) and work.has(index - 1, "join") is not None and found[-1].last == index - 2
            )
        return (
            before in PREPOSITIONS
            or before in LISTED
            or (work.has(index - 1, "join") is not None and bool(found))
            or after in ("is", "are", "gets", "=", "should", "needs")
            or (index in self.starts and after in ("on", "at", "@", ":"))
            or (work.has(index + 1, "join") is not None and "#" + work.text_at(index + 2) in self.places)
            or (
                len(self.lettered) > 1
                and (after in ("", ",", ".", ";") or work.has(index + 1, "join") is not None)
            )
            or (
                work.text_at(index) != "a"
                and index in self.starts
                and (index + 1 in self.bare or work.has(index + 1, "join") is not None)
            )
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
            both = False
            if not references and (two := self._two_of(number)) is not None:
                references, both = [two], True
            if not references:
                continue
            inside = [
                mention for mention in held if not any(r.first <= mention.first <= r.last for r in references)
            ]
            named = {
                "voltage" if self.rather_volts(mention, held) else best(mention)
                for mention in inside
                if "_point" not in mention.slots
            }
            # "2x4s (64) and 2x2s (18), both 277, and 11 exit signs": the two before it
            both = both and any(anchor.segment > number for anchor in self.anchors)
            explicit = any(
                [
                    both,
                    self._explicit(references[0]),
                    bool(references[0].extreme),
                    # "bronze front and back": every type is named by its place
                    len(references[0].anchors) == len(self.anchors) > 1
                    and references[0].last > references[0].first
                    and len(references) == 1
                    and any(self.work.has(n, "join") for n in range(references[0].first, references[0].last)),
                    self._order(references[0].first) in _PLACE_IN_ORDER
                    and (self._contrasted(references[0].first) or self._alone(references[0].first)),
                    self.work.text_at(references[0].first) in _FIRST
                    and references[0].last > references[0].first,
                ]
            )
            lampless = named & _IDENTITY <= _LAMP and not any(
                self._lamped(n) for r in references for n in r.anchors
            )
            if not named or (named & _IDENTITY and not explicit and not lampless):
                continue
            if not explicit and not self._aside_of(number):
                continue
            if "qty" in named and any(self.anchors[n].counted for r in references for n in r.anchors):
                continue
            for reference in references:
                scope = self._scope(reference)
                put.setdefault(number, []).append(self._mention(reference, scope))
                gone.update(
                    id(m) for m in held if reference.first <= m.first <= reference.last or "_point" in m.slots
                )
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
        stop = (
            self.anchors[number + 1].mention.first if number + 1 < len(self.anchors) else len(self.work.atoms)
        )
        sentence = self.segments[self.anchors[number].segment].sentence
        low = self.anchors[number - 1].mention.last if number else -1
        said = self.in_sentence[sentence]
        start = bisect_right(said, low, key=_FIRST_ATOM)
        return any(
            m.slots & {"source", "watts"} and not m.bare
            for m in said[start : bisect_left(said, stop, key=_FIRST_ATOM)]
            if m.first > first.first or m.gap == 0
        )

    def _aside_of(self, number: int) -> bool:
        """Whether no type is described in the same sentence before the clause: what follows a type at once is its own."""
        sentence = self.segments[number].sentence
        first = self.first_of.get(sentence)
        return first is None or first >= number or self.segments[number].excepted

    def _explicit(self, reference: Reference) -> bool:
        """Whether the phrase speaks of the luminaires there and not of the place: "the alley ones", "the office is"."""
        after = self.work.text_at(reference.last + 1)
        return after in (
            "ones",
            "one",
            "are",
            "is",
            "have",
            "has",
            "get",
            "gets",
            "need",
            "needs",
            "needs to be",
            "need to be",
            "should",
            "should be",
            "run",
            "runs",
            "wants",
            "takes",
            "was",
            "were",
            "will be",
            "to be",
            "son",
            "van",
            "estan",
            "llevan",
            "tienen",
            "hang",
            "=",
            ":",
            "fixtures",
            "lights",
            "guys",
            "stuff",
            "things",
        )

    def _scope(self, reference: Reference) -> Scope:
        work = self.work
        if reference.extreme:
            which, by = reference.extreme.split()
            start, end = work.atoms[reference.first].start, work.atoms[reference.last].end
            return Scope(
                "family",
                start,
                end,
                lowest=by if which == "least" else "",
                highest=by if which == "most" else "",
            )
        spots = tuple(self.anchors[n].mention.start for n in reference.anchors)
        return Scope("family", work.atoms[reference.first].start, work.atoms[reference.last].end, spots=spots)

    def _mention(self, reference: Reference, scope: Scope) -> Mention:
        work = self.work
        work.use(reference.first, reference.last)
        gap = gap_between(work, reference.first - 1, reference.first)
        return Mention(
            reference.first,
            reference.last,
            scope.start,
            scope.end,
            (Option((("_scope", scope),), 0.0, "said before"),),
            gap,
        )

    def _lead_in(self, put: dict[int, list[Mention]], pointing: dict[int, Scope]) -> None:
        """Carry a pointer at a clause's end to the clause before a comma: "277V, 4000K in the locker rooms"."""
        for number, scope in pointing.items():
            before = number - 1
            if (
                before < 0
                or before in put
                or not self.held[before]
                or self.segments[before].sentence != self.segments[number].sentence
                or any(anchor.segment == before for anchor in self.anchors)
                or self._all_of_it(before)
            ):
                continue
            slots = {best(mention) for mention in self.held[before]}
            if slots & _IDENTITY:
                continue
            contrasted = {best(mention) for other in put if other != number for mention in self.held[other]}
            if len(pointing) > 1 and not slots & contrasted:
                continue
            last = self.segments[before].last
            put[before] = [
                Mention(
                    last, last, scope.start, scope.end, (Option((("_scope", scope),), 0.0, "said before"),)
                )
            ]

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
    counts = [n for n, mention in enumerate(mentions) if best(mention) == "qty"]
    names = [
        n
        for n, mention in enumerate(mentions)
        if best(mention) == "size" or value_of(mention, "family") is not None
    ]
    return len(counts) + len(names) > 1 and not (len(counts) == len(names) == 1 and counts[0] < names[0])
