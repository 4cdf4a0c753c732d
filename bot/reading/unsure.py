"""Knowing what it does not know: how likely each slot is wrong, judged from how the message went; likely ones get a doubt.

A logistic of plain signs: numbers that were used for nothing in the same sentence, a count far from its luminaire, the
same type twice, an attribute among several types, watts that no such lamp has. Signs are gathered once a message, once
a sentence and once a slot, and summed with the weights of ``lexicon/unsure.toml``, which says how they were fitted.
"""

import math
from bisect import bisect_right
from functools import lru_cache
from typing import Any, Final, final

from bot.reading.clause import Work
from bot.reading.codes import lamp_tables
from bot.reading.compiled import table
from bot.reading.heads import ADDS_UP, OF_EACH
from bot.reading.message import Passage, Said
from bot.reading.supply import VOLTS
from bot.reading.words import lexicon, words_of

Signs = list[tuple[str, float]]

_USUAL_FROM: Final = 100
"""Watts from which a luminaire outdoors has them; so many are seldom counted in a talk."""
_SHARED: Final = ("family", "source", "watts", "size", "lamps", "lamp_feet")

HEDGES: Final = words_of(
    """said was were gonna thought supposed but maybe or think guess sure really says told used instead anything except either
    should might could if would unless assuming whichever about though actually still original before last ago when
    hopefully mean meant pero creo"""
)
"""Words beside which a value may not be what is meant."""
POINTERS: Final = words_of(
    "ones one them those these both it they each same other others that rest all everything items kinds types"
)
_CORE: Final = frozenset({"qty", "family", "source", "watts", "size"})
_NUMBERS: Final = frozenset({"qty", "watts", "height_ft", "voltage", "cct_k"})
_TRADE: Final = frozenset({"family", "source", "size", "generic", "family_weak", "pointer", "scope"})
_MONEY: Final = frozenset({"rate", "rebate", "labor", "budget", "payback", "price_now"})
_LAMP_WATTS: Final = frozenset(
    map(
        float,
        words_of("13 18 26 28 32 35 40 42 50 54 60 70 75 100 150 175 250 300 320 400 500 750 1000 1500"),
    )
)
"""Watts that lamps of some kind have (from memory)."""


class Sentence:
    """Counts of what stands in one sentence, or in the whole message."""

    __slots__ = (
        "denials", "families", "fixes", "hedges", "money", "numbers", "odd", "plain", "ranges", "slips", "strangers",
        "trade", "unread", "value",
    )  # fmt: skip

    def __init__(self) -> None:
        self.denials = self.families = self.fixes = self.hedges = self.money = self.numbers = self.odd = 0
        self.plain = self.ranges = self.slips = self.strangers = self.trade = self.unread = 0
        self.value = 0.0

    def add(self, other: "Sentence") -> None:
        """Count the other in."""
        self.denials += other.denials
        self.families += other.families
        self.fixes += other.fixes
        self.hedges += other.hedges
        self.numbers += other.numbers
        self.odd += other.odd
        self.plain += other.plain
        self.slips += other.slips
        self.strangers += other.strangers
        self.trade += other.trade
        self.unread += other.unread


@final
class Ground:
    """The message as the signs see it: atoms with the sentence that each stands in, and what is in each sentence."""

    __slots__ = ("atoms", "sentence_of", "sentences", "starts", "used", "whole")

    def __init__(
        self, work: Work, sentence_of: list[int], sentences: list[Sentence], whole: Sentence
    ) -> None:
        self.atoms = work.atoms
        self.used = work.used
        self.starts = [atom.start for atom in work.atoms]
        self.sentence_of = sentence_of
        self.sentences = sentences
        self.whole = whole

    def at(self, start: int) -> int:
        """The atom that stands at a character."""
        return max(0, bisect_right(self.starts, start) - 1)


@final
class Judged:
    """One slot with its signs.

    Attributes:
        passage: number of the passage; ``None`` for a job slot.
        slot, said: the slot.
        sentence: the sentence that it stands in.
        signs: those of the slot itself.
    """

    __slots__ = ("passage", "said", "sentence", "signs", "slot")

    def __init__(self, passage: int | None, slot: str, said: Said, sentence: int, signs: Signs) -> None:
        self.passage = passage
        self.slot = slot
        self.said = said
        self.sentence = sentence
        self.signs = signs


