"""A message of a talk that puts something in the place of what is there: another type instead, or the parts that a count falls into.

"Ditch that, 6 wallpacks 100 HPS", "6 wallpacks instead", "8 wallpacks not floods": the type told last goes. "10 are 250 W, 2 are 175"
of twelve: the parts add up to the count, so they are read as in a first message, behind the type that they are parts of.
"""

import re
from dataclasses import replace
from typing import Final

from bot.conversation.description import FEWEST
from bot.conversation.scope import value_of
from bot.conversation.state import State
from bot.reading import read_message
from bot.reading.message import Message, Passage, Scope
from bot.reading.spaced import as_sent
from bot.reading.taking_back import ALL_OF_THAT, INSTEAD, NOT_THE

_LONGEST: Final = 300
_PARTS: Final = re.compile(
    r"(?<![\d.$#])\d{1,4}(?: of (?:them|em|those|these|(?:the|our|my) [a-z]{3,14}(?: [a-z]{3,10})?))?,? (?:are|is|r|at|have|get|gets|need|in|on|with|w/|son|estan|de|con)(?![a-z])"
)
_SHARES: Final = re.compile(
    r"(?<![a-z])(?:half|(?:a|one|two) (?:third|quarter|fourth)s?|la mitad)(?: (?:of|de) (?:them|em|those|these|ellos|ellas))?(?= [a-z\d])"
)
_NUMBER: Final = re.compile(r"(?<![\d.$#/])\d{1,4}(?![\d.%/])")
_MOST_NUMBERS: Final = 12
_REST: Final = re.compile(r"(?<![a-z])(?:rest|others?|remaining|remainder|demas|resto|otros|otras)(?![a-z])")
_CALLED: Final = {
    "wall_pack": "wall packs", "flood": "floods", "area": "shoeboxes", "street": "cobra heads", "high_bay": "high bays", "low_bay": "low bays",
    "troffer": "troffers", "panel": "flat panels", "strip": "strips", "wrap": "wraps", "vapor_tight": "vapor tights", "downlight": "downlights",
    "canopy": "canopy lights", "garage": "garage lights", "bollard": "bollards", "post_top": "post tops", "security": "yard lights",
    "sconce": "sconces", "exit": "exit signs", "sign": "sign lights", "landscape": "landscape lights", "track": "track heads",
}  # fmt: skip
"""A word for each family, to stand before its parts."""


def in_place(text: str, message: Message, state: State) -> Message:
    """The message with what it takes the place of; the message itself where it takes the place of nothing.

    Args:
        text: as sent.
        message: as it was read.
        state: before it; not empty.
    """
    lower = text.lower()
    if len(text) > _LONGEST or len(lower) != len(text) or message.command is not None or not state.lines:
        return message
    return _in_parts(lower, text, message, state) or _another_type(lower, message, state) or message


def _another_type(lower: str, message: Message, state: State) -> Message | None:
    """As in "ditch that, 6 wallpacks", "6 wallpacks instead", "8 wallpacks not floods"."""
    if len(message.passages) != 1 or message.job:
        return None
    told = message.passages[0]
    slots = told.slots
    if (
        told.action not in ("state", "add")
        or not {"family", "qty"} <= slots.keys()
        or told.labels
        or told.more
    ):
        return None
    family = slots["family"].value
    if any(value_of(line, "family") == family for line in state.lines):
        return None
    start = slots["family"].start
    if (denied := _denied(lower, state)) is not None:
        if slots.keys() == {"family", "qty"}:
            one = Passage("change", slots, Scope("ordinal", start, start, ordinal=denied))
            return replace(message, intent="revise", passages=(one,))
        target: int | None = denied
    elif ALL_OF_THAT.search(lower) is not None or (
        INSTEAD.search(lower) is not None and not _just_removed(state)
    ):
        target = _told_last(state)
    else:
        return None
    if target is None:
        return None
    gone = Passage("remove", {}, Scope("ordinal", start, start, ordinal=target))
    return replace(message, intent="revise", passages=(gone, told))


def _denied(lower: str, state: State) -> int | None:
    """The line whose family the message denies by name: "8 wallpacks not floods"."""
    match = NOT_THE.search(lower)
    if match is None:
        return None
    named = read_message(match["what"])
    families = {passage.slots["family"].value for passage in named.passages if "family" in passage.slots}
    lines = [number for number, line in enumerate(state.lines) if value_of(line, "family") in families]
    return lines[0] if len(lines) == 1 else None


