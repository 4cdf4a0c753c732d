"""The neighbourhood of a number or word: its unit, the noun it counts, where its clause begins."""

from typing import Any

from bot.reading.clause import Work, ends_clause
from bot.reading.list_labels import listed_labels
from bot.reading.mentions import Mention, Option, gap_between
from bot.reading.message import Known
from bot.reading.places_behind import PLACES, place_behind
from bot.reading.pointers import pointers_of
from bot.reading.search import weights
from bot.reading.words import words_of

TUBES = frozenset({"T12", "T8", "T5", "T5HO", "CFL"})

_WHERE = words_of("""in on at over by along around outside inside upstairs downstairs near above under behind en sobre east west north south atras adelante enfrente adentro afuera arriba abajo
    front back rear out up""")
HANGING = words_of("hang hangs hung hanging mount mounts mounting sit sits put go")
_HUNG = words_of("hung hanging hang mounted sitting sit colgados colgadas montados montadas")
_HELD_BY = words_of(
    "ground grade pole post roof tree stake beam truss wall ceiling eave soffit parapet bracket"
)
_NAMES = frozenset({"family", "size", "generic", "source"})
_COUNTING = words_of("and have has got with are another plus only just about")
_SIDES = words_of(
    "main north south east west front back rear upper lower first second third fourth fifth sixth 1st 2nd 3rd 4th 5th 1 2 3 4 new old side norte sur primer segundo tercer cuarto quinto"
)
PLACE_NOUNS = words_of("""annex lobby gym shop warehouse office offices kitchen dock docks hall halls hallway hallways stairs stairwell wing basement mezzanine
    courtyard store showroom barn shed patio corridor corridors cafeteria restroom restrooms library building bldg lot floor garage yard
    front back rear side upstairs downstairs bodega oficina taller tienda cocina pasillo piso nivel planta school house church""")
_ROOMS = words_of("hall shop office garage barn store house yard")
"""Of these those that a list of places names without a number of their own: "lobby 12, hall 30, offices 44"."""
_NUMBERED = words_of(
    "building bldg lot floor shop garage office yard dock hall barn store house piso nivel planta"
)

_NUMBERED_PLACES = words_of(
    "building bldg bay dock hall lot level floor wing unit zone area phase room barn shop gym section edificio nave piso nivel"
)
_DIRECTIONS = words_of(
    "north south east west norte sur este oeste oriente poniente front back rear left right upstairs downstairs"
)

_FLOORS = words_of(
    "primero segundo tercero tercer cuarto quinto first second third fourth fifth sixth 1st 2nd 3rd 4th 5th"
)

LINEAR = frozenset({"T12", "T8", "T5", "T5HO"})

_LISTED_UNITS = {"w": "watts", "ft": "height_ft", "kelvin": "cct_k"}
_LISTED_BOUNDS = {"watts": (10.0, 2000.0), "height_ft": (6.0, 120.0), "cct_k": (2700.0, 6500.0)}

LINEAR_FAMILIES = frozenset({"strip", "wrap", "vapor_tight"})


_IN_EACH = frozenset(
    [
        "to a fixture",
        "in each",
        "per fixture",
        "in each one",
        "in every one",
        "per can",
        "per troffer",
        "per strip",
        "per wrap",
        "in ea",
    ]
)
"""What follows a count of lamps, not of luminaires."""
_LAMPS = frozenset({"foco", "focos", "lampara", "lamparas"})

_HAVING = words_of("has have got gets needs takes wants tiene tienen lleva")
_WHOSE = words_of(
    "we it they i you he she that who us ive weve theyve theyre youre were hes shes its theres there which each"
)


def belongs_there(work: Work, at: int) -> bool:
    """Whether the place named before has so many: "the west wall has 7", "the infield's got 8", "the annex has another 6"."""
    lead = at - 1
    if work.text_at(lead) in ("another", "about", "only", "just", "otros", "otras"):
        lead -= 1
    if work.text_at(lead) not in _HAVING:
        return False
    owner = work.text_at(lead - 1)
    if owner == "has":
        owner = work.text_at(lead - 2)
    return owner not in _WHOSE and owner != "" and work.atoms[lead - 1].kind in ("w", "p", "x")


