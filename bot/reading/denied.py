"""Wishes that are denied behind their name ("battery backup not needed"), or in one breath with another ("no motion or dimming").

What stands right behind "no" or "don't want" is known where it is read; here the denial reaches the rest of its list.
"""

from bot.reading.clause import Work
from bot.reading.dealing import best
from bot.reading.mentions import Mention, Option
from bot.reading.words import words_of

_WISHED = frozenset(
    {"controls", "emergency_backup", "dark_sky", "keep_housing", "finish", "mount", "optic", "damp_or_wet"}
)
_KINDS = frozenset({"controls", "flag", "finish", "mount", "optic", "damp_or_wet"})
_NEEDED = words_of(
    "needed necessary required wanted requested desired neccessary necesary necesario necesaria"
)
_NEEDLESS = words_of("unnecessary unneeded unwanted") | {"no hace falta", "no hacen falta"}
_NEED = {"dont need", "dont want", "doesnt need", "doesnt want", "do not need", "do not want"}
_THINGS = words_of(
    "for the in los las en sensor sensors packs pack cell cells control controls finish backup kit kits tube tubes mount mounts rated on them those that one ones"
)
_NAMES = frozenset({"family", "family_weak", "pointer"})
_WHO = words_of("we they i he she")
_OR = words_of("or nor ni o")
_THE = words_of("the any a de un una los las")
_REACH = 12
"""Atoms back to the word that denies."""


def denied(work: Work, mentions: list[Mention], conversing: bool) -> list[Mention]:
    """The mentions without the wishes that are denied: of controls it is said that they are not wanted, in a talk others are taken back."""
    if not work.speaks_of("cue:not"):
        return mentions
    out: list[Mention] = []
    for mention in mentions:
        slot = best(mention)
        if (
            slot not in _WISHED
            or len(mention.options) != 1
            or not (_needless(work, mention.last + 1) or _in_denied_list(work, mention.first - 1))
        ):
            out.append(mention)
        elif slot == "controls":
            value = mention.options[0].slots[0][1]
            if value != ("none",):
                work.flags.setdefault("without", []).extend(value)
            out.append(mention._replace(options=(Option((("controls", ("none",)),), 0.0, "denied"),)))
        elif conversing:
            out.append(mention._replace(options=(Option(((slot, None),), 0.0, "denied"),)))
        else:
            work.use(mention.first, mention.last)
    return out


def _needless(work: Work, at: int) -> bool:
    """Whether words behind a wish say that it is none."""
    stop = at + 4
    while (
        at < stop
        and at < len(work.atoms)
        and (work.text_at(at) in _THINGS or not _NAMES.isdisjoint(work.atoms[at].mean))
    ):
        at += 1
    if work.text_at(at) in _NEEDLESS:
        return at + 1 >= len(work.atoms) or work.atoms[at + 1].kind in ("s", "b")
    if "not" in work.cue(at):
        return work.text_at(at + 1) in _NEEDED
    return (
        work.text_at(at) in _WHO
        and work.text_at(at + 1) in _NEED
        and (at + 2 >= len(work.atoms) or work.atoms[at + 2].kind in ("s", "b"))
    )


def _in_denied_list(work: Work, at: int) -> bool:
    """Whether what ends before a wish is a list that is denied and goes on with "or"."""
    stop = at - _REACH
    while at > stop and work.text_at(at) in _THE:
        at -= 1
    if work.text_at(at) not in _OR:
        return False
    at -= 1
    while at > stop and at >= 0:
        text = work.text_at(at)
        if "not" in work.cue(at) or text in _NEED:
            return True
        if not (
            text in _OR
            or text in _THE
            or text in _THINGS
            or text == ","
            or not _KINDS.isdisjoint(work.atoms[at].mean)
        ):
            return False
        at -= 1
    return False
