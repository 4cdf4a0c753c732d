"""Second thoughts: "20, no wait, 24", "not halide, sodium", "scratch that"."""

import math
from bisect import bisect_right

from bot.reading.atoms import Atom
from bot.reading.bare_numbers import known_watts
from bot.reading.clause import Work
from bot.reading.mention_slots import drop, main_slot, numeric, plausible, restrict, slot_in, value_of
from bot.reading.mentions import Mention
from bot.reading.settling import settle, starred
from bot.reading.words import words_of

_ANSWERS = frozenset({"no", "nope"})
_FIXES = frozenset({"actually", "rather", "make it", "meant", "well"}) | _ANSWERS
"""Words that announce a correction though the lexicon may not say so."""


_SURE = 3.0
"""Score from which a bare number's own role is beyond doubt."""
_SWAPPED = ("finish", "source", "mount", "optic")
_CLAIMS = words_of(
    """said say says told thought figured guessed assumed originally supposed wrote drawing drawings print prints plan plans list
    spec showed shows used call calls called calling labeled labelled marked dije llaman dicen dijeron pensaba pensé pense creia creí decia"""
)


_ENDS = frozenset({".", ";", "!", "?"})


def turned(atoms: list[Atom]) -> list[Atom]:
    """The atoms with each "but" that opens a correction marked so: "I said 15 ft on the phone but it's really 18"."""
    if atoms and atoms[0].text != "*":
        for index in range(2, len(atoms) - 1):
            # "15 cobra heads\n*16": a star at the head of a line puts right what was sent before
            if (
                atoms[index].text == "*"
                and atoms[index - 1].kind == "b"
                and atoms[index + 1].glued
                and atoms[index + 1].kind in ("n", "w", "p", "c")
            ):
                atoms[index] = atoms[index]._replace(kind="p", mean={"cue": frozenset({"fix"})})
    for index, atom in enumerate(atoms):
        if atom.text.startswith("but ") and any(
            after.mean.get("scope") == "others" for after in atoms[index + 1 : index + 5]
        ):
            atoms[index] = atom._replace(
                text="but", mean={"scope": "except"}
            )  # "but its 277 everywhere else"
            continue
        if (
            not (atom.text in ("but", "pero", "however", "though") or atom.text.startswith("but "))
            or "cue" in atom.mean
        ):
            continue
        low = index
        while (
            low > 0
            and index - low < 16
            and not (atoms[low - 1].kind == "b" or atoms[low - 1].text in (".", ";", "!", "?"))
        ):
            low -= 1
        claim = next(
            (n for n in range(index - 1, low - 1, -1) if not _CLAIMS.isdisjoint(atoms[n].text.split())), None
        )
        if claim is None or not any(
            atoms[n].kind in ("n", "c") or "source" in atoms[n].mean or "family" in atoms[n].mean
            for n in range(claim, index)
        ):
            continue
        ends = next(
            (
                n
                for n in range(index + 1, min(index + 9, len(atoms)))
                if atoms[n].kind == "b" or atoms[n].text in _ENDS
            ),
            index + 9,
        )
        if any(
            near.kind in ("n", "c") or "source" in near.mean or "family" in near.mean
            for near in atoms[index + 1 : ends]
            if near.text not in ("one", "uno", "una")
        ):
            atoms[index] = atom._replace(kind="p", mean={"cue": frozenset({"fix"})})
    return atoms


def _figure(work: Work, index: int) -> bool:
    """Whether a number stands at ``index``, used or not: by now the mentions have used theirs."""
    return 0 <= index < len(work.atoms) and work.atoms[index].kind == "n"


def _in_spanish(work: Work, index: int) -> bool:
    """Whether the words around are Spanish, where "no" before a figure denies it."""
    near = work.atoms[max(0, index - 6) : index + 6]
    spanish = sum(bool(atom.mean.get("es")) and not atom.mean.get("en") for atom in near)
    return spanish > sum(bool(atom.mean.get("en")) and not atom.mean.get("es") for atom in near)


