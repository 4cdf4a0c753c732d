"""Watts and lengths: of the lamp or the whole luminaire, of what hangs there or is asked for; heights, tubes, spacings."""

from bot.reading.bare_numbers import BareNumbers
from bot.reading.mentions import Option
from bot.reading.neighbours import LINEAR_FAMILIES, TUBES
from bot.reading.words import words_of

FEET_PER_METRE = 3.28084

_LED_LAMPS = frozenset({"led", "leds", "corn", "corncob", "corncobs"})

_ABOUT = frozenset(
    {
        ",",
        "about",
        "around",
        "approx",
        "~",
        "roughly",
        "like",
        "maybe",
        "-",
        "(",
        "unos",
        "somewhere around",
        "de",
        "of",
        "at",
    }
)


def _led_kind(name: str) -> bool:
    """Whether a luminaire word names a kind that is made as LED only."""
    return "flat pan" in name or "edge lit" in name or "edgelit" in name or "backlit" in name or "ufo" in name


_PULLING = frozenset({"pulling", "pull", "pulls"})
_OVERHEAD = frozenset({"ceiling", "ceilings", "clear", "clearance", "deck", "techo", "techos", "plafon"})


_GIVEN_UP = frozenset({"to led", "to leds", "into led", "over to led", "a led", "por led", "for led"})
_LONG_PLACES = words_of(
    "hall hallway hallways walkway sidewalk path road driveway drive building corridor tunnel dock canopy wall fence aisle ramp bridge alley lot room barn"
)


