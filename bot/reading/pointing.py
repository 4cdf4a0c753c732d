"""Words that point at a type or only sometimes name one: LED, weak luminaire words, 'the 400s'."""

from bot.reading.bound_numbers import BoundNumbers
from bot.reading.clause import ends_clause
from bot.reading.leftovers import WHO_CAN
from bot.reading.message import Scope
from engine.vocabulary import Family

_ON_POLES: tuple[Family, ...] = ("area", "street", "post_top")


_IN_PLACE = frozenset(
    {"in place of", "instead of", "replacing", "to replace", "for", "en lugar de", "en vez de", "por"}
)


class Pointing(BoundNumbers):
    """Decides what a word that could name or point does here."""

    def led(self, at: int) -> int:
        """As in "LED": what hangs there now, what is asked for directly, or only what the quote is about."""
        work = self.work
        if (
            work.text_at(at - 1) in ("a", "to")
            and work.unit(at - 2) == "w"
            and work.text_at(at - 4) in ("from", "de", "desde")
        ):
            work.use(at, at)  # "bajar de 400w a led": the watts are those of the lamp
            return at + 1
        near = [
            n
            for n in range(max(0, at - 5), min(len(work.atoms), at + 6))
            if not any(
                ends_clause(work.atoms[k]) or work.text_at(k) == "," for k in range(min(n, at), max(n, at))
            )
        ]
        existing = any(
            "existing" in work.cue(n)
            and not (work.text_at(n) == "in place" and work.text_at(n + 1)[:2] == "of")
            for n in near
            if n != at
        ) and not (
            work.text_at(at + 1) in _IN_PLACE
            or (work.text_at(at + 1) in ("in", "to") and work.text_at(at + 2) in ("place", "replace"))
        )
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
                or (
                    work.atoms[k].text
                    in (
                        ",",
                        "to",
                        "with",
                        "en",
                        "por",
                        "on",
                        "for",
                        "of",
                        "in",
                        "at",
                        "para",
                        "de",
                        "is",
                        "or",
                    )
                    and not (n < at and work.atoms[k].text in ("de",))
                )
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
            ) and (abs(n - at) <= 2 or mean.get("unit") == "w" or "family" in mean):
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
        if self.conversing and not (at and work.atoms[at - 1].kind == "n"):
            # "poles are 480, walls 277": in a talk about them the bare word points
            mean = work.atoms[at].mean
            if work.text_at(at).endswith(("s", "stuff")) or self.counted(  # also "canopy +2"
                mean.get("pointer") or mean["family_weak"]
            ):
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

    def counted(self, family: Family) -> Family | None:
        """The family on the job that a weak word for ``family`` stands for; ``None`` where there is none."""
        if self.known is None:
            return None
        wanted = _ON_POLES if family == "area" else (family,)
        return next((one for one in wanted if one in self.known.families), None)

    def strong(self, at: int) -> bool:
        """Whether a weak luminaire word has company that makes it one."""
        work = self.work
        text = work.text_at(at)
        if self.cell:
            return True
        if text == "can" and work.text_at(at + 1).partition(" ")[0] in WHO_CAN:
            return False
        before = work.atoms[at - 1] if at else None
        if (
            work.text_at(at + 1) in (":", "-")
            and (
                before is None
                or before.kind == "b"
                or before.mean.get("bullet")
                or before.text in ("-", "*", ".", ";")
            )
            and at + 2 < len(work.atoms)
            and work.atoms[at + 2].kind == "n"
            and text.endswith("s")
        ):
            return True  # "Areas: six, 400 MH" in a list of kinds
        if (
            len(text) <= 3
            and (before is None or before.kind in ("s", "b") or before.mean.get("join"))
            and work.is_number(at + 1)
            and work.atoms[at + 1].value >= 35
            and (work.has(at + 2, "source") is not None or work.unit(at + 2) == "w")
        ):
            return True  # "wp 70 hps *6 + fl 250 mh *3"
        if (
            (before is None or before.kind in ("s", "b"))
            and work.is_number(at + 1)
            and work.text_at(at + 2) in ("@", "x")
            and work.is_number(at + 3)
        ):
            return True  # "canopy 12 @ 250w"
        if (
            work.text_at(at + 1) == "x"
            and work.is_number(at + 2)
            and (before is None or before.kind in ("s", "b"))
        ):
            return True  # "floods x 4, canopy x 6"
        if work.is_number(at + 1) and work.is_number(at + 2) and work.has(at + 3, "source") and text != "can":
            return True  # "service canopy 8 175 MH"
        if before is None:
            return text.endswith("s")
        if before.text == ")" and at >= 3 and work.atoms[at - 2].kind == "n" and work.text_at(at - 3) == "(":
            return True  # "(6) FL 400MH"
        if before.text == "x" and at >= 2 and work.atoms[at - 2].kind == "n":
            return True  # "6 x FL 400MH"
        if before.kind == "n" and not text.endswith(("lot", "street", "yard", "grid")):
            return True
        if before.text == ")" and at >= 3 and work.atoms[at - 2].kind == "n" and work.text_at(at - 3) == "(":
            return True  # "(6) FL 400MH"
        if (
            before.mean.get("unit") in ("each", "dozen", "pair")
            and at >= 2
            and work.atoms[at - 2].kind == "n"
        ):
            return True  # "4 ea exit", "10 pcs can"
        if (
            before.mean.get("source")
            or ("size" in before.mean and before.kind == "p")
            or (
                before.mean.get("unit") in ("w", "lamps", "ft", "inch")
                and (at < 2 or work.atoms[at - 2].kind in ("n", "s"))
            )
            or before.mean.get("led")
        ):
            return True
        if work.text_at(at + 1) in ("style", "type", "mount", "mounted") or before.text == "tipo":
            return True
        if text.endswith("s") and "finish" in before.mean and at >= 2 and work.atoms[at - 2].kind == "n":
            return True  # "11 bronze packs"
        if text.endswith("s") and before.text in (
            "couple",
            "few",
            "several",
            "more",
            "extra",
            "dozen",
            "pair",
            "couple of",
            "some",
        ):
            return True  # "a couple exits"
        if work.text_at(at - 1) in ("de", "tipo") and at >= 2 and work.atoms[at - 2].kind == "n":
            return True  # "16 de canopy"
        if (
            before.kind == "s"
            and before.text == ","
            and work.is_number(at + 1)
            and (work.has(at + 2, "source") or work.unit(at + 2) == "w")
        ):
            return True  # "flood 400 mh (7), canopy 175 mh (24)": the item begins with its name
        if before.text in ("of", "de") and work.text_at(at - 2) in (
            "run",
            "runs",
            "section",
            "sections",
            "stick",
            "sticks",
        ):
            return True  # "one run of track"
        if before.kind == "s" and before.text in ",." and work.text_at(at + 1) in (",", "."):
            lead = at - 2
            while lead >= 0 and work.text_at(lead) in (",", "."):
                lead -= 1
            if lead >= 0 and work.atoms[lead].kind == "n":
                return True  # "15, canopy, 175 mh"
        return (
            before.kind == "b"
            or (before.kind == "s" and before.text in ";:]-*/|")
            or (text.endswith("s") and before.kind == "s")
            or (work.text_at(at - 1) in ("the",) and text.endswith("s"))
        )

    def pointed(self, at: int) -> tuple[int, Scope] | None:
        """Words that point at lines of the job so far: "the 400s", "the halide ones", "the low ones", "the back ones"."""
        work = self.work
        atom = work.atoms[at]
        if work.used[at]:
            return None
        if at in self.pointers:
            return self.pointers[at]
        before = work.text_at(at - 1)
        the = before in ("the", "those", "los", "las", "for", "on", "these")
        again = (
            not self.conversing
            and atom.kind == "n"
            and atom.value in self.watts_said
            and self.clause_start(at)
        )
        if atom.kind == "n" and atom.value >= 20 and (the or again or (self.conversing and at == 0)):
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
                work.text_at(end + 1) not in ("are", "r", "is", "at", "get", "need", "have", "on")
                or not (the or again)
            ):
                return None
            lines = self.known.lines if self.known is not None else ()
            if lines and not any(
                atom.value == line.get(slot)
                for line in lines
                for slot in ("watts", "led_watts", "input_watts")
            ):
                return None  # "175s not 250s": said anew
            return end, Scope("family", atom.start, work.atoms[end].end, watts=atom.value)
        return None