def _is_fix(work: Work, index: int) -> bool:
    """Whether the atom at ``index`` announces a correction."""
    cues = work.cue(index)
    text = work.text_at(index)
    if work.text_at(index - 1) in ("what", "que") and text.startswith("i mean"):
        return False  # "you know what I mean"
    if "fix" in cues and text not in ("well", "rather", "actually", "make it", "meant"):
        return True
    if text in ("actually", "rather", "make it", "meant"):
        return True
    if text == "no" and _figure(work, index + 1) and _in_spanish(work, index):
        return False  # "14 reflectores, no 12": not 12
    # "25 foot. No, 30": a no that a mark or a number follows
    if (
        text == "no"
        and index > 0
        and work.atoms[index + 1 : index + 2]
        and work.atoms[index + 1].kind == "n"
        and work.atoms[index - 1].kind not in ("s", "b")
    ):
        return _counts_anew(work, index)
    if text == "no" and index > 0 and work.text_at(index + 1) in _SURELY:
        return True  # "mh i think - no def HPS"
    if text == "well" and index > 0 and _figure(work, index + 1):
        return True  # "8 shoeboxes, well 9 counting the one by the gate"
    if (
        text == "no"
        and index > 0
        and index + 1 < len(work.atoms)
        and any(
            kind in work.atoms[index - 1].mean and kind in work.atoms[index + 1].mean for kind in _SWAPPED
        )
    ):
        return True  # "black no bronze"
    if (
        text == "no"
        and index > 1
        and index + 1 < len(work.atoms)
        and work.atoms[index - 1].text in (".", ",", ";")
        and any(
            kind in work.atoms[index - 2].mean and kind in work.atoms[index + 1].mean for kind in _SWAPPED
        )
    ):
        return True  # "white. no gray"
    if text in _ANSWERS and (
        work.text_at(index + 1) in (",", ".", "...")
        or _figure(work, index + 1)
        or (index + 1 < len(work.atoms) and work.atoms[index + 1].kind == "n")
    ):
        return index > 0
    return False


_SURELY = frozenset(
    {
        "def",
        "definitely",
        "theyre",
        "they're",
        "its",
        "it's",
        "actually",
        "really",
        "for sure",
        "they are",
        "it is",
    }
)
_NO_SECOND_THOUGHT = words_of(
    """have has with but theres got there is are po item order job unit type phone part line model catalog cat ref invoice
    quote account lot bldg building room suite and or is tiene tienen hay con son tengo"""
)
"""Words before "no" that make it deny, or stand for "number"."""


def _zero_slipped(old: float, new: float) -> bool:
    """Whether a figure is another with a zero too many or too few: "4000 no 400 watt"."""
    return old >= 50 and new >= 5 and (old == 10 * new or new == 10 * old)


def _counts_anew(work: Work, index: int) -> bool:
    """Whether "no" between two figures of like size takes the first back: "12 wallpacks no 14"."""
    if work.text_at(index - 1) in _NO_SECOND_THOUGHT:
        return False
    if "fix" in work.cue(index - 1):
        return True
    if not {"son", "es", "eran"}.isdisjoint(work.text_at(n) for n in range(max(0, index - 4), index)):
        return False  # "son veinte no doce" denies the second
    value = work.atoms[index + 1].value
    for back in range(index - 1, max(-1, index - 9), -1):
        atom = work.atoms[back]
        if atom.kind == "b" or (atom.kind == "s" and atom.text in ".;!?"):
            return False
        if atom.kind == "n":
            if _zero_slipped(atom.value, value):
                return True
            return value != atom.value and value > 0 < atom.value and abs(math.log(value / atom.value)) < 1.0
    return False


def _is_not(work: Work, index: int) -> bool:
    return "not" in work.cue(index) and not (
        work.text_at(index) in _ANSWERS and work.text_at(index + 1) == ","
    )


def _towards_led(work: Work, index: int) -> bool:
    """Whether an arrow leads from what is there to the LED that is wanted: "400W MH hi-bay -> 150W LED"."""
    for n in range(index + 1, min(index + 6, len(work.atoms))):
        atom = work.atoms[n]
        if atom.kind == "b":
            return False
        if "led" in atom.mean or "led" in atom.text.split() or atom.mean.get("family") == "panel":
            return True
        if atom.mean.get("flag") == "keep_housing":
            return True
    return False


