"""Values said twice for one type: the later stands where words of doubt part them."""

from bot.reading.clause import Work
from bot.reading.mention_slots import drop, main_slot, restrict, value_of
from bot.reading.mentions import Mention
from bot.reading.supply import VOLTS
from bot.reading.words import words_of

_SOFT = words_of(
    """hmm hm hmmm label labels tag sticker stamp nameplate checked check checking look looked looking thought guess
    guessed guessing miscounted recounted counted wrong gone now really whoa oh actual lemme believe assumed figured was
    opened closer measured pulled
    ballast says said so digo creo pensaba dice etiqueta revisando bueno"""
)


_TOLD = words_of("said told thought figured put wrote had dije")
_IN_FACT = frozenset({"theyre", "they're", "its", "it's", "they are", "it is", "really", "son", "those are"})
_SETTLED = frozenset(
    {"source", "watts", "lamps", "lamp_feet", "voltage", "height_ft", "cct_k", "qty", "finish"}
)


def settle(work: Work, mentions: list[Mention], current: list[Mention | None]) -> None:
    """Of two values for one slot of one type the later stands, where words of doubt or of looking again part them.

    As in "250w... hmm label says 320" and "we thought halide but the tag says S51".
    """
    if "ranges" in work.flags:
        _wavered(work, mentions, current)
    last: dict[str, int] = {}
    for n, mention in enumerate(current):
        if mention is None or len([option for option in mention.options if option.slots]) != 1:
            if mention is not None and "qty" in mention.slots and main_slot(mention) in ("qty", None):
                last.clear()
            continue
        slots = dict(mention.options[0].slots)
        if "family" in slots or "qty" in slots or "_same" in slots:
            kept = last.get("family")
            if (
                kept is None
                or "qty" in slots
                or current[kept] is None
                or value_of(mentions[kept], "family") != slots.get("family")
            ):
                if "family" not in slots:
                    last = {}
                elif kept is None:
                    last["family"] = n
                else:
                    last = {"family": n}
        for slot, value in slots.items():
            back = last.get(slot) if slot in _SETTLED else None
            if (
                back is not None
                and (old := current[back]) is not None
                and value_of(old, slot) not in (None, value)
            ):
                low, high = old.last + 1, mention.first
                told = range(max(0, old.first - 3), old.first)
                if (
                    high - low <= 14
                    and any(work.text_at(k) in _TOLD for k in told)
                    and any(work.text_at(k) in _IN_FACT for k in range(low, high))
                ):
                    drop(current, back, slot)
                elif high - low <= 14 and any(
                    not _SOFT.isdisjoint(work.text_at(k).split())
                    or (work.text_at(k) == "." and work.text_at(k + 1) == ".")
                    for k in range(low, high)
                ):
                    drop(current, back, slot)
                    if mention.options[0].rule == "lamp code":
                        for other in set(slots) - {slot}:
                            if (m := last.get(other)) is not None and current[m] is not None and m != n:
                                drop(current, m, other)
            if slot in _SETTLED:
                last[slot] = n


def _wavered(work: Work, mentions: list[Mention], current: list[Mention | None]) -> None:
    """Take back what somebody wavers over before he settles it: "250w... 250 or 400... just looked, 400"."""
    ranges: dict[int, float] = work.flags["ranges"]
    for n, mention in enumerate(mentions):
        other = ranges.get(mention.first)
        if other is None or mention.gap < 2 or not 0 < n < len(mentions) - 1:
            continue
        pair = (float(work.atoms[mention.first].value), other)
        for back in range(n - 1, max(-1, n - 4), -1):
            slot = main_slot(mentions[back])
            if slot is None or value_of(mentions[back], slot) not in pair:
                continue
            new = restrict(mentions[n + 1], slot) if mentions[n + 1].gap >= 2 else None
            if new is not None and value_of(new, slot) in pair and current[n + 1] is not None:
                current[n], current[n + 1] = None, new
                if current[back] is not None and value_of(mentions[back], slot) != value_of(new, slot):
                    drop(current, back, slot)
            break


def starred(work: Work, mentions: list[Mention], current: list[Mention | None]) -> None:
    """Lines behind a star put right what the message said before of its one type: "15 cobra heads 240v", "*16", "*and 120v".

    A list whose items begin with stars names types in them, or says nothing of what was said before.
    """
    line = -1
    lines: dict[int, list[int]] = {}
    for number, mention in enumerate(mentions):
        start = mention.first
        while start > 0 and work.atoms[start - 1].kind != "b":
            start -= 1
        star = start > 0 and work.text_at(start) == "*"
        if star or start == line:
            line = start
            lines.setdefault(start, []).append(number)
        elif lines:
            return
    if not lines:
        return
    first = min(numbers[0] for numbers in lines.values())
    told = [n for n in range(first) if current[n] is not None]
    if (
        sum(main_slot(mentions[n]) == "qty" for n in told) != 1
        or sum(value_of(mentions[n], "family") is not None for n in told) != 1
        or any(
            value_of(mentions[n], name) is not None
            for n in range(first, len(mentions))
            for name in ("family", "size")
        )
    ):
        return
    for numbers in lines.values():
        for n in numbers:
            new = current[n]
            slot = main_slot(new) if new is not None else None
            if new is None or slot is None or slot.startswith("_"):
                continue
            if new.options[0].rule == "second thought":
                continue  # it has put its slot right already
            if new.bare and len(numbers) == 1:
                near = [m for m in told if (held := current[m]) is not None and held.bare]
                value = float(work.atoms[new.first].value)
                near.sort(key=lambda m: abs(float(work.atoms[mentions[m].first].value) - value))
                volts = any(
                    value_of(mentions[m], "voltage") is not None and not mentions[m].bare for m in told
                )
                if volts and value in VOLTS:
                    slot = "voltage"
                elif near and (role := main_slot(mentions[near[0]])) is not None:
                    slot = role
            old = [
                m
                for m in told
                if (held := current[m]) is not None and slot in {name for name, _ in held.options[0].slots}
            ]
            if not old:
                continue
            if new.bare and (narrowed := restrict(new, slot)) is not None:
                current[n] = narrowed
            drop(current, old[-1], slot)