class Measures(BareNumbers):
    """Reads a number of watts, or of feet or metres, with what belongs to it."""

    def _sum_of_lamps(self, at: int, step: int, value: float) -> bool:
        """Whether watts only add up the lamps told before: "four 40 watt T12s in each so 160 watt of lamp"."""
        work = self.work
        told = [work.text_at(n) for n in range(step + 1, min(step + 3, len(work.atoms)))]
        if not (
            "lamp" in " ".join(told)
            or {"of tube", "of tubes", "tube", "tubes"} & set(told)
            or work.text_at(at - 1) in ("so", "thats", "that's", "=", "total")
        ):
            return False
        numbers = [work.atoms[n].value for n in range(max(0, at - 16), at) if work.atoms[n].kind == "n"]
        return any(
            2 <= lamps <= 8 and watts >= 5 and lamps * watts == value
            for lamps in numbers
            for watts in numbers
        )

    def watts(self, at: int, step: int, value: float) -> int:
        """A number of watts: of the lamp, of the system, of the LED that is wanted, or "equivalent" and so none."""
        work = self.work
        prev = self.before(at)
        near_after = range(step + 1, min(step + 4, len(work.atoms)))
        if any(
            "equivalent" in work.cue(index)
            for index in near_after
            if not any(work.atoms[k].kind in ("n", "b") for k in range(step + 1, index))
            and not (
                work.text_at(index) == "equal to"
                and any(work.has(k, "led") for k in range(max(0, at - 4), at))
            )
        ):
            work.use(at, step)
            return step + 1
        if self._sum_of_lamps(at, step, value):
            work.use(at, step)
            return step + 1
        parted = work.text_at(prev) in (",", ".", ";")
        draws = (
            "draws" in work.cue(prev)
            or (not parted and "draws" in work.cue(prev - 1))
            or "draws" in work.cue(step + 1)
            or (
                work.text_at(step + 1) in ("actual", "measured", "real", "true", "metered")
                and self.watts_said_before(at)
            )
            or any(
                work.text_at(n) in ("actual", "measured", "metered")
                for n in (step + 1, step + 2)
                if n == step + 1 or work.unit(step + 1) == "each"
            )
            or (
                # "112w total w/ 4 lamps"
                work.text_at(step + 1) == "total"
                and any(work.unit(n) == "lamps" for n in range(max(0, at - 6), min(at + 8, len(work.atoms))))
            )
        )
        # "pulling 6 400 W high bays", "pull out the 400 W": they come down
        counted = at >= 2 and work.atoms[at - 1].kind == "n"
        pulled = counted and work.text_at(at - 2) in _PULLING
        for index in range(max(0, at - 3), at - 1):
            pulled = pulled or (
                work.text_at(index) in _PULLING and work.text_at(index + 1) in ("out", "down", "off")
            )
        if draws and not pulled:
            self.fix(at, step, "system watts", input_watts=value)
            return step + 1
        if value <= 0:
            return step + 1
        nxt = step + 1
        if value <= 320 and self._of_a_led_kind(at, nxt):
            self.fix(at, step, "watts of the LED asked for", led_watts=value)
            return step + 1
        if (
            self.names_led(nxt)
            and not self._left_for_led(at, nxt)
            and not any(
                "existing" in work.cue(n) and work.text_at(n) not in ("in place", "in place of")
                for n in (at - 1, at - 2, nxt + 1, nxt + 2)
            )
        ):
            last = nxt if work.has(nxt, "led") else step
            self.fix(at, last, "watts of the LED asked for", led_watts=value)
            return last + 1
        if (
            work.text_at(at - 1) in (",", "-", ":")
            and work.has(at - 2, "led")
            and (work.text_at(at - 3) == "in" or (work.text_at(at - 3) == "," and work.has(at - 4, "family")))
            and not work.has(nxt, "source")
            and not any("existing" in work.cue(n) for n in range(nxt, nxt + 3))
        ):
            # "12 wallpacks, LED, 60 W", "24 high bays in LED, 150 watts each"
            self.fix(at, step, "watts of the LED asked for", led_watts=value)
            return step + 1
        if (
            "at" in work.cue(at - 1)
            and work.has(at - 2, "led")
            and not any("existing" in work.cue(n) for n in (at - 3, at - 4, nxt))
        ):
            self.fix(at, step, "watts of the LED asked for", led_watts=value)
            return step + 1
        led_before = at - 2 if work.text_at(at - 1) in ("de", "of") else at - 1
        if (
            self.names_led(led_before)
            and not any("existing" in work.cue(n) for n in (at - 2, at - 3, nxt, nxt + 1))
            and (
                "want" in work.cue(at - 1)
                or (work.has(led_before, "flag") and not work.has(nxt, "source"))
                or (self.out and self.out[-1].last == at - 1 and "_led" in self.out[-1].slots)
            )
        ):
            self.fix(at, step, "watts of the LED asked for", led_watts=value)
            return step + 1
        look = at - 1
        while look > at - 5 and (work.has(look, "size") or work.text_at(look) in ("de", "of", "at", "@")):
            look -= 1
        if (
            look < at - 1
            and self.names_led(look)
            and (
                work.text_at(look - 1) in ("por", "con", "with", "to", "by", "a", "into", "for")
                or (
                    work.has(look, "led")
                    and work.has(look - 1, "family")
                    and not any("existing" in work.cue(n) for n in (look - 2, nxt, nxt + 1))
                )
            )
        ):
            # "por paneles led 2x4 de 40w": what is asked for in place of the others
            self.fix(at, step, "watts of the LED asked for", led_watts=value)
            return step + 1
        if look == at - 1:
            while look > at - 5 and work.text_at(look) in _ABOUT:
                look -= 1
            if (
                look < at - 1
                and work.has(look, "led")
                and not work.has(nxt, "source")
                and (
                    "want" in work.cue(look)
                    or "want" in work.cue(look - 1)
                    or work.text_at(look - 1) in ("to", "in", "into", "for", "por", "a", "con", "with")
                )
                and not any("existing" in work.cue(n) for n in (look - 1, look - 2, nxt))
            ):
                # "8 wall packs to LED, about 60 watts"
                self.fix(at, step, "watts of the LED asked for", led_watts=value)
                return step + 1
        self.fix(at, step, "watts", watts=value)
        return step + 1

    def _of_a_led_kind(self, at: int, nxt: int) -> bool:
        """Whether the watts are those of a flat panel or a UFO, which there are as LED alone: "40w flat panels", "30 flat panels 2x4 50w"."""
        work = self.work
        if "existing" in work.cue(nxt) or "existing" in work.cue(nxt + 1):
            return False  # "16 UFOs LED 240w existing"
        for index in range(nxt, min(nxt + 3, len(work.atoms))):
            atom = work.atoms[index]
            if (
                "source" in atom.mean
                or atom.kind in ("b", "c")
                or (atom.kind == "s" and atom.text not in ("-", '"'))
            ):
                break
            if "family" in atom.mean:
                return _led_kind(atom.text)
        if work.has(nxt, "source") is not None:
            return False
        for index in range(at - 1, max(at - 6, -1), -1):
            atom = work.atoms[index]
            if "source" in atom.mean or atom.kind in ("b", "c") or atom.text in (".", ";", "to", "for"):
                return False
            if "family" in atom.mean:
                return _led_kind(atom.text)
        return False

    def _left_for_led(self, at: int, nxt: int) -> bool:
        """Whether the watts are those that are given up: "from 400w to led", "bajar de 400w a led", "10 high bays 400w to led"."""
        work = self.work
        if work.text_at(nxt) in _GIVEN_UP:
            return True
        return work.text_at(at - 1) in ("from", "de", "desde") and work.text_at(nxt).split(" ", 1)[0] in (
            "to",
            "a",
        )

    def _counted_tubes(self, at: int, last: int) -> bool:
        """Whether a length is counted by itself: "24 8 footers", "18 of the 8 footers"."""
        work = self.work
        lead = at - 1
        while lead > at - 3 and work.text_at(lead) in (
            "of the",
            "of those",
            "of our",
            "of",
            "the",
            "our",
            "x",
        ):
            lead -= 1
        if lead < 0 or work.atoms[lead].kind != "n" or work.unit(lead + 1) in ("w", "v", "ft"):
            return False
        behind = len(self.out) - 1
        while behind >= 0 and self.out[behind].slots.isdisjoint(("family", "size")):
            behind -= 1
        if behind < 0:
            # "12 4 footers 2 tube, 3 wall packs", but "12 4 footers and 8 8 footers, strips"
            named = next((a.mean["family"] for a in work.atoms[last + 1 :] if "family" in a.mean), None)
            if named is None or named in LINEAR_FAMILIES:
                return False
        elif dict(self.out[behind].options[0].slots).get("family") in LINEAR_FAMILIES:
            return False  # "120 four-foot strips and 36 eight-footers"
        return not any(
            {"family", "size", "family_weak"} & work.atoms[n].mean.keys() or "poles" in work.cue(n)
            for n in range(last + 1, min(last + 4, len(work.atoms)))
        )

    def names_led(self, index: int) -> bool:
        """Whether the atom at ``index`` speaks of an LED, by itself or within a name ("led panels", "to led")."""
        work = self.work
        if work.has(index, "led"):
            return True
        if work.has(index, "source") == "LED":
            return False  # it hangs there now
        words = work.text_at(index).split()
        if work.has(index, "flag") == "keep_housing":
            # "45w led retrofit kits", "corn cobs 54w"; but "kits, 400w halide" speaks of what is there
            return not _LED_LAMPS.isdisjoint(words)
        return "led" in words and not work.has(index, "flag")

    def shorthand_lamps(self, at: int) -> int | None:
        """The last atom of a lamp count glued to a tube: "2-26W quad", "2/F32T8", "(2)26W PL", "3/32/T8"; ``None`` where it is none."""
        work = self.work
        atom = work.atoms[at]
        if not 1 <= atom.value <= 8 or atom.value != int(atom.value) or not atom.text.isdigit():
            return None
        mark = at + 1
        if work.text_at(at - 1) == "(" and work.text_at(mark) == ")":
            pass
        elif not (work.text_at(mark) in ("-", "/") and work.atoms[mark].glued):
            return None
        nxt = mark + 1
        if nxt >= len(work.atoms) or not work.atoms[nxt].glued:
            return None
        if work.atoms[nxt].kind == "c":
            return mark if work.atoms[nxt].mean.get("source") in TUBES else None
        if work.atoms[nxt].kind != "n" or work.atoms[nxt].value < 13:
            return None
        watts = nxt + 1
        if work.text_at(watts) == "/" and work.atoms[watts].glued:
            watts += 1
        if work.unit(watts) == "w":
            watts += 1
        if any(
            work.has(n, "source") in TUBES or work.text_at(n) in ("quad", "quads", "triple", "twin")
            for n in (watts, watts + 1)
        ):
            return mark
        return None

    def _of_long_kind(self) -> bool:
        """Whether the type that was named last is long: strips, wraps, vapor tights."""
        for mention in self.out[-8:][::-1]:
            for slot, value in mention.options[0].slots:
                if slot == "family":
                    return value in LINEAR_FAMILIES
        return False

    def _inches(self, at: int, look: int) -> bool:
        """Whether a bare number behind feet is inches: "8 ft 6 ceiling", "hung at 9 foot 6"; not "8 ft 6 of them"."""
        work = self.work
        if not work.is_number(look) or not 1 <= work.atoms[look].value < 12:
            return False
        after = look + 1
        if "up" in work.cue(after) or work.text_at(after) in _OVERHEAD:
            return True
        ends = after >= len(work.atoms) or work.atoms[after].kind in ("s", "b")
        return (
            ends
            and work.text_at(after) not in ("-", "/", "x", "'", "%")
            and work.text_at(at - 1) in ("at", "@", "a")
        )

    def _tubes_alone(self) -> bool:
        """Whether all that a talk is about has tubes: "33 strips", then "8 footers"."""
        lines = self.known.lines if self.conversing and self.known is not None else ()
        return bool(lines) and all(line.get("family") in ("strip", "wrap", "vapor_tight") for line in lines)

    def _of_the_next(self, at: int) -> bool:
        """Whether a word for spacing leads to the length behind it: "at 15 ft spaced 30 ft"."""
        work = self.work
        if work.text_at(at) not in ("spaced", "every", "spacing", "cada") or not work.is_number(at + 1):
            return False
        return work.unit(at + 2) in ("ft", "m") and "up" not in work.cue(at + 3)

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
        ) or (unit == "ft" and look == step + 1 and self._inches(at, look)):
            value += work.atoms[look].value / 12
            last = look
        if work.text_at(last + 1) == "y" and work.text_at(last + 2) in ("medio", "media"):
            value += 0.5  # "8 metros y medio"
            last += 2
        metric = unit == "m"
        if (
            metric
            and value <= 2.5
            and value == int(value)
            and not self.linear_near(last)
            and "up" not in work.cue(last + 1)
            and "spacing" not in work.cue(last + 1)
            and work.text_at(self.before(at)) not in ("at", "@", "a", "every", "cada")
            and work.text_at(step) in ("meters", "meter")
        ):
            work.use(at, last)  # "we have 2 meters": they count power
            return last + 1
        feet = round(value * FEET_PER_METRE, 2) if metric else round(value, 4)
        if metric:
            work.flags["metric"] = (at, last)
            tubes = any(
                work.has(n, "source") in TUBES or work.unit(n) == "lamps" for n in range(max(0, at - 5), at)
            )
            if value <= 2.5 and work.text_at(at - 1) == "de" and tubes and "up" not in work.cue(last + 1):
                self.fix(at, last, "lamp length", lamp_feet=feet)  # "50 tubos t8 de 1.20 m"
                return last + 1
        if (
            work.text_at(last + 1) in ("long", "largo", "de largo", "in length")
            or (work.text_at(last + 1) == "de" and work.text_at(last + 2) in ("largo", "longitud"))
        ) and feet <= 12:
            if self.linear_near(last) or self._of_long_kind():
                self.fix(at, last, "lamp length", lamp_feet=feet)
            else:
                work.use(at, last)  # a length is no height
            return last + 1
        if work.text_at(last + 1) == "long" and work.text_at(last + 2) in _LONG_PLACES:
            work.use(at, last)  # "a 60 foot long hallway"
            return last + 1
        before = at - 2 if work.text_at(at - 1) in ("de", "of") else at - 1
        if (
            work.has(before, "mount") == "arm"
            and "up" not in work.cue(last + 1)
            and work.text_at(last + 1) != "mh"
        ):
            # "brazo de 2 metros", "arm 8 ft": how far the arm reaches
            work.use(at, last)
            return last + 1
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
            "wide",
            "ladder",
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
            "out",
            "away",
            "across",
            "back from",
            "in front of",
            "radius",
            "from",
            "from the",
            "de distancia",
        ) and not work.has(last + 2, "family"):
            if after in ("wide", "deep"):
                work.use(last + 1, last + 1)  # no optic either
            work.use(at, last)
            return last + 1
        if (
            ("spacing" in work.cue(last + 1) and not self._of_the_next(last + 1))
            or (
                "spacing" in work.cue(last + 2)
                and not work.has(last + 1, "join")
                and (
                    work.atoms[last + 1].kind == "w"
                    or (
                        work.text_at(last + 1) in ("pole", "light", "fixture", "head")
                        and work.text_at(last + 2) == "spacing"
                    )
                )
            )
            or (
                "spacing" in work.cue(self.before(at))
                and not ("up" in work.cue(last + 1) and work.unit(self.before(at) - 1) in ("ft", "m"))
            )
            or (work.text_at(at - 1) in ("de", "of") and "spacing" in work.cue(at - 2))
        ):
            self.fix(at, last, "spacing", spacing_ft=feet)
            return last + 1
        up_after = "up" in work.cue(last + 1) and not (
            work.text_at(step) in ("footers", "footer") and feet <= 8  # "4 4-footers up front"
        )
        if (
            feet >= 7
            and not metric
            and work.text_at(at - 1) in ("mounted at", "hung at", "hanging at", "mounted", "hung")
        ):
            up_after = True  # "strips hung at 8 ft"
        prev_at = "at" in work.cue(self.before(at)) and work.text_at(self.before(at)) in ("at", "@", "a")
        linear = self.linear_near(last) or self._tubes_alone()
        if (
            prev_at
            and (linear or self._of_long_kind())
            and not (up_after or metric)
            and (feet <= 5 or (feet <= 8 and self.before(at) and work.atoms[self.before(at) - 1].kind == "n"))
        ):
            linear, prev_at = (
                True,
                False,
            )  # "vapor tights: 16 @ 4 ft, 5 @ 8 ft" are so long; nothing hangs at 4 ft
        if work.text_at(step) in ("footers", "foots") and feet in (4, 8) and self._counted_tubes(at, last):
            self.fix(at, last, "tubes by their length", lamp_feet=feet, _noun=True)
            return last + 1
        options = []
        if feet in (1, 1.25, 1.5, 2, 3, 4, 5, 6, 8) and not metric:
            score = 1.0 if linear else -1.0
            if (
                feet in (4, 8)
                and work.has(last + 1, "generic") == "light"
                and at
                and work.atoms[at - 1].kind == "n"
            ):
                score += 3.0  # "20 8 foot fixtures"
            if up_after or prev_at:
                score -= 3.0
            options.append(Option((("lamp_feet", feet),), score, "lamp length"))
        score = 0.5 + (2.0 if up_after or prev_at else 0.0) - (2.0 if feet < 6 else 0.0)
        if options and linear and not (up_after or prev_at):
            score -= 2.0
        long = self._of_long_kind() or work.has(last + 1, "family") in LINEAR_FAMILIES
        if options and linear and not (up_after or prev_at) and long:
            # "6 strips, 8 ft, 4-lamp F32T8": how long they are, whatever the lamps'
            options.append(Option((), -2.0, "length of the housing"))
        else:
            options.append(Option((("height_ft", feet),), score, "height"))
        self.add(at, last, *options)
        return last + 1