def ground_of(work: Work) -> Ground:
    """Look through the atoms once."""
    lex = lexicon()
    known, plain = lex.known, lex.plain
    used = work.used
    here = Sentence()
    sentences = [here]
    sentence_of = []
    for index, atom in enumerate(work.atoms):
        sentence_of.append(len(sentences) - 1)
        kind = atom.kind
        if kind == "w":
            here.plain += 1
            word = atom.text
            if word in HEDGES:
                here.hedges += 1
            elif len(word) > 3 and word not in plain and word not in known:
                here.odd += 1
        elif kind == "b" or (kind == "s" and atom.text in ".;!?"):
            here = Sentence()
            sentences.append(here)
        elif kind == "n":
            here.numbers += 1
            if not used[index]:
                here.unread += 1
                here.value = atom.value
        elif kind == "x":
            here.strangers += 1
        elif kind == "s":
            here.money += atom.text == "$"
        else:
            mean = atom.mean
            here.families += "family" in mean or (
                "family_weak" in mean and used[index] == 1 and len(atom.text) > 3
            )
            if atom.text in HEDGES:
                here.hedges += 1
            here.slips += atom.fuzzy
            cues = mean.get("cue")
            if cues:
                here.fixes += "fix" in cues
                here.denials += "not" in cues
                here.ranges += "range" in cues
                here.money += not _MONEY.isdisjoint(cues)
            if not used[index] and not _TRADE.isdisjoint(mean):
                here.trade += 1
    whole = here
    if len(sentences) > 1:
        whole = Sentence()
        for sentence in sentences:
            whole.add(sentence)
    return Ground(work, sentence_of, sentences, whole)


def message_signs(ground: Ground, lines: int) -> Signs:
    """The signs that all slots of a message share."""
    whole = ground.whole
    spoken = 0
    for one in ground.sentences:
        if one.numbers or one.families or one.plain:
            spoken += 1
    return [
        ("m_unread", min(whole.unread, 3)), ("m_trade", min(whole.trade, 3)), ("m_numbers", min(whole.numbers, 20) / 10),
        ("m_fixes", min(whole.fixes, 2)), ("m_denials", min(whole.denials, 2)), ("m_odd", min(whole.odd, 4) / 2),
        ("m_strangers", min(whole.strangers, 2)), ("m_words", min(whole.plain, 100) / 50),
        ("m_hedges", min(whole.hedges, 3) / 2), ("m_slips", min(whole.slips, 2)), ("m_sentences", min(spoken, 8) / 4),
        ("m_lines", min(lines, 6) / 3), ("m_lines_over", float(lines > max(whole.families, 1))),
        ("m_families_over", float(whole.families > max(lines, 1))),
    ]  # fmt: skip


def sentence_signs(one: Sentence) -> Signs:
    """The signs that all slots of a sentence share."""
    return [
        ("s_unread", min(one.unread, 2)), ("s_trade", min(one.trade, 2)), ("s_numbers", min(one.numbers, 8) / 4),
        ("s_fix", min(one.fixes, 1)), ("s_denial", min(one.denials, 1)), ("s_odd", min(one.odd, 2)),
        ("s_stranger", min(one.strangers, 1)), ("s_money", min(one.money, 1)), ("s_words", min(one.plain, 20) / 10),
        ("s_no_family", float(one.families == 0)), ("s_range", min(one.ranges, 1)),
    ]  # fmt: skip