def amend(work: Work, mentions: list[Mention], conversing: bool = False) -> list[Mention]:
    """Drop what was taken back, and give its role to what replaced it."""
    if not mentions:
        return mentions
    out: list[Mention] = []
    dropped: set[int] = set()
    fixes = [
        index
        for index, atom in enumerate(work.atoms)
        if (atom.kind in ("p", "w") and (atom.text in _FIXES or "cue" in atom.mean) and _is_fix(work, index))
        or (
            atom.text in (">", "→")
            and index
            and (atom.text == "→" or work.text_at(index - 1) in ("-", "="))
            and not _towards_led(work, index)
        )
    ]
    put_right: dict[int, Mention] = {}
    for number, mention in enumerate(mentions):
        # negation: "not halide", "no de 400"
        negated = _negated(work, mention) and not (
            conversing and mention.slots & {"family", "size", "_scope"}
        )
        if negated and main_slot(mention) not in ("controls", "_led", "_noun", "_same", "_point"):
            slot = main_slot(mention)
            dropped.add(number)
            if slot is not None:
                value = value_of(mention, slot)
                for back in range(number - 1, max(-1, number - 60), -1):
                    if back in dropped:
                        continue
                    if mention.bare and (meant := _meant(mentions[back], value)) is not None:
                        # "not 150, 250": what was said of the first figure is said of the second
                        slot = meant
                        nxt = mentions[number + 1] if number + 1 < len(mentions) else None
                        if nxt is not None and nxt.bare and nxt.gap in (0, 1, 2):
                            narrowed = _measured_like(work, mention, restrict(nxt, slot))
                            if narrowed is not None and plausible(slot, narrowed):
                                put_right[number + 1] = narrowed._replace(bare=False)
                    elif value_of(mentions[back], slot) != value:
                        continue
                    if conversing or not _of_another_type(mentions, back, number):
                        dropped.add(back)
                    break
                nxt = mentions[number + 1] if number + 1 < len(mentions) else None
                if (
                    slot in ("cct_k", "lamps", "height_ft", "voltage", "watts", "lamp_feet", "qty")
                    and not mention.bare
                    and nxt is not None
                    and nxt.bare
                    and nxt.gap <= 2
                ):
                    narrowed = _measured_like(work, mention, restrict(nxt, slot))
                    if narrowed is not None and plausible(slot, narrowed):
                        put_right[number + 1] = narrowed._replace(bare=False)
                lead = mentions[number - 1] if number else None
                if (
                    not conversing
                    and lead is not None
                    and lead.bare
                    and mention.bare
                    and number - 1 not in dropped
                    and number - 1 not in put_right
                    and lead.last >= mention.first - 3  # "not 70", "no de 400"
                    and main_slot(lead) != slot
                    and not (nxt is not None and nxt.bare and nxt.gap <= 2)
                    and (narrowed := restrict(lead, slot)) is not None
                    and plausible(slot, narrowed)
                ):
                    put_right[number - 1] = narrowed._replace(bare=False)  # "the bollards are 100 not 70"
                work.flags.setdefault("denied", []).append((slot, value))
            work.use(mention.first, mention.last)
    current = [
        None if number in dropped else put_right.get(number, mention)
        for number, mention in enumerate(mentions)
    ]
    hard = frozenset(fixes)
    soft = frozenset(
        index
        for index, atom in enumerate(work.atoms)
        if (atom.kind == "p" or atom.text in _SOFT_FIX or atom.text in _ITS)
        and index
        and index not in hard
        and (
            not _SOFT_FIX.isdisjoint(atom.text.split())
            or (
                work.text_at(index) in ("should be", "should have been", "supposed to be")
                and (
                    work.atoms[index - 1].kind == "s"
                    or work.text_at(index - 1) in ("it", "that", "count", "qty", "number")
                )
            )
            or (
                work.text_at(index) in _ITS
                and _figure(work, index + 1)
                and (conversing or (_now(work, index) and _once(work, index)))
            )
        )
    )
    firsts = [mention.first for mention in mentions]
    announced = sorted((*fixes, *soft))
    named = _families(mentions) if announced else {}
    for number, fix in enumerate(announced):
        if number + 1 < len(announced) and bisect_right(firsts, fix) == bisect_right(
            firsts, announced[number + 1]
        ):
            continue  # "oops, meant 175": one second thought
        # a second thought looks no further than some twenty mentions either way
        split = bisect_right(firsts, fix)
        after = [n for n in range(split, min(split + 20, len(mentions))) if current[n] is not None]
        before = [
            n for n in range(max(0, split - 24), split) if current[n] is not None and mentions[n].last < fix
        ]
        if conversing:
            # "drop the 9 shoeboxes and make it 6 packs": what goes is not put right
            before = [m for m in before if not _taken_away(work, mentions[m].first)]
        if not after or not before:
            continue
        stop = _clause_stop(work, fix)
        if (nearest := current[after[0]]) is not None and nearest.first > stop and not conversing:
            # "at 30 feet. wait thats the other street. 25 feet."
            stop = _clause_stop(work, stop)
        last_before = current[before[-1]]
        if (
            last_before is not None
            and last_before.bare
            and not _bare(current[after[0]])
            and mentions[after[0]].first <= fix + 2
            and last_before.last >= fix - 2
            and _zero_slipped(
                float(work.atoms[last_before.first].value), float(work.atoms[mentions[after[0]].first].value)
            )
        ):
            current[before[-1]] = None  # "1750 no 175 watt"
            before = before[:-1]
            if not before:
                continue
        first = True
        floor = 0
        number_alone = _between_numbers(work, mentions[before[-1]], mentions[after[0]], fix)
        following = announced[number + 1] if number + 1 < len(announced) else len(work.atoms)
        for n in after:
            other = current[n]
            if other is None or other.first > stop or other.first > following:
                break
            slot = main_slot(other)
            if slot == "family" and any(
                "remove" in (work.has(n, "action") or ())
                for n in range(max(fix, other.first - 4), other.first)
            ):
                continue  # "actually forget the floods" takes a type away and replaces none
            if slot is None or slot.startswith("_"):
                continue
            if not first and (number_alone or (slot == "qty" and _new_family(mentions, named, after, n))):
                break  # "10 wall packs, no 12, and 4 floods": what follows is a type of its own
            target = None
            if other.bare and first:
                last_number = _count_before(mentions, current, before, after, n)
                if last_number is None:
                    near = fix in soft or "anew" in work.cue(fix)
                    last_number = _likeliest(work, current, before, other, 1.3 if near else 99.0)
                if last_number is not None and (last := current[last_number]) is not None:
                    role = "voltage" if _both_volts(last, other) else main_slot(last)
                    if slot == "voltage" != role and value_of(other, slot) in _TELLING:
                        role = None  # "should be 277" says something of its own
                    if (
                        slot == "qty"
                        and role != "qty"
                        and other.options[0].score >= _SURE
                        and (slot_in(last, "qty") or last.bare)
                    ):
                        role = "qty"  # "it was 40 but ... it's 44 high bays": the new number counts, and so did the old
                    if role == "qty" and slot == "watts" and other.options[0].score >= _SURE:
                        beside = current[before[-1]]
                        if (
                            beside is not None
                            and beside.bare
                            and beside.last >= fix - 5
                            and value_of(beside, "watts") is not None
                        ):
                            role, last_number = "watts", before[-1]  # "11 bollards, 50... no 70 MH"
                        elif work.has(other.last + 1, "source") is not None:
                            role = None  # "10 floods, I mean, 400 mh"
                    narrowed = _measured_like(work, last, restrict(other, role)) if role else None
                    if narrowed is not None and plausible(role, narrowed):
                        current[n] = narrowed
                        target = last_number
                        _restated(mentions, current, before, after, target)
                        floor = _type_of(current, target)
            elif fix not in soft:
                same = [
                    m
                    for m in before
                    if m >= floor and (held := current[m]) is not None and slot_in(held, slot)
                ]
                if same and not (slot == "qty" and _new_family(mentions, named, after, n)):
                    target = same[-1]
                    if len(same) > 1 and _agrees(current[target], slot, value_of(other, slot)):
                        target = same[-2]  # "8 ft, F32T8, no, 4 ft": the code was right
                    floor = max(floor, _type_of(current, target)) if first else floor
            if target is not None:
                held_slots, new_slots = (current[target] or other).slots, other.slots
                taken = value_of(current[target] or other, slot) if slot == "family" else None
                drop(current, target, slot, whole=held_slots <= new_slots)
                if taken is not None:
                    # "5 floods - well they call them floods but they're really wallpacks"
                    for m in before[-6:]:
                        if (twin := current[m]) is not None and value_of(twin, "family") == taken:
                            drop(current, m, "family")
            first = False
    for n, held in enumerate(current):
        # "4000 no 400 watt": the figure right before "no" is taken back by the one right behind it
        if (
            held is not None
            and held.bare
            and work.text_at(held.last + 1) == "no"
            and _figure(work, held.last + 2)
            and held.last == held.first
            and n + 1 < len(current)
            and (after_it := current[n + 1]) is not None
            and after_it.first == held.last + 2
            and not after_it.bare
            and not _in_spanish(work, held.last + 1)
            and main_slot(after_it) != "qty"
        ):
            current[n] = None
    settle(work, mentions, current)
    if not conversing and "\n" in work.folded:
        starred(work, mentions, current)
    for number, kept in enumerate(current):
        if kept is not None:
            gap = kept.gap
            # a dropped neighbour must not hide a separation
            back = number - 1
            while back >= 0 and current[back] is None:
                gap = max(gap, mentions[back].gap)
                back -= 1
            out.append(kept._replace(gap=gap) if gap != kept.gap else kept)
    return out


