"""Where the types of a first message are described, and the words, letters and numbers by which they may be told apart again."""

from typing import final

from bot.reading.atoms import Atom
from bot.reading.clause import Work
from bot.reading.mentions import Mention
from bot.reading.scopes import segments_of
from bot.reading.words import words_of

_TRADE = frozenset({"family", "source", "size", "optic", "finish", "mount", "damp_or_wet", "controls", "flag", "colour", "voltage",
                    "led", "scope", "join", "generic", "action", "days", "ampm"})  # fmt: skip
_SMALL = words_of(
    """the a an of to in on at by over under for from with and or but is are was be been has have had need needs want wants get gets
    got will would should must can could may might it its they them those these this that there here we our us you your he she his her i
    my me so as if then than too also all both each every any some more most other others another one ones only just not no yes aff afg
    do does did make made go going run runs put keep use using used please pls thanks thank hi hello new old up down out off
    about around near along above below behind what which who when where how much many like light lights lighting fixture
    fixtures head heads lamp lamps bulb bulbs type types kind kinds color colour voltage volts volt watt watts height feet foot
    ft temp finish mount mounted mounting ceiling ceilings high tall are's same now today what whats think guess believe theres there's still really well ok okay
    el la los las de del en con y o un una por para que son es esta estan hay lo su sus al como mas todo todos todas
    stuff things guys lites cosas quote price replace replacing existing currently currently install installed total count each ea qty quantity power"""
)
PREPOSITIONS = words_of(
    "in on at over along around outside inside by above behind near under for from en sobre through throughout across of w"
)
_OUT = (
    {"mezz": "mezzanine", "whse": "warehouse", "rr": "restroom"}
    | dict.fromkeys(("outside", "outdoor", "outdoors", "exterior", "ext", "afuera"), "outside")
    | dict.fromkeys(("inside", "indoor", "indoors", "interior", "int", "adentro"), "inside")
)
_RANKS = {"1st": "first", "2nd": "second", "3rd": "third", "4th": "fourth", "5th": "fifth", "6th": "sixth"}
LISTED = words_of(
    "item items line lines type types bldg bldgs building buildings # no lot lots area areas zone zones unit units bay bays group"
)
_NUMBERED = words_of("item items line lines type types #")


@final
class Anchor:
    """A mention that begins the description of a type: its count, or its luminaire word where there is no count."""

    __slots__ = ("counted", "family", "mention", "segment", "sized")

    def __init__(
        self, mention: Mention, segment: int, family: str | None, counted: bool, sized: bool = False
    ) -> None:
        self.mention = mention
        self.segment = segment
        self.family = family
        self.counted = counted
        self.sized = sized


def best(mention: Mention) -> str:
    slots = mention.options[0].slots
    return slots[0][0] if slots else ""


def value_of(mention: Mention, slot: str) -> object:
    return next((value for name, value in mention.options[0].slots if name == slot), None)


def singular(word: str) -> str:
    """The word without the ending of a plural."""
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    return word[:-1] if word.endswith("s") and not word.endswith("ss") and len(word) > 3 else word


def rank_of(work: Work, atom: Atom) -> str:
    """The ordinal that a figure with an ending is ("2nd"); else empty."""
    return _RANKS.get(work.folded[atom.start : atom.end]) or _RANKS.get(
        work.folded[atom.start : atom.end + 2], ""
    )


