"""The pieces of clauses that deal values to types: subjects, values, and the words that join the two; see `by_turns`."""

from typing import Any, Final, final

from bot.reading.atoms import Atom
from bot.reading.clause import Work
from bot.reading.fitting import near_families
from bot.reading.late import Late
from bot.reading.message import Known
from bot.reading.supply import VOLTS
from engine.vocabulary import EXTERIOR_FAMILIES

COLOURS: Final = frozenset({2700.0, 3000.0, 3500.0, 4000.0, 5000.0, 5700.0, 6500.0})
_THOUSANDS: Final = frozenset({3.0, 3.5, 4.0, 5.0})
TALLEST: Final = 60
WORDS: Final = ("finish", "optic", "mount", "controls")
LINKS: Final = frozenset(
    [
        "is",
        "will",
        "going",
        "gonna",
        "fed",
        "movimiento",
        "wired",
        "supposed",
        "like",
        "are",
        "r",
        "be",
        "get",
        "gets",
        "need",
        "needs",
        "needing",
        "getting",
        "run",
        "runs",
        "running",
        "with",
        "in",
        "at",
        "should",
        "to",
        "want",
        "wants",
        "have",
        "has",
        "the",
        "a",
        "of",
        "on",
        "for",
        "color",
        "colour",
        "finish",
        "finishes",
        "mounted",
        "go",
        "goes",
        "hang",
        "hung",
        "painted",
        "van",
        "va",
        "son",
        "es",
        "estan",
        "esta",
        "llevan",
        "lleva",
        "de",
        "en",
        "con",
        "el",
        "la",
        "los",
        "las",
        "para",
        "lights",
        "fixtures",
        "ones",
        "one",
        "luminaires",
        "stuff",
        "luces",
        "being",
        "take",
        "takes",
        "use",
        "both",
        "all",
    ]
)
BREAKS: Final = frozenset({",", ";", ".", ":", "and", "&", "y", "while", "\n", "-", "plus"})
_STOPS: Final = frozenset({".", "\n", ";"})
EXCEPT: Final = frozenset({"except", "but", "excepting", "besides", "excepto", "menos"})
ON: Final = frozenset({"on", "for", "in", "at", "en", "para", "over"})
THE: Final = frozenset({"the", "el", "la", "los", "las", "our", "those", "all", "a"})
LEADS: Final = frozenset(
    [
        "also",
        "oh",
        "and",
        "ok",
        "okay",
        "so",
        "forgot",
        "ah",
        "y",
        "tambien",
        "notes",
        "note",
        "yes",
        "yeah",
        "btw",
        "fyi",
        "actually",
        "um",
        "well",
    ]
)
TOPICS: Final = {
    "voltage": "voltage", "voltages": "voltage", "volts": "voltage", "voltaje": "voltage", "height": "height_ft", "heights": "height_ft",
    "mounting height": "height_ft", "mounting heights": "height_ft", "mount height": "height_ft", "altura": "height_ft", "alturas": "height_ft",
    "color": "", "colors": "", "colour": "", "colours": "", "finish": "", "finishes": "", "color temp": "", "color temperature": "", "cct": "",
    "color temps": "", "controls": "",
}  # fmt: skip
"""What may be spoken of first, and the slot that bare numbers fill then."""
_LEAD: Final = Late(
    r"(?:(?:also|oh|and|ok|okay|so|forgot to (?:say|mention|add|tell you)|forgot|sorry|ah|y|tambien|notes?|yes|yeah|btw|fyi|actually|um|well|"
    r"one more thing|heads up|by the way|just so you know|se me olvido|perdon|details|hey|hi)(?![a-z])[ ,:.!-]{0,4}){1,6}"
)
NTH: Final = {
    "first": 0, "1st": 0, "second": 1, "2nd": 1, "third": 2, "3rd": 2, "fourth": 3, "4th": 3, "last": -1, "former": 0, "latter": 1,
    "primero": 0, "primera": 0, "segundo": 1, "segunda": 1, "tercero": 2, "tercera": 2, "ultimo": -1, "ultima": -1,
}  # fmt: skip
_MANY: Final = frozenset({"first", "last"})
OF_A_TYPE: Final = frozenset(
    ["one", "ones", "type", "types", "item", "line", "group", "set", "kind", "batch"]
)
SIDES: Final = {
    "inside": True, "indoor": True, "indoors": True, "interior": True, "adentro": True,
    "outside": False, "outdoor": False, "outdoors": False, "exterior": False, "afuera": False,
}  # fmt: skip
TYPES: Final = ("family", "pointer", "family_weak")


def several(value: Any) -> tuple[Any, ...]:
    return value if isinstance(value, tuple) else (value,)