def _bare(mention: Mention | None) -> bool:
    """Whether a mention is a number without a unit."""
    return mention is not None and mention.bare


def _type_of(current: list[Mention | None], number: int) -> int:
    """The mention that counts the type which a mention belongs to; what stands before it is said of others."""
    for back in range(number, -1, -1):
        held = current[back]
        if held is not None and main_slot(held) == "qty" and held.options[0].score >= _SURE:
            return back
    return 0


def _of_another_type(mentions: list[Mention], back: int, number: int) -> bool:
    """Whether a value stands with the type before in the sentence: "12 packs 277V, 5 floods 250 MH not 277 but 480 on those"."""
    between = range(back + 1, number)
    counts = [n for n in between if main_slot(mentions[n]) == "qty" and mentions[n].options[0].score >= _SURE]
    return (
        bool(counts)
        and not any(mentions[n].gap >= 3 for n in range(counts[-1], number + 1))
        and any(value_of(mentions[n], "family") is not None for n in range(counts[-1], number))
    )


def _taken_away(work: Work, first: int) -> bool:
    """Whether a verb right before takes the mention away."""
    for index in range(first - 1, max(first - 6, -1), -1):
        atom = work.atoms[index]
        if atom.kind in ("s", "b"):
            return False
        if "remove" in (work.has(index, "action") or ()):
            return True
    return False