class Described:
    """The types of one first message, by the clauses that describe them."""

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
        # what few messages ask for, once it was asked for
        self._first_of: dict[int, int] | None = None
        self._slots_by_atom: dict[int, frozenset[str]] | None = None
        self._lettered: frozenset[int] | None = None
        self._marks: set[str] | None = None
        self._places_told: dict[str, list[int]] | None = None
        self._in_sentence: dict[int, list[Mention]] | None = None
        self._ordered: list[int] | None = None
        self._storeys: bool | None = None
        self.anchors = self._find_anchors()

    @property
    def first_of(self) -> dict[int, int]:
        """The first clause of every sentence that describes a type."""
        if self._first_of is None:
            self._first_of = {
                self.segments[anchor.segment].sentence: anchor.segment for anchor in self.anchors[::-1]
            }
        return self._first_of

    @property
    def in_sentence(self) -> dict[int, list[Mention]]:
        """The mentions of every sentence, in order."""
        if self._in_sentence is None:
            self._in_sentence = {}
            for segment, held in zip(self.segments, self.held, strict=True):
                self._in_sentence.setdefault(segment.sentence, []).extend(held)
        return self._in_sentence

    @property
    def slots_by_atom(self) -> dict[int, frozenset[str]]:
        """What the mention over an atom may say."""
        if self._slots_by_atom is None:
            self._slots_by_atom = {
                index: m.slots for m in self.mentions for index in range(m.first, m.last + 1)
            }
        return self._slots_by_atom

    @property
    def lettered(self) -> frozenset[int]:
        """Letters that name the items of a list without a mark: "A 12 troffers, B 8 strips"."""
        if self._lettered is None:
            self._lettered = self._find_lettered()
        return self._lettered

    def _find_lettered(self) -> frozenset[int]:
        run: list[int] = []
        for segment in self.segments:
            text = self.work.text_at(segment.first)
            if (
                len(text) == 1
                and text == "abcdefgh"[len(run) : len(run) + 1]
                and segment.first < segment.last
                and (self.work.atoms[segment.first + 1].kind == "n")
            ):
                run.append(segment.first)
        return frozenset(run) if len(run) > 1 else frozenset()

    @property
    def marks(self) -> set[str]:
        """The letters and numbers that name items somewhere in the message."""
        if self._marks is None:
            self._marks = {self.mark(index) for index in range(len(self.work.atoms))}
        return self._marks

    @property
    def places(self) -> dict[str, list[int]]:
        """Where words that may name places stand; few messages point at them, so they are looked for when one does."""
        if self._places_told is None:
            self._places_told = self._places()
        return self._places_told

    def _find_anchors(self) -> list[Anchor]:
        out: list[Anchor] = []
        named: set[str] = set()
        fresh = True
        for number, held in enumerate(self.held):
            for mention in held:
                slot = best(mention)
                family = value_of(mention, "family")
                if slot == "qty":
                    if (
                        self.rather_volts(mention, held)
                        or self._item_number(mention)
                        or self._so_many_of(mention, len(out))
                    ):
                        continue
                    if out and not out[-1].counted and out[-1].segment == number:
                        # "wallpacks 12": the luminaire word came first
                        out[-1] = Anchor(mention, out[-1].segment, out[-1].family, True, out[-1].sized)
                        named.add(str(out[-1].family))
                    else:
                        out.append(Anchor(mention, number, None, True))
                    fresh = True
                elif (family is not None or slot == "size") and "_point" not in mention.slots:
                    name = str(family) if family is not None else "troffer"
                    if out and fresh and out[-1].family is None:
                        out[-1] = Anchor(
                            out[-1].mention, out[-1].segment, name, out[-1].counted, out[-1].sized
                        )
                        if out[-1].counted:
                            named.add(name)
                    elif out and out[-1].segment == number and (out[-1].sized != (slot == "size")):
                        pass  # "55 lay-ins 2x4": the size of the type that was named
                    elif name not in named:
                        out.append(Anchor(mention, number, name, False, slot == "size"))
                    fresh = False
        return out

    def _item_number(self, mention: Mention) -> bool:
        """Whether a figure only names an item of the list: "#3 needs type V"."""
        work = self.work
        return (
            mention.bare
            and work.text_at(mention.first - 1) in LISTED
            and work.text_at(mention.first) in self.marks
        )

    def _so_many_of(self, mention: Mention, many: int) -> bool:
        """Whether a figure only says how many of the types told before are meant: "the first two", "last 2"."""
        work = self.work
        atom = work.atoms[mention.first]
        return (
            mention.bare
            and work.text_at(mention.first - 1) in ("first", "last", "other")
            and 2 <= atom.value < many
            and not any(work.has(mention.last + 1, kind) for kind in ("family", "size", "generic"))
        )

    @staticmethod
    def rather_volts(mention: Mention, held: list[Mention]) -> bool:
        """Whether a bare number counts nothing here: "480 on the lot and 120 on the building"."""
        return (
            mention.bare
            and any(option.slots[:1] and option.slots[0][0] == "voltage" for option in mention.options)
            and not any(
                other.slots & {"family", "size", "source", "watts"} and not other.bare for other in held
            )
        )

    def content(self, index: int) -> list[str]:
        """The words of an atom that may name a place."""
        atom = self.work.atoms[index]
        if atom.kind in ("n", "x", "p") and (rank := rank_of(self.work, atom)):
            return [rank]
        if atom.kind not in ("w", "p") or not _TRADE.isdisjoint(atom.mean):
            return []
        if "unit" in atom.mean and index and self.work.atoms[index - 1].kind == "n":
            return []
        return [
            _OUT.get(word, singular(word))
            for word in atom.text.split()
            if len(word) >= 3 and word not in _SMALL and word.isalpha()
        ]

    def mark(self, index: int) -> str:
        """The letter or number that names an item here: "A)", "Bldg B:", "Item 2"; else empty."""
        work = self.work
        atom = work.atoms[index]
        if atom.kind == "x" or (atom.mean.get("bullet") and len(atom.text) > 1):
            words = work.folded[atom.start : atom.end].rstrip(").:-# ").split()
            named = 1 <= len(words) <= 2 and len(words[-1]) <= 2 and (len(words) == 1 or words[0] in LISTED)
            return (
                words[-1].lstrip("#")
                if named and (words[-1].isalpha() or words[-1].lstrip("#").isdigit())
                else ""
            )
        text = atom.text
        if len(text) == 1 and (atom.mean.get("bullet") or index in self.lettered):
            return text
        one = len(text) == 1 and (text.isalpha() or text.isdigit())
        if not one:
            return ""
        if work.text_at(index - 1) in (LISTED if text.isalpha() else _NUMBERED):
            return text
        after = work.text_at(index + 1)
        starts = (
            index == 0
            or work.atoms[index - 1].kind == "b"
            or work.text_at(index - 1) in (".", ";", ",", "(")
            or after == ")"
        )
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
                if index in taken and "_point" not in self._slots_at(index) and not self.content(index):
                    continue
                words.extend((index, word) for word in self.content(index))
                mark = self.mark(index)
                if mark:
                    words.append((index, "#" + mark))
            if not mine:
                # "Dining room: 26 cans": a clause without mentions heads what follows it
                opens = not number or self.segments[number - 1].sentence != segment.sentence
                nxt = (
                    self.work.text_at(self.segments[number + 1].first)
                    if number + 1 < len(self.segments)
                    else ""
                )
                leads = (
                    self.work.text_at(segment.last + 1) in (":", "-", ")")
                    or nxt in ("which", "that", "has", "have", "with", "there", "theres", "where")
                    or self.work.has(segment.first - 1, "join") is not None
                )
                if all("_point" in mention.slots for mention in self.held[number]) and (opens or leads):
                    heading = [word for _, word in words]
                elif not opens:
                    before = [
                        a
                        for n in range(number - 1, max(-1, number - 6), -1)
                        if self.segments[n].sentence == segment.sentence
                        for a in by_segment.get(n, [])[-1:]
                    ]
                    for _, word in words:
                        out.setdefault(word, []).extend(before[:1])
                continue
            for word in heading:
                out.setdefault(word, []).extend(mine)
            heading = (
                []
                if number + 1 < len(self.segments) and self.segments[number + 1].sentence != segment.sentence
                else heading
            )
            for index, word in words:
                out.setdefault(word, []).append(self._beside(index, mine))
        return out

    def _slots_at(self, index: int) -> frozenset[str]:
        return self.slots_by_atom.get(index, frozenset())

    def _beside(self, index: int, anchors: list[int]) -> int:
        """Which of a clause's types a place word belongs to: the one before it behind "in" or "on", else the one after it."""
        work = self.work
        back = index - 1
        while (
            back >= 0
            and index - back < 5
            and (
                work.text_at(back)
                in ("the", "our", "my", "each", "back", "front", "el", "la", "'", "-", "all")
                or work.atoms[back].kind == "n"
                or work.unit(back) in ("ft", "m")
            )
        ):
            back -= 1
        before = [n for n in anchors if self.anchors[n].mention.first <= index]
        after = [n for n in anchors if self.anchors[n].mention.first > index]
        if before and (work.text_at(back) in PREPOSITIONS or not after):
            return before[-1]
        if before and self.anchors[before[-1]].counted and self.anchors[before[-1]].mention.last == index - 1:
            return before[-1]  # "10 big high bays and 8 small ones"
        return (after or before)[0]
