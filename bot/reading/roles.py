"""Mentions of a stretch: phrases give fixed ones, numbers get the roles that their units and neighbours allow."""

from typing import Any

from bot.reading.clause import Work, ends_clause
from bot.reading.codes import lamp_tables
from bot.reading.labels import labels_of
from bot.reading.heads import holders, read_products
from bot.reading.mentions import Mention, Option, gap_between
from bot.reading.message import Scope
from bot.reading.search import weights

_FIXED = ("family", "source", "size", "optic", "finish", "mount", "damp_or_wet")
_TUBES = frozenset({"T12", "T8", "T5", "T5HO", "CFL"})
_LINEAR = frozenset({"T12", "T8", "T5", "T5HO"})
_LINEAR_FAMILIES = frozenset({"strip", "wrap", "vapor_tight"})
_VOLTS = frozenset({110, 115, 120, 127, 208, 220, 230, 240, 277, 347, 440, 460, 480, 600})
_TELLING_VOLTS = frozenset({208, 277, 347, 480})
_CCT = {2700, 3000, 3500, 4000, 4100, 5000, 5700, 6500}
_SHORT_CCT = {2.2: 2200, 2.7: 2700, 3.0: 3000, 3.5: 3500, 4.0: 4000, 4.1: 4100, 5.0: 5000, 5.7: 5700, 6.5: 6500,
              6.0: 6000, 27.0: 2700, 30.0: 3000, 35.0: 3500, 40.0: 4000, 41.0: 4100, 50.0: 5000, 57.0: 5700, 65.0: 6500}  # fmt: skip
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
_SIZES = {
    "low": ("lowest", "height_ft"), "lower": ("lowest", "height_ft"), "short": ("lowest", "height_ft"), "shorter": ("lowest", "height_ft"),
    "tall": ("highest", "height_ft"), "taller": ("highest", "height_ft"), "high": ("highest", "height_ft"), "higher": ("highest", "height_ft"),
    "big": ("highest", "watts"), "bigger": ("highest", "watts"), "large": ("highest", "watts"), "small": ("lowest", "watts"),
    "smaller": ("lowest", "watts"), "little": ("lowest", "watts"), "chicos": ("lowest", "watts"), "grandes": ("highest", "watts"),
}  # fmt: skip
_LEADING = frozenset(
    """have has had is are was were about only just like them they theyre total be some says say read reads get got and
    or to of so its it need needs want another over under than say son hay como con de que unos unas nearly almost us me
    there theres is its hung mounted run runs up down out those these still left here there's lights fixtures heads ones
    r re u n em ok no yes no, son es a estan roughly probably approx around exactly maybe think thinks counted count counting quantity all both same remaining
    more replace replacing replaced price quote quoting install do swap buy order""".split()
)
FEET_PER_METRE = 3.28084

_ALL_WATTS: frozenset[float] = frozenset()


def known_watts() -> frozenset[float]:
    """Lamp watts that are sold of any source but the tubes and household bulbs."""
    global _ALL_WATTS
    if not _ALL_WATTS:
        table = lamp_tables().watts
        _ALL_WATTS = frozenset().union(*(table[source] for source in ("MH", "PSMH", "HPS", "MV", "LPS"))) | {
            500.0
        }
    return _ALL_WATTS