_SOFT_FIX = words_of(
    "label labels tag sticker nameplate miscounted recounted recount hmm hmmm etiqueta shouldve"
)
_TELLING = frozenset({208, 277, 347, 480})


_ITS = frozenset({"its", "it's", "theyre", "they're", "now", "it is", "they are", "is now", "son"})


def _now(work: Work, index: int) -> bool:
    return "now" in (work.text_at(index), work.text_at(index - 1), work.text_at(index - 2))


def _once(work: Work, index: int) -> bool:
    """Whether the clause before speaks of what was: "had 12 wall packs, now it's 15"."""
    return any(
        work.text_at(n) in ("had", "was", "were", "used to", "used", "originally")
        for n in range(max(0, index - 9), index)
    )


def _between_numbers(work: Work, old: Mention, new: Mention, fix: int) -> bool:
    """Whether nothing but a second thought stands between two bare numbers: "four no five shoeboxes", "12, wait, 14 floods"."""
    if not (old.bare and new.bare and old.last < fix < new.first and new.first - old.last <= 5):
        return False
    between = [work.atoms[n] for n in range(old.last + 1, new.first) if n != fix]
    return all(atom.kind in ("s", "w") or "cue" in atom.mean for atom in between)


def _meant(mention: Mention, value: object) -> str | None:
    """The slot of which a mention gives this value, where that is what it most likely says."""
    for option in mention.options[:1]:
        for name, held in option.slots:
            if held == value and isinstance(held, (int, float)) and not name.startswith("_"):
                return name
    return None


def _both_volts(old: Mention, new: Mention) -> bool:
    """Whether both numbers may be supply voltages."""
    return all(value_of(mention, "voltage") is not None for mention in (old, new))


def _measured_like(work: Work, old: Mention, new: Mention | None) -> Mention | None:
    """A bare number that takes the place of one in metres is in metres too: "no son 10 metros, son 8"."""
    if new is None or not new.bare or work.unit(old.last) != "m" or len(new.options) != 1:
        return new
    (slot, value), *rest = new.options[0].slots
    if slot not in ("height_ft", "spacing_ft") or not isinstance(value, (int, float)):
        return new
    feet = round(float(work.atoms[new.first].value) * 3.28084, 2)
    return new._replace(options=(new.options[0]._replace(slots=((slot, feet), *rest)),))


