"""Where the job is: a US city, a state, a ZIP code."""

from functools import lru_cache

from rapidfuzz.distance import OSA

from bot.reading.clause import Work
from bot.reading.message import Said
from bot.reading.organisations import ORGANISATIONS
from bot.reading.text import fold
from bot.reading.words import FOLDER, lexicon, words_of

STATES = {
    "alabama": "AL", "alaska": "AK", "arizona": "AZ", "arkansas": "AR", "california": "CA", "colorado": "CO",
    "connecticut": "CT", "delaware": "DE", "florida": "FL", "georgia": "GA", "hawaii": "HI", "idaho": "ID",
    "illinois": "IL", "indiana": "IN", "iowa": "IA", "kansas": "KS", "kentucky": "KY", "louisiana": "LA",
    "maine": "ME", "maryland": "MD", "massachusetts": "MA", "michigan": "MI", "minnesota": "MN",
    "mississippi": "MS", "missouri": "MO", "montana": "MT", "nebraska": "NE", "nevada": "NV", "ohio": "OH",
    "oklahoma": "OK", "oregon": "OR", "pennsylvania": "PA", "tennessee": "TN", "texas": "TX", "utah": "UT",
    "vermont": "VT", "virginia": "VA", "washington": "WA", "wisconsin": "WI", "wyoming": "WY",
    "new hampshire": "NH", "new jersey": "NJ", "new mexico": "NM", "new york": "NY", "north carolina": "NC",
    "north dakota": "ND", "south carolina": "SC", "south dakota": "SD", "west virginia": "WV",
    "rhode island": "RI", "puerto rico": "PR",
}  # fmt: skip
_CODES = frozenset(STATES.values()) | {"DC"}
_STATE_WORDS = frozenset(STATES) | frozenset([name.split(" ")[0] for name in STATES])
"""What a state's name begins with."""
_WORDS = frozenset(
    {
        "IN",
        "OR",
        "ME",
        "OK",
        "HI",
        "OH",
        "LA",
        "DE",
        "ID",
        "PA",
        "MA",
        "AL",
        "CO",
        "MT",
        "NE",
        "PR",
        "MS",
        "AR",
        "AS",
        "MO",
    }
)
"""State codes that are words, units or abbreviations of something else when written small."""
_BEFORE = frozenset(
    {
        "in",
        "near",
        "from",
        "at",
        "en",
        "de",
        "outside",
        "around",
        "were",
        "downtown",
        "serving",
        "to",
        "por",
        "cerca",
        "over",
    }
)
_NO_CITY = frozenset({"el centro", "largo", "centro", "la mesa", "reforma", "salida", "media", "novena", "cancha", "campo", "the", "our", "my", "a", "an", "this", "that", "your", "back", "front", "place", "general", "total", "price", "la",
                      "el", "los", "las", "mount", "mobile", "normal", "bay", "commerce", "industry", "enterprise", "energy", "power",
                      "light", "oil", "trial", "defiance", "friendship", "early", "winter", "summer", "hurricane", "surprise", "best",
                      "union", "center", "gas", "diesel", "led", "bronze", "star", "story", "tower", "tell", "opening", "king", "ring"})  # fmt: skip

_TOWNS = words_of("""columbus toledo trenton fargo ogden salem salina salinas tempe mesa medina davis redding chandler gary ames
    cary bronx collins alto palo coral burton york stuart addison alton tracy vail leeds pierce ponce douglas charles""")
"""Words that stand in the list of plain words (so that no slip is seen in them) and are a town before all else."""
_REGIONS = words_of("""ontario quebec alberta manitoba saskatchewan canada mexico mex sonora sinaloa chihuahua coahuila tamaulipas jalisco
    nayarit michoacan guanajuato queretaro puebla veracruz oaxaca chiapas yucatan morelos tlaxcala edomex bc on ab""")
"""Provinces, states and countries behind a city abroad."""
_SHORT_STATES = {
    "wash": "WA", "penn": "PA", "penna": "PA", "calif": "CA", "cali": "CA", "tex": "TX", "mass": "MA", "ill": "IL", "mich": "MI",
    "minn": "MN", "wis": "WI", "wisc": "WI", "ariz": "AZ", "colo": "CO", "conn": "CT", "fla": "FL", "tenn": "TN", "okla": "OK",
    "ore": "OR", "kans": "KS", "nebr": "NE", "neb": "NE", "nev": "NV", "ala": "AL", "ark": "AR", "wyo": "WY", "mont": "MT",
    "virg": "VA", "del": "DE", "miss": "MS",
}  # fmt: skip
"""Old abbreviations of the states; believed only behind a city of that state."""
_NAMED = words_of("is im name ask call hi hello hey dear thanks cheers yo soy mr ms mrs miss senor senora")
"""What leads to somebody's name: "this is Dana", "ask for Paris"."""
_CLOSING = words_of(
    "thanks thx thnx tks tnx ty cheers regards best sincerely respectfully gracias saludos atentamente per"
)
"""Words before the name of who signs, a mark between perhaps: "Thanks, Dale", "thx - Troy"."""