@final
class Piece:
    """A subject, a value or a word between them."""

    __slots__ = ("end", "kind", "lines", "marked", "others", "slot", "start", "unit", "value")

    def __init__(self, kind: str, start: int, end: int) -> None:
        self.kind = kind
        """``S`` subject, ``V`` value, ``,`` break, ``o`` a word that leads from a value to its subject, ``x`` except, ``.`` any other link."""
        self.start = start
        self.end = end
        self.lines: list[int] = []
        self.others = ""
        """Of a subject: "rest" or "all"."""
        self.slot = ""
        self.value: Any = None
        self.unit = True
        self.marked = False
        """Of a subject: a word that leads to it is part of it ("for all"); of a break: it ends a sentence."""

    def beside(self, other: "Piece") -> "Piece":
        """Two values of a slot that holds several."""
        both = Piece(self.kind, self.start, self.end)
        both.slot, both.value = self.slot, (*several(other.value), *several(self.value))
        return both


def pieces_of(work: Work, known: Known) -> list[Piece] | None:
    """The pieces of a text about a job; ``None`` where a word is none, or a bare number could be anything."""
    return _Reader(work, known).pieces()


@final
class _Reader:
    """Cuts the atoms into pieces.

    Attributes:
        work, known: the text and the job.
        at: the next atom.
    """

    def __init__(self, work: Work, known: Known) -> None:
        self.work = work
        self.known = known
        self.at = 0
        self.topic = ""
        self.labels = [frozenset(" ".join(words).split()) for words in known.labels]

    def pieces(self) -> list[Piece] | None:
        """All of them; ``None`` where a word is none."""
        out: list[Piece] = []
        atoms = self.work.atoms
        lead = _LEAD.match(self.work.folded)
        begin = lead.end() if lead is not None else 0
        while self.at < len(atoms) and (atoms[self.at].kind in ("s", "b") or atoms[self.at].start < begin):
            self.at += 1
        while self.at < len(atoms):
            piece = self._subject() or self._value() or self._word()
            if piece is None:
                return None
            out.append(piece)
        return _settled(out)

    def _take(self, kind: str, many: int) -> Piece:
        atoms = self.work.atoms
        piece = Piece(kind, atoms[self.at].start, atoms[self.at + many - 1].end)
        self.at += many
        return piece

    def _text(self, ahead: int = 0) -> str:
        at = self.at + ahead
        return self.work.atoms[at].text if at < len(self.work.atoms) else ""

    def _of(self, lines: list[int], many: int, others: str = "") -> Piece | None:
        """A subject of so many atoms; ``None`` where no type is meant by it."""
        if not lines and not others:
            return None
        while self._text(many) in OF_A_TYPE or self._text(many) in ("lights", "fixtures", "stuff"):
            many += 1
        piece = self._take("S", many)
        piece.marked = self.work.folded[piece.start : piece.end].split()[0] in ON
        piece.lines = lines
        piece.others = others
        return piece

    def _subject(self) -> Piece | None:
        atom = self.work.atoms[self.at]
        text = atom.text
        count = len(self.known.lines)
        scope = atom.mean.get("scope")
        place = self._placed(1 if scope == "all" else 0)
        if place is not None:
            return place
        if scope == "others":
            return self._of([], 1, "rest")
        if scope == "all":
            # "all of the others"; "all the floods" are the floods
            if self._family(1) or (self._text(1) == "the" and self._family(2)):
                return None
            if self._scope(1) == "others":
                return self._of([], 2, "rest")
            return self._of([], 1, "all")
        if text in ("other", "others") or (text == "the" and self._text(1) in ("other", "others")):
            many = 1 if text != "the" else 2
            return self._of([], many + (self._number(many) is not None), "rest")
        lines = self._family(0)
        if lines:
            return self._of(lines, 1)
        lead = 1 if text == "the" else 0
        nth = NTH.get(self._text(lead)) if self._text(lead) else None
        if nth is None:
            return None
        number = self._number(lead + 1)
        word = self._text(lead)
        if word in ("former", "latter") and count != 2:
            return None
        if number is not None and number > 1:
            if word not in _MANY or number >= count:
                return None
            lines = list(range(number)) if nth == 0 else list(range(count - number, count))
            return self._of(lines, lead + 2)
        if not -count <= nth < count:
            return None
        return self._of([nth % count], lead + 1 + (1 if number == 1 else 0))

    def _scope(self, ahead: int) -> Any:
        at = self.at + ahead
        return self.work.atoms[at].mean.get("scope") if at < len(self.work.atoms) else None

    def _number(self, ahead: int) -> int | None:
        """A small number by which types are counted ("first two", "other one"); not one with a unit."""
        at = self.at + ahead
        atoms = self.work.atoms
        if at >= len(atoms) or atoms[at].kind != "n" or not 1 <= atoms[at].value <= 6:
            return None
        if (
            atoms[at].text.isdigit()
            and at + 1 < len(atoms)
            and ("unit" in atoms[at + 1].mean or atoms[at + 1].text == "k")
        ):
            return None
        return int(atoms[at].value)

    def _family(self, ahead: int) -> list[int]:
        """The types that a luminaire word names."""
        at = self.at + ahead
        if at >= len(self.work.atoms):
            return []
        mean = self.work.atoms[at].mean
        families = [str(mean[kind]) for kind in TYPES if isinstance(mean.get(kind), str)]
        if not families or "source" in mean:
            return []
        held = [line.get("family") for line in self.known.lines]
        for wanted in (frozenset(families), near_families(tuple(families))):
            lines = [n for n, family in enumerate(held) if family in wanted]
            if lines:
                return lines
        return []

    def _placed(self, ahead: int) -> Piece | None:
        """A place that types stand in: by the words that they go by, or in or out of doors by what they are."""
        lead = ahead + (1 if self._text(ahead) in ("the", "el", "la") else 0)
        first = self._text(lead)
        if not first or not first.isalpha():
            return None
        two = {first, self._text(lead + 1)}
        for words, many in ((two, 2), ({first}, 1)):
            lines = [n for n, label in enumerate(self.labels) if len(words & label) == many]
            if lines and (many == 2 or self._tells_apart(first)):
                return self._of(lines, lead + many)
        inside = SIDES.get(first)
        if inside is None or any(label for label in self.labels if not label.isdisjoint(SIDES)):
            return None
        lines = []
        for n, line in enumerate(self.known.lines):
            family = line.get("family")
            if family is None:
                return None
            if (family not in EXTERIOR_FAMILIES) == inside:
                lines.append(n)
        return self._of(lines, lead + 1) if 0 < len(lines) < len(self.known.lines) else None

    def _tells_apart(self, word: str) -> bool:
        """Whether a word of a place is said of some types and not of all that go by one: "lot" of a front and a back lot is not."""
        return (
            word not in ("lot", "building", "area", "side", "room", "floor", "bldg")
            or sum(word in label for label in self.labels) == 1
        )

    def _value(self) -> Piece | None:
        atoms = self.work.atoms
        atom = atoms[self.at]
        for slot in WORDS:
            value = atom.mean.get(slot)
            if isinstance(value, str):
                piece = self._take("V", 1)
                piece.slot, piece.value = slot, value
                return piece
        if atom.kind != "n" or atom.others:
            return None
        number = atom.value
        unit = unit_of(atoms[self.at + 1]) if self.at + 1 < len(atoms) else None
        up = self._up(2)
        if unit == "ft" and 5 <= number <= TALLEST:
            return self._measured("height_ft", number, 2 + up)
        if unit == "v" and number in VOLTS:
            return self._measured("voltage", int(number), 2)
        if self._text(1) == "k" or unit == "kelvin":
            if number in COLOURS or number in _THOUSANDS:
                return self._measured("cct_k", int(number if number > 100 else number * 1000), 2)
            return None
        if unit is not None:
            return None
        if number in VOLTS and number > TALLEST and not self._up(1):
            piece = self._measured("voltage", int(number), 1)
            piece.unit = False
            return piece
        if 5 <= number <= TALLEST:
            up = self._up(1)
            piece = self._measured("height_ft", number, 1 + up)
            piece.unit = bool(up) or self.topic == "height_ft"
            return piece
        return None

    def _up(self, ahead: int) -> int:
        at = self.at + ahead
        return int(
            at < len(self.work.atoms)
            and self.work.atoms[at].text in ("up", "high", "height", "tall", "de altura", "mounting height")
        )

    def _measured(self, slot: str, value: Any, many: int) -> Piece:
        piece = self._take("V", many)
        piece.slot, piece.value = slot, value
        return piece

    def _word(self) -> Piece | None:
        atom = self.work.atoms[self.at]
        text = "\n" if atom.kind == "b" else atom.text
        if text.split(" ")[0] in EXCEPT or atom.mean.get("scope") == "except":
            return self._take("x", 1)
        if text == "other" and self._text(1) == "than":
            return self._take("x", 2)
        for words in (text, f"{text} {self._text(1)}"):
            if words in TOPICS:
                self.topic = TOPICS[words] or self.topic
                return self._take(".", 1 if words == text else 2)
        if text in BREAKS:
            piece = self._take(",", 1)
            piece.marked = text in _STOPS
            return piece
        if text in ON:
            return self._take("o", 1)
        if text in LINKS or (unit_of(atom) is None and set(text.split()) <= LINKS):
            return self._take(".", 1)
        return None


def unit_of(atom: Atom) -> str | None:
    """The unit that an atom is; "in" leads to a place or a colour here."""
    unit = atom.mean.get("unit")
    return unit if isinstance(unit, str) and atom.text != "in" else None


def _settled(pieces: list[Piece]) -> list[Piece] | None:
    """The pieces where bare numbers are as sure as they can be: a bare height goes on from one with a unit."""
    heights = any(piece.kind == "V" and piece.slot == "height_ft" and piece.unit for piece in pieces)
    for piece in pieces:
        if piece.kind == "V" and piece.slot == "height_ft" and not piece.unit and not heights:
            return None
    return pieces