def _count_before(
    mentions: list[Mention], current: list[Mention | None], before: list[int], after: list[int], n: int
) -> int | None:
    """The count that "it's 23 floods" replaces: a number that surely counts takes the place of a count."""
    new = current[n]
    if (
        new is None
        or main_slot(new) != "qty"
        or new.options[0].score < _SURE
        or new.options[0].rule != "bare count"
    ):
        return None
    family = next((value_of(mentions[m], "family") for m in after if m > n), None)
    if family is None or not any(value_of(mentions[m], "family") == family for m in before):
        return None
    counts = [
        m
        for m in before
        if (held := current[m]) is not None and main_slot(held) == "qty" and held.options[0].score >= _SURE
    ]
    named = [m for m in counts if value_of(mentions[m + 1], "family") == family]
    return named[-1] if named else counts[-1] if counts else None


def _agrees(held: Mention | None, slot: str, value: object) -> bool:
    """Whether a lamp code, which states more than this slot, says the value already."""
    return held is not None and len(held.options[0].slots) > 1 and value_of(held, slot) == value


def _restated(
    mentions: list[Mention], current: list[Mention | None], before: list[int], after: list[int], target: int
) -> None:
    """Where count and type are said again ("12 floods, 400 - make that 12 floods 1000w"), drop the number left hanging before."""
    last = before[-1]
    held = current[last]
    if last <= target + 1 or held is None or not held.bare or value_of(held, "watts") is None:
        return
    new = [mention for m in after[:6] if (mention := current[m]) is not None]
    if (
        len(new) > 1
        and (family := value_of(new[1], "family")) is not None
        and value_of(mentions[target + 1], "family") == family
        and any(main_slot(mention) == "watts" for mention in new)
    ):
        current[last] = None


def _likeliest(
    work: Work, current: list[Mention | None], before: list[int], new: Mention, farthest: float
) -> int | None:
    """The number that a bare one replaces: the nearest in size; of two that are as near, the one said last.

    As in "12 floods 1000w, sorry, 10" (a count) and "20 high bays at 24 ft, no, 22" (a height).
    """
    value = next((option.slots[0][1] for option in new.options if option.slots), None)
    best: tuple[float, int] | None = None
    for steps, number in enumerate(reversed(before)):
        held = current[number]
        if held is None or not numeric(held):
            continue
        slot = main_slot(held)
        old = value_of(held, slot) if slot is not None else None
        if steps > 8:
            break
        if not isinstance(old, (int, float)) or not isinstance(value, (int, float)) or old <= 0 or value <= 0:
            if best is None and farthest > 9:
                best = (0.0, number)
            continue
        narrowed = _measured_like(work, held, restrict(new, slot)) if slot is not None else None
        if narrowed is None or slot is None or not plausible(slot, narrowed):
            continue
        said = value_of(narrowed, slot) if work.unit(held.last) == "m" else value
        if not isinstance(said, (int, float)):
            continue
        far = abs(math.log(said / old))
        if slot == "watts" and value not in known_watts():
            far += 1.0
        cost = far + 0.12 * steps
        if far > farthest:
            continue
        if best is None or cost < best[0]:
            best = (cost, number)
    return best[1] if best else None


def _families(mentions: list[Mention]) -> dict[object, int]:
    """Of each family the mention that names it first."""
    named: dict[object, int] = {}
    for number, mention in enumerate(mentions):
        if (family := value_of(mention, "family")) is not None:
            named.setdefault(family, number)
    return named


def _new_family(mentions: list[Mention], named: dict[object, int], after: list[int], n: int) -> bool:
    """Whether the number opens a type of its own: a family follows it that was not named before."""
    if not any(number < after[0] for number in named.values()):
        return False
    following = [m for m in after if m > n][:3]
    return any(
        (family := value_of(mentions[m], "family")) is not None and named[family] >= n for m in following
    )


_TO_BE = frozenset(
    {
        "to be",
        "be",
        "to",
        "need",
        "needs",
        "have",
        "has",
        "need to be",
        "have to be",
        "needs to be",
        "required",
    }
)
_WISHED = frozenset({"cct_k", "finish", "optic", "mount"})
_WHATEVER = words_of("anything any color colour finish paint cualquier cualquiera todo whatever one")
_UNWANTED = frozenset(
    {
        "dont want",
        "don't want",
        "do not want",
        "not want",
        "hate",
        "hates",
        "no quiero",
        "no queremos",
        "doesnt want",
        "dont like",
        "tired of",
        "no more",
        "not that",
        "none of that",
    }
)


