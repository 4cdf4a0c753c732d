"""Whether a message speaks to what we asked: nearly every reply ends with a question, and most messages pass over it.

What answers comes first in its message and is a number that could be the slot's ("about 60", "480 he says", "277 on the poles"),
a word of the slot's own ("sodium", "all night"), yes, no, or that it is not known. A number beside a type of luminaire is a
count, whatever was asked ("14 shoeboxes"), and so is one behind words that change what was ordered ("make it 14").
"""

from typing import Final

from bot.reading.answers import IN_DOLLARS, JOB_NUMBERS, Asked, is_lamp_watts
from bot.reading.atoms import Atom
from bot.reading.clause import Work
from bot.reading.dialog import reply_of
from bot.reading.late import Late
from bot.reading.likely_values import LIKELY, UNITS, could_be
from bot.reading.mail import own_words
from bot.reading.message import ASKED_OF_LIGHT, Known
from bot.reading.money import coin
from bot.reading.padding import unpadded
from bot.reading.phrasing import plain_words
from bot.reading.places import PlaceReader
from bot.reading.reader import desk
from bot.reading.text import check, fold, mend_digits

OF_THE_JOB: Final = JOB_NUMBERS | {"schedule"}
IN_WORDS: Final = frozenset({"customer", "site", "po", "needed_by"})
NUMERIC: Final = frozenset({*LIKELY, "voltage", "watts", "schedule"})
MOST_LAMPS: Final = 4
"""Tubes in one luminaire where a number may be either (common practice, no source)."""
FEW: Final = 2
"""Words of a yes or no that says nothing else."""
_EACH: Final = frozenset({"each", "other"})
"""Units that tell nothing of what the number before them is."""
_TIMES: Final = frozenset({"schedule", "ampm", "days"})
_TYPES: Final = frozenset({"family", "family_weak", "size", "generic"})
_SUBSTANCE: Final = _TYPES | {"action", "scope"}
_POINTERS: Final = frozenset({"those", "these", "that", "ones", "esos", "esas", "ese"})
_ORDERS: Final = Late(
    r"(?<![a-z])(?:make|change|changed|changes|corrections?|instead|actually|more|fewer|less|another|extra|counts?|ct|counted|qty|quantity|counting|recounted|miscounted|"
    r"want|wants|need|needs|approved|total|altogether|bump\w*|drop|lose|scratch|forget|cut|take|new (?:job|quote)|(?:should|shoulda|must) be|could we|back to|switch\w*|went to|gets|got hit|"
    r"sean?|agreg\w*|anad\w*|pon\w*|quit\w*|cambi\w*|deja\w*|mejor|faltan?|perdon|mas|menos)(?![a-z])"
)
"""What changes what was ordered."""
_COUNTS: Final = Late(
    r"(?<![a-z])(?:there'?s|there (?:is|are|were)|(?:we|i|he|she|they) (?:have|has|got)|hay|son)(?![a-z])"
)
_NEW: Final = Late(
    r"(?<![a-z])(?:new (?:job|quote|customer)|(?:different|separate|another|other) (?:job|quote|building|project)|(?:otro|nuevo) trabajo|otra cotizacion)(?![a-z])"
)
_ARE: Final = Late(r"(?<![a-z])(?:are|r|they'?re|those|sit|hang|lamps?)(?![a-z])")
"""What is said of luminaires, and not of the job."""
_REGRETS: Final = Late(
    r"^ ?\*|(?<![a-z])(?:sorry|oops|whoops|my (?:mistake|bad)|typo|i (?:forgot|misread)|perdon|me equivoque|equivocad\w*|se me olvido|(?:it is|it's|its|and|y),? not [0-9])"
)
_WET: Final = Late(r"(?<![a-z])(?:wet|damp|dry|moja\w*|humed\w*|sec[oa]s?)(?![a-z])")
_EXPLAIN: Final = Late(
    r"(?<![a-z])(?:where(?:'s| is| does| did|d)|wheres|whered|why|how(?:'d| did| do) you|de donde|por ?que|como (?:sac|lleg)\w*)(?![a-z])"
)
_DENIES: Final = Late(
    r"(?<![a-z])(?:not|wrong|off|mistake\w*|instead of|rather than|isn'?t|aren'?t|wasn'?t|typo|meant|too many|en vez de|no (?:eran?|son))(?![a-z])"
)
_ASKS_BACK: Final = Late(
    r"^(?:(?:and|but|ok|so|hey|y) )?(?:(?:where|why|how|what|who|when|which)(?:'?s)?|can|could|do|does|de donde|donde|por ?que|como (?:sac|lleg)\w*|que)(?![a-z])"
)
_NOTHING: Final[frozenset[str]] = frozenset()
_AMOUNTS: Final[dict[str, frozenset[str]]] = {
    "demand_rate_per_kw": frozenset({"rebate", "labor", "budget", "payback", "draws"}),
    "rebate_per_luminaire": frozenset({"rate", "demand", "labor", "budget", "payback", "draws"}),
    "labor_per_luminaire": frozenset({"rate", "demand", "rebate", "budget", "payback", "draws"}),
    "budget": frozenset({"rate", "demand", "rebate", "labor", "payback", "draws"}),
}
"""Words beside an amount that say it is of another sort than the slot's."""
_REBATE: Final = Late(r"(?<![a-z])(?:rebates?|incentive|utility (?:pays|gives|covers)|reembolso)(?![a-z])")
_PER: Final = frozenset({"/", "per", "each", "every"})
_OF_THEM: Final = ("of", "de")


