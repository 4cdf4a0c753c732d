"""Numbers with a unit, or in a pattern that says what they are."""

from bot.reading.bare_numbers import known_watts
from bot.reading.clause import Work
from bot.reading.measures import Measures
from bot.reading.mentions import Option
from bot.reading.neighbours import TUBES
from bot.reading.supply import VOLTS
from bot.reading.words import words_of

_AT_LEAST = frozenset(
    {">", "=", "≥", ":", "of", "min", "minimum", "at least", "at", "least", "de", "over", "above", "+"}
)
_TUBES_OR_NONE = TUBES | {None}
_FEW_WATTS = frozenset(
    {None, "troffer", "strip", "wrap", "vapor_tight", "panel", "exit", "downlight", "sconce"}
)
"""Families that no discharge lamp's watts stand right behind."""
_SHORT_CCT = {2.2: 2200, 2.7: 2700, 3.0: 3000, 3.5: 3500, 4.0: 4000, 4.1: 4100, 5.0: 5000, 5.7: 5700, 6.5: 6500,
              6.0: 6000, 27.0: 2700, 30.0: 3000, 35.0: 3500, 40.0: 4000, 41.0: 4100, 50.0: 5000, 57.0: 5700, 65.0: 6500}  # fmt: skip


_BUILT = words_of(
    "building bldg buildings bldgs hotel apartment apartments office complex place structure garage ramp deck built house motel school dorm"
)
"""What has storeys of its own."""
_AS_HIGH = words_of("up high tall above off from mounting mount hang hung and on at")


_KIND = frozenset({"family", "family_weak", "size"})


_SUPPLY = frozenset({120.0, 208.0, 240.0, 277.0, 347.0, 480.0})
_RATHER_WATTS = frozenset({70.0, 175.0, 250.0, 320.0, 400.0, 750.0, 1000.0, 1500.0})
"""Behind "of my" these are rather the lamp's watts than how many there are."""