_INSTEAD = words_of("instead_of in_place_of rather_than en_lugar_de en_vez_de")


_STRUCK = words_of("scratch strike ignore disregard forget nix olvida ignora") | {
    "forget about", "never mind", "nevermind", "scratch the", "ignore the", "forget the", "strike the", "scratch that",
}  # fmt: skip


def _for_led(work: Work, index: int) -> bool:
    """Whether LEDs are wanted in place of what follows: "LED high bays instead of the 400 W ones"; the lamp is then there now."""
    if work.text_at(index) in ("the", "our", "my", "those", "these", "las", "los", "mis", "nuestras", "de"):
        index -= 1
    if work.text_at(index) in ("las", "los"):
        index -= 1
    if work.text_at(index).replace(" ", "_") not in _INSTEAD:
        return False
    for n in range(index - 1, max(-1, index - 6), -1):
        atom = work.atoms[n]
        if atom.kind == "b" or (atom.kind == "s" and atom.text in ".;!?"):
            return False
        if "led" in atom.mean or "led" in atom.text.split():
            return True
    return False


def _negated(work: Work, mention: Mention) -> bool:
    """Whether "not" stands right before the mention ("not halide", "no de 400", "isn't 277")."""
    if work.text_at(mention.last + 1) in ("is", "was", "looks") and "too" in (
        work.text_at(mention.last + 1),
        work.text_at(mention.last + 2),
    ):
        return True
    if work.text_at(mention.last + 1) in ("are", "were", "is") and work.text_at(mention.last + 2) in (
        "gone",
        "history",
    ):
        return True
    if main_slot(mention) in _WISHED and any(
        work.text_at(n) in _UNWANTED
        and not any(work.atoms[k].kind in ("s", "b") for k in range(n, mention.first))
        for n in range(max(0, mention.first - 5), mention.first)
    ):
        return True  # "don't want that blue 5000K stuff"
    index = mention.first - 1
    if (
        work.has(index, "scope") == "except"
        and main_slot(mention) in _WISHED
        and work.text_at(index - 1) in _WHATEVER
    ):
        return True  # "anything but bronze"
    if _for_led(work, index):
        return False
    if index >= 0 and "remove" in (work.has(index, "action") or ()) and main_slot(mention) in _SWAPPED:
        return True  # "forget bronze, do black"
    if index >= 0 and main_slot(mention) in _SWAPPED:
        verb = index - 1 if work.text_at(index) in ("the", "that", "el", "la", "lo de") else index
        if work.text_at(verb) in _STRUCK:
            return True  # "scratch hps, its halide", "ignore the sodium"
    if work.text_at(index) in (
        "the",
        "a",
        "de",
        "son",
        "at",
        "es",
        "those",
        "really",
        "any",
        "los",
        "las",
        "on",
    ):
        index -= 1
    if (
        work.text_at(index)
        in ("have", "had", "got", "use", "used", "using", "run", "tenemos", "tengo", "usamos")
        and index
    ):
        index -= 1
    if (
        main_slot(mention) in ("damp_or_wet", "emergency_backup", "dark_sky")
        and work.text_at(index) in _TO_BE
    ):
        # "doesn't need to be wet rated", "they don't have to be dark sky"
        while index > 0 and work.text_at(index) in _TO_BE:
            index -= 1
        return _is_not(work, index)
    if work.text_at(index) == "never" and mention.first - 1 != index:
        return True  # "never had sodium"
    ahead = range(max(0, index - 4), index)
    if (
        work.text_at(index) in ("about", "around")
        and any("fix" in work.cue(n) or "remove" in (work.has(n, "action") or ()) for n in ahead)
    ) or (
        work.text_at(index) in ("about", "on")
        and any(work.text_at(n) in ("wrong", "mistaken") for n in ahead)
    ):
        return True
    being = mention.first - 1 if work.text_at(mention.first - 1) in _BEING else index
    if being > 0 and work.text_at(being) in _BEING and _of_nothing(work, being):
        return True
    if index < 0 or not _is_not(work, index):
        return False
    text = work.text_at(index)
    counting = numeric(mention)
    if text in ("no", "sin", "without") and main_slot(mention) in ("mount", "optic"):
        # "without yokes, trunnion please"; "yoke no trunnion" says it anew
        return not any(kind in work.atoms[index - 1].mean for kind in _SWAPPED) if index else True
    if (
        text == "no"
        and main_slot(mention) == "finish"
        and (index == 0 or "finish" not in work.atoms[index - 1].mean)
        and (
            (
                work.text_at(mention.last + 1) in ("please", "pls", "ones", "paint", "finish", "or", "on")
                and (index == 0 or work.atoms[index - 1].kind in ("s", "b"))
            )
            or _another_follows(work, mention.last + 1, "finish")
            or (index and not any("finish" in work.atoms[n].mean for n in range(max(0, index - 40), index)))
        )
    ):
        return True
    if text in ("no", "sin", "without", "minus the") and not counting:
        return work.text_at(mention.first - 1) in ("son", "es")
    if text == "no" and counting:
        # "no 277" takes back; "no, 30" and "no 30 ft" give anew
        return (
            work.text_at(mention.first - 1) in ("de", "son", "es")
            or _in_spanish(work, index)
            or (index > 0 and work.atoms[index - 1].kind not in ("s", "b") and not _counts_anew(work, index))
        )
    return True