def _own_signs(ground: Ground, slot: str, said: Said, at: int) -> Signs:
    """The signs of the value and of what stands beside it."""
    atoms, used = ground.atoms, ground.used
    signs: Signs = [(f"slot_{slot}", 1.0), (f"rule_{said.rule}", 1.0)]
    if said.margin < 9.0:
        signs.append(("near", math.exp(-max(said.margin, 0.0))))
    if not atoms:
        return signs
    here = ground.sentence_of[at]
    last = len(atoms) - 1
    if ground.sentences[here].hedges and any(
        atoms[near].text in HEDGES and ground.sentence_of[near] == here
        for near in range(max(0, at - 6), min(last, at + 3) + 1)
    ):
        signs.append(("hedge", 1.0))
        if slot in _NUMBERS:
            signs.append(("hedge_number", 1.0))
        if slot not in _CORE:
            signs.append(("hedge_attribute", 1.0))
    for near in (at - 2, at - 1, at + 1, at + 2):
        if 0 <= near <= last:
            kind = atoms[near].kind
            if kind == "x":
                signs.append(("near_stranger", 1.0))
            elif kind == "n" and not used[near]:
                signs.append(("near_unread", 1.0))
    if at < last and atoms[at + 1].kind == "w":
        signs.append(("next_word", 1.0))
    if at and atoms[at - 1].kind == "w":
        signs.append(("word_before", 1.0))
    if said.rule.startswith("bare"):
        one = ground.sentences[here]
        signs.append(("bare", 1.0))
        if not one.families:
            signs.append(("bare_no_family", 1.0))
        if one.unread:
            signs.append(("bare_unread", 1.0))
    value = said.value
    if slot == "qty" and isinstance(value, int):
        if value <= 2:
            signs.append(("count_one" if value == 1 else "count_two", 1.0))
        elif value >= 200:
            signs.append(("count_big" if value <= 500 else "count_huge", 1.0))
    elif slot == "height_ft" and isinstance(value, int | float):
        if value < 7:
            signs.append(("height_low", 1.0))
        elif value > 40:
            signs.append(("height_high", 1.0))
    return signs


def _watts_signs(slots: dict[str, Said]) -> Signs:
    source, watts = slots.get("source"), slots["watts"].value
    if source is None:
        return [("watts_alone", 1.0), *([] if watts in _LAMP_WATTS else [("watts_alone_odd", 1.0)])]
    known = lamp_tables().watts.get(source.value)
    return [("watts_odd", 1.0)] if known and watts not in known else []


def _line_signs(
    slots: dict[str, Said], count: int, number: int, lines: int, twins: int, scoped: bool
) -> Signs:
    """The signs that all slots of a line share."""
    signs: Signs = [("slots", min(count, 8) / 4)]
    if "family" not in slots and "size" not in slots:
        signs.append(("lack_family", 1.0))
    if "qty" not in slots:
        signs.append(("lack_count", 1.0))
    if count == 1:
        signs.append(("single", 1.0))
    elif count == 2:
        signs.append(("two", 1.0))
    if "_placed" in slots:
        signs.append(("placed", 1.0))
    if "_same" in slots:
        signs.append(("same", 1.0))
    if "_part" in slots:
        signs.append(("part", 1.0))
    if scoped:
        signs.append(("scoped", 1.0))
    if twins > 1:
        signs.append(("twin", 1.0))
        if "watts" not in slots and "source" not in slots:
            signs.append(("twin_no_lamp", 1.0))
    if lines > 1:
        if number == 0:
            signs.append(("first", 1.0))
        if number == lines - 1:
            signs.append(("last", 1.0))
    if "_score" in slots:
        signs.append(("count_score", max(-4.0, min(6.0, slots["_score"].value)) / 3))
    return signs