class BoundNumbers(Measures):
    """Reads one number with what belongs to it."""

    def of_the_building(self, at: int, step: int) -> bool:
        """Whether storeys are those of the building and no height of a luminaire: "Bldg is 3 stories", "a 4 story office"."""
        work = self.work
        if work.text_at(step + 1) in _BUILT:
            return True
        if (
            work.text_at(step) in ("story", "storey")
            and work.atoms[at].value > 1
            and step + 1 < len(work.atoms)
            and work.atoms[step + 1].kind == "w"
            and work.text_at(step + 1) not in _AS_HIGH
        ):
            return True  # "two story walkup"
        return work.text_at(at - 1) in ("is", "are", "has", "its", "a") and not {
            work.text_at(at - 2),
            work.text_at(at - 3),
        }.isdisjoint(_BUILT)

    def in_turn(self, at: int) -> str | None:
        """The slot that a number of a list dealt in turn shares with the next: "25 and 15 ft respectively"."""
        work = self.work
        if work.text_at(at + 1) not in ("and", "&", "/", ",", "y") or not work.is_number(at + 2):
            return None
        unit, step = self.unit_after(at + 2)
        slot = {"w": "watts", "ft": "height_ft", "v": "voltage", "kelvin": "cct_k"}.get(unit or "")
        near = range(step + 1, min(step + 6, len(work.atoms)))
        return (
            slot if any(work.text_at(n) in ("respectively", "resp", "in that order") for n in near) else None
        )

    def _named_behind(self, step: int) -> bool:
        """Whether the kind of luminaire is named within a few words: "one of our wall packs", not "one of the lights"."""
        atoms = self.work.atoms
        for atom in atoms[step + 1 : step + 6]:
            if not _KIND.isdisjoint(atom.mean):
                return True
            if atom.kind in ("s", "b"):
                return False
        return False

    def _counted_in_brackets(self, at: int) -> bool:
        """Whether "(8)" behind a luminaire word counts luminaires, though a tube follows: "strips (10) F96T12, wraps (8) F34T12"."""
        work = self.work
        long = work.unit(at - 2) == "ft" and at >= 4 and work.atoms[at - 3].kind == "n"
        if not _named(work, at - 4 if long else at - 2):
            return False
        for mention in reversed(self.out[-8:]):
            if not any(option.slots and option.slots[0][0] == "qty" for option in mention.options):
                continue
            if not any(atom.kind in "sb" for atom in work.atoms[mention.last + 2 : at - 1]):
                return False  # "60 lay-ins (4) F32T8"
            return work.atoms[at].value > 4 or (
                work.text_at(mention.first - 1) == "("
                and work.text_at(mention.last + 1) == ")"
                and _named(work, mention.first - 2)
            )
        return work.atoms[at].value > 4

    def _in_each_of_them(self, at: int) -> bool:
        """Whether "2x500w" right behind a counted luminaire word tells its lamps: "9 floods 2x500w halogen"."""
        work = self.work
        if not (
            1 <= work.atoms[at].value <= 8
            and work.has(at - 1, "family") is not None
            and "qty" in self.seen
            and work.is_number(at + 2)
            and work.unit(at + 3) == "w"
        ):
            return False
        if not any(atom.kind == "n" for atom in work.atoms[max(0, at - 4) : at]):
            return False
        for atom in work.atoms[at + 4 : at + 8]:
            if atom.kind in "sbn":
                break
            if "family" in atom.mean or "generic" in atom.mean:
                return False
        return True

    def _counted_lamp(self, at: int) -> bool:
        """Whether a counted type with its lamp stands right before the number: "15 wall packs 100 HPS 120 PC"."""
        if not self.out or self.out[-1].last != at - 1 or not {"source", "watts"} & self.out[-1].slots:
            return False
        return any(
            mention.options[0].slots[:1] != () and mention.options[0].slots[0][0] == "qty"
            for mention in self.out[-5:]
        )

    def number(self, at: int) -> int:
        """Read the number at ``at``; the index past what it took."""
        work = self.work
        atom = work.atoms[at]
        value = atom.value
        unit, step = self.unit_after(at)
        prev = self.before(at)
        if unit is None and (turn := self.in_turn(at)) is not None:
            self.fix(at, at, "in turn", **{turn: int(value) if turn in ("voltage", "cct_k") else value})
            return at + 1
        # counts by the dozen, pairs
        if unit == "dozen":
            self.add(
                at,
                step,
                Option((("qty", round(value * 12)),), 4.0, "dozens"),
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
        if unit == "storey" and self.of_the_building(at, step):
            work.use(at, step)
            return step + 1
        if unit == "storey":
            self.fix(at, step, "storeys", height_ft=value * 10)
            return step + 1
        if (
            unit == "lamps"
            and work.text_at(at - 1) == "x"
            and (work.has(at - 2, "family") or work.has(at - 2, "size"))
        ):
            unit, step = None, at + 1  # "wallpack x6 bulb is marked S54"
        if unit == "lamps":
            whole = int(value)
            if 1 <= whole <= 12:
                options = [Option((("lamps", whole),), 2.0, "lamps"), Option((), -1.0, "nothing")]
                self.add(at, step, *options)
                return step + 1
        if (
            unit == "inch"
            and 60 < value <= 600
            and ("up" in work.cue(prev) or "up" in work.cue(prev - 1) or "up" in work.cue(step + 1))
            and "linear" not in work.text_at(prev)
        ):
            self.fix(at, step, "height in inches", height_ft=round(value / 12, 2))  # "hung at 180 inches"
            return step + 1
        if (
            unit == "inch"
            and 18 <= value <= 60
            and "up" in work.cue(step + 1)
            and any(
                work.has(n, "family") in ("bollard", "landscape", "post_top")
                for n in range(max(0, at - 6), at)
            )
        ):
            self.fix(at, step + 1, "height in inches", height_ft=round(value / 12, 2))
            return step + 2
        if unit == "inch" and value in (24, 36, 48, 60, 72, 96) and self.linear_near(step):
            self.add(
                at,
                step,
                Option((("lamp_feet", value / 12),), 1.0, "inches of tube"),
                Option((), -1.0, "nothing"),
            )
            return step + 1
        if (
            work.text_at(at - 1) == "("
            and work.text_at(at + 1) == ")"
            and at + 2 < len(work.atoms)
            and work.atoms[at + 2].kind == "c"
            and work.atoms[at + 2].mean.get("source") in TUBES
            and value <= 8
        ):
            counts = self._counted_in_brackets(at)
            tubes = Option((("lamps", int(value)),), 2.0 if counts else 5.0, "(N) tubes")
            luminaires = Option((("qty", int(value)),), 5.0 if counts else 2.0, "(N)")
            self.add(at, at, *((luminaires, tubes) if counts else (tubes, luminaires)))
            return at + 1
        if unit == "cri":
            self.fix(at, step, "cri", cri=int(value))
            return step + 1
        if unit == "lumens" and value < 200 and work.text_at(step) in ("lum", "lums"):
            # "60 lum @ 250W HPS": luminaires
            self.add(at, step, Option((("qty", int(value)),), 4.0, "luminaires"), Option((), -3.0, "nothing"))
            return step + 1
        if unit == "lumens":
            self.fix(at, step, "lumens", led_lumens=value)
            return step + 1
        if unit == "kelvin" and (value >= 1500 or value in _SHORT_CCT):
            self.fix(at, step, "kelvin", cct_k=_SHORT_CCT.get(value, int(value)))
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
        if unit == "each" and atom.text in ("one", "1") and work.text_at(step).split(" ")[0] == "of":
            owned = work.text_at(step) in ("of", "of the", "of our", "of my") or work.text_at(step + 1) in (
                "our",
                "my",
                "the",
            )
            many = next(
                (n for n in range(step + 1, min(step + 3, len(work.atoms))) if work.is_number(n)), None
            )
            if not owned or many is not None or self.conversing or not self._named_behind(step):
                # "one of them is flickering", "one of our 22 high bays", "one of the poles tingles" count nothing
                work.use(at, step)
                return step + 1
        if unit == "each" and work.text_at(step) == "pc" and value in _SUPPLY and self._counted_lamp(at):
            self.fix(at, at, "volts before a photocell", voltage=int(value))
            self.fix(step, step, "PC beside attributes", controls=("photocell",))
            return step + 1
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
                    and work.unit(step + 3) in (None, "each")
                    and work.has(step + 3, "source") is None
                    and work.atoms[step + 2].value not in _RATHER_WATTS  # "50 of my 400 high bays"
                ):
                    work.use(step + 2, step + 2)
                if (
                    unit == "each"
                    and work.text_at(step) in ("of the", "of our", "of my", "of those", "of these")
                    and work.is_number(step + 1)
                    and work.has(step + 2, "family") is not None
                    and work.text_at(step + 2).endswith("s")
                    and work.atoms[step + 1].value not in _RATHER_WATTS
                ):
                    work.use(step + 1, step + 1)  # "5 of the 40 troffers"
                if unit == "each" and work.text_at(step) in ("of", "ea", "each", "units", "count"):
                    options += [
                        option
                        for option in self.bare_roles(at)
                        if option.slots and option.slots[0][0] in ("watts", "voltage", "lamps")
                    ]
                self.add(at, step, *options, others=tuple([int(other) for other in atom.others]))
                return step + 1
        if (
            unit == "kw"
            and value in (0.1, 0.15, 0.175, 0.25, 0.4, 0.75, 1.0, 1.5, 2.0)
            and (self.source_near(step) is not None or self.noun_after(step) in ("noun", "lamp"))
        ):
            self.fix(at, step, "kilowatts of lamp", watts=value * 1000)
            return step + 1
        if unit in ("other", "percent", "inch", "days", "year", "hours", "week", "shifts", "kwh", "kw"):
            work.use(at, step)
            return step + 1
        if (
            value == int(value)
            and 1 <= value <= 2000
            and work.text_at(at + 1) in ("more", "mas", "others", "otros", "otras")
            and self.noun_after(at + 1, steps=1) == ""
            and (self.out or self.conversing)
        ):
            same = (("_same", True),) if self.out and not self.conversing else ()
            self.add(
                at,
                at + 1,
                Option((("qty", int(value)), *same), 3.0, "N more"),
                Option((), -3.0, "nothing"),
            )
            return at + 2
        if (lamps_mark := self.shorthand_lamps(at)) is not None:
            self.add(
                at,
                lamps_mark,
                Option((("lamps", int(value)),), 2.6, "lamps before a tube"),
                Option((("qty", int(value)),), 2.2, "N before a tube"),
            )
            return lamps_mark + 1
        if "x" in work.cue(at - 1) and not (at >= 2 and work.atoms[at - 2].kind == "n"):
            self.add(
                at,
                at,
                Option((("qty", int(value)),), self.w["qty"]["counted"], "x N"),
                Option((), -3.0, "nothing"),
            )
            return at + 1
        if (
            value in VOLTS
            and work.text_at(at + 1) == "x"
            and at
            and not {"family", "family_weak", "source"}.isdisjoint(work.atoms[at - 1].mean)
            and work.is_number(at + 2)
            and (at + 3 >= len(work.atoms) or work.atoms[at + 3].kind in ("s", "b"))
        ):
            # "400mh fl 277 x4": what feeds them, then the count
            self.fix(at, at, "volts before a count", voltage=int(value))
            count = Option((("qty", int(work.atoms[at + 2].value)),), self.w["qty"]["counted"], "x N")
            self.add(at + 1, at + 2, count, Option((), -3.0, "nothing"))
            return at + 3
        if (
            work.text_at(at + 1) == "x"
            and at
            and (
                work.has(at - 1, "source") not in _TUBES_OR_NONE
                or (value in known_watts() and value >= 70 and work.has(at - 1, "family") not in _FEW_WATTS)
            )
            and value >= 35
            and work.is_number(at + 2)
            and work.unit(at + 3) is None
        ):
            # "PSMH 320 x 12": the lamp's watts, then the count
            self.fix(at, at, "watts before a count", watts=value)
            count = Option((("qty", int(work.atoms[at + 2].value)),), self.w["qty"]["counted"], "x N")
            self.add(at + 1, at + 2, count, Option((), -3.0, "nothing"))
            return at + 3
        if "x" in work.cue(at + 1) and work.atoms[at + 1].text in ("x", "times"):
            if (
                1 <= value <= 8
                and work.is_number(at + 2)
                and 13 <= work.atoms[at + 2].value <= 96
                and work.unit(at + 3) in (None, "w")
                and (
                    any(work.has(n, "source") in TUBES for n in (at - 1, at - 2, at - 3))
                    or (
                        work.text_at(at - 1) in ("de", "con")
                        and (
                            work.has(at - 2, "generic") == "light" or work.has(at - 2, "family") in _FEW_WATTS
                        )
                    )
                )
            ) or self._in_each_of_them(at):
                # "t8 de 2x32", "11 exit signs 2x15W inc": lamps and the watts of each
                last = at + 3 if work.unit(at + 3) == "w" else at + 2
                self.fix(at, last, "N x watts", lamps=int(value), watts=work.atoms[at + 2].value)
                return last + 1
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
        rendering = prev
        while rendering > prev - 4 and work.text_at(rendering) in _AT_LEAST:
            rendering -= 1
        if work.unit(rendering) == "cri" and 50 <= value <= 100:
            self.fix(rendering, at, "cri", cri=int(value))
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
        between = work.text_at(at - 1) in ("between", "btwn", "betw", "btw", "entre") and work.text_at(
            at + 1
        ) in (
            "and",
            "y",
            "&",
            "n",
        )
        if work.is_number(at + 2) and (work.text_at(at + 1) in ("-", "to", "or") or between):
            other = work.atoms[at + 2].value
            glued = work.atoms[at + 1].glued or between or work.text_at(at + 1) in ("to", "or")
            follow, follow_at = self.unit_after(at + 2)
            if glued and value < other <= value * 2 + 2 and follow in (None, "each", "ft", "w"):
                work.flags.setdefault("ranges", {})[at] = other
                if follow in ("w", "ft"):
                    work.used[at + 2] = 1
                    past = (
                        self.watts(at, follow_at, value)
                        if follow == "w"
                        else self.length(at, follow_at, "ft", value)
                    )
                    if self.out and self.out[-1].first == at and not self.out[-1].others:
                        self.out[-1] = self.out[-1]._replace(others=(other,))  # "12 to 14 ft"
                    return past
                options = (
                    self.bare_roles(at)
                    if follow is None
                    else [Option((("qty", int(value)),), 4.5, "counted")]
                )
                last = at + 2 if follow is None else follow_at
                qty = [
                    option for option in options if option.slots and option.slots[0][0] in ("qty", "watts")
                ]
                volts = [option for option in options if option.slots and option.slots[0][0] == "voltage"]
                if volts and follow is None and other in (120, 208, 240, 277, 347, 480):
                    qty = volts  # "either 208 or 240"
                if qty:
                    second = int(other) if other == int(other) else other
                    went = {work.text_at(at - 1), work.text_at(at - 2)} & {
                        "went",
                        "grew",
                        "jumped",
                        "dropped",
                        "gone",
                        "changed",
                    }
                    if went and work.text_at(at + 1) == "to":
                        # "went from 20 to 26": what it is now
                        self.add(
                            at, last, Option((("qty", second),), 4.0, "went to"), Option((), -3.0, "nothing")
                        )
                        return last + 1
                    self.add(at, last, *qty, Option((), -2.0, "nothing"), others=(second,))
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


def _named(work: Work, at: int) -> bool:
    """Whether a luminaire word stands here."""
    return work.has(at, "family") is not None or work.has(at, "size") is not None