class Roles:
    """Turns the atoms of one stretch into mentions."""

    def __init__(self, work: Work, cell: bool = False, conversing: bool = False) -> None:
        self.work = work
        self.conversing = conversing
        self.labels = (
            {label.start: label for label in labels_of(work.folded) if label.stands} if conversing else {}
        )
        self.cell = cell
        self.w = weights()
        self.out: list[Mention] = []
        self.prices = {first: (slot, said) for first, slot, said in work.flags.get("line_slots", ())}
        self.last = -1

    def add(
        self, first: int, last: int, *options: Option, bare: bool = False, others: tuple[Any, ...] = ()
    ) -> None:
        """Append a mention; its options are put best first."""
        work = self.work
        gap = gap_between(work, self.last, first) if self.last >= 0 else 0
        ordered = tuple(sorted(options, key=lambda option: -option.score))
        self.out.append(
            Mention(first, last, work.atoms[first].start, work.atoms[last].end, ordered, gap, bare, others)
        )
        self.last = max(self.last, last)
        work.use(first, last)

    def fix(self, first: int, last: int, rule: str, **slots: Any) -> None:
        """Append a mention that can be taken one way only."""
        self.add(first, last, Option(tuple(slots.items()), 0.0, rule))

    # --- neighbours -------------------------------------------------------------------------------------------

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
            and work.text_at(step + 1) not in ("can", "cans", "downlights")
        ):
            unit = None
        if text in ("c", "ct", "cts") and unit == "cents":
            unit = None
        return unit, step

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
                return "tube" if mean.get("source") in _TUBES else "lamp"
            if "size" in mean or "family" in mean:
                return "noun"
            if "source" in mean:
                return "tube" if mean["source"] in _TUBES else "lamp"
            if "led" in mean:
                return "led"
            if "generic" in mean and mean["generic"] == "light":
                return "noun"
            if "family_weak" in mean:
                return "noun"
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

    def clause_start(self, at: int) -> bool:
        """Whether nothing of weight stands before the number in its clause."""
        work = self.work
        index = at - 1
        while index >= 0:
            atom = work.atoms[index]
            if atom.kind in ("b",) or (atom.kind == "s" and atom.text in ".,;:!?*|-(["):
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

    # --- numbers ----------------------------------------------------------------------------------------------

    def bare_roles(self, at: int) -> list[Option]:
        """The roles that a number without a unit may play."""
        work, w = self.work, self.w
        atom = work.atoms[at]
        value = atom.value
        prev = self.before(at)
        cues = work.cue(prev)
        noun = self.noun_after(at)
        after_at = "at" in cues and work.text_at(prev) in ("at", "@")
        options: list[Option] = []
        plural = work.text_at(at + 1) == "s" and at + 1 < len(work.atoms) and work.atoms[at + 1].glued
        plural = plural or (work.text_at(at + 1) == "'" and work.text_at(at + 2) == "s")
        plural = plural or (not atom.text[-1:].isdigit() and atom.text.endswith(("ies", "fives", "hundreds")))
        whole = value == int(value)
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
        label = self.label(at)
        if label == "v" and value >= 12:
            return [Option((("voltage", int(value)),), 5.0, "labelled")]
        if label == "up" and 3 <= value <= 200:
            return [Option((("height_ft", value),), 5.0, "labelled")]
        if label == "w" and value >= 5:
            return [Option((("watts", value),), 5.0, "labelled")]
        if label == "lamps" and 1 <= value <= 12:
            return [Option((("lamps", int(value)),), 5.0, "labelled")]
        # quantity
        if whole and 1 <= value <= 1_000_000 and not plural:
            q = w["qty"]
            score = q["base"]
            if noun == "noun" or noun == "led":
                score += q["before_noun"]
            elif noun in ("lamp", "tube"):
                score += q["before_lamp"]
                if value in lamp_tables().watts.get(str(self.source_near(at)), frozenset()):
                    score -= q["watts_rather"]
            elif noun == "" and value in known_watts() and value >= 100:
                score -= q["watts_rather"]
            elif noun == "number":
                score += q["before_number"]
            if self.clause_start(at):
                score += q["clause_start"]
            if "qty" in cues or work.text_at(at - 1) == "#":
                score += (
                    q["named"]
                    if work.text_at(prev) not in ("got", "we have", "we got", "tengo", "tenemos", "hay")
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
            if (
                at
                and "family" in work.atoms[at - 1].mean
                or (work.text_at(at - 1) in (",", ":", "-") and work.has(at - 2, "family"))
            ):
                score += q["after_noun"]
            if noun == "" and value not in known_watts() and value not in _VOLTS:
                score += q["odd_watts"]
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
        if 5 <= value <= 2000 and not (source in _LINEAR and value <= 8):
            if source is not None:
                known = value in table.get(source, frozenset())
                score = watts["known_beside_source"] if known else watts["unknown_beside_source"] - 3.0
            else:
                score = watts["known"] if value in known_watts() else watts["unknown"]
            if plural:
                score += watts["plural"]
            if noun == "noun":
                score += watts["before_noun"]
            if prev >= 0 and work.atoms[prev].kind == "n" and prev == at - 1:
                score += watts["after_qty"]
            if after_at and value >= 70:
                score += watts["after_at"]
            options.append(Option((("watts", value),), score, "bare watts"))
        # height
        if 6 <= value <= 120:
            height = w["height"]
            score = height["bare"]
            if after_at:
                score = height["after_at"] + (0.0 if value <= 60 else -2.0)
            if "up" in work.cue(at + 1) or "up" in cues:
                score = max(score, height["after_up"] + (0.0 if noun != "noun" else -3.0))
            if score > height["bare"]:
                options.append(Option((("height_ft", value),), score, "bare height"))
        # voltage
        if value in _VOLTS:
            volts = w["voltage"]
            score = volts["telling"] if value in _TELLING_VOLTS else volts["usual"]
            if noun == "noun":
                score -= 1.0
            if noun in ("", "number"):
                score += volts["at_end"]
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
            in ("says", "say", "reads", "marked", "label", "tag", "stamped", "sticker", "dice")
            and value >= 30
        ):
            options = [
                Option(option.slots, option.score + 2.0, option.rule)
                if option.slots[0][0] == "watts"
                else option
                for option in options
            ]
        # lamps in a luminaire
        inside = (
            "for" in cues
            and work.text_at(prev) in ("w", "with", "in", "con", "de")
            or work.text_at(prev) in ("has", "have", "holds", "takes", "each has", "w/", "uses")
        )
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
            if inside:
                score += lamps["inside"]
            options.append(Option((("lamps", int(value)),), score, "lamps"))
        # "press 3", "Truck 12": a number after a plain word that leads to nothing of the trade is rather a name
        named = (
            prev == at - 1
            and prev >= 0
            and work.atoms[prev].kind == "w"
            and noun == ""
            and work.text_at(prev) not in _LEADING
        )
        if named:
            options = [
                option._replace(score=option.score - 1.0) if option.slots[0][0] == "qty" else option
                for option in options
            ]
        options.append(Option((), w["other"]["named"] if named else w["other"]["nothing"], "nothing"))
        options.sort(key=lambda option: -option.score)
        return options[:5]

    def label(self, at: int) -> str | None:
        """What a label before the number says it is: "Volts: 480", "height - 20"."""
        work = self.work
        if work.text_at(at - 1) not in (":", "="):
            return None
        unit = work.unit(at - 2)
        if unit in ("v", "w", "lamps"):
            return unit
        if "up" in work.cue(at - 2) and work.text_at(at - 2) not in ("poles", "pole", "ceiling poles"):
            return "up"
        return None

    def lamps_each(self, at: int) -> int | None:
        """ "4 to a fixture", "2 F96T12 each", "2 focos PL de 26w": the last atom of the count itself where lamps are counted."""
        work = self.work
        nxt = at + 1
        cues = work.cue(nxt)
        if "per_head" in cues and work.text_at(nxt) in (
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
        ):
            return nxt
        if work.has(nxt, "generic") == "light" and work.text_at(nxt) in (
            "foco",
            "focos",
            "lampara",
            "lamparas",
        ):
            for index in range(nxt + 1, min(nxt + 6, len(work.atoms))):
                if work.atoms[index].mean.get("source") in _TUBES | {"INC"} and not work.has(
                    nxt - 1, "family"
                ):
                    return (
                        nxt
                        if any(
                            "family" in work.atoms[n].mean or "size" in work.atoms[n].mean
                            for n in range(0, at)
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
                return nxt if any("family" in work.atoms[n].mean for n in range(0, at)) else None
        if (work.atoms[nxt].mean.get("source") if nxt < len(work.atoms) else None) in _TUBES:
            if (
                "per_head" in work.cue(nxt + 1)
                or work.unit(nxt + 1) == "each"
                and work.text_at(nxt + 1) in ("each", "ea")
            ):
                return at
        return None

    def tube_follows(self, at: int) -> bool:
        """Whether a tube or compact lamp stands at ``at``, its watts before it at most."""
        work = self.work
        for index in range(at, min(at + 4, len(work.atoms))):
            atom = work.atoms[index]
            if atom.mean.get("source") in _TUBES:
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
            if atom.kind == "c" or atom.mean.get("source") in _TUBES:
                return (
                    atom.mean.get("source") in _TUBES
                    and index > at + 1
                    and not any("family" in work.atoms[n].mean for n in range(at, index))
                )
            if (
                "family" in atom.mean
                or "size" in atom.mean
                or atom.kind in ("s", "b")
                and atom.text not in ("-", "'", '"')
            ):
                return False
            if atom.kind == "n" and (work.unit(index + 1) != "w" or index > at + 1):
                return False
            if atom.kind == "x" and len(atom.text) > 3:
                return False
        return False

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
            if atom.mean.get("source"):
                return str(atom.mean["source"])
        return None

    def number(self, at: int) -> int:
        """Read the number at ``at``; the index past what it took."""
        work = self.work
        atom = work.atoms[at]
        value = atom.value
        unit, step = self.unit_after(at)
        prev = self.before(at)
        # counts by the dozen, pairs
        if unit == "dozen":
            self.add(
                at,
                step,
                Option((("qty", int(round(value * 12))),), 4.0, "dozens"),
                Option((), -3.0, "nothing"),
            )
            return step + 1
        if unit == "w" or (unit is None and work.text_at(step) == "w"):
            return self.watts(at, step, value)
        if self.drawn(at, step, unit) and value >= 15 and unit in (None, "each"):
            last = step if unit == "each" else at
            self.fix(at, last, "system watts", input_watts=value)
            return last + 1
        if unit == "v" and value >= 12:
            if work.text_at(at - 1) in ("-", "/") and work.is_number(at - 2):
                pass
            self.fix(at, step, "volts", voltage=int(value))
            return step + 1
        if unit in ("ft", "m"):
            return self.length(at, step, unit, value)
        if unit == "storey":
            self.fix(at, step, "storeys", height_ft=value * 10)
            return step + 1
        if unit == "lamps":
            whole = int(value)
            if 1 <= whole <= 12:
                options = [Option((("lamps", whole),), 2.0, "lamps"), Option((), -1.0, "nothing")]
                self.add(at, step, *options)
                return step + 1
        if unit == "inch" and value in (24, 36, 48, 60, 72, 96) and self.linear_near(step):
            self.add(at, step, Option((("lamp_feet", value / 12),), 1.0, "inches of tube"), Option((), -1.0, "nothing"))
            return step + 1
        if work.text_at(at - 1) == "(" and work.text_at(at + 1) == ")" and at + 2 < len(work.atoms) and work.atoms[at + 2].kind == "c" and work.atoms[at + 2].mean.get("source") in _TUBES and value <= 8:
            self.add(at, at, Option((("lamps", int(value)),), 5.0, "(N) tubes"), Option((("qty", int(value)),), 2.0, "(N)"))
            return at + 1
        if unit == "cri":
            self.fix(at, step, "cri", cri=int(value))
            return step + 1
        if unit == "lumens":
            self.fix(at, step, "lumens", led_lumens=value)
            return step + 1
        if unit == "kelvin" and value >= 1500:
            self.fix(at, step, "kelvin", cct_k=int(value))
            return step + 1
        if work.text_at(at + 1) == "k" and not work.used[at + 1]:
            if work.unit(at + 2) == "lumens":
                self.fix(at, at + 2, "lumens", led_lumens=value * 1000)
                return at + 3
            if value >= 1500:
                self.fix(at, at + 1, "kelvin", cct_k=int(value))
                return at + 2
            if value in _SHORT_CCT:
                self.fix(at, at + 1, "colour", cct_k=_SHORT_CCT[value])
                return at + 2
        if value == int(value) and 1 <= value <= 8 and (lamps_last := self.lamps_each(at)):
            self.add(
                at,
                lamps_last,
                Option((("lamps", int(value)),), 4.0, "lamps in each"),
                Option((), -3.0, "nothing"),
            )
            return lamps_last + 1
        if unit == "each" or (unit == "pair"):
            factor = 2 if unit == "pair" else 1
            if value == int(value) and value >= 1:
                options = [
                    Option((("qty", int(value) * factor),), self.w["qty"]["counted"], "counted"),
                    Option((), -3.0, "nothing"),
                ]
                if (
                    unit == "each"
                    and work.text_at(step) in ("of", "of them", "of those", "of the")
                    and work.text_at(step + 1) in ("the", "our", "my", "those", "these")
                    and work.is_number(step + 2)
                ):
                    work.use(step + 2, step + 2)
                if unit == "each" and work.text_at(step) in ("of", "ea", "each", "units", "count"):
                    options += [
                        option
                        for option in self.bare_roles(at)
                        if option.slots and option.slots[0][0] in ("watts", "voltage", "lamps")
                    ]
                self.add(at, step, *options)
                return step + 1
        if unit in ("other", "percent", "inch", "days", "year", "hours", "week", "shifts", "kwh", "kw"):
            work.use(at, step)
            return step + 1
        if (
            value == int(value)
            and 1 <= value <= 2000
            and work.text_at(at + 1) in ("more", "mas", "others", "otros", "otras")
            and self.noun_after(at + 1, steps=1) == ""
            and self.out
        ):
            self.add(at, at + 1, Option((("qty", int(value)), ("_same", True)), 3.0, "N more"), Option((), -3.0, "nothing"))
            return at + 2
        if "x" in work.cue(at - 1) and not (at >= 2 and work.atoms[at - 2].kind == "n"):
            self.add(
                at,
                at,
                Option((("qty", int(value)),), self.w["qty"]["counted"], "x N"),
                Option((), -3.0, "nothing"),
            )
            return at + 1
        if "x" in work.cue(at + 1) and work.atoms[at + 1].text in ("x", "times"):
            tube = self.tube_follows(at + 2)
            options = [
                Option((("qty", int(value)),), 1.5 if tube else 2.5, "N x"),
                Option((), -3.0, "nothing"),
            ]
            if tube and value <= 8:
                options.append(Option((("lamps", int(value)),), 2.8, "N x lamp"))
            self.add(at, at + 1, *options)
            return at + 2
        # type of optic in arabic numbers, "90+ CRI"
        if work.text_at(at + 1) == "+" and work.unit(at + 2) == "cri":
            self.fix(at, at + 2, "cri", cri=int(value))
            return at + 3
        if work.unit(prev) == "cri":
            self.fix(prev, at, "cri", cri=int(value))
            return at + 1
        # 120/277, 347-480
        if (
            work.text_at(at + 1) in ("/", "-", "to", "thru")
            and work.is_number(at + 2)
            and (int(value), int(work.atoms[at + 2].value))
            in ((120, 277), (347, 480), (100, 277), (277, 480), (120, 240), (120, 208))
        ):
            pair = (int(value), int(work.atoms[at + 2].value))
            end = at + 2
            if work.unit(end + 1) == "v":
                end += 1
            if pair in ((120, 277), (347, 480), (100, 277)):
                self.fix(at, end, "volts", voltage="347-480" if pair[0] == 347 else "120-277")
            else:
                self.fix(at, end, "volts", voltage=pair[0] if pair != (277, 480) else 277)
            return end + 1
        # ranges of counts and watts
        if work.is_number(at + 2) and (work.text_at(at + 1) in ("-", "to", "or")):
            other = work.atoms[at + 2].value
            glued = work.atoms[at + 1].glued or work.text_at(at + 1) in ("to", "or")
            follow, follow_at = self.unit_after(at + 2)
            if glued and value < other <= value * 2 + 2 and follow in (None, "each", "ft", "w"):
                work.flags.setdefault("ranges", {})[at] = other
                if follow == "w":
                    work.used[at + 2] = 1
                    return self.watts(at, follow_at, value)
                if follow == "ft":
                    work.used[at + 2] = 1
                    return self.length(at, follow_at, "ft", value)
                options = (
                    self.bare_roles(at)
                    if follow is None
                    else [Option((("qty", int(value)),), 4.5, "counted")]
                )
                last = at + 2 if follow is None else follow_at
                qty = [
                    option for option in options if option.slots and option.slots[0][0] in ("qty", "watts")
                ]
                if qty:
                    whole = int(other) if other == int(other) else other
                    self.add(at, last, *qty, Option((), -2.0, "nothing"), others=(whole,))
                    return last + 1
        options = self.bare_roles(at)
        end = at
        if work.text_at(at + 1) == "s" and work.atoms[at + 1].glued:
            end = at + 1
        elif work.text_at(at + 1) == "'" and work.text_at(at + 2) == "s":
            end = at + 2
        said = tuple(int(other) if other == int(other) else other for other in atom.others)
        self.add(at, end, *options, bare=True, others=said)
        return end + 1

    def watts(self, at: int, step: int, value: float) -> int:
        """A number of watts: of the lamp, of the system, of the LED that is wanted, or "equivalent" and so none."""
        work = self.work
        prev = self.before(at)
        near_after = range(step + 1, min(step + 4, len(work.atoms)))
        if any(
            "equivalent" in work.cue(index)
            for index in near_after
            if not any(work.atoms[k].kind in ("n", "b") for k in range(step + 1, index))
        ):
            work.use(at, step)
            return step + 1
        draws = "draws" in work.cue(prev) or "draws" in work.cue(prev - 1) or "draws" in work.cue(step + 1)
        if draws:
            self.fix(at, step, "system watts", input_watts=value)
            return step + 1
        if value <= 0:
            return step + 1
        nxt = step + 1
        if work.has(nxt, "led") and not any(
            "existing" in work.cue(n) for n in (at - 1, at - 2, nxt + 1, nxt + 2)
        ):
            self.fix(at, nxt, "watts of the LED asked for", led_watts=value)
            return nxt + 1
        if (
            work.has(at - 1, "led")
            and not any("existing" in work.cue(n) for n in (at - 2, at - 3, nxt, nxt + 1))
            and self.out
            and self.out[-1].last == at - 1
            and "_led" in self.out[-1].slots
        ):
            self.fix(at, step, "watts of the LED asked for", led_watts=value)
            return step + 1
        self.fix(at, step, "watts", watts=value)
        return step + 1

    def drawn(self, at: int, step: int, unit: str | None) -> bool:
        """Whether the words around a number say that it is what the luminaire draws from the line."""
        work = self.work
        prev = self.before(at)
        if "draws" in work.cue(prev) or ("at" in work.cue(prev) and "draws" in work.cue(prev - 1)):
            return True
        index = step + 1 if unit is not None else at + 1
        for look in (index, index + 1):
            if "draws" in work.cue(look):
                return (
                    work.text_at(look) not in ("system", "input", "measured", "metered") or unit is not None
                )
            if self.work.text_at(look) not in ("each", "ea", "apiece", "watts", "w", "total"):
                break
        return False

    def length(self, at: int, step: int, unit: str, value: float) -> int:
        """A number of feet or metres: a height, a lamp's length, a spacing."""
        work = self.work
        last = step
        # 10'6", 30'-0", 14 ft 6 in
        look = step + 1
        if work.text_at(look) == "-" and work.is_number(look + 1):
            look += 1
        if (
            unit == "ft"
            and work.is_number(look)
            and work.atoms[look].value < 12
            and work.unit(look + 1) == "inch"
        ):
            value += work.atoms[look].value / 12
            last = look + 1
        elif (
            unit == "ft"
            and work.text_at(step) == "'"
            and work.is_number(look)
            and work.atoms[look].glued
            and work.atoms[look].value < 12
        ):
            value += work.atoms[look].value / 12
            last = look
        metric = unit == "m"
        feet = round(value * FEET_PER_METRE, 2) if metric else round(value, 4)
        if metric:
            work.flags["metric"] = (at, last)
        after = work.text_at(last + 1)
        if after in ("mh", "m.h.") and not metric:
            work.use(last + 1, last + 1)
            self.fix(at, last + 1, "mounting height", height_ft=feet)
            return last + 2
        if after in (
            "arm",
            "arms",
            "base",
            "bases",
            "wide", "ladder",
            "lift",
            "aisle",
            "aisles",
            "bucket",
            "whip",
            "cord",
            "cable",
            "conduit",
            "mast arm",
            "davit arm",
            "of",
            "run",
            "deep",
            "rows",
            "brazo",
        ):
            work.use(at, last)
            return last + 1
        if (
            "spacing" in work.cue(last + 1)
            or (
                "spacing" in work.cue(last + 2)
                and not work.has(last + 1, "join")
                and work.atoms[last + 1].kind == "w"
            )
            or "spacing" in work.cue(self.before(at))
        ):
            self.fix(at, last, "spacing", spacing_ft=feet)
            return last + 1
        up_after = "up" in work.cue(last + 1)
        prev_at = "at" in work.cue(self.before(at)) and work.text_at(self.before(at)) in ("at", "@", "a")
        linear = self.linear_near(last)
        options = []
        if feet in (1, 1.25, 1.5, 2, 3, 4, 5, 6, 8) and not metric:
            score = 1.0 if linear else -1.0
            if up_after or prev_at:
                score -= 3.0
            options.append(Option((("lamp_feet", feet),), score, "lamp length"))
        score = 0.5 + (2.0 if up_after or prev_at else 0.0) - (2.0 if feet < 6 else 0.0)
        options.append(Option((("height_ft", feet),), score, "height"))
        self.add(at, last, *options)
        return last + 1

    def linear_near(self, last: int) -> bool:
        """Whether the words around a length speak of tubes."""
        work = self.work
        for index in range(max(0, last - 7), min(len(work.atoms), last + 7)):
            mean = work.atoms[index].mean
            if mean.get("source") in _LINEAR or mean.get("family") in _LINEAR_FAMILIES:
                return True
            if (
                mean.get("family_weak") == "strip"
                or mean.get("generic") == "fluorescent"
                or mean.get("unit") == "lamps"
            ):
                return True
        return False

    # --- phrases ----------------------------------------------------------------------------------------------

    def phrase(self, at: int) -> int:
        """Read the phrase or code at ``at``; the index past it."""
        work = self.work
        atom = work.atoms[at]
        mean = atom.mean
        if atom.kind == "c":
            self.fix(at, at, "lamp code", **mean)
            return at + 1
        rule = "fuzzy" if atom.fuzzy else "lexicon"
        for kind in _FIXED:
            if kind in mean:
                extra: dict[str, Any] = (
                    {"_led": True} if kind == "family" and "led" in atom.text.split() else {}
                )
                if kind == "family" and ("recessed" in atom.text or "empotra" in atom.text):
                    extra["mount"] = "recessed"
                self.fix(at, at, rule, **{kind: mean[kind]}, **extra)
                return at + 1
        if "controls" in mean:
            denied = any(
                "not" in work.cue(n) or "remove" in (work.has(n, "action") or ())
                for n in (at - 1, at - 2)
                if n == at - 1 or work.text_at(at - 1) in ("the", "las", "los", "la", "el", "any")
            )
            if denied:
                work.flags.setdefault("without", []).append(mean["controls"])
            self.fix(at, at, rule, controls=("none",) if denied else (mean["controls"],))
            return at + 1
        if "flag" in mean:
            self.fix(at, at, rule, **{mean["flag"]: True})
            return at + 1
        if "colour" in mean:
            self.fix(at, at, rule, cct_k=mean["colour"])
            return at + 1
        if "voltage" in mean:
            self.fix(at, at, rule, voltage=mean["voltage"])
            return at + 1
        if "led" in mean:
            return self.led(at)
        if mean.get("scope") == "same" and at:
            self.fix(at, at, rule, _same=True)
            return at + 1
        if mean.get("generic") == "light":
            self.fix(at, at, rule, _noun=True)
            return at + 1
        if "family_weak" in mean and self.strong(at):
            self.fix(at, at, rule, family=mean["family_weak"])
            return at + 1
        point = mean.get("pointer") or mean.get("family_weak")
        if point and self.points(at):
            self.fix(at, at, rule, _point=point)
            return at + 1
        if "unit" in mean and mean["unit"] == "dozen":
            factor = 12.0
            if work.text_at(at - 1) == "media":
                factor = 6.0
            if work.text_at(at - 1) == "half" or work.text_at(at - 2) == "half":
                factor = 6.0
            end = at
            if work.text_at(at - 1) in ("couple", "couple of") or work.text_at(at - 2) == "couple":
                factor = 24.0
            if work.text_at(at + 1) in ("and", "n", "&") and work.text_at(at + 3) == "half":
                factor, end = 18.0, at + 3
            self.add(at, end, Option((("qty", int(factor)),), 4.0, "dozen"), Option((), -3.0, "nothing"))
            return end + 1
        if "unit" in mean and mean["unit"] == "pair":
            self.add(at, at, Option((("qty", 2),), 4.0, "pair"), Option((), -3.0, "nothing"))
            return at + 1
        return at + 1

    def led(self, at: int) -> int:
        """ "LED": what hangs there now, what is asked for directly, or only what the quote is about."""
        work = self.work
        near = [
            n
            for n in range(max(0, at - 5), min(len(work.atoms), at + 6))
            if not any(ends_clause(work.atoms[k]) or work.text_at(k) == "," for k in range(min(n, at), max(n, at)))
        ]
        existing = any("existing" in work.cue(n) for n in near if n != at)
        wanted = any(
            "want" in work.cue(n)
            and work.text_at(n)
            in (
                "to",
                "want",
                "go to",
                "going to",
                "to led",
                "replace with",
                "switch to",
                "convert to",
                "upgrade to",
                "go with",
                "wants",
                "en",
            )
            for n in range(max(0, at - 4), at)
        )
        if work.text_at(at + 1) in (
            "replacement",
            "replacements",
            "upgrade",
            "upgrades",
            "retrofit",
            "retrofits",
            "version",
            "versions",
            "equivalent",
            "price",
            "pricing",
            "quote",
            "conversion",
            "option",
            "options",
            "equal",
            "run",
            "cost",
            "save",
            "?",
            "swap",
            "driver",
            "drivers",
            "instead",
            "kit",
            "kits",
            "tape",
        ):
            work.use(at, at)
            return at + 1
        bound = False
        for n in (at - 1, at + 1, at - 2, at + 2, at + 3, at - 3):
            if not 0 <= n < len(work.atoms):
                continue
            lo, hi = min(n, at), max(n, at)
            if any(
                ends_clause(work.atoms[k])
                or work.atoms[k].text
                in (",", "to", "with", "en", "por", "on", "for", "of", "in", "at", "para", "de", "is", "or")
                and not (n < at and work.atoms[k].text in ("de",))
                for k in range(lo + 1, hi)
            ):
                continue
            mean = work.atoms[n].mean
            if (
                "family" in mean
                or "size" in mean
                or mean.get("unit") in ("w", "lumens")
                or mean.get("generic") == "light"
                or "family_weak" in mean
                or "colour" in mean
            ):
                if abs(n - at) <= 2 or mean.get("unit") == "w" or "family" in mean:
                    bound = True
                    break
        if existing and bound and not wanted:
            self.fix(at, at, "LED there now", source="LED")
            return at + 1
        if bound or (work.text_at(at - 1) in (",", ":") and work.has(at + 1, "finish")):
            self.fix(at, at, "LED asked for", _led=True)
        else:
            work.use(at, at)
        return at + 1

    def points(self, at: int) -> bool:
        """Whether a word that only points at a type stands in a pointing place: "the poles are", "for the lot"."""
        work = self.work
        before, after = work.text_at(at - 1), work.text_at(at + 1)
        if before in ("the", "those", "los", "las", "el", "la", "my", "our"):
            return True
        if work.has(at - 1, "scope") == "except" or (
            before in ("on", "for", "only", "and") and not work.is_number(at + 1)
        ):
            return True
        return after in (
            "are",
            "r",
            "is",
            "get",
            "need",
            "ones",
            "at",
            "=",
            "have",
            "should",
            "stay",
            "son",
            "go",
            ":",
        )

    def strong(self, at: int) -> bool:
        """Whether a weak luminaire word has company that makes it one."""
        work = self.work
        text = work.text_at(at)
        if self.cell:
            return True
        before = work.atoms[at - 1] if at else None
        if before is None:
            return text.endswith("s")
        if before.kind == "n" and not text.endswith(("lot", "street", "yard", "grid")):
            return True
        if (
            before.mean.get("source")
            or (before.mean.get("unit") in ("w", "lamps", "ft", "inch") and (at < 2 or work.atoms[at - 2].kind in ("n", "s")))
            or before.mean.get("led")
        ):
            return True
        if work.text_at(at + 1) in ("style", "type", "mount", "mounted"):
            return True
        return (
            before.kind == "b"
            or (before.kind == "s" and before.text in ";:]-*")
            or text.endswith("s")
            and before.kind == "s"
            or work.text_at(at - 1) in ("the",)
            and text.endswith("s")
        )

    def pointed(self, at: int) -> tuple[int, Scope] | None:
        """Words that point at lines of the job so far: "the 400s", "the halide ones", "the low ones", "the back ones"."""
        work = self.work
        atom = work.atoms[at]
        if work.used[at]:
            return None
        before = work.text_at(at - 1)
        the = before in ("the", "those", "los", "las", "for", "on", "these")
        if atom.kind == "n" and atom.value >= 20 and (the or (self.conversing and at == 0)):
            end = at
            if work.text_at(at + 1) == "s" and work.atoms[at + 1].glued:
                end = at + 1
            elif work.text_at(at + 1) == "'" and work.text_at(at + 2) == "s":
                end = at + 2
            elif self.conversing and atom.text.endswith(("hundreds", "fifties", "thousands")):
                end = at
            elif not (
                self.conversing
                and the
                and work.unit(at + 1) == "w"
                and work.text_at(at + 2) in ("ones", "one")
            ):
                return None
            else:
                end = at + 2
            if not self.conversing and (
                work.text_at(end + 1) not in ("are", "r", "is", "at", "get", "need", "have", "on") or not the
            ):
                return None
            return end, Scope("family", atom.start, work.atoms[end].end, watts=atom.value)
        if not self.conversing:
            return None
        if (atom.mean.get("source") or atom.mean.get("led")) and work.text_at(at + 1) in ("ones", "one"):
            source = atom.mean.get("source") or "LED"
            return at + 1, Scope("family", atom.start, work.atoms[at + 1].end, source=source)
        label = self.labels.get(atom.start)
        if label is not None:
            last = at
            while last + 1 < len(work.atoms) and work.atoms[last + 1].start < label.end:
                last += 1
            return last, Scope("family", label.start, label.end, labels=(label.words,))
        if atom.text in _SIZES and work.text_at(at + 1) in ("ones", "one", "poles", "pole", "lights"):
            which, slot = _SIZES[atom.text]
            lowest, highest = (slot, "") if which == "lowest" else ("", slot)
            return at + 1, Scope("family", atom.start, work.atoms[at + 1].end, lowest=lowest, highest=highest)
        return None

    def run(self) -> list[Mention]:
        """All mentions of the stretch, in text order."""
        at = 0
        work = self.work
        products = {product.first: product for product in (*read_products(work), *holders(work))}
        while at < len(work.atoms):
            atom = work.atoms[at]
            pointed = self.pointed(at)
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
                self.add(at, at, Option((("qty", product.qty),), 5.0, "worked out"))
                at += 1
                continue
            if work.used[at] or atom.kind in ("w", "s", "b", "x"):
                if atom.text in ("quad", "quads", "triple", "triples") and work.unit(at - 1) == "w":
                    self.fix(at, at, "pin lamp", source="CFL")
                    at += 1
                    continue
                if atom.text == "wet" and (at + 1 >= len(work.atoms) or work.atoms[at + 1].kind in ("s", "b")):
                    self.fix(at, at, "wet", damp_or_wet="wet")
                    at += 1
                    continue
                if atom.text == "pls" and work.unit(at - 1) == "w":
                    self.fix(at, at, "PL lamps", source="CFL")
                    at += 1
                    continue
                if atom.kind == "w" and atom.text in ("couple", "cuople") and any(work.unit(n) == "dozen" for n in (at + 1, at + 2)):
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