def answer_in(text: str, asked: str, known: Known, max_bytes: int) -> int:
    """Where the part of a message ends that may answer what was asked [characters]; what is behind it speaks of something else.

    0 where no part does: then the message is read as if nothing had been asked.

    Args:
        text: as sent.
        asked: path of the slot that the question was about.
        known: what the job says already.
        max_bytes: the longest text that is read [bytes of UTF-8].

    Raises:
        TextTooLong: the text is longer than that.
        NotText: the text is no text.
    """
    check(text, max_bytes)
    if asked.startswith(ASKED_OF_LIGHT):
        # only such a question pays for the words of light
        from bot.reading.asked_light import asked_of_light

        return len(text) if asked_of_light(mend_digits(fold(text))).values else 0
    question = Asked(asked)
    slot = question.slot
    if slot is None:
        return len(text)
    work = desk(text, unpadded(own_words(mend_digits(fold(text)))), known)
    clauses = _clauses(work)
    if slot == "place":
        return len(text) if _is_a_place(work) else 0
    reply = reply_of(work, question)
    replies = reply is not None and (
        reply.kind in ("unknown", "nth")
        or slot not in NUMERIC
        or (not work.numbers and len(plain_words(work.folded)) <= FEW)
    )
    if replies or (
        slot == "rate_per_kwh" and any(coin(work, at) is not None for at in range(len(work.atoms)))
    ):
        return _until_else(work, clauses[1:], question)
    if _EXPLAIN.search(work.folded) is not None:
        return 0
    regrets = _REGRETS.search(work.folded) is not None
    for number, (first, end) in enumerate(clauses):
        if _gives(work, first, end, question, regrets):
            return _until_else(work, clauses[number + 1 :], question)
        if _says_else(work, first, end):
            return 0
    return len(text) if slot in IN_WORDS else 0


def _until_else(work: Work, clauses: list[tuple[int, int]], question: Asked) -> int:
    """Where the first of the clauses begins that speaks of something else; the text's end where none does."""
    last = _last_of_substance(work)
    for first, end in clauses:
        if _gives(work, first, end, question, False):
            continue
        before, said = work.atoms[first - 1], _words_of(work, first, end)
        # of the job there is one value: what stands behind it is of something else sooner than behind a luminaire's
        apart = question.slot in OF_THE_JOB or before.kind == "b" or before.text in (".", ";", "!")
        if (
            (
                _says_else(work, first, end)
                and not (question.slot == "source" and _tells_lamps(work, first, end))
            )
            or (apart and first <= last)
            or any("scope" in atom.mean for atom in work.atoms[first:end])
            or _NEW.search(said) is not None
        ):
            return work.atoms[first].start
    return len(work.text)


def _tells_lamps(work: Work, first: int, end: int) -> bool:
    """As in "T8, there are 3": of tubes that are spoken of few are told as their number in one luminaire."""
    atoms = work.atoms[first:end]
    return not _names_a_type(atoms) and all(a.value <= MOST_LAMPS for a in atoms if a.kind == "n")


def _last_of_substance(work: Work) -> int:
    """The last atom that could be of a job: a number, a code, a type, what is done to some; -1 where none is."""
    for index in range(len(work.atoms) - 1, -1, -1):
        atom = work.atoms[index]
        if atom.kind in ("n", "c") or not _SUBSTANCE.isdisjoint(atom.mean):
            return index
    return -1


_BESIDE_A_PLACE: Final = frozenset(
    [
        "in", "at", "near", "by", "out", "outside", "around", "here", "just", "its", "it's", "it", "is",
        "we're", "were", "we", "are", "the", "a", "town", "city", "village", "of", "job", "site", "over",
        "right", "en", "es", "esta", "estamos", "cerca", "de", "por", "ok", "okay", "yes", "yeah", "sure",
        "oh", "well", "um", "uh", "ah", "si",
    ]
)  # fmt: skip
_NO_PLACE: Final = frozenset(
    ["fine", "cool", "dale", "hi", "nice", "perfect", "good", "great", "only", "boss", "council", "guys"]
)
"""Towns of these names exist; who answers with one of them alone says something else."""


def _is_a_place(work: Work) -> bool:
    """Whether a message is the name of a place and nothing else: most words are the name of some town."""
    PlaceReader(work, True).run()
    said = work.job.get("place")
    if said is None:
        return False
    for atom in work.atoms:
        if atom.kind in ("s", "b") or atom.text in _BESIDE_A_PLACE:
            continue
        if not said.start <= atom.start < said.end or atom.text in _NO_PLACE or "finish" in atom.mean:
            return False
    return True