def _just_removed(state: State) -> bool:
    """Whether the change before took a type away: "instead" speaks of that one."""
    return bool(state.history) and len(state.history[-1].job.lines) > len(state.lines)


def _told_last(state: State) -> int | None:
    """The only line, or the only one that the message before told of."""
    if len(state.lines) == 1:
        return 0
    turns = [
        max((held.span[0] for held in line.slots.values() if held.span is not None), default=-1)
        for line in state.lines
    ]
    last = [number for number, turn in enumerate(turns) if turn == max(turns)]
    return last[0] if len(last) == 1 else None


def _meant(before: str, message: Message, state: State) -> int | None:
    """The line that the message speaks of: the only one, or the only one of a family that it names, ahead of the parts or anywhere."""
    if len(state.lines) == 1:
        return 0
    if any(char.isalpha() for char in before):
        heads = {p.slots["family"].value for p in read_message(before).passages if "family" in p.slots}
        lines = [number for number, line in enumerate(state.lines) if value_of(line, "family") in heads]
        if len(lines) == 1:
            return lines[0]
    named = {
        family
        for passage in message.passages
        if passage.scope is not None
        for family in passage.scope.families
    }
    named.update(passage.slots["family"].value for passage in message.passages if "family" in passage.slots)
    lines = [number for number, line in enumerate(state.lines) if value_of(line, "family") in named]
    return lines[0] if len(lines) == 1 else None


def _in_parts(lower: str, text: str, message: Message, state: State) -> Message | None:
    """As in "10 are 250, 2 are 175" of twelve."""
    found = sorted(match.start() for words in (_PARTS, _SHARES) for match in words.finditer(lower))
    numbers = list(_NUMBER.finditer(lower)) if len(found) < FEWEST else []
    first = found[0] if found else numbers[0].start() if numbers else 0
    target = _meant(lower[:first], message, state) if found or len(numbers) >= FEWEST else None
    if target is None:
        return None
    whole, family = value_of(state.lines[target], "qty"), value_of(state.lines[target], "family")
    if not isinstance(whole, int) or family not in _CALLED:
        return None
    if len(found) < FEWEST and not (found and _REST.search(lower) is not None):
        counts = [int(match[0]) for match in numbers[:_MOST_NUMBERS]]
        ahead = [n for n, count in enumerate(counts) if whole - count in counts[n + 1 :] and count < whole]
        if not ahead:
            return None
        found = [numbers[ahead[0]].start()]
    lead = f"{whole} {_CALLED[family]}, "
    begins = found[0]
    if any(char.isdigit() for char in text[:begins]):
        return None
    told = read_message(lead + text[begins:])
    parts = told.passages
    if len(parts) == 1 and told.intent == "quote" and not told.job and _only_counts(parts[0], whole, family):
        return replace(
            message, intent="revise", passages=(), unread=()
        )  # "12 on the north side, 8 on the south"
    if (
        len(parts) < 2
        or told.intent != "quote"
        or told.job
        or any(part.action != "state" or not {"qty", "family"} <= part.slots.keys() for part in parts)
        or any(part.slots["family"].value != family or len(part.slots) < 3 for part in parts)
        or sum(part.slots["qty"].value for part in parts) != whole
    ):
        return None
    placed = as_sent(told, [begins] * len(lead) + list(range(begins, len(text))), len(text))
    out = []
    for number, part in enumerate(placed.passages):
        at = part.slots["qty"].start
        scope = Scope("ordinal", at, at, ordinal=target)
        kept = {
            slot: said for slot, said in part.slots.items() if slot != "family" and (number or slot != "qty")
        }
        out.append(Passage("split" if number else "change", kept, scope))
    # what a part has of its own comes last, so that the other parts do not take it over
    return replace(message, intent="revise", passages=(*out[1:], out[0]), unread=placed.unread)


def _only_counts(part: Passage, whole: int, family: str) -> bool:
    """Whether parts come to the whole and nothing else is said of them."""
    return (
        part.slots.keys() == {"qty", "family"}
        and part.slots["qty"].value == whole
        and part.slots["family"].value == family
    )
