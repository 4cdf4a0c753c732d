"""What a message tells of only to set it aside: "24, or M58? no, just M59", "disregard the count on the drawing (22)"."""

import re

from bot.reading.late import Late

_HARD = (
    "forget",
    "scratch",
    "disregard",
    "ignore",
    "never",
    "nvm",
    "strike",
    "scrub",
    "nix",
    "olvid",
    "ignor",
    "cancel",
)
_COUNT_GIVEN = Late(
    r"(?<![a-z])(?:forget(?: about)?|scratch|disregard|ignore) (?:the |that |my |our )?(?:earlier |old |first )?(?:count|qty|quantity|quantities|number|numbers|total|totals|figure|cantidad)"
    r" (?:on|in|from|of|per|en|del) (?:the |my |our |your |that |el |la )?[a-z]{3,14}(?: [a-z]{3,12}){0,2},? ?\(?(?:of )?(?P<value>\d{1,5})\)?(?= ?(?:[,.;:!?\n]|$|- ))"
)
"""A count that is told of only to be ignored: "disregard the count on the drawing (22)"."""
_NO_TO_THAT = Late(
    r"\? ?(?:no|nope|nah|negative)(?! (?:idea|clue|se|more|less|sure|one|way|problem|photo|sensor|control|dimm|motion|timer))(?=[ ,.]+[a-z0-9])"
)
_TOLD_WRONG = Late(
    r"(?<![a-z])(?:i|we|he|she|they) (?:said|told|wrote|put|had|sent|gave)(?: (?:you|him|her|them|your|the|that|my|our|to|other|guy|girl|man|lady|person|counter|desk|down|it|was|as|is)){0,6} (?P<value>[a-z0-9/'-]{2,12})(?: [a-z]{1,8}){0,5}(?:,| -)? but (?=(?:it'?s|it is|its really|they'?re|they are|really|actually|the tag|the lamp))"
)
_RIGHT = re.compile(
    r"(?:it'?s|it is|its really|they'?re|they are|really|actually|the tag|the lamp)(?: is| says| really| actually)? (?P<value>[a-z0-9/'-]{2,12})"
)
_LEADS = re.compile(r"[,.;(\n]| --? |(?<![a-z])(?:or|on|is it|are they|was it) ")
_KEPT = (
    "photo",
    "motion",
    "dimm",
    "sensor",
    "timer",
    "emergency",
    "battery",
    "dark",
    "rebate",
    "we ",
    "you ",
    "need",
    "want",
)
_BARE_ANSWER = re.compile(
    r"[ ,.]{0,4}(?:(?:just|only|its|it's|they're|theyre|they are|it is|all|make it|more like|sorry|wait)[ ,]{1,2}){0,3}"
    r"(?:\d{1,5}|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|[a-z]{3,5}teen|twenty|thirty|forty|fifty)(?= ?(?:[.,;!?\n]|$))"
)
_LONGEST_ASIDE = 48


def asked_and_denied(folded: str) -> list[tuple[int, int]]:
    """The characters of what the writer asks himself and denies at once: "24, or M58? no, just M59", "I said H39 but it's H33"."""
    spans: list[tuple[int, int]] = []
    for match in _TOLD_WRONG.finditer(folded):
        if any(char.isdigit() for char in match["value"]):
            right = _RIGHT.match(folded, match.end())
            again = right is not None and right["value"] in folded[: match.start()]
            spans.append((match.start(), right.end() if right is not None and again else match.end()))
    if "?" not in folded:
        return spans
    for match in _NO_TO_THAT.finditer(folded):
        low = max(0, match.start() - _LONGEST_ASIDE)
        start = max((found.start() for found in _LEADS.finditer(folded, low, match.start())), default=-1)
        if start <= 0:
            continue
        aside = folded[start : match.start()]
        # "2 lamp? no just one": what the number is said of stands in the question
        if not any(word in aside for word in _KEPT) and not _BARE_ANSWER.match(folded, match.end()):
            spans.append((start, match.end()))
    return spans


def counts_ignored(folded: str) -> list[tuple[int, int]]:
    """The characters of counts that are told of only to be ignored."""
    if not any(word in folded for word in _HARD):
        return []
    return [match.span() for match in _COUNT_GIVEN.finditer(folded)]


def values_taken_back(folded: str) -> list[tuple[int, int]]:
    """The characters of values that the message tells of only to deny or ignore them."""
    return sorted([*asked_and_denied(folded), *counts_ignored(folded)])
