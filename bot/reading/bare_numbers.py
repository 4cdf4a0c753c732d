"""The roles that a number without a unit may play, each with its score."""

from functools import lru_cache

from bot.reading.codes import lamp_tables
from bot.reading.mentions import Option
from bot.reading.neighbours import LINEAR, PLACE_NOUNS, TUBES, Neighbours

_VOLTS = frozenset({110, 115, 120, 127, 208, 220, 230, 240, 277, 347, 440, 460, 480, 600})

_TELLING_VOLTS = frozenset({208, 277, 347, 480})

_CCT = {2700, 3000, 3500, 4000, 4100, 5000, 5700, 6500}

_SPOTS = frozenset(
    {
        "in",
        "on",
        "at",
        "@",
        "along",
        "over",
        "outside",
        "inside",
        "upstairs",
        "downstairs",
        "around",
        "en",
        "for",
        "by",
    }
)

_COUNTERS = frozenset(
    {
        "has",
        "have",
        "got",
        "need",
        "is",
        "are",
        "of",
        "there",
        "about",
        "the",
        "with",
        "and",
        "replace",
        "tengo",
        "hay",
        "tiene",
    }
)

_LEADING = frozenset(
    [
        "have",
        "has",
        "had",
        "is",
        "are",
        "was",
        "were",
        "about",
        "only",
        "just",
        "like",
        "them",
        "they",
        "theyre",
        "total",
        "be",
        "some",
        "says",
        "say",
        "read",
        "reads",
        "get",
        "got",
        "and",
        "or",
        "to",
        "of",
        "so",
        "its",
        "it",
        "need",
        "needs",
        "want",
        "another",
        "over",
        "under",
        "than",
        "say",
        "son",
        "hay",
        "como",
        "con",
        "de",
        "que",
        "unos",
        "unas",
        "nearly",
        "almost",
        "us",
        "me",
        "there",
        "theres",
        "is",
        "its",
        "hung",
        "mounted",
        "run",
        "runs",
        "up",
        "down",
        "out",
        "those",
        "these",
        "still",
        "left",
        "here",
        "there's",
        "lights",
        "fixtures",
        "heads",
        "ones",
        "r",
        "re",
        "u",
        "n",
        "em",
        "ok",
        "no",
        "yes",
        "no,",
        "son",
        "es",
        "a",
        "estan",
        "roughly",
        "probably",
        "approx",
        "around",
        "exactly",
        "maybe",
        "think",
        "thinks",
        "counted",
        "count",
        "counting",
        "quantity",
        "all",
        "both",
        "same",
        "remaining",
        "more",
        "replace",
        "replacing",
        "replaced",
        "price",
        "quote",
        "quoting",
        "install",
        "do",
        "swap",
        "buy",
        "order",
        "for",
        "include",
        "omit",
        "former",
        "latter",
        "others",
        "rest",
        "otros",
        "otras",
    ]
)


@lru_cache(maxsize=1)
def known_watts() -> frozenset[float]:
    """Lamp watts that are sold of any discharge lamp: what a bare number may well be."""
    table = lamp_tables().watts
    return frozenset().union(*(table[source] for source in ("MH", "PSMH", "HPS", "MV", "LPS"))) | {500.0}


_DISCHARGE = frozenset({"MH", "PSMH", "HPS", "LPS", "MV", "IND"})
_SUPPLIES = frozenset({120, 208, 240, 277, 347, 480})
_SUPPLY = frozenset(
    {
        "circuit",
        "circuits",
        "building",
        "bldg",
        "service",
        "feed",
        "feeder",
        "power",
        "edificio",
        "servicio",
        "circuito",
    }
)
_UP_THERE = frozenset({"front", "north", "top", "stairs"})
_APART = frozenset(
    {
        "apart",
        "on center",
        "on centers",
        "o.c.",
        "oc",
        "o/c",
        "on ctr",
        "on ctrs",
        "from each other",
        "spread apart",
    }
)
_UPON = frozenset({"on", "for", "en", "para"})
_REPLACING = frozenset({"reemplazar", "cambiar", "sustituir", "por", "reemplaza", "cambia"})