_BEING = words_of("is are was were es son be being")
_NOTHING = words_of("nothing none ninguno ninguna ningun nada neither")


def _of_nothing(work: Work, index: int) -> bool:
    """Whether the subject of "is" at ``index`` is nothing: "nothing here is 277", "none of these are metal halide"."""
    for n in range(index - 1, max(-1, index - 6), -1):
        if work.atoms[n].kind in ("s", "b", "n"):
            return False
        if not _NOTHING.isdisjoint(work.text_at(n).split()):
            return True
    return False


def _another_follows(work: Work, at: int, kind: str) -> bool:
    """Whether another value of the kind follows in the sentence before anything is counted or named: "no bronze, needs to be black"."""
    for n in range(at, min(len(work.atoms), at + 8)):
        atom = work.atoms[n]
        if kind in atom.mean:
            return True
        if atom.kind in ("n", "c", "b") or atom.text in ".;!?" or "family" in atom.mean:
            return False
    return False


def _clause_stop(work: Work, at: int) -> int:
    """The last atom of the sentence that a correction opens."""
    index = at + 1
    words = 0
    while index < min(len(work.atoms), at + 80):
        atom = work.atoms[index]
        if atom.kind in ("p", "w", "n", "c"):
            words += 1
        dots = atom.text == "." and "." in (work.text_at(index - 1), work.text_at(index + 1))
        if (
            not dots
            and (
                words > 1
                or (
                    words == 1
                    and work.atoms[index - 1].kind == "n"
                    and not (index + 1 < len(work.atoms) and work.atoms[index + 1].glued)
                )
            )
            and (atom.kind == "b" or (atom.kind == "s" and atom.text in ".;!?"))
        ):
            return index
        index += 1
    return index


_ASKABLE = frozenset(
    {
        "finish",
        "controls",
        "optic",
        "mount",
        "cct_k",
        "dark_sky",
        "emergency_backup",
        "damp_or_wet",
        "voltage",
        "cri",
        "keep_housing",
    }
)


def only_asked(work: Work, mentions: list[Mention]) -> list[Mention]:
    """Drop what is only asked about: "do they come in bronze?"."""
    if not work.speaks_of("cue:ask"):
        return mentions
    asked: list[tuple[int, int]] = []
    start = 0
    for index, atom in enumerate(work.atoms):
        if atom.kind == "b" or (atom.kind == "s" and atom.text in ".!?;"):
            if atom.text == "?":
                cue = next((n for n in range(start, index) if "ask" in work.cue(n)), None)
                if cue is not None:
                    low = cue
                    comma = next((n for n in range(cue, start - 1, -1) if work.text_at(n) == ","), start)
                    asked.append((min(low, comma) if comma > start else start, index))
            start = index + 1
    if start < len(work.atoms) and any(
        "ask" in work.cue(n)
        and work.text_at(n).startswith(
            ("do ", "does ", "is there", "are there", "are they", "will ", "are those")
        )
        for n in range(start, min(start + 2, len(work.atoms)))
    ):
        asked.append((start, len(work.atoms)))  # the mark at the very end is often left out
    if not asked:
        return mentions
    kept = []
    for mention in mentions:
        inside = any(low <= mention.first <= high for low, high in asked)
        if inside and len(mention.options) == 1 and mention.slots <= _ASKABLE:
            work.use(mention.first, mention.last)
            continue
        kept.append(mention)
    return kept