@lru_cache(maxsize=1)
def _listed() -> str:
    return (FOLDER / "places.txt").read_text(encoding="utf-8")


@lru_cache(maxsize=32)
def cities(letter: str) -> dict[str, str]:
    """Folded names of the cities that begin with a letter -> ``"OH,IA|37"``: their states, most ZIP codes first, and how many ZIP codes.

    The list is in order of the names, so a letter is a stretch of it; a message names few.
    """
    if not "a" <= letter <= "z":
        return {}
    text = _listed()
    start = 0 if text.startswith(letter) else text.find("\n" + letter) + 1
    stop = text.find("\n", text.rfind("\n" + letter) + 1)
    out = {}
    for line in text[start:stop].split("\n") if text.startswith(letter, start) else ():
        name, _, rest = line.partition("|")
        out[name] = rest
    return out


@lru_cache(maxsize=1)
def abroad() -> dict[str, str]:
    """Folded names of cities that have no US ZIP code, or are spelt with accents -> the name as it is written."""
    lines = (FOLDER / "places_abroad.txt").read_text(encoding="utf-8").split("\n")
    return {fold(name): name for line in lines if line and line[0] != "#" for name in line.split(", ")}


_ABROAD = "|8"
"""The entry of a city abroad: no state, and large enough to be known by its name alone."""


@lru_cache(maxsize=32)
def _first_words(letter: str) -> frozenset[str]:
    """The words with a letter in front that some city's name begins with."""
    words = [name.partition(" ")[0].partition("-")[0] for name in cities(letter)]
    words.extend(name.partition(" ")[0] for name in abroad() if name.startswith(letter))
    return frozenset([*words, "st", "ft"])


_GREAT = 20
"""ZIP codes from which common words are a city's name behind "in"."""
_WELL_KNOWN = 8
"""ZIP codes from which a city's name is believed without a state."""


def _known(name: str) -> str | None:
    if not name:
        return None
    rest = cities(name[0]).get(name)
    if rest is None and name.startswith("st "):
        rest = cities("s").get("saint " + name[3:])
    if rest is None and name.startswith("ft "):
        rest = cities("f").get("fort " + name[3:])
    if (rest is None or size(rest) < _WELL_KNOWN) and name in abroad():
        return _ABROAD if rest is None else f"{rest.partition('|')[0]}{_ABROAD}"
    return rest


def is_city(name: str) -> bool:
    """Whether a folded name is that of a city that is known without its state."""
    rest = _known(name)
    return rest is not None and size(rest) >= _WELL_KNOWN


def size(rest: str) -> int:
    """How many ZIP codes a city has, from its entry."""
    return int(rest.rpartition("|")[2])


def title(name: str) -> str:
    """The name as it is written: ``st louis`` is ``St. Louis``."""
    if name in abroad():
        return abroad()[name]
    words = name.split()
    if words and words[0] in ("st", "saint"):
        return "St. " + " ".join(word.capitalize() for word in words[1:])
    if words and words[0] == "ft":
        words[0] = "fort"
    return " ".join("-".join(part.capitalize() for part in word.split("-")) for word in words)


_WHO = words_of(
    "customer customer's customers site job jobsite located location address project client we we're were store shop"
)
"""Who or what is at a ZIP code: "customer's at 44109"."""


