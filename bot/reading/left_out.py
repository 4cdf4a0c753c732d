"""Types of a list that the writer says are to be left out: "2 sconces (skip these)", "6 exits - already ordered, ignore"."""

from bot.reading.joins import Slots, public
from bot.reading.late import Late

_LEFT_OUT = Late(
    r"[ \-,:(*\[\u2013\u2014]{1,5}(?:(?:already|these are|those are|theyre|they are|were|we already) [a-z ]{2,24}[,;-] ?)?"
    r"(?:please |pls |so |but |just )?(?:skip|ignore|disregard|omit|exclude|leave out|leave off|dont quote|don't quote|do not quote|dont price|do not price|not in scope"
    r"|out of scope|not included|not part of this|dont bother|no quote|no cotizar|omitir|ignorar|no incluir)"
    r"(?: (?:these|those|this|that|them|it|this one|that one|for now|on these|estos|estas|por ahora|line|item|both|all of them))?"
    r"[ )\].!*]{0,4}(?=\n|;|,|$)"
)


def without_left_out(lines: list[Slots], folded: str) -> list[Slots]:
    """The types without those that are set aside right behind their description; all of them where none would be left."""
    if not _LEFT_OUT.search(folded):
        return lines
    kept: list[Slots] = []
    for number, slots in enumerate(lines):
        own = public(slots)
        starts = [said.start for slot, said in own.items() if slot in ("qty", "family", "size")]
        if "qty" in own and starts:
            nxt = lines[number + 1].get("qty") if number + 1 < len(lines) else None
            stop = nxt.start if nxt is not None and nxt.start > max(starts) else len(folded)
            line_end = folded.find("\n", max(starts))
            stop = min(stop, line_end if line_end >= 0 else len(folded))
            last = max(said.end for said in own.values() if said.end <= stop)
            match = _LEFT_OUT.match(folded, last)
            if match is not None and match.end() <= stop + 1:
                continue
        kept.append(slots)
    return kept or lines