def judge(ground: Ground, passages: list[Passage], job: dict[str, Said]) -> list[Judged]:
    """All slots said, each with its own signs."""
    out: list[Judged] = []
    lines = len(passages)
    spans: dict[tuple[str, int], int] = {}
    if lines > 1:
        for passage in passages:
            for slot, said in passage.slots.items():
                spans[slot, said.start] = spans.get((slot, said.start), 0) + 1
    families: dict[Any, int] = {}
    for passage in passages:
        if "family" in passage.slots:
            family = passage.slots["family"].value
            families[family] = families.get(family, 0) + 1
    sentence_of = ground.sentence_of
    for number, passage in enumerate(passages):
        slots = passage.slots
        public = [slot for slot in slots if not slot.startswith("_")]
        twins = families[slots["family"].value] if "family" in slots else 0
        if "qty" in slots and slots["qty"].rule in (ADDS_UP, OF_EACH):
            twins = min(twins, 1)  # parts of one count, or counts told once for each place
        shared_by_line = _line_signs(slots, len(public), number, lines, twins, passage.scope is not None)
        named, count = slots.get("family") or slots.get("size"), slots.get("qty")
        anchor = named or count
        home = ground.at(anchor.start) if anchor is not None else 0
        for slot in public:
            said = slots[slot]
            if said.value is None:
                continue
            at = ground.at(said.start)
            signs = _own_signs(ground, slot, said, at) + shared_by_line
            attribute = slot not in _CORE
            away = 0.0
            apart = False
            if anchor is not None and anchor is not said and sentence_of:
                away, apart = min(abs(at - home), 20) / 10, sentence_of[at] != sentence_of[home]
                signs.append(("far", away))
                if apart:
                    signs.append(("apart", 1.0))
            if lines > 1:
                times = spans[slot, said.start]
                if times > 1:
                    signs.append(("shared", 1.0))
                if times == lines:
                    signs.append(("shared_by_all", 1.0))
                elif attribute:
                    signs.append(("shared_by_some", 1.0))
                if attribute:
                    signs += (("attribute_of_many", 1.0), ("attribute_far", away))
                    if apart:
                        signs.append(("attribute_apart", 1.0))
                    if any(
                        ground.atoms[near].text in POINTERS and sentence_of[near] == sentence_of[at]
                        for near in range(max(0, at - 4), min(len(sentence_of), at + 6))
                    ):
                        signs.append(("attribute_pointed", 1.0))
            if slot == "watts":
                signs += _watts_signs(slots)
            elif slot == "qty":
                if twins > 1:
                    signs.append(("count_twin", 1.0))
                if not ground.sentences or not sentence_of or not ground.sentences[sentence_of[at]].families:
                    signs.append(("count_no_family", 1.0))
            elif slot == "family":
                if twins > 1:
                    signs.append(("family_twin", 1.0))
                if count is not None and sentence_of:
                    at_count = ground.at(count.start)
                    signs.append(("family_far", min(abs(at - at_count), 20) / 10))
                    if sentence_of[at] != sentence_of[at_count]:
                        signs.append(("family_apart", 1.0))
            out.append(Judged(number, slot, said, sentence_of[at] if sentence_of else 0, signs))
    for slot, said in job.items():
        if said.value is not None:
            at = ground.at(said.start)
            own = _own_signs(ground, slot, said, at)
            own.append(("job", 1.0))
            out.append(Judged(None, slot, said, sentence_of[at] if sentence_of else 0, own))
    return out


@lru_cache(maxsize=1)
def stored() -> dict[str, Any]:
    """The weights of the signs in a ``first`` message and in a ``talk``, the thresholds, and the reasons' words."""
    return table("unsure")


def _sum(signs: Signs, weighed: dict[str, float]) -> float:
    total = 0.0
    for name, value in signs:
        if value:
            weight = weighed.get(name)
            if weight is not None:
                total += weight * value
    return total


def doubted(
    work: Work, passages: list[Passage], job: dict[str, Said], conversing: bool, language: str
) -> tuple[list[Passage], dict[str, Said], float]:
    """The passages and job slots with doubts raised on what is likely wrong, and how many slots are expected to be wrong.

    A doubt that a rule has raised stays as it is. Where another number stands unused beside a count, that is what it
    could be; else what is likely wrong may not be meant at all.
    """
    if not passages and not job:
        return passages, job, 0.0
    held = stored()
    kind = "talk" if conversing else "first"
    weighed: dict[str, float] = held[kind]
    ground = ground_of(work)
    base = weighed["always"] + _sum(message_signs(ground, len(passages)), weighed)
    by_sentence: dict[int, float] = {}
    limit = held["threshold"][kind]
    bar = math.log(limit / (1.0 - limit))
    changed: dict[tuple[int | None, str], Said] = {}
    risk = 0.0
    settled = _settled(ground, passages)
    shared: list[Judged] = []
    open_counts: set[int | None] = set()
    for one in judge(ground, passages, job):
        if one.sentence not in by_sentence:
            by_sentence[one.sentence] = _sum(sentence_signs(ground.sentences[one.sentence]), weighed)
        if conversing and one.slot == "qty" and _may_measure(one.said, passages[one.passage or 0].slots):
            whys = held["why"][language]
            changed[one.passage, one.slot] = one.said.doubted((None,), whys["bare"])
        score = base + by_sentence[one.sentence] + _sum(one.signs, weighed)
        within = 30.0 if score > 30.0 else -30.0 if score < -30.0 else score
        risk += 1.0 / (1.0 + math.exp(-within))
        if one.said.others:
            if one.slot == "qty":
                open_counts.add(one.passage)
        elif score > bar and (one.passage, one.slot) not in changed:
            if one.slot == "qty":
                if one.said.rule in (ADDS_UP, OF_EACH):
                    continue
                open_counts.add(one.passage)
            elif one.slot in settled:
                shared.append(one)
                continue
            changed[one.passage, one.slot] = _with_doubt(one, ground, weighed, held["why"][language])
    for one in shared:
        if one.passage in open_counts:
            changed[one.passage, one.slot] = _with_doubt(one, ground, weighed, held["why"][language])
    if not changed:
        return passages, job, risk
    out = [
        passage.with_slots({slot: changed.get((number, slot), said) for slot, said in passage.slots.items()})
        for number, passage in enumerate(passages)
    ]
    return out, {slot: changed.get((None, slot), said) for slot, said in job.items()}, risk