class BareNumbers(Neighbours):
    """Weighs the roles of a bare number."""

    def on_known(self, at: int) -> bool:
        """Whether "on the" and a type that was named before follow: "9 shoeboxes and 14 wall packs, 480 on the shoeboxes"."""
        work = self.work
        if work.text_at(at + 1) in ("the", "los", "las"):
            name = at + 2  # "480 los reflectores 277 los wallpacks"
        elif work.text_at(at + 1) not in _UPON:
            return False
        else:
            name = at + 3 if work.text_at(at + 2) in ("the", "those", "los", "las") else at + 2
        if name >= len(work.atoms):
            return False
        mean = work.atoms[name].mean
        family = mean.get("family") or mean.get("family_weak") or mean.get("pointer")
        return family is not None and any(
            family in (work.has(n, "family"), work.has(n, "family_weak")) for n in range(at)
        )

    def _known_on(self, at: int) -> bool:
        """Whether a type that was named before is on what the number says: "..., los arbotantes en 120"."""
        work = self.work
        if work.text_at(at - 1) not in ("on", "en") or at < 2:
            return False
        if at + 1 < len(work.atoms) and work.atoms[at + 1].kind not in ("s", "b"):
            return False
        family = work.has(at - 2, "family")
        return family is not None and any(work.has(n, "family") == family for n in range(at - 2))

    def _volts_in_turn(self, at: int) -> bool:
        """Whether another type has just been given its volts: "480 on floods, 120 on packs"."""
        work = self.work
        return work.atoms[at].value in _VOLTS and any(
            work.atoms[n].kind == "n"
            and work.atoms[n].value in _TELLING_VOLTS
            and work.text_at(n + 1) == work.text_at(at + 1)
            for n in range(max(0, at - 7), at)
        )

    def _unit_in_turn(self, at: int) -> Option | None:
        """The unit of a number that another type has just been given: "120v on the bollards, 240 on the acorns"."""
        work = self.work
        value = work.atoms[at].value
        if value in _CCT and value >= 2700:
            return Option((("cct_k", int(value)),), 5.0, "labelled")  # nobody has so many of a type
        for n in range(at - 1, max(0, at - 10), -1):
            unit = work.unit(n)
            if unit is None or work.atoms[n - 1].kind != "n" or work.text_at(n + 1) not in _UPON:
                continue
            if unit == "v" and value in _VOLTS:
                return Option((("voltage", int(value)),), 5.0, "labelled")
            if unit == "ft" and 3 <= value <= 120:
                return Option((("height_ft", value),), 5.0, "labelled")
            return None
        return None

    def supplied(self, at: int) -> bool:
        """Whether what supplies the lights stands before a figure: "one circuit 277", "the building is 208"."""
        work = self.work
        if work.unit(at + 1) is not None or self.noun_after(at, 2) == "noun":
            return False
        lead = at - 1
        if work.text_at(lead) in ("is", "are", "at", "on", "runs", "has", ":", "=", "es", "a"):
            lead -= 1
        return not _SUPPLY.isdisjoint(work.text_at(lead).split(" "))

    @property
    def small_lamps(self) -> bool:
        """Whether the message speaks of lamps that may have less than 30 W, or of none: discharge lamps are larger."""
        held: bool | None = self.work.flags.get("small_lamps")
        if held is None:
            named = [atom.mean["source"] for atom in self.work.atoms if "source" in atom.mean]
            held = not named or any(source not in _DISCHARGE for source in named)
            self.work.flags["small_lamps"] = held
        return held

    def usual_watts(self, at: int) -> bool:
        """Whether a number behind other words of its clause is one of the watts of discharge lamps, though not of this one: "12 floods 175 hps"."""
        work = self.work
        if work.atoms[at].value not in known_watts() or work.atoms[at].value < 70:
            return False
        if at and work.is_bare_count(at - 1):
            return True  # "6 175 hps yard lights"
        if work.text_at(at + 2) == "to" and "source" in work.atoms[at + 1].mean:
            return True  # "175 hps to led on 9 wall packs"
        if any("family" in work.atoms[n].mean for n in range(at + 1, min(at + 4, len(work.atoms)))):
            return False  # "24 floods, 175 hps wall packs"
        if self.cell:
            return at == 0
        if "qty" not in self.seen:
            return False
        named = bool(self.out) and bool(self.out[-1].slots & {"family", "size", "qty"})
        return not self.clause_start(at) or (named and work.text_at(at - 1) in (",", ":", "(", "-"))

    def _on_poles(self) -> bool:
        """Whether the luminaire named last stands on poles, so that "on 25s" says how high."""
        for mention in self.out[::-1][:8]:
            family = next((value for name, value in mention.options[0].slots if name == "family"), None)
            if family is not None:
                return family in ("area", "street", "flood", "post_top")
        return False

    def _on_poles_as_before(self, at: int) -> bool:
        """Whether a number ends its item behind "on", and poles so many feet high are told of before: "12 on 25 foot poles and 3 on 30"."""
        work = self.work
        if "height_ft" not in self.seen or not (
            at + 1 >= len(work.atoms) or work.atoms[at + 1].kind in ("s", "b")
        ):
            return False
        return any(
            "poles" in work.cue(n) and work.unit(n - 1) == "ft" for n in range(max(2, at - 24), at)
        ) and any(work.text_at(n) == "on" for n in range(max(0, at - 24), at - 2))

    def hung_high(self) -> bool:
        """Whether the type that was named last hangs from a high ceiling."""
        for mention in self.out[-8:][::-1]:
            for slot, value in mention.options[0].slots:
                if slot == "family":
                    return value in ("high_bay", "low_bay")
        return False

    def bare_roles(self, at: int) -> list[Option]:
        """The roles that a number without a unit may play."""
        work, w = self.work, self.w
        atom = work.atoms[at]
        value = atom.value
        prev = self.before(at)
        cues = work.cue(prev)
        noun = self.noun_after(at)
        after_at = "at" in cues and (
            work.text_at(prev) in ("at", "@")
            # "los reflectores 1000 MH a 35"
            or (
                work.text_at(prev) == "a"
                and noun == ""
                and 12 <= value <= 60
                and (at + 1 >= len(work.atoms) or work.atoms[at + 1].kind in ("s", "b"))
                and work.has(prev - 1, "source") is not None
            )
        )
        options: list[Option] = []
        placed = False
        plural = work.text_at(at + 1) == "s" and at + 1 < len(work.atoms) and work.atoms[at + 1].glued
        plural = plural or (work.text_at(at + 1) == "'" and work.text_at(at + 2) == "s")
        plural = plural or (
            not atom.text[-1:].isdigit() and atom.text.endswith(("ies", "fives", "hundreds", "thousands"))
        )
        whole = value == int(value)
        if plural and whole and 12 <= value <= 60 and work.text_at(prev) == "on" and self._on_poles():
            return [Option((("height_ft", value),), 3.0, "on poles so high"), Option((), -2.0, "nothing")]
        if whole and 12 <= value <= 60 and work.text_at(at - 1) == "on" and self._on_poles_as_before(at):
            return [Option((("height_ft", value),), 3.0, "on poles so high"), Option((), -2.0, "nothing")]
        # "one" counts only before a luminaire, or as "just the one"
        if (
            atom.text in ("one", "uno", "una")
            and noun not in ("noun", "lamp", "number", "led")
            and not (
                work.text_at(prev) in ("the", "only", "just")
                and (work.text_at(prev - 1) in ("just", "only") or work.text_at(prev) != "the")
            )
        ):
            return [Option((), 0.0, "a word")]
        if self._numbered_place(at):
            return [Option((), 0.0, "a word")]
        if (
            atom.text == "one"
            and work.text_at(at - 2) == "the"
            and work.text_at(at + 1) in ("has", "is", "gets", "needs", "have", "with", "got")
        ):
            return [Option((), 0.0, "a word")]  # "the north one has 9"
        if atom.text in ("uno", "una") and work.text_at(at + 1) == "de" and work.text_at(prev) in _REPLACING:
            return [Option((), 0.0, "a word")]  # "para reemplazar uno de 1000 W, son 8"
        if (
            atom.text in ("one", "uno", "una")
            and at + 1 < len(work.atoms)
            and work.atoms[at + 1].kind in ("s", "b")
            and work.text_at(at + 1) not in ("(", '"', "x")
            and not (work.text_at(at + 1) == "-" and work.atoms[at + 1].glued)
            and {"just", "only", "solo"}.isdisjoint((work.text_at(prev), work.text_at(prev - 1)))
        ):
            return [Option((), 0.0, "a word")]  # "quick one - 12 wall packs"
        if (
            atom.text == "one"
            and work.text_at(prev)
            in (
                "the",
                "that",
                "which",
                "second",
                "first",
                "cheaper",
                "other",
                "next",
                "this",
                "better",
                "last",
                "no",
                "every",
                "2nd",
                "3rd",
            )
            and work.text_at(prev - 1) not in ("just", "only")
        ):
            return [Option((), 0.0, "a word")]
        if work.has(at - 1, "scope") == "all" and any(
            work.atoms[n].kind == "n" and work.atoms[n].value == value for n in range(max(0, at - 24), at - 1)
        ):
            return [Option((), 3.0, "said before")]  # "12 of the 50 are bad, quote all 50"
        label = self.label(at)
        if (label == "v" and value >= 12) or (
            (value in _TELLING_VOLTS or self._volts_in_turn(at)) and self.on_known(at)
        ):
            return [Option((("voltage", int(value)),), 5.0, "labelled")]
        if value in _SUPPLIES and self._known_on(at):
            return [Option((("voltage", int(value)),), 5.0, "labelled")]
        if self.on_known(at) and (in_turn := self._unit_in_turn(at)) is not None:
            return [in_turn]
        if label == "up" and 3 <= value <= 200:
            return [Option((("height_ft", value),), 5.0, "labelled")]
        if label == "w" and value >= 5:
            return [Option((("watts", value),), 5.0, "labelled")]
        if value in _SUPPLIES and self.supplied(at):
            return [Option((("voltage", int(value)),), 5.0, "labelled")]
        if 5 <= value <= 400 and work.text_at(at + 1) in _APART:
            return [Option((("spacing_ft", value),), 5.0, "labelled")]
        if label == "lamps" and 1 <= value <= 12:
            return [Option((("lamps", int(value)),), 5.0, "labelled")]
        if (
            work.text_at(prev) in ("de", "of")
            and prev == at - 1
            and work.has(prev - 1, "led")
            and 5 <= value <= 400
            and work.unit(at + 1) is None
            and noun in ("", "number")
        ):
            return [
                Option((("led_watts", value),), 4.0, "watts of the LED asked for"),
                Option((), -2.0, "nothing"),
            ]
        if whole and work.has(at + 1, "flag") == "keep_housing" and "tub" in work.text_at(at + 1):
            return [Option((("qty", int(value)),), 4.0, "tubes counted"), Option((), -3.0, "nothing")]
        # quantity
        if whole and 1 <= value <= 1_000_000 and not plural:
            q = w["qty"]
            score = q["base"]
            if noun == "noun" or noun == "led":
                score += q["before_noun"]
            elif noun in ("lamp", "tube"):
                score += q["before_lamp"]
                tubes = work.has(at + 1, "source") in LINEAR and not work.is_number(prev)
                if tubes and (
                    self.clause_start(at)
                    or work.text_at(prev) in _COUNTERS
                    or "want" in cues
                    or (
                        "qty" not in self.seen
                        and work.has(at + 2, "family")
                        and work.text_at(at + 2).endswith("s")
                    )
                ):
                    score += 1.2  # "24 T5HO high bays": nobody says the watts of a tube first
                elif value in lamp_tables().watts.get(
                    str(self.source_near(at)), frozenset()
                ) or self.usual_watts(at):
                    score -= q["watts_rather"]
            elif noun == "" and value in known_watts() and value >= 100:
                score -= q["watts_rather"]
            elif noun == "number":
                score += q["before_number"]
            if work.has(at + 1, "scope") == "same":
                score += 3.0  # "9 of the same"
            if self.clause_start(at):
                score += q["clause_start"]
            elif noun == "noun" and work.text_at(prev) in PLACE_NOUNS and "family" in work.atoms[at + 1].mean:
                # "1st floor 40 troffers": the place heads the item
                score += 2 * q["clause_start"]
            if "qty" in cues or work.text_at(at - 1) == "#":
                score += (
                    q["named"]
                    if work.text_at(prev)
                    not in ("got", "we have", "we got", "tengo", "tenemos", "hay", "son")
                    else q["wanted"]
                )
            if "want" in cues:
                score += q["wanted"]
            if self.clause_start(at) and work.text_at(at + 1) in _SPOTS:
                score += q["placed"]
            if after_at:
                score += q["after_at"]
            if work.text_at(at - 1) in "([" and work.text_at(at + 1) in (")", "]") and work.text_at(at - 1):
                score += q["parens"]
            if (at and "family" in work.atoms[at - 1].mean) or (
                work.text_at(at - 1) in (",", ":", "-") and work.has(at - 2, "family")
            ):
                score += q["after_noun"]
            if noun == "" and value not in known_watts() and value not in _VOLTS:
                score += q["odd_watts"]
            if self.ends_list_item(at):
                score += 3.0
            placed = self.of_another_place(at, noun)
            if placed:
                # "12 wall packs in front, 8 in back": the same type in another place
                options.append(
                    Option((("qty", int(value)), ("_placed", True)), max(score + 1.0, 2.5), "bare count")
                )
            else:
                options.append(Option((("qty", int(value)),), score, "bare count"))
        # watts
        source = work.has(at + 1, "source") or (
            work.atoms[at + 1].mean.get("source") if at + 1 < len(work.atoms) else None
        )
        if source is None and (back := work.has(prev, "source")) and prev == at - 1:
            source = back
        if source is None and work.text_at(at + 1) == "-":
            source = work.has(at + 2, "source")
        if source is None:
            source = self.source_near(at)
        table = lamp_tables().watts
        watts = w["watts"]
        coded = at + 1 < len(work.atoms) and work.atoms[at + 1].kind == "c"  # a code says its watts itself
        small = value < 30 and not self.conversing and not self.small_lamps
        if 5 <= value <= 2000 and not (source in LINEAR and value <= 8) and not coded and not small:
            if source is not None:
                known = value in table.get(source, frozenset())
                usual = self.usual_watts(at) and source not in TUBES
                unknown = watts["usual_beside_source"] if usual else watts["unknown_beside_source"] - 3.0
                score = watts["known_beside_source"] if known else unknown
            else:
                score = watts["known"] if value in known_watts() else watts["unknown"]
            if work.has(at + 1, "size"):
                score -= 4.0  # "offices 40 2x4 T8": so many
            if after_at and 12 <= value <= 60 and self.hung_high():
                score -= 3.0  # "30 high bays 6L T8 at 28"
            if plural:
                score += watts["plural"]
            elif (
                work.has(at + 1, "family")
                and work.text_at(at + 1).endswith("s")
                and work.atoms[at - 1].kind != "n"
            ):
                score -= 1.5  # "40 troffers" says how many
            if noun == "noun":
                score += watts["before_noun"]
            if prev >= 0 and work.atoms[prev].kind == "n" and prev == at - 1:
                score += watts["after_qty"]
            if after_at and value >= 70:
                score += watts["after_at"]
            if (
                work.text_at(prev) in ("the", "my", "our", "those", "these", "their")
                and noun == "noun"
                and value in known_watts()
                and value >= 70
                and "qty" in self.seen
                and "family" not in self.seen
            ):
                score += 4.0  # "5 old mercs on barn poles, the 175 yard lights"
            if placed:
                score -= 2.0
            if (
                work.text_at(at - 1) == "de"
                and at >= 2
                and (
                    "family" in work.atoms[at - 2].mean
                    or work.has(at - 2, "scope") == "same"
                    or work.text_at(at - 2) in ("mitad", "resto", "demas", "las demas", "pero")
                )
                and value in known_watts()
            ):
                score += 3.0  # "6 reflectores de 400"
            if work.text_at(at - 1) == "(" and work.text_at(at + 1) == ")" and self.watts_said_before(at):
                score -= 4.0  # "... 70 vatios de sodio (100)": the watts are said, so the bracket counts
            options.append(Option((("watts", value),), score, "bare watts"))
        # height
        if 6 <= value <= 120:
            height = w["height"]
            score = height["bare"]
            if after_at:
                score = height["after_at"] + (0.0 if value <= 60 else -2.0)
            counted_poles = "poles" in work.cue(at + 1) and not after_at and work.text_at(prev) != "on"
            counted_poles = counted_poles or work.text_at(at + 2) in _UP_THERE  # "20 up front"
            if ("up" in work.cue(at + 1) and not counted_poles) or "up" in cues:
                score = max(score, height["after_up"] + (0.0 if noun not in ("noun", "led") else -3.0))
            if score > height["bare"]:
                options.append(Option((("height_ft", value),), score, "bare height"))
        # voltage
        if value in _VOLTS and work.text_at(prev) not in ("cantidad", "qty", "quantity", "cant", "count"):
            volts = w["voltage"]
            score = volts["telling"] if value in _TELLING_VOLTS else volts["usual"]
            if noun == "noun":
                score -= 1.0
            if noun in ("", "number"):
                score += volts["at_end"]
            if "qty" not in self.seen and (
                work.text_at(prev) in ("theres", "there's", "hay", "i count", "there is")
                or (work.text_at(prev) == "are" and work.text_at(prev - 1) == "there")
            ):
                score -= volts["at_end"] + 2.5  # "the lay-ins are 4 lamp T8, there are 240"
            options.append(Option((("voltage", int(value)),), score, "bare volts"))
        if value in _CCT and value >= 2700:
            options.append(
                Option(
                    (("cct_k", int(value)),),
                    w["cct"]["usual"] + (1.0 if noun in ("", "led") else 0),
                    "bare colour",
                )
            )
        if (
            work.text_at(prev)
            in (
                "says",
                "say",
                "reads",
                "marked",
                "label",
                "tag",
                "stamped",
                "sticker",
                "dice",
                "nameplate",
                "rated",
                "nominal",
                "lamped",
            )
            and value >= 30
        ):
            options = [
                Option(option.slots, option.score + 2.0, option.rule)
                if option.slots[0][0] == "watts"
                else option
                for option in options
            ]
        # lamps in a luminaire
        inside = ("for" in cues and work.text_at(prev) in ("w", "with", "in", "con", "de")) or work.text_at(
            prev
        ) in ("has", "have", "holds", "takes", "each has", "w/", "uses")
        ahead = whole and 1 <= value <= 8 and self.lamps_ahead(at)
        if ahead:
            noun = "tube"
        if whole and 1 <= value <= 12 and (noun == "tube" or (inside and noun == "lamp")):
            lamps = w["lamps"]
            score = lamps["beside_tube"] if noun == "tube" else 0.0
            if ahead and options and options[0].slots[0][0] == "qty":
                options[0] = options[0]._replace(score=options[0].score - 1.0)
                if any(
                    "per_head" in work.cue(n) or work.text_at(n) == "each"
                    for n in range(at + 1, min(at + 7, len(work.atoms)))
                ):
                    score += 2.0
            if work.has(at + 1, "source") is not None and work.unit(at + 2) == "lamps" and "qty" in self.seen:
                score += 2.0  # "20 troffers, 4 T8 lamps"
            if inside:
                score += lamps["inside"]
            options.append(Option((("lamps", int(value)),), score, "lamps"))
        # "press 3", "Truck 12": a number after a plain word that leads to nothing of the trade is rather a name
        named = (
            prev == at - 1
            and prev >= 0
            and work.atoms[prev].kind == "w"
            and noun == ""
            and not placed
            and work.text_at(prev) not in _LEADING
        )
        if named:
            options = [
                option._replace(score=option.score - 1.0) if option.slots[0][0] == "qty" else option
                for option in options
            ]
        if (listed := self.unit_of_list(at)) is not None and all(o.slots[0][0] != listed for o in options):
            # "400 and 100 watt": the unit behind the last holds for those before
            whole_number = listed in ("voltage", "cct_k")
            options.append(
                Option(((listed, int(value) if whole_number else value),), -1.5, "unit behind a list")
            )
        options.append(Option((), w["other"]["named"] if named else w["other"]["nothing"], "nothing"))
        options.sort(key=lambda option: -option.score)
        return options[:5]