def _clauses(work: Work) -> list[tuple[int, int]]:
    """First and end atom of each clause."""
    out: list[tuple[int, int]] = []
    start = 0
    for index, atom in enumerate(work.atoms):
        if atom.kind == "b" or (atom.kind == "s" and atom.text in ".,;:!?") or atom.mean.get("join") == "and":
            if index > start:
                out.append((start, index))
            # "also" and "plus" join, and say that something comes on top
            start = index if "action" in atom.mean else index + 1
    if len(work.atoms) > start:
        out.append((start, len(work.atoms)))
    return out


def _words_of(work: Work, first: int, end: int) -> str:
    return " ".join([atom.text for atom in work.atoms[first:end]])


def _says_else(work: Work, first: int, end: int) -> bool:
    """Whether a clause describes luminaires by a number, or brings some, or takes some away."""
    atoms, said = work.atoms[first:end], _words_of(work, first, end)
    numbered = any(atom.kind in ("n", "c") for atom in atoms)
    acts = any("action" in atom.mean for atom in atoms)
    if _names_a_type(atoms):
        return numbered or acts
    return numbered and (acts or any(cue.search(said) for cue in (_ORDERS, _COUNTS, _DENIES)))


def _names_a_type(atoms: list[Atom]) -> bool:
    return any(not _TYPES.isdisjoint(atom.mean) for atom in atoms)


def _gives(work: Work, first: int, end: int, question: Asked, regrets: bool) -> bool:
    """Whether a clause holds a value that may be the slot's."""
    slot = question.slot or ""
    atoms, said = work.atoms[first:end], _words_of(work, first, end)
    if (
        any("action" in atom.mean or atom.mean.get("scope") in ("same", "except") for atom in atoms)
        or _ASKS_BACK.search(said) is not None
    ):
        return False
    typed = _names_a_type(atoms)
    if slot in IN_DOLLARS:
        # "$45/light" is an amount for each
        typed = _names_a_type([a for n, a in enumerate(atoms, first) if work.text_at(n - 1) not in _PER])
    numbers = sum(atom.kind in ("n", "c") for atom in atoms)
    points = any("scope" in atom.mean or atom.text in _POINTERS for atom in atoms)
    if any(slot in atom.mean or (slot == "cct_k" and "colour" in atom.mean) for atom in atoms):
        # "the halide ones are 277" points at luminaires by what they are known to have
        return slot not in ("source", "watts") or (not typed and not (numbers and points))
    if slot == "damp_or_wet" and _WET.search(said) is not None:
        return True
    if slot == "schedule" and any(not _TIMES.isdisjoint(atom.mean) for atom in atoms):
        return not typed
    others = _AMOUNTS.get(slot, _NOTHING)
    if others and any(not others.isdisjoint(atom.mean.get("cue", _NOTHING)) for atom in atoms):
        return False
    if "rebate" in others and _REBATE.search(said) is not None:
        return False
    if slot not in NUMERIC or _DENIES.search(said) is not None:
        return False
    barred = (
        regrets or _ORDERS.search(said) is not None or (slot != "lamps" and _COUNTS.search(said) is not None)
    )
    if slot == "qty":
        return any(a.kind == "n" or a.mean.get("unit") == "dozen" for a in atoms) and not (typed and barred)
    if slot == "watts" and (typed or numbers > 1):
        return False
    for index in range(first, end):
        atom = work.atoms[index]
        if atom.kind != "n":
            continue
        unit = work.unit(index + 1)
        if unit is not None and unit not in _EACH:
            if unit in UNITS[slot] and not typed:
                return True
            continue
        if (
            barred
            or not could_be(slot, atom.value)
            or work.text_at(index + 1).startswith(_OF_THEM)
            or "poles" in work.cue(index + 1)
        ):
            continue
        if slot in OF_THE_JOB and (typed or points or _ARE.search(said) is not None):
            continue
        if typed and not (_for_a_type(work, index, end) or (question.every and index == end - 1 > first)):
            continue
        if slot == "watts" or not (_points(work, index) or is_lamp_watts(work, index, index, atom.value)):
            return True
    return False


def _points(work: Work, index: int) -> bool:
    """As in "the 400s", "they're 250s": luminaires by their watts; "on 25s" are poles."""
    return work.text_at(index + 1) == "s" and work.text_at(index - 1) not in ("on", "at")


def _for_a_type(work: Work, index: int, end: int) -> bool:
    """As in "277 on the poles", not "14 shoeboxes": the type is what the value is for, and not what is counted."""
    for at in range(index + 1, end):
        if not _TYPES.isdisjoint(work.atoms[at].mean):
            return False
        if not {"for", "at"}.isdisjoint(work.cue(at)):
            return True
    return False
