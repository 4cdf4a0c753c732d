"""Types of a list that the writer says are to be left out: "2 sconces (skip these)", "6 exits - already ordered, ignore"."""

from bot.reading.joins import Slots, public
from bot.reading.late import Late

_LEFT_OUT = Late(
    r"(?: leds?)?[ \-,:?(*\[\u2013\u2014]{1,5}(?:leds? )?(?:no[, ]{1,2})?(?:(?:already|these are|those are|theyre|they are|were|we already) [a-z ]{2,24}[,;-] ?)?"
    r"(?:please |pls |so |but |just )?(?:skip|ignore|disregard|omit|exclude|leave out|leave off|dont quote|don't quote|do not quote|dont price|do not price|not in scope"
    r"|out of scope|not included|not part of this|dont bother|no quote|not (?:these|those|this one)|leave|leaving|leave alone|stays?|staying|no change|already done|already replaced|already changed|already swapped|done already|done last year|no cotizar|omitir|ignorar|no incluir|se quedan?|dejar|dejalos|dejalas|ya estan|no tocar|don't touch|dont touch)"
    r"(?: (?:these|those|this|that|them|em|it|this one|that one|estos|estas|line|item|both|all of them))?(?: (?:for now|on these|por ahora|alone|as is|as-is|be|there|asi))?"
    r"(?:[ )\].!*]{0,4}(?=\n|;|,|$|-|\u2013)|[)\]]?[.!] )"
)


_LEAVE_THE = Late(
    r"(?: leds?)?[ \-,:(]{1,5}(?:leave|skip|ignore|omit|exclude|not|no)(?: the| out the| those)? (?P<name>[a-z -]{3,20}?)[ ).!]{0,3}$"
)


_VERBS = ("leave ", "skip ", "ignore ", "omit ", "exclude ")


def _leaves(behind: str, name: str) -> bool:
    """Whether the words behind a type leave it out by its name: "4 exit LED - leave exits"."""
    match = _LEAVE_THE.match(behind) if len(behind) < 48 else None
    return match is not None and match["name"].rstrip("s") == name.rstrip("s")


_EXTRAS = frozenset({"controls", "finish", "optic", "emergency_backup", "dark_sky", "cct_k", "cri"})
"""What may be left out of a type that stays: "8 wallpacks, photocells? skip those"."""


def without_left_out(lines: list[Slots], folded: str) -> list[Slots]:
    """The types without those that are set aside right behind their description; all of them where none would be left."""
    if not _LEFT_OUT.search(folded) and not any(word in folded for word in _VERBS):
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
            last, slot = max((said.end, slot) for slot, said in own.items() if said.end <= stop)
            match = _LEFT_OUT.match(folded, last)
            named = slots.get("family")
            if named is not None and _leaves(folded[last:stop], folded[named.start : named.end]):
                continue
            if (
                match is not None
                and match.end() <= stop + 1
                and (slot not in _EXTRAS or "(" in match.group() or "[" in match.group())
            ):
                continue
        kept.append(slots)
    return kept or lines
