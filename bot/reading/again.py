"""What a first message takes back of itself: "forget the height", "8 wallpacks 4000k, forget the 4000k", a list that is said anew."""

import re
from dataclasses import replace

from bot.reading.edits import CONTROL_NAMES, DROPPED, EACH_NOUN, JOB_NAMES
from bot.reading.late import Late
from bot.reading.message import Passage, Said

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
_VALUE = Late(
    r"(?<![a-z])(?:forget(?: about)?|scratch|disregard|ignore|never ?mind(?: about)?|nvm|strike|scrub|nix|cancel|olvida|ignora) (?:the |that |those |what i said about |el |la |los |las )?"
    r"(?P<value>\d{1,5} ?[a-z']{0,6}|[a-z]{3,12}(?: [a-z]{3,10})?)(?= ?(?:[.,;!?\n]|$))"
)
_COUNT_GIVEN = Late(
    r"(?<![a-z])(?:forget(?: about)?|scratch|disregard|ignore) (?:the |that |my |our )?(?:earlier |old |first )?(?:count|qty|quantity|quantities|number|numbers|total|totals|figure|cantidad)"
    r" (?:on|in|from|of|per|en|del) (?:the |my |our |your |that |el |la )?[a-z]{3,14}(?: [a-z]{3,12}){0,2},? ?\(?(?:of )?(?P<value>\d{1,5})\)?(?= ?(?:[,.;:!?\n]|$|- ))"
)
"""A count that is told of only to be ignored: "disregard the count on the drawing (22)"."""
_ANEW = Late(
    r"(?<![a-z])(?:forget (?:that|the|it|this)|no,? (?:wait|reverse (?:that|those)|scratch that|sorry|make that|other way a?round|hold on|hang on)|scratch that|strike that|reverse that|(?:swap|switch|flip) (?:that|those|them)(?: around)?|i take that back|correction|"
    r"(?:let me|lemme) (?:redo|restate|rephrase|correct|start over|try again|fix)(?: that| this)?|wait(?: no)?|my bad|oops|whoops|ignore that|sorry|actually|other way a?round|hold on|hang on|perdon|no,? espera|mejor dicho|digo)(?![a-z])"
)
_MORE = re.compile(
    r"(?<![a-z])(?:also|more|another|plus|add|additional|extra|too|and then|tambien|otr[oa]s?|mas)(?![a-z])"
)
_WITHOUT = Late(
    r"(?:[,.;(-]|\b(?:actually|sorry|wait|no|scratch that|on second thought|hmm)) ?(?:(?:actually|sorry|wait|no|make that|scratch that|lets go|let's go|on second thought)[ ,]{1,2}){0,3}(?:without(?: (?:them|those|it|that|one))?|skip (?:them|those|it|that)|mejor sin)(?= ?(?:[.,;!?)\n]|$))"
)
_KIND = ("source", "watts", "size", "lamp_feet", "height_ft", "lamps")


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
    """The characters of values that the message names again to take them back, and of the words that do so."""
    spans: list[tuple[int, int]] = asked_and_denied(folded)
    spans.extend(counts_ignored(folded))
    for match in _VALUE.finditer(folded):
        value = match["value"].strip()
        if not any(char.isdigit() for char in value):
            continue
        before = folded[: match.start()]
        at = before.rfind(value)
        if at < 0 or (at and (before[at - 1].isalnum() or before[at - 1] == ".")):
            continue
        end = at + len(value)
        if end < len(before) and before[end].isalnum():
            continue
        spans += [(at, end), match.span()]
    return sorted(spans)


def taken_back_here(folded: str) -> list[tuple[int, int, list[str]]]:
    """Clauses that take slots back by name: (first character, end, names of slots and controls)."""
    out = []
    for match in DROPPED.finditer(folded) if any(word in folded for word in _HARD) else ():
        verb = match["verb"] or match["about"] or ""
        if not verb.startswith(_HARD) or match["of"].strip():
            continue
        names = [found.lastgroup or "" for found in EACH_NOUN.finditer(match["nouns"])]
        if names:
            out.append((match.start(), match.end(), names))
    found = _WITHOUT.search(folded)
    if found is not None:
        out.append((found.start(), found.end(), ["without"]))
    return out