_SUPPLIED = frozenset({110, 115, 120, 208, 220, 230, 240, 277, 347, 480, 600})


def hung_otherwise(work: Work, at: int) -> bool:
    """Whether the words behind a number say how so many are hung, and name nothing: "4 ground mounted", "6 hung on pendants"."""
    index = at + 1
    if work.text_at(index) in _HELD_BY:
        index += 1 + (work.text_at(index + 1) == "-")
        if work.text_at(index) not in ("mounted", "mount", "mounts"):
            return False
    elif not (
        work.text_at(index) in _HUNG
        and (work.text_at(index + 1) in _WHERE or work.has(index + 1, "mount") is not None)
        and not work.is_number(index + 2)
    ):
        return False
    return all(_NAMES.isdisjoint(atom.mean) for atom in work.atoms[index + 1 : index + 4])


class Neighbours:
    """Looks around an atom of a stretch, and collects the mentions found."""

    def __init__(
        self, work: Work, cell: bool = False, conversing: bool = False, known: Known | None = None
    ) -> None:
        self.work = work
        self.conversing = conversing
        self.known = known
        self.pointers = pointers_of(work, known) if conversing else {}
        self.cell = cell
        self.w = weights()
        self.out: list[Mention] = []
        self.seen: set[str] = set()
        self.watts_said: set[float] = set()
        self.prices = {first: (slot, said) for first, slot, said in work.flags.get("line_slots", ())}
        self.last = -1
        self._listed: dict[int, str] | None = None

    @property
    def listed(self) -> dict[int, str]:
        """What bare numbers behind a label in the plural are; asked for at the first bare number."""
        if self._listed is None:
            self._listed = listed_labels(self.work)
        return self._listed

    def add(
        self, first: int, last: int, *options: Option, bare: bool = False, others: tuple[Any, ...] = ()
    ) -> None:
        """Append a mention; its options are put best first."""
        work = self.work
        gap = gap_between(work, self.last, first) if self.last >= 0 else 0
        ordered = options if len(options) == 1 else tuple(sorted(options, key=lambda option: -option.score))
        for option in options[:2]:
            self.seen.update([slot for slot, _ in option.slots])
        for slot, value in options[0].slots if options else ():
            if slot == "watts":
                self.watts_said.add(value)
        self.out.append(
            Mention(first, last, work.atoms[first].start, work.atoms[last].end, ordered, gap, bare, others)
        )
        self.last = max(self.last, last)
        work.use(first, last)

    def fix(self, first: int, last: int, rule: str, **slots: Any) -> None:
        """Append a mention that can be taken one way only."""
        self.add(first, last, Option(tuple(slots.items()), 0.0, rule))

    def unit_after(self, at: int) -> tuple[str | None, int]:
        """The unit bound to the number at ``at`` and the index of its atom: "250w", "400-watt", "4 - lamp"."""
        work = self.work
        step = at + 1
        if work.text_at(step) == "-" and step < len(work.atoms) and work.atoms[step].glued:
            step += 1
        unit = work.unit(step)
        text = work.text_at(step)
        if text == "'" and work.text_at(step + 1) == "s" and work.atoms[step + 1].glued:
            return None, step
        if text == "what" and not work.used[step]:
            return "w", step
        if (
            text == "in"
            and not work.atoms[step].glued
            and work.text_at(step + 1)
            not in ("can", "cans", "downlights", "tall", "high", "wide", "long", "dia", "round")
        ):
            unit = None
        if text in ("c", "ct", "cts") and unit == "cents":
            unit = None
        return unit, step

    def unit_of_list(self, at: int) -> str | None:
        """The slot whose unit stands behind the last of a list of bare numbers: "15 and 20 ft", "70, 150 and 400 W"."""
        work = self.work
        index = at
        while work.text_at(index + 1) == "," and work.is_number(index + 2) and index < at + 12:
            index += 2
        if work.text_at(index + 1) not in ("and", "&", "y", "/", "n") or not work.is_number(index + 2):
            return None
        unit, _ = self.unit_after(index + 2)
        slot = _LISTED_UNITS.get(unit or "")
        low, high = _LISTED_BOUNDS.get(slot or "", (0.0, 0.0))
        return slot if low <= work.atoms[at].value <= high else None

    def noun_after(self, at: int, steps: int = 4) -> str:
        """What stands next behind a number: "noun", "lamp", "number", "led", "tube", "code", or ""."""
        work = self.work
        index = at + 1
        taken = 0
        while index < len(work.atoms) and taken < steps:
            atom = work.atoms[index]
            if ends_clause(atom) and atom.text != ".":
                return ""
            if atom.kind == "s":
                if atom.text not in ('"', "'", "-", "(", ")", "x"):
                    return ""
                index += 1
                continue
            mean = atom.mean
            if atom.kind == "c":
                return "tube" if mean.get("source") in TUBES else "lamp"
            if "size" in mean or "family" in mean:
                return "noun"
            if "source" in mean:
                return "tube" if mean["source"] in TUBES else "lamp"
            if "led" in mean:
                return "led"
            if "generic" in mean and mean["generic"] == "light":
                return "noun"
            if "family_weak" in mean or (self.conversing and taken == 0 and "pointer" in mean):
                return "noun"
            if mean.get("scope") == "except" or (self.conversing and mean.get("scope") in ("others", "all")):
                return ""
            if atom.kind == "n":
                return "number"
            if "generic" in mean:
                index += 1
                continue
            if mean.get("unit") or "join" in mean:
                return ""
            if "at" in self.work.cue(index) or "range" in self.work.cue(index):
                return ""
            index += 1
            taken += 1
        return ""

    def ends_list_item(self, at: int) -> bool:
        """Whether a number that could be volts is the count of a list's item: "250W HPS 120, 150W HPS 85"."""
        work = self.work
        if not 100 <= work.atoms[at].value <= 600 or not self._behind_lamp(at):
            return False
        return any(
            self._behind_lamp(n) and work.atoms[n].value not in (120, 208, 240, 277, 347, 480)
            for n in range(max(0, at - 14), min(len(work.atoms), at + 15))
            if n != at and work.atoms[n].kind == "n" and work.unit(n + 1) is None
        )

    def _behind_lamp(self, at: int) -> bool:
        work = self.work
        ends = at + 1 >= len(work.atoms) or work.text_at(at + 1) in (",", ";", "\n", ".", "|")
        return ends and work.has(at - 1, "source") is not None and work.unit(at - 2) in ("w", None)

    def watts_said_before(self, at: int) -> bool:
        """Whether the same line of the text has a number with its watts unit a few words before."""
        work = self.work
        for index in range(at - 1, max(-1, at - 12), -1):
            if work.atoms[index].kind == "b":
                return False
            if work.unit(index) == "w" and work.atoms[index - 1].kind == "n":
                return True
        return False

    def of_another_place(self, at: int, noun: str) -> bool:
        """Whether a bare number counts luminaires named before, in another place: "8 in back", "annex 10", "4 more by the barn"."""
        work = self.work
        if (
            noun not in ("", "number")
            and not (
                (work.text_at(at + 1) in _WHERE or work.text_at(at + 1) == "for")
                and work.text_at(at + 2) in ("the", "our", "my", "each", "el", "la")
            )
            and not (work.text_at(at + 1) in _HELD_BY and hung_otherwise(work, at))
        ):
            return False
        if work.atoms[at].value in (120, 208, 240, 277, 347, 480) and "voltage" in self.seen:
            return False
        if self.conversing or not (not self.seen.isdisjoint(("family", "size")) or self._of_all(at)):
            return False
        if work.unit(at + 1) not in (None, "storey") and work.text_at(at + 1) not in _WHERE:
            return False
        after, before = work.text_at(at + 1), work.text_at(at - 1)
        if after == "up" and (at + 2 >= len(work.atoms) or work.atoms[at + 2].kind in ("s", "b")):
            return False  # "they're 60 ft apart and 15 up"
        behind = after.split(" ", 1)[0] in _WHERE and (
            not work.is_number(at + 2) or (after in ("at", "@", "on") and work.unit(at + 3) in ("ft", "m"))
        )
        if (
            before in ("and", ",", "&")
            and after in ("are", "is", "r")
            and work.text_at(at + 2) in _WHERE
            and not work.is_number(at + 3)
        ):
            return True  # "3 are at the back door and 4 are on the side"
        ends = (
            at + 1 >= len(work.atoms)
            or ends_clause(work.atoms[at + 1])
            or after in (",", "and", "&", "same", "of those", ")")
            or (after == "-" and not work.atoms[at + 1].glued)
        )
        if before == "another" and (ends or after.startswith("of ") or after in ("more", "identical")):
            return True  # "hallway another 18 of the same"
        if self.clause_start(at) and "ones" in (
            after,
            work.text_at(at + 2) if work.atoms[at + 1 : at + 2] and work.atoms[at + 1].kind == "w" else "",
        ):
            return True  # "10 high bays and 8 small ones"
        if behind and (self.clause_start(at) or before in _COUNTING or before in PLACE_NOUNS):
            return True
        if after in ("of em", "of them", "of those") and before in PLACE_NOUNS | {"room"}:
            return True  # "the weight room 6 of em"
        if after == "for" and work.text_at(at + 2) in ("the", "our", "my") and self._for_a_place(at):
            return True  # "10 wall packs for the front and 6 for the loading dock"
        if belongs_there(work, at) and not self.lamps_ahead(at):
            return True  # "the west wall has 7", "the arterials have 40 at 250"
        if after in ("without", "w/o", "sin") and self.clause_start(at) and self._closes(at + 1):
            return True  # "12 exit signs with battery, 8 without"
        if self.clause_start(at) and place_behind(work, at):
            return True  # "10 front, 4 dock"
        if (
            ends
            and before in (":", "-", "=")
            and at >= 2
            and (
                work.text_at(at - 2) in PLACE_NOUNS
                or work.atoms[at - 2].kind == "x"
                or len(work.text_at(at - 2)) == 1
            )
        ):
            return True  # "level 2: 38"
        if len(before) == 1 and before.isalpha() and work.text_at(at - 2) in PLACE_NOUNS:
            return True  # "lot A 12, lot B 18"
        if (
            before in _FLOORS
            and ends
            and work.text_at(at - 2) in ("el", "the", "al", ",", "and", "y", ";", "&")
            and any(
                work.text_at(n).startswith(("piso", "nivel", "floor", "level", "planta"))
                for n in range(max(0, at - 14), at)
            )
        ):
            return True  # "30 on the first floor, on the second 24"
        if self.clause_start(at) and hung_otherwise(work, at):
            return True  # "10 floods 30 ft up and 4 ground mounted"
        if self._numbered_place(at - 1):
            return True  # "building one 8 wall packs, building two 8"
        if (rest := self._rest_in_brackets(at)) is not None:
            work.use(rest, rest)
            return True  # "two of them on the roof, others (3) on the second storey"
        if before in _DIRECTIONS and (ends or after in _DIRECTIONS or after in PLACE_NOUNS):
            return True  # "north 4, south 6"
        placed = before in PLACE_NOUNS and (
            before not in _NUMBERED
            or work.atoms[at - 2].text in _SIDES
            or "ordinal" in work.atoms[at - 2].mean
            or (
                before in _ROOMS
                and work.text_at(at - 2) in (",", ":")
                and work.text_at(at + 1) in (",", ".", "", ";")
            )
        )
        return placed and (ends or work.atoms[at + 1].kind in ("n", "w", "p")) and not behind

    def _for_a_place(self, at: int) -> bool:
        """Whether "for the" and a place in a word or two follow a number; any place where what is counted before it is for one as well."""
        work = self.work
        for index in (at + 3, at + 4):
            if work.text_at(index) in PLACES:
                return True
            if index >= len(work.atoms) or work.atoms[index].kind != "w":
                break
        if not self.clause_start(at):
            return False
        last = at + 3
        while last < min(at + 5, len(work.atoms)) and (
            work.atoms[last].kind == "w"
            or work.has(last, "family") == "sign"
            or "building" in work.atoms[last].mean
        ):
            last += 1
        return (
            last > at + 3
            and (
                last == len(work.atoms)
                or ends_clause(work.atoms[last])
                or work.text_at(last) in (",", "and", "y")
            )
            and any(
                work.text_at(n) == "for" and work.text_at(n + 1) in ("the", "our", "my")
                for n in range(max(0, at - 7), at - 2)
            )
        )

    def _closes(self, at: int) -> bool:
        """Whether an atom ends its clause."""
        return at + 1 >= len(self.work.atoms) or self.work.atoms[at + 1].kind in ("s", "b")

    def _numbered_place(self, at: int) -> bool:
        """Whether a number word names a place in front of what counts there: "building two 8", "bay one has 16"."""
        work = self.work
        return (
            at > 0
            and work.atoms[at].kind == "n"
            and work.text_at(at).isalpha()
            and work.atoms[at].value <= 10
            and work.text_at(at - 1) in _NUMBERED_PLACES
            and not work.is_number(at - 2)
            and (
                work.is_number(at + 1)
                or work.text_at(at + 1) in ("has", "have", "gets", "needs", "got", "is", ":", "=", "-")
            )
        )

    def _rest_in_brackets(self, at: int) -> int | None:
        """The atom of "others" before a bracketed count, or before one with its place behind it."""
        work = self.work
        bracket = work.text_at(at - 1) == "(" and work.text_at(at + 1) == ")"
        lead = at - 2 if bracket else at - 1
        if work.has(lead, "scope") != "others":
            return None
        return lead if bracket or work.text_at(at + 1) in _WHERE else None

    def _of_all(self, at: int) -> bool:
        """Whether the luminaires counted are named behind the counts: "lot A 12, lot B 18, all shoeboxes"."""
        work = self.work
        for index in range(at + 1, min(at + 30, len(work.atoms))):
            if work.atoms[index].kind == "b" or (
                work.text_at(index) in (".", ";") and work.text_at(index + 1) not in ("all", "both", "total")
            ):
                return False
            if "family" in work.atoms[index].mean:
                return any(
                    work.text_at(n) in ("all", "total") or work.has(n, "scope") == "all"
                    for n in range(max(at + 1, index - 4), index)
                ) or (work.text_at(index - 1) == "," and work.atoms[index].text.endswith("s"))
        return False

    def clause_start(self, at: int) -> bool:
        """Whether nothing of weight stands before the number in its clause."""
        work = self.work
        index = at - 1
        while index >= 0:
            atom = work.atoms[index]
            if atom.kind in ("b",) or (atom.kind == "s" and atom.text in ".,;:!?*|-(["):
                return True
            if atom.text == "/" and not atom.glued and not work.atoms[index + 1].glued:
                return True
            if "join" in atom.mean or atom.mean.get("bullet"):
                return True
            if atom.kind == "s":
                index -= 1
                continue
            return False
        return True

    def before(self, at: int) -> int:
        """The index of the nearest word before ``at`` that is no mark."""
        index = at - 1
        while index >= 0 and self.work.atoms[index].kind == "s" and self.work.text_at(index) in "~(":
            index -= 1
        return index

    def label(self, at: int) -> str | None:
        """What a label before the number says it is: "Volts: 480", "height - 20"."""
        work = self.work
        if at in self.listed:
            return self.listed[at]
        if work.text_at(at - 1) in (
            "voltage",
            "voltaje",
            "tension",
            "volts",
            "voltage of",
        ) and work.is_number(at):
            if work.has(at - 2, "scope") == "same" and work.atoms[at].value not in _SUPPLIED:
                return None  # "4 floods same voltage 400 mh"
            return "v" if 100 <= work.atoms[at].value <= 600 and not work.is_number(at - 2) else None
        if (
            work.text_at(at - 1) in ("r", "are", "is", "at")
            and work.text_at(at - 2) in ("poles", "pole", "sticks", "stick", "ceiling", "ceilings", "deck")
            and 8 <= work.atoms[at].value <= 60
            and self.noun_after(at) in ("", "number")
            and work.unit(at + 1) is None
        ):
            return "up"  # "poles r 25"
        if (
            work.text_at(at - 1) in ("at", "@")
            and (
                work.text_at(at - 2) in HANGING
                or (
                    work.text_at(at - 2) in ("em", "them", "these", "those")
                    and work.text_at(at - 3) in HANGING
                )
            )
            and 8 <= work.atoms[at].value <= 60
            and self.noun_after(at) == ""
            and work.unit(at + 1) is None
        ):
            return "up"  # "they hang at 20"
        if work.text_at(at - 1) not in (":", "="):
            return None
        unit = work.unit(at - 2)
        if unit == "v" and (
            work.atoms[at].value not in (110, 115, 120, 208, 220, 230, 240, 277, 347, 480, 600)
            or work.is_number(at - 3)
        ):
            return None  # "all 277v: 30 troffers"
        if at > 2 and work.atoms[at - 3].kind == "n":
            return None  # "high bays 400w: 20"
        if unit in ("v", "w", "lamps"):
            return unit
        if (
            "up" in work.cue(at - 2)
            and work.text_at(at - 2) not in ("poles", "pole", "ceiling poles")
            and work.unit(at - 3) not in ("ft", "m")  # "16 ft high: 12"
        ):
            return "up"
        return None

    def source_near(self, at: int) -> str | None:
        """A source in the same clause, a word or two away from the number and no other number between."""
        work = self.work
        for index in range(at + 1, min(at + 3, len(work.atoms))):
            atom = work.atoms[index]
            if atom.kind in ("n", "b") or (atom.kind == "s" and atom.text in ".;,:"):
                break
            if atom.mean.get("source"):
                return str(atom.mean["source"])
        for index in range(at - 1, max(at - 3, -1), -1):
            atom = work.atoms[index]
            if atom.kind in ("n", "b") or (atom.kind == "s" and atom.text in ".;:"):
                break
            if atom.text in ("/", "|", "+") and not atom.glued:
                break
            if atom.mean.get("source"):
                source = str(atom.mean["source"])
                # "T8 troffers 30": behind the luminaire a number rather counts than measures a tube
                return (
                    None
                    if index < at - 1 and source in LINEAR and "family" in work.atoms[at - 1].mean
                    else source
                )
        return None

    def linear_near(self, last: int) -> bool:
        """Whether the words around a length speak of tubes."""
        work = self.work
        ended = False
        for index in (
            *range(last, max(-1, last - 8), -1),
            -1,
            *range(last + 1, min(len(work.atoms), last + 7)),
        ):
            if index < 0:
                ended = False
                continue
            ended = ended or work.atoms[index].kind == "b"
            if ended:
                continue
            mean = work.atoms[index].mean
            if mean.get("source") in LINEAR or mean.get("family") in LINEAR_FAMILIES:
                return True
            if (
                mean.get("family_weak") == "strip"
                or mean.get("generic") == "fluorescent"
                or (mean.get("flag") == "keep_housing" and "tube" in work.atoms[index].text)
                or mean.get("unit") == "lamps"
            ):
                return True
        return False

    def drawn(self, at: int, step: int, unit: str | None) -> bool:
        """Whether the words around a number say that it is what the luminaire draws from the line."""
        work = self.work
        prev = self.before(at)
        if work.text_at(at - 1) == "(" and work.has(at + 1 if unit is None else step + 1, "source"):
            return False  # "208 input watts (175 MH)"
        if (
            unit is None
            and work.text_at(at - 1).endswith("measured")
            and any(work.unit(n) == "ft" for n in range(max(0, at - 9), at))
        ):
            return False  # "those aren't 25 ft poles, I measured 20"
        if unit is None and work.text_at(at - 1) == "pull" and work.is_number(at + 1):
            return False  # "pull 16 250w cobras": they come down
        if "draws" in work.cue(prev) or ("at" in work.cue(prev) and "draws" in work.cue(prev - 1)):
            return True
        index = step + 1 if unit is not None else at + 1
        for look in (index, index + 1):
            if "draws" in work.cue(look):
                ends = look + 1 >= len(work.atoms) or work.atoms[look + 1].kind in ("s", "b")
                return (
                    work.text_at(look) not in ("system", "input", "measured", "metered")
                    or unit is not None
                    or self._above_lamp(at, look)
                    or (ends and work.atoms[at].value >= 20)
                )
            if self.work.text_at(look) not in ("each", "ea", "apiece", "watts", "w", "total"):
                break
        return False

    def _above_lamp(self, at: int, look: int) -> bool:
        """Whether a number with "input" or "system" behind it stands by itself and is a little more than the lamp's watts before it."""
        work = self.work
        closed = look + 1 >= len(work.atoms) or work.atoms[look + 1].kind in ("s", "b")
        return closed and any(
            work.atoms[n].kind == "n" and 1.0 < work.atoms[at].value / max(work.atoms[n].value, 1.0) <= 1.6
            for n in range(max(0, at - 8), at)
        )

    def tube_follows(self, at: int) -> bool:
        """Whether a tube or compact lamp stands at ``at``, its watts before it at most."""
        work = self.work
        for index in range(at, min(at + 4, len(work.atoms))):
            atom = work.atoms[index]
            if atom.mean.get("source") in TUBES:
                return True
            if atom.mean.get("unit") == "lamps" and index > at:
                return True
            if not (atom.kind == "n" or atom.mean.get("unit") in ("w", "ft")):
                return False
        return False

    def lamps_ahead(self, at: int) -> bool:
        """Whether lamps follow the number within their own noun phrase: "2 u lamps", "2 13 watt PLs", "two 26w bulbs"."""
        work = self.work
        for index in range(at + 1, min(at + 6, len(work.atoms))):
            atom = work.atoms[index]
            if work.unit(index) == "lamps" and index > at + 1:
                return not (
                    work.atoms[index - 1].kind == "n"
                    or (work.text_at(index - 1) == "-" and work.atoms[index - 2].kind == "n")
                )
            if atom.text == "pls" and work.unit(index - 1) == "w":
                return True
            if (
                index == at + 1
                and atom.mean.get("source") in TUBES
                and work.text_at(index + 1) in ("lamps", "tubes", "bulbs", "tubos", "focos")
                and not self.seen.isdisjoint(("family", "size"))
                and "lamps" not in self.seen
            ):
                return True  # "20 troffers, 4 T8 lamps"
            if atom.kind == "c" or atom.mean.get("source") in TUBES:
                return (
                    atom.mean.get("source") in TUBES
                    and index > at + 1
                    and not any("family" in work.atoms[n].mean for n in range(at, index))
                )
            if (
                "family" in atom.mean
                or "size" in atom.mean
                or (atom.kind in ("s", "b") and atom.text not in ("-", "'", '"'))
            ):
                return False
            if atom.kind == "n":
                behind = index + 2 if work.text_at(index + 1) == "-" else index + 1
                if work.unit(behind) not in ("w", "ft") or index > at + 1:
                    return False
            if atom.kind == "x" and len(atom.text) > 3:
                return False
        return False

    def _tubes_before(self, at: int) -> bool:
        """Whether tubes or lamps are spoken of in the few words before a number."""
        work = self.work
        return any(
            work.has(n, "source") in TUBES
            or work.unit(n) == "lamps"
            or work.text_at(n) in ("tubos", "focos", "tubo")
            for n in range(max(0, at - 8), at)
        )

    def _counted_next(self, at: int) -> bool:
        """Whether luminaires are counted in the words behind: "..., 118 cans", "..., 18 total"."""
        work = self.work
        for index in range(at + 1, min(at + 6, len(work.atoms) - 1)):
            if work.atoms[index].kind == "n":
                return (
                    "family" in work.atoms[index + 1].mean
                    or "generic" in work.atoms[index + 1].mean
                    or work.text_at(index + 1) in ("total", "of them", "of em", "of those", "in all")
                )
        return False

    def lamps_each(self, at: int) -> int | None:
        """As in "4 to a fixture", "2 F96T12 each", "2 focos PL de 26w": the last atom of the count itself where lamps are counted."""
        work = self.work
        nxt = at + 1
        cues = work.cue(nxt)
        if "per_head" in cues and (
            work.text_at(nxt) in _IN_EACH
            or (work.text_at(nxt).startswith(("por ", "cada ", "x ")) and self._tubes_before(at))
        ):
            return nxt
        if (
            work.text_at(nxt) in ("por", "per")
            and work.has(nxt + 1, "family") is not None
            and not work.text_at(nxt + 1).endswith("s")
            and self._tubes_before(at)
        ):
            return nxt  # "tubos T12, dos por canaleta"
        if (
            work.text_at(nxt) in _LAMPS
            and work.text_at(at - 1) in ("de", "con")
            and any(work.has(n, "source") in TUBES for n in (at - 2, at - 3))
        ):
            return nxt  # "campanas T5HO de 4 lamparas"
        if work.has(nxt, "generic") == "light" and work.text_at(nxt) in _LAMPS:
            for index in range(nxt + 1, min(nxt + 6, len(work.atoms))):
                if work.atoms[index].mean.get("source") in TUBES | {"INC"} and not work.has(
                    nxt - 1, "family"
                ):
                    return (
                        nxt
                        if any(
                            "family" in work.atoms[n].mean or "size" in work.atoms[n].mean for n in range(at)
                        )
                        else None
                    )
                if work.atoms[index].kind in ("s", "b"):
                    break
            if "per_head" in work.cue(nxt + 1) or any(
                "per_head" in work.cue(n)
                for n in range(nxt, min(nxt + 6, len(work.atoms)))
                if work.atoms[n].kind != "b"
            ):
                return nxt if any("family" in work.atoms[n].mean for n in range(at)) else None
        if (
            (work.unit(nxt) == "each" or work.text_at(nxt) in ("per", "apiece"))
            and work.text_at(nxt) in ("each", "ea", "apiece", "per")
            and (nxt + 1 >= len(work.atoms) or work.atoms[nxt + 1].kind in ("s", "b", "n"))
            and (
                work.text_at(at - 1) in (",", "(", "-")
                or work.has(at - 1, "source") in TUBES
                or work.text_at(at - 1).endswith(("tubes", "lamps", "tubos", "focos"))
            )
            and "lamps" not in self.seen
            and any(
                work.has(n, "source") in TUBES
                or work.text_at(n).endswith(("tubes", "lamps", "bulbs", "tubos", "focos"))
                for n in range(at - 1, at - 6, -1)
            )
            and ("qty" in self.seen or self._counted_next(nxt))
        ):
            return nxt  # "60 strips with 48 inch T8 tubes, two each"
        if (work.atoms[nxt].mean.get("source") if nxt < len(work.atoms) else None) in TUBES:
            said = nxt + 2 if work.unit(nxt + 1) == "lamps" else nxt + 1
            if "per_head" in work.cue(said) or (
                work.unit(said) == "each" and work.text_at(said) in ("each", "ea")
            ):
                return at
        return None
