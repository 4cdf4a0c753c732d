"""Values said twice for one type: the later stands where words of doubt part them."""

from bot.reading.clause import Work
from bot.reading.mention_slots import drop, value_of
from bot.reading.mentions import Mention
from bot.reading.words import words_of

_SOFT = words_of(
    """hmm hm hmmm label labels tag sticker stamp nameplate checked check checking look looked looking thought guess
    guessed guessing miscounted recounted counted wrong gone now really whoa oh actual lemme believe assumed figured was
    ballast says said so digo creo pensaba dice etiqueta revisando bueno"""
)


_TOLD = words_of("said told thought figured put wrote had dije")
_IN_FACT = frozenset({"theyre", "they're", "its", "it's", "they are", "it is", "really", "son", "those are"})
_SETTLED = frozenset({"source", "watts", "lamps", "voltage", "height_ft", "cct_k", "qty", "finish"})


def settle(work: Work, mentions: list[Mention], current: list[Mention | None]) -> None:
    """Of two values for one slot of one type the later stands, where words of doubt or of looking again part them.

    As in "250w... hmm label says 320" and "we thought halide but the tag says S51".
    """
    last: dict[str, int] = {}
    for n, mention in enumerate(current):
        if mention is None or len(mention.options) != 1:
            if mention is not None and "qty" in mention.slots:
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
                last = (
                    {"family": n}
                    if "family" in slots and not last.keys() - {"family"}
                    else last
                    if "family" in slots and kept is None
                    else {}
                )
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