def _may_measure(said: Said, slots: dict[str, Said]) -> bool:
    """Whether a count without a unit behind its luminaire is as large as volts or watts are: "also downlights 120"."""
    family = slots.get("family")
    return (
        not said.others
        and said.rule == "bare count"
        and family is not None
        and family.start < said.start
        and (said.value in VOLTS or (said.value >= _USUAL_FROM and float(said.value) in _LAMP_WATTS))
        and "watts" not in slots
        and "voltage" not in slots
    )


def _settled(ground: Ground, passages: list[Passage]) -> set[str]:
    """The slots that no other type could have: one value is told, and every type that is counted has it.

    What all of them are is told before they are counted ("20 250 W halide packs: 12 at 15 ft, 8 at 20"); a family may stand anywhere,
    where no other is named. A word that is not known, right behind a count, may be the name of another.
    """
    out: set[str] = set()
    if len(passages) < 2:
        return out
    first = passages[0].slots.get("qty")
    if first is None:
        return out
    for passage in passages:
        if passage.scope is not None or "qty" not in passage.slots:
            return out
        if _odd_name(ground, ground.at(passage.slots["qty"].start) + 1):
            return out
    for slot in _SHARED:
        if slot not in passages[0].slots or (slot != "family" and "family" not in out):
            continue
        said = passages[0].slots[slot]
        if (slot == "family" or said.start < first.start) and all(
            slot in passage.slots and passage.slots[slot].start == said.start for passage in passages
        ):
            out.add(slot)
    return out


def _odd_name(ground: Ground, at: int) -> bool:
    """Whether the word behind a count is none that is known."""
    if at >= len(ground.atoms):
        return False
    kind, word = ground.atoms[at].kind, ground.atoms[at].text
    lex = lexicon()
    return kind == "x" or (kind == "w" and len(word) > 3 and word not in lex.plain and word not in lex.known)


def _with_doubt(one: Judged, ground: Ground, weighed: dict[str, float], whys: dict[str, Any]) -> Said:
    """The slot with a doubt: what else it could be, and the reason that weighs most."""
    here = ground.sentences[one.sentence]
    reasons: dict[str, float] = {}
    groups = stored()["reasons"]
    for name, value in (*one.signs, *sentence_signs(here)):
        group = groups.get(name)
        if group is not None and name in weighed:
            reasons[group] = reasons.get(group, 0.0) + weighed[name] * value
    others: tuple[Any, ...] = (None,)
    if one.slot == "qty" and here.unread == 1 and here.value == int(here.value) and here.value > 0:
        reasons["count"] = reasons.pop("unread", 0.0) + 1.0
        if here.value != one.said.value:
            others = (int(here.value),)
    best = max(sorted(reasons), key=lambda group: reasons[group], default="other")
    why = whys[best] if reasons.get(best, 0.0) > 0.2 else whys["other"]
    return one.said.doubted(others, why)
