"""Mentions of a stretch: phrases give fixed ones, numbers get the roles that their units and neighbours allow."""

from typing import Any

from bot.reading.clause import Work
from bot.reading.codes import lamp_code, lamp_tables
from bot.reading.heads import ADDS_UP, WORKED_OUT, read_products, restated
from bot.reading.mentions import Mention, Option
from bot.reading.neighbours import LINEAR
from bot.reading.on_poles import poles_of
from bot.reading.place_names import in_a_name, throughout
from bot.reading.pointing import Pointing
from bot.reading.retold import retold
from bot.reading.sameness import ALONE, same_as, value_of_all
from bot.reading.words import words_of

_UP_AT = frozenset(
    {"up at", "up to", "up on", "mounted at", "hung at", "up by", "up", "height of", "level with"}
)
_HUNG = frozenset({"pendants", "colgantes"})
"""Ways to hang that are counted as if they were luminaires."""
_SUNK = frozenset({"empotrados", "empotradas"})
_LEVELS = {
    "second": 2,
    "third": 3,
    "fourth": 4,
    "fifth": 5,
    "sixth": 6,
    "segundo": 2,
    "tercer": 3,
    "cuarto": 4,
    "quinto": 5,
}
_FIGURES = {"2": 2, "3": 3, "4": 4, "5": 5, "6": 6}
_FIXED = ("family", "source", "size", "optic", "finish", "mount", "damp_or_wet")


_PLAIN = frozenset(
    {"wall", "ceiling", "quad", "quads", "triple", "triples", "wet", "ps", "pls", "couple", "cuople"}
)
"""Words without a meaning of their own that say something beside others."""


_ON_POLES = frozenset({"area", "street", "post_top"})
_SAID_OF_ONE = frozenset(
    {"finish", "voltage", "cct_k", "optic", "controls", "damp_or_wet", "dark_sky", "emergency_backup", "cri"}
)
_PAINTED = words_of(
    "walls wall siding brick stucco doors ceiling ceilings fence van vans truck trucks gutters soffit soffits building buildings house"
)
_WORKED_IN = words_of("the wash service truck dock loading repair work our maintenance lube")
_OCCUPANCY = words_of(
    "logger loggers permit permits load study studies rate rates certificate schedule hours data is was"
)
_WHEN = words_of("is was date time for on by at day")
_TURNS = words_of("turn turns turned turning fade fades faded fading")
_GOING = words_of("go going goes went gone being more")
_SPARING = words_of(
    "initiative initiatives energy program programs team committee grant grants goals goal policy plan plans power campus city practices certification loan fund funds fleet deal savings"
)
_SHOWS = words_of("shows fades gets rusts stains peels chalks yellows")
_AS_IT_IS = frozenset({"fine", "ok", "okay", "good", "stays", "stay", "as is", "as-is"})
_TOO = frozenset(
    {
        "too",
        "so",
        "isnt",
        "isn't",
        "not",
        "wont be",
        "very",
        "pretty",
        "is",
        "are",
        "be",
        "look",
        "looks",
        "really",
        "kinda",
        "how",
    }
)
_OUTDOORS = frozenset({"area", "street", "post_top", "bollard", "flood", "wall_pack", "canopy", "garage"})
_NUMBERED = words_of(
    "building bldg bay dock hall lot level lvl floor wing unit zone area phase room shop gym section store site edificio nave piso nivel"
)
_OTHER_THINGS = words_of(
    "place building bldg job site day time customer client location school account spot po project area room address order week guy person lugar dia obra cliente"
)
_OTHERWISE = words_of("but only except pero save")
_DENIABLE = frozenset({"emergency_backup", "dark_sky"})
_WITHOUT = frozenset(
    {
        "no",
        "without",
        "sin",
        "w/o",
        "no need for",
        "dont need",
        "don't need",
        "dont want",
        "not",
        "non",
        "skip",
        "minus",
        "no need",
        "no necesitan",
        "no ocupan",
        "doesnt want",
        "does not want",
        "do not want",
        "doesnt need",
        "do not need",
        "does not need",
        "no quiero",
        "no queremos",
        "no quiere",
        "no quieren",
        "no necesita",
    }
)
_KITS = words_of("retrofit retro led corn corncob kit kits door tubo tubos bypass plug")
"""First words of what keeps the housing; "no, just the lamps" denies nothing."""


_THANKS = words_of("asap please pls plz thanks thx thank ty gracias porfa")
_BEHIND_PC = _THANKS | {"on", "on each", "each", "for"}