class PlaceReader:
    """Finds the place of a stretch."""

    def __init__(self, work: Work, asked: bool) -> None:
        self.work = work
        self.asked = asked
        self.caps = work.text.isupper() or not any(char.islower() for char in work.text)

    def original(self, at: int) -> str:
        """The atom's text as sent."""
        atom = self.work.atoms[at]
        return self.work.text[atom.start : atom.end]

    def name(self, first: int, last: int) -> str:
        """The folded words ``first`` to ``last``."""
        return (
            self.work.folded[self.work.atoms[first].start : self.work.atoms[last].end]
            .replace("-", " ")
            .replace(".", "")
        )

    def wordlike(self, at: int) -> bool:
        """Whether the atom could be a word of a city's name."""
        if not 0 <= at < len(self.work.atoms) or self.work.used[at]:
            return False
        atom = self.work.atoms[at]
        return atom.kind in ("w", "p") and atom.text[:1].isalpha()

    def state(self, at: int) -> tuple[str, int] | None:
        """A state named at ``at``: its code and the index of its last atom."""
        if not self.wordlike(at):
            return None
        atom = self.work.atoms[at]
        word = self.work.folded[atom.start : atom.end]
        if word in _SHORT_STATES:
            behind = at - 2 if self.work.text_at(at - 1) == "," else at - 1
            short = _SHORT_STATES[word]
            return (short, at) if behind >= 0 and self.city_ending(behind, short) is not None else None
        if len(word) != 2 and word not in _STATE_WORDS:
            return None
        raw = self.original(at)
        if word in STATES:
            return STATES[word], at
        if self.wordlike(at + 1):
            both = self.name(at, at + 1)
            if both in STATES:
                return STATES[both], at + 1
        code = word.upper()
        if code in _CODES:
            comma = self.work.text_at(at - 1) == ","
            if raw.isupper() and (not self.caps or comma or code not in _WORDS):
                return code, at
            if comma or code not in _WORDS or at == len(self.work.atoms) - 1:
                return code, at
            if code in ("OH", "PA", "AL", "MO", "OK", "AR", "MS") and self.wordlike(at - 1):
                return code, at
        return None

    def city_ending(self, last: int, state: str) -> int | None:
        """The first atom of the city of that state that ends at ``last``."""
        for length in (3, 2, 1):
            first = last - length + 1
            if first < 0 or not all(self.wordlike(index) for index in range(first, last + 1)):
                continue
            rest = _known(self.name(first, last))
            if rest and state in rest.partition("|")[0].split(","):
                return first
        return None

    def misspelt(self, last: int, state: str) -> str | None:
        """A city of that state that the word at ``last`` is one slip away from."""
        word = self.name(last, last)
        if len(word) < 5 or word in lexicon().plain:
            return None
        best: str | None = None
        named = cities(word[0])
        for name, rest in named.items():
            if (
                (abs(len(name) - len(word)) <= 1 and state in rest.partition("|")[0].split(","))
                and OSA.distance(name, word, score_cutoff=1) <= 1
                and (best is None or (-size(rest), name) < (-size(named[best]), best))
            ):
                best = name
        return best

    def unlisted(self, last: int, at: int) -> int | None:
        """The first atom of a city that no list holds, written as a name between "in" and its state: "in Kettering OH"."""
        if self.caps or not (len(self.original(at)) > 2 or self.original(at).isupper()):
            return None
        if self.work.text_at(last) in lexicon().plain and self.original(at).upper() in _WORDS:
            return None  # "in stock OK", "in the vestibule OR outside"
        first = last + 1
        while first > last - 2 and self.wordlike(first - 1):
            if self.work.atoms[first - 1].kind != "w" and not self.work.atoms[first - 1].fuzzy:
                break
            if not self.original(first - 1)[:1].isupper() or len(self.work.text_at(first - 1)) < 4:
                break
            first -= 1
        named = first <= last and self.work.text_at(first - 1) in ("in", "near", "from", "to", "en", "de")
        return first if named else None

    def run(self) -> None:
        """Find the place and record it."""
        work = self.work
        place: dict[str, str] = {}
        spans: list[tuple[int, int]] = []
        if not self.worth_looking():
            self.zip_code(place, spans)
        else:
            self.named(place, spans)
            if "city" in place:
                self.said_anew(place, spans)
            self.zip_code(place, spans)
        if place:
            first = min(span[0] for span in spans)
            last = max(span[1] for span in spans)
            value = {key: place[key] for key in ("city", "state", "zip") if key in place}
            work.job["place"] = Said(value, work.atoms[first].start, work.atoms[last].end, rule="place")

    def worth_looking(self) -> bool:
        """Whether any word may be a place: the list of cities is not touched for a message without one."""
        if self.asked:
            return True
        work = self.work
        for at, atom in enumerate(work.atoms):
            if atom.kind not in ("w", "p") or work.used[at]:
                continue
            raw = work.text[atom.start : atom.start + 1]
            if atom.kind == "w" and (
                atom.text in STATES or atom.text in ("new", "north", "south", "west", "rhode", "puerto")
            ):
                return True
            if (
                atom.kind == "w"
                and len(atom.text) >= 4
                and (atom.text not in lexicon().plain or atom.text in _TOWNS)
            ):
                return True
            if raw.isupper() and not self.caps and at:
                return True
            if at and work.text_at(at - 1) in _BEFORE:
                return True
        return False

    def named(self, place: dict[str, str], spans: list[tuple[int, int]]) -> None:
        """A city with its state, else a city by itself."""
        work = self.work
        for at in range(1, len(work.atoms)):
            state = self.state(at)
            if state is None:
                continue
            last = at - 1
            if work.atoms[last].kind == "b":
                if not self.ends_line(state[1]):
                    continue
                last -= 1  # the state on a line of its own
            if work.text_at(last) in (",", "."):
                last -= 1
            if last < 0:
                continue
            first = self.city_ending(last, state[0])
            if first is not None and self.denied(first):
                continue
            if first is not None:
                place.update(city=title(self.name(first, last)), state=state[0])
                spans.append((first, state[1]))
                work.use(first, state[1])
                return
            full = len(self.original(at)) > 2
            if (
                (full or self.original(at).isupper() or at == len(work.atoms) - 1)
                and self.wordlike(last)
                and (near := self.misspelt(last, state[0]))
            ):
                place.update(city=title(near), state=state[0])
                spans.append((last, state[1]))
                work.use(last, state[1])
                return
            if (first := self.unlisted(last, at)) is not None:
                place.update(city=title(self.name(first, last)), state=state[0])
                spans.append((first, state[1]))
                work.use(first, state[1])
                return
            if full and (work.text_at(at - 1) in _BEFORE or self.asked) and work.text_at(at) != "washington":
                place["state"] = state[0]
                spans.append((at, state[1]))
                work.use(at, state[1])
                return
        if self.asked and (state := self.state(0)) is not None:
            place["state"] = state[0]
            spans.append((0, state[1]))
            work.use(0, state[1])
            return
        for at, atom in enumerate(work.atoms):
            if (
                atom.kind not in ("w", "p")
                or atom.text.partition(" ")[0] not in _first_words(atom.text[:1])
                or not self.wordlike(at)
            ):
                continue
            for length in (4, 3, 2, 1):
                last = at + length - 1
                if last >= len(work.atoms) or not all(self.wordlike(index) for index in range(at, last + 1)):
                    continue
                if self.stands_alone(at, last):
                    if self.denied(at):
                        work.use(at, last)
                        break
                    place["city"] = title(self.name(at, last))
                    spans.append((at, last))
                    work.use(at, last)
                    return

    def denied(self, first: int) -> bool:
        """Whether the city that begins at ``first`` is what the place is not: "not Dayton", "not in Dayton"."""
        work = self.work
        before = first - 2 if work.text_at(first - 1) in _BEFORE else first - 1
        return "not" in work.cue(before) and work.text_at(before) not in ("no", "nope")

    def said_anew(self, place: dict[str, str], spans: list[tuple[int, int]]) -> None:
        """Another city right behind words of correction takes the place of the first: "Dayton, no, Akron", "Dayton, not Dayton, Toledo"."""
        work = self.work
        at = spans[-1][1] + 1
        fixed = False
        while at < len(work.atoms) and at <= spans[-1][1] + 8:
            text = work.text_at(at)
            if "fix" in work.cue(at) or text in ("no", "nope", "sorry", "wait"):
                fixed = True
            elif "not" in work.cue(at) and self.name(at + 1, at + 1) == place["city"].lower().split()[0]:
                fixed = True
                at += len(place["city"].split())
            elif text not in _BEFORE and text not in ("its", "it's", "really", ",", ".", "-", "(", "..."):
                break
            at += 1
        if not fixed:
            return
        for last in range(min(at + 3, len(work.atoms) - 1), at - 1, -1):
            rest = _known(self.name(at, last)) if all(self.wordlike(n) for n in range(at, last + 1)) else None
            if rest is None or self.name(at, last) in _NO_CITY or len(self.name(at, last)) < 4:
                continue
            if last == at and self.name(at, last) in lexicon().plain and self.name(at, last) not in _TOWNS:
                continue
            place["city"] = title(self.name(at, last))
            state = self.state(last + 1) or (self.state(last + 2) if work.text_at(last + 1) == "," else None)
            if state is not None:
                place["state"] = state[0]
            elif "state" in place and place["state"] not in rest.partition("|")[0].split(","):
                del place["state"]
            spans[:] = [(at, last if state is None else state[1])]
            work.use(*spans[0])
            return

    def ends_line(self, last: int) -> bool:
        """Whether behind an atom the line ends, a ZIP between at most."""
        work = self.work
        nxt = last + 1
        if nxt < len(work.atoms) and work.atoms[nxt].kind == "n" and len(work.text_at(nxt)) == 5:
            nxt += 1
        return nxt >= len(work.atoms) or work.atoms[nxt].kind == "b"

    def stands_alone(self, first: int, last: int) -> bool:
        """Whether the words ``first`` to ``last`` are a city even without a state."""
        work = self.work
        name = self.name(first, last)
        rest = _known(name)
        if rest is None or name in _NO_CITY or len(name) < 4:
            return False
        if self.asked and first == 0:
            return True
        step = last + 2 if work.text_at(last + 1) == "," else last + 1
        if name in abroad() and work.text_at(step) in _REGIONS:
            return True
        words = name.split()
        plain = lexicon().plain
        common = all(
            (word in plain and word not in _TOWNS) or work.atoms[first + n].kind == "p"
            for n, word in enumerate(words[: last - first + 1])
        )
        capital = self.original(first)[:1].isupper() and not self.caps
        previous = work.text_at(first - 1)
        led_in = (previous in _BEFORE and previous not in ("to", "at", "around", "de", "from", "over")) or (
            previous in ("at", "de", "from", "to", "around") and not common
        )
        if previous in ("el", "la", "los", "las", "un", "una", "del") and not capital:
            return False  # "el plano dice 18"
        if previous in _NAMED and work.text_at(first - 2) not in ("site", "city", "location", "job", "store"):
            return False
        lead = first - 1
        while lead > 0 and lead > first - 4 and work.text_at(lead) in (",", "-", "!", "."):
            lead -= 1
        if work.text_at(lead).rsplit(" ", 1)[-1] in _CLOSING or (
            not first and work.text_at(last + 1) == "here"
        ):
            return False
        after_address = work.text_at(first - 1) == "," and first >= 2 and work.atoms[first - 2].kind == "x"
        after_address = after_address or (
            first >= 1
            and work.atoms[first - 1].kind == "x"
            and work.atoms[first - 1].end - work.atoms[first - 1].start > 6
        )
        if work.has(last + 1, "family") or work.text_at(last + 1) in (
            "church",
            "school",
            "chapel",
            "street",
            "st",
            "rd",
            "road",
            "ave",
            "hills",
            "county",
            "blvd",
        ):
            led_in = led_in and capital
            if not led_in:
                return False
        behind = work.text_at(last + 1)
        if behind in ORGANISATIONS and not self.caps and self.original(last + 1)[:1].isupper():
            return False  # "Dave at Oak Ridge Church", "Madison Apartments": a name
        if after_address and capital:
            # "555-0142 Hall lights are ...": a sentence goes on with such a word
            return not common or last + 1 >= len(work.atoms) or work.atoms[last + 1].kind not in ("w", "p")
        if led_in and size(rest) >= _GREAT and len(words) > 1:
            return True  # "en el paso"
        if led_in:
            return (capital and not (common and size(rest) < 3)) or (not common and size(rest) >= 2)
        if common:
            return False
        if capital and first and work.text_at(first - 1) not in (".", "\n", "!", "?", ":"):
            return (
                size(rest) >= 3 and not self.original(first - 1)[:1].isupper() and not self.name_follows(last)
            )
        return size(rest) >= 8 and not self.name_follows(last)

    def name_follows(self, last: int) -> bool:
        """Whether the next word is capitalised too: then this is rather part of somebody's name."""
        nxt = last + 1
        return (
            nxt < len(self.work.atoms)
            and not self.caps
            and self.original(nxt)[:1].isupper()
            and self.work.atoms[nxt].kind == "w"
        )

    def zip_code(self, place: dict[str, str], spans: list[tuple[int, int]]) -> None:
        """A ZIP code: after a place, after the word, or where we asked."""
        work = self.work
        for at, atom in enumerate(work.atoms):
            if atom.kind != "n" or work.used[at] or len(atom.text) != 5 or not atom.text.isdigit():
                continue
            before = {work.text_at(at - 1), work.text_at(at - 2)}
            cue = not before.isdisjoint({"zip", "zipcode", "cp", "postal", "code", "ship", "deliver"}) or (
                work.text_at(at - 1) in ("to", "in")
                and work.text_at(at - 2) in ("ship", "deliver", "going", "delivered", "shipping", "were")
            )
            cue = cue or (
                work.text_at(at - 1) == "at"
                and any(not _WHO.isdisjoint(work.text_at(n).split()) for n in range(max(0, at - 4), at - 1))
            )
            follows = any(0 < at - last <= 2 for _, last in spans)
            if cue or follows or self.asked:
                place["zip"] = atom.text
                first = at - 1 if work.text_at(at - 1) == "zip" else at
                spans.append((first, at))
                work.use(first, at)
                return