_PLACE = Late(
    r"(?<![a-z])(?:forget(?: about)?|scratch|skip|drop|disregard|ignore|never ?mind(?: about)?|leave out|olvida) (?:the |that |all of the |el |la )?(?P<place>[a-z0-9]{2,12}(?: [a-z0-9]{2,12}){0,2}?)(?: (?:ones|stuff|lights|part|side|one))?(?= ?(?:[.,;!?\n]|$))"
)


def without_places(folded: str, passages: list[Passage]) -> list[Passage]:
    """The passages of a first message without the types of a place that is taken back: "hall: 10 cans. forget the hall"."""
    for match in _PLACE.finditer(folded):
        gone = [
            passage
            for passage in passages
            if match["place"] in passage.labels and _ends(passage) < match.start()
        ]
        if gone and len(gone) < len(passages):
            passages = [passage for passage in passages if passage not in gone]
    return passages


def _ends(passage: Passage) -> int:
    return max((said.start for said in passage.slots.values()), default=0)


def without_them(
    clauses: list[tuple[int, int, list[str]]], passages: list[Passage], job: dict[str, Said]
) -> list[Passage]:
    """The passages without the slots that the clauses take back, where they were said before."""
    for start, _end, names in clauses:
        for name in names:
            if name in JOB_NAMES:
                if name in job and job[name].start < start:
                    del job[name]
                continue
            if name == "without":
                passages = _featureless(start, passages)
                continue
            slot = "controls" if name in CONTROL_NAMES else name
            if slot == "finish" and not any("finish" in passage.slots for passage in passages):
                slot = "cct_k"
            passages = [
                replace(
                    passage,
                    slots={s: said for s, said in passage.slots.items() if s != slot or said.start > start},
                )
                for passage in passages
            ]
    return passages


def _featureless(start: int, passages: list[Passage]) -> list[Passage]:
    """As in "12 wallpacks with photocells, actually without": the feature said last is not wanted."""
    latest = max(
        (
            (said.start, slot, number)
            for number, passage in enumerate(passages)
            for slot, said in passage.slots.items()
            if slot in ("controls", "emergency_backup", "dark_sky") and said.start < start
        ),
        default=None,
    )
    if latest is None:
        return passages
    _, slot, number = latest
    slots = dict(passages[number].slots)
    if slot == "controls":
        slots[slot] = replace(
            slots[slot], value=("none",), others=(None,), why="it was taken back", margin=1.0
        )
    else:
        del slots[slot]
    return [*passages[:number], replace(passages[number], slots=slots), *passages[number + 1 :]]


def said_anew(folded: str, passages: list[Passage]) -> list[Passage]:
    """The passages of a first message where a type that is said again behind words of correction stands once."""
    if len(passages) < 2:
        return passages
    for match in _ANEW.finditer(folded):
        out = list(passages)
        if any(later.slots["qty"].start >= match.end() for later in passages if "qty" in later.slots):
            # "earlier I told Jim 40 fixtures, ignore that, 36 garage lights"
            out = [
                p
                for p in out
                if not (
                    p.slots.keys() == {"qty"} and p.slots["qty"].end <= match.start() and p.action == "state"
                )
            ]
        for later in passages:
            family, count = later.slots.get("family"), later.slots.get("qty")
            if family is None or count is None or count.start < match.end():
                continue
            between = folded[match.end() : count.start]
            if _MORE.search(between[-24:]) or _MORE.search(folded[count.end : count.end + 12]):
                continue
            same = [
                earlier
                for earlier in out
                if (named := earlier.slots.get("family")) is not None
                and named.value == family.value
                and named.start < match.start()
                and earlier.action == later.action == "state"
                and ("qty" not in earlier.slots or earlier.slots["qty"].start < match.start())
                and not (earlier.labels and later.labels and earlier.labels != later.labels)
            ]
            if len(same) != 1:
                continue
            earlier = same[0]
            differing = any(
                slot in earlier.slots
                and slot in later.slots
                and earlier.slots[slot].value != later.slots[slot].value
                for slot in _KIND
            )
            was = earlier.slots.get("qty")
            if differing and was is not None and was.value != count.value:
                continue
            out[out.index(earlier)] = replace(
                later, slots={**earlier.slots, **later.slots}, labels=later.labels or earlier.labels
            )
            out.remove(later)
        if len(out) < len(passages):
            return out
    return passages