class Roles(Pointing):
    """Turns the atoms of one stretch into mentions."""

    def _said_of(self, at: int) -> bool:
        """Whether the number stands right behind a luminaire word that has no count of its own: "troffers 3500 strips 5000"."""
        atoms = self.work.atoms
        if at == 0 or {"family", "pointer", "size"}.isdisjoint(atoms[at - 1].mean):
            return False
        return not any(atom.kind == "n" for atom in atoms[max(at - 3, 0) : at - 1]) and atoms[at].value >= 100

    def bare_roles(self, at: int) -> list[Option]:
        """The roles of a bare number; where a job is talked about, what it may change."""
        options = super().bare_roles(at)
        if (
            not self.conversing
            or not options
            or options[0].rule in ("labelled", "a word", "on poles so high")
            or (
                options[0].slots[:1]
                and options[0].slots[0][0] == "watts"
                and self.source_near(at) is not None
            )
            or (
                self.noun_after(at) != ""
                and self.work.text_at(at + 1) not in ("for", "on", "para")
                and at not in self.work.flags.get("instead", {})
                and not self._said_of(at)
            )
        ):
            return options
        return retold(self.work, at, self.known, self.out, self.pointers) or options

    def phrase(self, at: int) -> int:
        """Read the phrase or code at ``at``; the index past it."""
        work = self.work
        atom = work.atoms[at]
        mean = atom.mean
        if atom.kind == "c":
            if work.text_at(at - 1) == "/" and at > 1 and work.atoms[at - 2].mean == mean:
                work.use(at, at)  # "M135/M155": two names of one lamp
                return at + 1
            self.add(at, at, Option(tuple(mean.items()), 0.0, "lamp code"))
            return at + 1
        if "again" in mean:
            self.fix(at, at, "counted again", _scope=mean["again"])
            return at + 1
        rule = "fuzzy" if atom.fuzzy else "lexicon"
        if mean.get("finish") == "white" and work.text_at(at - 1) in ("bright", "pure", "crisp", "super"):
            work.use(at, at)  # a colour of light, none of paint
            return at + 1
        if "finish" in mean and (self._of_other_things(at) or in_a_name(work, at)):
            work.use(at, at)
            return at + 1
        if "optic" in mean and throughout(work, at):
            work.use(at, at)
            return at + 1
        if mean.get("optic") == "cutoff" and (
            work.text_at(at + 1) in _WHEN or work.text_at(at - 1) in ("bid", "order", "time", "our", "my")
        ):
            work.use(at, at)  # "cutoff is friday"
            return at + 1
        if "optic" in mean and self._names_a_type(at):
            work.use(at, at)  # "type 2 is 175 MH wall packs"
            return at + 1
        if atom.text == "t5" and self._optic_five(at):
            self.fix(at, at, rule, optic="type_V")
            return at + 1
        if atom.text in _HUNG and work.atoms[at - 1].kind == "n" and not self._named_next(at):
            self.add(at, at, Option((("_noun", True), ("mount", mean["mount"])), 0.0, rule))
            return at + 1  # "16 pendants, skip those"
        if atom.text in _SUNK and work.atoms[at - 1].kind == "n" and self._can_lamp_next(at):
            self.fix(at, at, "cans by how they sit", family="downlight", mount="recessed")
            return at + 1  # "9 empotrados de 75w incandescente"
        for kind in _FIXED:
            if kind in mean:
                extra: dict[str, Any] = (
                    {"_led": True} if kind == "family" and "led" in atom.text.split() else {}
                )
                if kind == "family" and ("recessed" in atom.text or "empotra" in atom.text):
                    extra["mount"] = "recessed"
                if kind == "family" and "source" in mean:
                    extra["source"] = mean["source"]
                if kind == "family" and "size" in mean:
                    extra["size"] = mean["size"]
                if kind == "family" and self._goes_on(at, mean[kind]):
                    return at + 1
                self.add(at, at, Option(((kind, mean[kind]), *extra.items()), 0.0, rule))
                return at + 1
        if "controls" in mean and atom.text == "dim" and work.text_at(at - 1) in _TOO:
            work.use(at, at)  # "so it isn't dim": how bright it is, no control
            return at + 1
        if "controls" in mean:
            if atom.text == "occupancy" and work.text_at(at + 1) in _OCCUPANCY:
                work.use(at, at)  # "occupancy logger", "occupancy permit"
                return at + 1
            if self._of_none(at):
                work.use(at, at)
                return at + 1
            denied = any(
                "not" in work.cue(n) or "remove" in (work.has(n, "action") or ())
                for n in (at - 1, at - 2)
                if n == at - 1 or work.text_at(at - 1) in ("the", "las", "los", "la", "el", "any")
            )
            if (
                not denied
                and work.text_at(at - 1) in ("on", "on a", "a", "using")
                and work.text_at(at - (3 if work.text_at(at - 2) == "on" else 2))
                in ("not", "arent", "aren't", "isnt", "isn't", "no longer", "werent", "wasnt")
            ):
                denied = True  # "these aren't on a photocell"
            if work.text_at(at - 1) in ("have", "got", "need", "want", "use") and "not" in work.cue(at - 2):
                denied = True  # "we don't have photocells"
            # "photocells yes, motion no"
            answer = at + 2 if work.text_at(at + 1) == "?" else at + 1
            denied = denied or (
                work.text_at(answer) in ("no", "nope", "nah", "no thanks")
                and work.text_at(answer + 1) in ("", ",", ".", ";", "!", "\n", ")", "thanks", "gracias")
            )
            if denied:
                work.flags.setdefault("without", []).append(mean["controls"])
            self.fix(at, at, rule, controls=("none",) if denied else (mean["controls"],))
            return at + 1
        if atom.text == "pc" and "not" in work.cue(at - 1) and self.seen & {"family", "size", "source"}:
            work.flags.setdefault("without", []).append("photocell")
            self.fix(at, at, "no PC", controls=("none",))
            return at + 1
        if "flag" in mean:
            kit = mean["flag"] == "keep_housing"
            if (
                (mean["flag"] in _DENIABLE or (kit and atom.text.split()[0] in _KITS)) and self.denied(at)
            ) or (kit and work.text_at(at - 1) == "to" and "not" in work.cue(at - 2)):
                work.use(at, at)
            else:
                self.fix(at, at, rule, **{mean["flag"]: True})
            return at + 1
        if "colour" in mean and self._in_kelvin(at):
            work.use(at, at)  # "cool white 5000k": the figure says it
            return at + 1
        if "colour" in mean:
            self.fix(at, at, rule, cct_k=mean["colour"])
            return at + 1
        if "voltage" in mean:
            self.fix(at, at, rule, voltage=mean["voltage"])
            return at + 1
        if "led" in mean:
            return self.led(at)
        if (
            mean.get("scope") == "same"
            and at
            and not self.conversing
            and not self._counted_here(at)
            and work.text_at(at + 1) in ("but", "pero")
            and work.is_bare_count(min(at + 2, len(work.atoms) - 1))
        ):
            many = int(work.atoms[at + 2].value)
            if (
                many
                and many not in (120, 208, 240, 277, 347, 480)
                and work.is_number(at + 2)
                and work.unit(at + 3) is None
                and work.text_at(at + 3) in ("", ",", ".", ";", "\n", ")")
            ):
                self.add(at, at + 2, Option((("qty", many), ("_same", True)), 4.0, "the same but so many"))
                return at + 3
        if (
            mean.get("scope") == "same"
            and not self.conversing
            and work.text_at(at + 1) in _OTHER_THINGS
            and work.is_number(at + 2)
        ):
            work.use(at, at)  # "same building 4 wraps": nothing of the luminaires
            return at + 1
        if mean.get("scope") == "same" and at:
            only, last = same_as(work, at)
            if (
                not only
                and work.text_at(at + 1) not in _OTHERWISE
                and any(
                    work.has(n, "source") and not (n == at + 2 and work.atoms[at + 1].kind != "w")
                    for n in (at + 1, at + 2)
                )
            ):
                only = ("source", "watts")  # "12 wraps, same fat T12s": the lamp and no more
            if not only and last == at and atom.text not in ALONE and self._like_the_last(at):
                return at + 1
            if not self.conversing and value_of_all(work, only, last):
                work.atoms[at] = atom._replace(mean={"scope": "all"})
                return at + 1
            if only or atom.text not in ALONE:
                self.fix(at, last, rule, _same=only or True)
            return last + 1
        if atom.text in ("quad", "quads", "triple", "triples") and work.unit(at - 1) == "w":
            self.fix(at, at, "pin lamp", source="CFL")
            return at + 1
        if atom.text == "am" and (
            work.unit(at - 1) == "w"
            or (
                at
                and work.atoms[at - 1].kind == "n"
                and work.atoms[at - 1].value in (175, 250, 400, 1000, 1500)
            )
        ):
            # "400 W AM": aditivos metalicos, as Mexican schedules abbreviate them
            self.fix(at, at, "aditivos metalicos", source="MH")
            return at + 1
        if (
            mean.get("generic") == "light"
            and work.text_at(at + 1) == ")"
            and work.text_at(at - 2) == "("
            and work.atoms[at - 1].kind == "n"
        ):
            work.use(at, at)  # "LU150 (5 fixtures)": what is counted was named before
            return at + 1
        if (
            atom.text in ("double", "dual", "dbl")
            and work.is_number(at + 1)
            and work.unit(at + 2) == "w"
            and work.has(at + 3, "source") == "CFL"
        ):
            self.fix(at, at, "pin lamps", lamps=2)
            return at + 1  # "14 cans double 26w PL"
        if atom.text == "heads" and self._said_heads(at):
            self.fix(at, at, "the heads on poles", _point="area")
            return at + 1
        if mean.get("generic") == "light":
            self.fix(at, at, rule, _noun=True)
            return at + 1
        if "poles" in mean.get("cue", ()) and self.lit_poles(at):
            self.fix(at, at, "heads on poles", family="area")
            return at + 1
        if (
            atom.text in ("bay", "bays")
            and "family" in self.seen
            and work.text_at(at - 1) in _WORKED_IN
            and not work.is_number(at - 1)
        ):
            return at + 1  # "for the bays": a place
        if "family_weak" in mean and self.strong(at):
            self.fix(at, at, rule, family=mean["family_weak"])
            return at + 1
        if (
            self.conversing
            and "pointer" in mean
            and at
            and (work.atoms[at - 1].kind == "n" or work.has(at - 1, "scope") == "same")
            and (counted := self.counted(mean["pointer"]))
        ):
            self.fix(at, at, rule, family=counted)
            return at + 1
        point = mean.get("pointer") or mean.get("family_weak")
        label = work.text_at(at + 1) == ":" and work.is_number(at + 2) and work.unit(at + 3) in ("ft", "m")
        if point and label and work.text_at(at) in ("pole", "poles"):
            return at + 1  # "Pole: 30 ft" heads a height
        if point and self.points(at):
            self.fix(at, at, rule, _point=point)
            return at + 1
        if "unit" in mean and mean["unit"] == "dozen":
            factor = 12.0
            if work.text_at(at - 1) == "media":
                factor = 6.0
            if work.text_at(at - 1) == "half" or work.text_at(at - 2) == "half":
                factor = 6.0
            if at and work.folded[work.atoms[at - 1].start : atom.start].strip() == "1/2":
                factor = 6.0
            end = at
            if work.text_at(at - 1) in ("bakers", "baker's", "baker"):
                factor = 13.0
            if work.text_at(at - 1) in ("couple", "couple of") or work.text_at(at - 2) == "couple":
                factor = 24.0
            if work.text_at(at + 1) in ("and", "n", "+") and work.text_at(at + 3) == "half":
                factor, end = 18.0, at + 3
            elif factor == 12.0 and work.text_at(at + 1) == "y" and work.text_at(at + 2) == "media":
                factor, end = 18.0, at + 2  # "docena y media"
            again = (
                (("_placed", True),)
                if work.text_at(at - 1) in ("another", "other") and self.out and not self.conversing
                else ()
            )
            self.add(
                at, end, Option((("qty", int(factor)), *again), 4.0, "dozen"), Option((), -3.0, "nothing")
            )
            return end + 1
        if (
            atom.text == "single"
            and work.unit(at + 1) == "lamps"
            and work.text_at(at + 2) not in ("post", "posts", "pole", "poles")
        ):
            self.fix(at, at + 1, "a single lamp", lamps=1)
            return at + 2
        if (
            atom.text == "single"
            and work.text_at(at - 1) == "a"
            and (at < 2 or work.atoms[at - 2].kind in ("s", "b"))
            and work.has(at + 1, "family") is not None
        ) or (
            atom.text == "single"
            and not self.conversing
            and (at == 0 or work.atoms[at - 1].kind in ("s", "b") or "want" in work.cue(at - 1))
            and work.has(at + 1, "family") is not None
            and not work.text_at(at + 1).endswith("s")
        ):
            self.fix(at, at, "a single", qty=1)
            return at + 1
        if (
            atom.text == "pc"
            and self.seen & {"family", "size", "source"}
            and (self._lone(at) or self._tailing(at) or _on_receptacle(work, at))
        ):
            self.fix(at, at, "PC beside attributes", controls=("photocell",))
            return at + 1
        if "unit" in mean and mean["unit"] == "pair":
            self.add(at, at, Option((("qty", 2),), 4.0, "pair"), Option((), -3.0, "nothing"))
            return at + 1
        return at + 1

    def _like_the_last(self, at: int) -> bool:
        """Say of the count that "same" stands right behind that it counts more of what was told: "8 cobras .., 8 ditto"."""
        if self.conversing or len(self.out) < 2 or self.out[-1].last != at - 1 or not self.out[-1].bare:
            return False
        count = self.out[-1]
        options = tuple(
            Option((*option.slots, ("_same", True)), option.score, option.rule)
            if len(option.slots) == 1 and option.slots[0][0] == "qty"
            else option
            for option in count.options
        )
        if "_same" not in dict(options[0].slots):
            return False
        self.out[-1] = count._replace(last=at, options=options)
        self.last = at
        self.work.use(at, at)
        return True

    def _counted_here(self, at: int) -> bool:
        """Whether a count stands before "same" in its clause: "4 more same but 400" is four of 400 W."""
        atoms = self.work.atoms
        for index in range(at - 1, max(at - 5, -1), -1):
            if atoms[index].kind == "n":
                if self.work.text_at(index - 1) in _NUMBERED:
                    return False  # "bldg 3 ditto but 6"
                follow = atoms[index + 1].mean
                return "source" not in follow and follow.get("unit") in (None, "each")
            if atoms[index].kind in ("s", "b"):
                return False
        return False

    def _can_lamp_next(self, at: int) -> bool:
        """Whether a lamp of recessed cans follows in the same clause, and no luminaire word or size does."""
        found = False
        for atom in self.work.atoms[at + 1 : at + 8]:
            if atom.kind in "sb":
                break
            if not {"family", "size", "generic"}.isdisjoint(atom.mean):
                return False
            found = found or atom.mean.get("source") in ("INC", "HAL", "CFL")
        return found

    def _named_next(self, at: int) -> bool:
        """Whether a luminaire word follows within the few words behind."""
        for atom in self.work.atoms[at + 1 : at + 4]:
            if atom.kind in "sbn":
                return False
            if "family" in atom.mean or "size" in atom.mean:
                return True
        return False

    def _said_heads(self, at: int) -> bool:
        """Whether "the heads" are those on poles that were told before: "photocells on the heads, none on the wall packs"."""
        work = self.work
        if self.conversing or work.text_at(at - 1) not in ("the", "the lot"):
            return False
        if work.text_at(at - 2) not in ("on", "for"):
            return False
        return any(
            slot == "family" and value in _ON_POLES
            for mention in self.out[:40]
            for slot, value in mention.options[0].slots
        )

    def _in_a_row(self, at: int) -> bool:
        """Whether a word stands between commas in a row of what is said of one type: "gray, wall, 120-277"."""
        work = self.work
        if len(self.out) < 2 or work.text_at(at - 1) != "," or self.out[-1].last != at - 2:
            return False
        ends = at + 1 >= len(work.atoms) or work.text_at(at + 1) in (",", ".", ";", ")", "\n")
        before = self.out[-1].options[0].slots
        return ends and before[:1] != () and before[0][0] in _SAID_OF_ONE and "family" in self.seen

    def _names_a_type(self, at: int) -> bool:
        """Whether "type 2" is what a type of luminaire is called here: it begins a clause, and a verb or a colon follows."""
        work = self.work
        return (
            work.text_at(at).startswith("type ")
            and work.text_at(at + 1) in ("is", "are", ":", "=", "-")
            and (at == 0 or work.atoms[at - 1].kind in ("s", "b") or work.has(at - 1, "join") is not None)
        )

    def _optic_five(self, at: int) -> bool:
        """Whether "T5" is a distribution and no tube: another one stands shortly before it, or it is on what has no tubes."""
        near = [m for m in self.out[-4:] if "optic" in m.slots and at - m.last <= 8]
        behind = next(
            (
                self.work.has(n, "family")
                for n in range(at + 1, min(at + 4, len(self.work.atoms)))
                if self.work.has(n, "family")
            ),
            None,
        )
        return bool(near) and (
            behind in _OUTDOORS or self.work.text_at(at + 1) in ("", ",", ".", "on", "for")
        )

    def _in_kelvin(self, at: int) -> bool:
        """Whether a colour's name stands beside the same colour in kelvin."""
        work = self.work
        for number in (at + 1, at + 2):
            if number >= len(work.atoms) or work.atoms[number].kind == "b":
                break
            if work.atoms[number].kind == "n":
                kelvin = work.unit(number + 1) == "kelvin" or work.text_at(number + 1) == "k"
                return kelvin and 2200 <= work.atoms[number].value <= 6500
        return work.text_at(at - 1) == "k" and work.is_number(at - 2) and work.atoms[at - 2].value >= 2200

    def _goes_on(self, at: int, family: str) -> bool:
        """Whether the luminaire word before it says the same: "acorn post tops" is one name."""
        if not self.out or self.out[-1].last != at - 1 or len(self.out[-1].options) != 1:
            return False
        before = self.out[-1]
        if before.options[0].slots != (("family", family),):
            return False
        self.work.use(at, at)
        self.out[-1] = before._replace(last=at, end=self.work.atoms[at].end)
        self.last = max(self.last, at)
        return True

    def _lone(self, at: int) -> bool:
        """Whether a word stands alone between marks of a list."""
        atoms = self.work.atoms
        after = atoms[at + 1] if at + 1 < len(atoms) else None
        return (
            at > 0
            and atoms[at - 1].kind == "s"
            and atoms[at - 1].text in ",/;|("
            and (
                after is None
                or after.kind in ("s", "b")
                or after.text in _THANKS
                or self.work.has(at + 1, "scope") in ("all", "both")
                or (after.text in ("on", "for") and self.work.has(at + 2, "scope") in ("all", "both"))
            )
        )

    def _tailing(self, at: int) -> bool:
        """Whether "PC" ends a run of attributes, or is wished: "277 BRZ PC;", "need PC on each"."""
        work = self.work
        after = work.atoms[at + 1] if at + 1 < len(work.atoms) else None
        ends = after is None or after.kind in ("s", "b") or after.text in _BEHIND_PC
        before = work.text_at(at - 1)
        wished = "want" in work.cue(at - 1) or before in (
            "need",
            "with",
            "w/",
            "w",
            "add",
            "include",
            "plus",
            "and",
            "/",
        )
        return (
            ends
            and at > 0
            and (
                wished
                or not {"finish", "voltage", "optic", "mount"}.isdisjoint(work.atoms[at - 1].mean)
                or work.unit(at - 1) == "v"
            )
        )

    def denied(self, at: int) -> bool:
        """Whether "no" or "without" stands right before a word, an article or a kind between: "no emergency packs"."""
        work = self.work
        index = at - 1
        while index >= max(0, at - 2) and work.text_at(index) in (
            "the",
            "any",
            "need for",
            "built in",
            "integral",
            "a",
            "de",
            "la",
            "el",
        ):
            index -= 1
        return work.text_at(index) in _WITHOUT

    def spaced_tube(self, at: int) -> int | None:
        """As in "F32 T8", "f thirty two t eight": the last atom of a tube's code that was written or said apart."""
        work = self.work
        atom = work.atoms[at]
        if atom.kind == "x" and atom.text[:1] == "f" and atom.text[1:].isdigit():
            digits, last = atom.text[1:], at
        elif atom.text == "f":
            last = at + 1 if work.is_number(at + 1) else at + 2 if work.text_at(at + 1) == "-" else at
            if not work.is_number(last):
                return None
            digits = f"{work.atoms[last].value:.0f}"
        else:
            return None
        if work.text_at(last + 1) == "-":
            last += 1
        source = work.has(last + 1, "source")
        slots = lamp_code(f"f{digits}{source.lower()}") if source in LINEAR and len(digits) <= 3 else None
        if slots is None:
            return None
        self.fix(at, last + 1, "lamp code", **slots)
        return last + 1

    def one_more(self, at: int) -> bool:
        """Whether "a" counts one in a list of counted types: "3 shoeboxes and a flood"."""
        work = self.work
        if self.conversing:
            return False
        if work.has(at - 1, "join") is None or "qty" not in self.seen:
            return (
                work.text_at(at) in ("un", "una")
                and "family" in (work.atoms[at + 1].mean if at + 1 < len(work.atoms) else {})
                and any(
                    "join" in work.atoms[n].mean and n + 1 < len(work.atoms) and work.atoms[n + 1].kind == "n"
                    for n in range(at + 2, min(at + 9, len(work.atoms)))
                )
            )
        for index in range(at + 1, min(at + 5, len(work.atoms))):
            atom = work.atoms[index]
            if "family" in atom.mean:
                return not atom.text.endswith("s")
            if atom.kind in ("s", "b") or "join" in atom.mean:
                return False
        return False

    def _of_none(self, at: int) -> bool:
        """Whether none of them has it: "none of the 8 wall packs have photocells"."""
        work = self.work
        for index in range(at - 1, max(-1, at - 10), -1):
            atom = work.atoms[index]
            if atom.kind in ("s", "b"):
                return False
            if atom.text in ("none", "none of", "ninguno", "ningun", "ninguna", "neither of"):
                return True
        return False

    def _of_other_things(self, at: int) -> bool:
        """Whether a colour is that of something else: "white walls", "white trim is fine as is"."""
        work = self.work
        after = work.text_at(at + 1)
        if after in ("trim", "trims", "lens", "lenses", "baffle", "baffles"):
            return work.text_at(at + 2) in ("is", "are", "stays", "stay") and any(
                work.text_at(n) in _AS_IT_IS for n in range(at + 2, min(at + 6, len(work.atoms)))
            )
        if work.text_at(at - 1) in _TURNS or (
            after in _SHOWS and work.text_at(at + 2) not in ("on", "for", "to")
        ):
            return True  # "it turns green in the salt", "white shows every mark"
        if work.text_at(at) == "green" and (
            after in _SPARING
            or (work.text_at(at - 1) in _GOING and after not in ("on", "for", "with"))
            or (work.text_at(at - 1) == "be" and work.text_at(at - 3) in ("trying", "us", "wants", "want"))
        ):
            return True  # "our campus is going green", "part of a green initiative"
        return after in _PAINTED

    def _on_outer_wall(self, at: int) -> bool:
        """Whether a floor is where wall packs or floods hang, which is outside: "2 floods segundo piso", "wall packs on the third floor"."""
        work = self.work
        if work.text_at(at + 1) not in ("floor", "piso", "level", "nivel"):
            return False
        if work.is_number(at + 2) and work.has(at + 3, "source") is None and work.unit(at + 3) != "w":
            return False  # "wall packs second floor 14, third floor 9"
        back = at - 1
        while back > at - 4 and work.text_at(back) in (
            "on",
            "at",
            "the",
            "en",
            "el",
            "del",
            "de",
            "up",
            "for",
        ):
            back -= 1
        return work.has(back, "family") in ("wall_pack", "flood")

    def storey(self, at: int) -> tuple[float, int] | None:
        """Height and last atom of "the second storey"; of "the third" where a storey was named in the sentence before it."""
        work = self.work
        level = _LEVELS.get(work.text_at(at))
        if (
            level is None
            and work.has(at, "date") == "ordinal"
            and work.unit(at + 1) == "storey"
            and work.text_at(at - 1) in ("the", "on", "at", "up")
        ):
            level = _FIGURES.get(work.text_at(at))
        outdoors = (level is not None or work.has(at, "date") == "ordinal") and self._on_outer_wall(at)
        if outdoors and level is None:
            level = _FIGURES.get(work.text_at(at))
        if (
            level is None
            or work.used[at]
            or (
                work.text_at(at - 1) not in ("the", "el", "la")
                and work.unit(at + 1) != "storey"
                and not outdoors
            )
        ):
            return None
        if outdoors:
            return level * 10.0, at + 1
        if work.text_at(at + 1).startswith("stor"):
            return level * 10.0, at + 1
        after = work.text_at(at + 1)
        up = work.text_at(at - 2) in _UP_AT or (
            work.text_at(at - 2) in ("at", "on", "by", "around")
            and work.text_at(at - 3) in ("up", "way up", "hung", "mounted")
            and work.text_at(at + 2) in ("", ",", ".", ";", ")", "\n")
        )
        if after in ("floor", "piso") and up and not work.is_number(at + 2):
            return level * 10.0, at + 1  # "up at the third floor"
        if after in ("", ".", ",", ";", "-", "!", ")", "and", "\n") and any(
            work.text_at(n).startswith("stor") for n in range(max(0, at - 12), at)
        ):
            return level * 10.0, at
        return None

    def lit_poles(self, at: int) -> bool:
        """Whether poles that are counted stand for their heads: "10 poles 400 MH"."""
        work = self.work
        if (
            self.conversing
            or not at
            or work.atoms[at - 1].kind != "n"
            or work.text_at(at - 2) in ("on", "at", "@")
        ):
            return False
        for index in range(at + 1, min(at + 6, len(work.atoms))):
            mean = work.atoms[index].mean
            if (
                "family" in mean
                or "family_weak" in mean
                or "generic" in mean
                or work.atoms[index].kind in ("b", "s")
            ):
                return False
            if "source" in mean or mean.get("unit") == "w":
                return True
        return False

    def heads_alone(self, at: int) -> bool:
        """Whether heads on poles stand here and no type is named behind them before another count."""
        work = self.work
        if work.text_at(at).split(" ", 1)[0] not in ("head", "heads") or not poles_of(work):
            return False
        for index in range(at + 1, min(at + 14, len(work.atoms))):
            if work.is_bare_count(index) and not work.used[index] and work.unit(index + 1) is None:
                return True
            if "family" in work.atoms[index].mean:
                return False
            if work.text_at(index) in (".", ";") or work.atoms[index].kind == "b":
                return True
        return True

    def taken_from(self, lead: int) -> list[Mention]:
        """Take away the mentions from an atom on: they tell of the count that follows them."""
        if lead < 0:
            return []
        told = [mention for mention in self.out if mention.first >= lead]
        self.out = [mention for mention in self.out if mention.first < lead]
        return told

    def run(self) -> list[Mention]:
        """All mentions of the stretch, in text order."""
        at = 0
        work = self.work
        told = sorted(
            (*work.flags.get("tallies", ()), *read_products(work)), key=lambda product: product.first
        )
        products = {product.first: product for product in restated(work, told)}
        while at < len(work.atoms):
            atom = work.atoms[at]
            if atom.text[:1] == "f" and (tube := self.spaced_tube(at)) is not None:
                at = tube + 1
                continue
            if "schedule" in atom.mean and "family_weak" in atom.mean and self.strong(at):
                # "4 dusk to dawns": the lights themselves, and when they burn
                self.fix(at, at, "lexicon", family=atom.mean["family_weak"])
                at += 1
                continue
            pointed = self.pointed(at) if atom.kind == "n" or self.pointers else None
            if pointed is not None:
                last, scope = pointed
                self.fix(at, last, "pointing", _scope=scope)
                at = last + 1
                continue
            price = self.prices.get(at)
            if price is not None:
                slot, said = price
                self.add(at, at, Option(((slot, said.value),), 0.0, said.rule))
                at += 1
                continue
            if at in products:
                product = products.pop(at)
                told = self.taken_from(product.lead)
                more: tuple[tuple[str, Any], ...] = (("_part", product.part),) if product.part else ()
                more += (("_same", True),) if product.same else ()
                rule = ADDS_UP if product.adds_up else WORKED_OUT
                self.add(at, at, Option((("qty", product.qty), *more), 5.0, rule), others=product.others)
                self.out.extend(mention._replace(gap=0) for mention in told)
                at += 1
                if self.heads_alone(at):
                    # "12 wall packs and 6 poles with 2 heads each"
                    self.fix(at, at, "heads on poles", family="area")
                    at += 1
                continue
            if atom.text in ("a", "an", "un", "una") and not work.used[at] and self.one_more(at):
                self.add(at, at, Option((("qty", 1),), 2.0, "a"), Option((), 0.0, "nothing"))
                at += 1
                continue
            if (storeys := self.storey(at)) is not None:
                feet, last = storeys
                self.fix(at, last, "storey", height_ft=feet)
                at = last + 1
                continue
            if atom.text in ("wall", "ceiling") and not work.used[at] and self._in_a_row(at):
                self.fix(at, at, "told in a row", mount=atom.text)
                at += 1
                continue
            if work.used[at] or atom.kind in ("w", "s", "b", "x"):
                if atom.text not in _PLAIN:
                    at += 1
                    continue
                if atom.text in ("quad", "quads", "triple", "triples") and work.unit(at - 1) == "w":
                    self.fix(at, at, "pin lamp", source="CFL")
                    at += 1
                    continue
                if atom.text == "wet" and (
                    at + 1 >= len(work.atoms) or work.atoms[at + 1].kind in ("s", "b")
                ):
                    self.fix(at, at, "wet", damp_or_wet="wet")
                    at += 1
                    continue
                if atom.text == "ps" and (
                    work.unit(at - 1) == "w"
                    or (
                        at
                        and work.atoms[at - 1].kind == "n"
                        and work.atoms[at - 1].value in lamp_tables().watts["PSMH"]
                    )
                ):
                    self.fix(at, at, "pulse start", source="PSMH")
                    at += 1
                    continue
                if atom.text == "pls" and work.unit(at - 1) == "w":
                    self.fix(at, at, "PL lamps", source="CFL")
                    at += 1
                    continue
                if (
                    atom.kind == "w"
                    and atom.text in ("couple", "cuople")
                    and any(work.unit(n) == "dozen" for n in (at + 1, at + 2))
                ):
                    at += 1
                    continue
                if atom.kind == "w" and atom.text in ("couple", "cuople") and not work.used[at]:
                    self.add(at, at, Option((("qty", 2),), 4.0, "couple"), Option((), -3.0, "nothing"))
                at += 1
                continue
            if atom.kind == "n":
                at = self.number(at)
            else:
                at = self.phrase(at)
        return self.out


def _on_receptacle(work: Work, at: int) -> bool:
    """Whether a receptacle's pins are spoken of right before "pc": "w/ 7 pin pc", "the 7 pin and pc"."""
    lead = at - 2 if work.text_at(at - 1) in ("and", "&", "+", "w", "with", "/", ",") else at - 1
    return work.text_at(lead) in ("pin", "pins", "prong", "receptacle", "recep", "socket", "nema")
