"""Small numbers before a tube that count the lamps of the type described just before: "40 troffers 2x4, 3 F32T8, 12 strips, 2 F96T12".

Such a number could as well count luminaires ("3 T8 strips"); where the type before it is counted and named and has no
lamp yet, and no luminaire word follows the tube, it tells what is in each.
"""

from bot.reading.clause import Work
from bot.reading.heads import ADDS_UP, WORKED_OUT
from bot.reading.mentions import Mention, Option
from bot.reading.neighbours import TUBES

_MOST = 8
_LAMP = frozenset({"source", "watts", "lamps", "led_watts", "_led"})
_NAMES = frozenset({"family", "size"})
_LAMPLESS = frozenset(
    {"flood", "area", "street", "wall_pack", "bollard", "post_top", "security", "landscape"}
)
"""Families that carry no tubes."""


def _takes(mention: Mention, slot: str) -> Option | None:
    for option in mention.options:
        if option.slots and option.slots[0][0] == slot:
            return option
    return None


def _tube_behind(mentions: list[Mention], at: int) -> int | None:
    """The mention past the tube that follows a number, its watts or length between them at most; ``None`` where no tube does."""
    n = at + 1
    while n < len(mentions) and n <= at + 3 and mentions[n].gap == 0:
        slots = dict(mentions[n].options[0].slots)
        if slots.get("source") in TUBES:
            return n + 1
        if not {"watts", "lamp_feet"} & slots.keys() or "family" in slots:
            return None
        n += 1
    return None


def _in_each(work: Work, mentions: list[Mention], at: int) -> bool:
    """Whether a number counts lamps whose watts and kind follow, so many in each: "two 20 watt incandescents apiece"."""
    n = at + 1
    watts = source = False
    while n < len(mentions) and n <= at + 2 and mentions[n].gap == 0:
        slots = dict(mentions[n].options[0].slots)
        if slots.keys() == {"watts"}:
            watts = True
        elif (
            "source" in slots
            and "family" not in slots
            and not slots.keys() - {"source", "watts", "lamp_feet"}
        ):
            source, watts = True, watts or "watts" in slots
        else:
            break
        n += 1
    if not watts or mentions[at].gap < 2 or not (source or _lamp_told(mentions, at)):
        return False
    behind = mentions[n - 1].last + 1
    if work.unit(behind) == "lamps":
        behind += 1
    return work.text_at(behind).split(" ")[0] in ("apiece", "each", "ea") or work.text_at(behind) in (
        "in each",
        "in each one",
        "c/u",
        "cada uno",
        "per fixture",
    )


def _lamp_told(mentions: list[Mention], at: int) -> bool:
    """Whether the mention right before names a kind of lamp alone: "exit signs, incandescent, two 15 W each"."""
    return (
        at > 0
        and mentions[at - 1].options[0].slots[:1] != ()
        and _slot(mentions[at - 1].options[0]) == "source"
    )


def _awaits(mentions: list[Mention], at: int, told: bool = False) -> bool:
    """Whether the type before a mention is counted and named, and has no lamp (but its kind, where that is ``told``)."""
    named = counted = False
    n = at - 1
    while n >= 0 and n >= at - 8:
        mention = mentions[n]
        slots = dict(mention.options[0].slots)
        if not slots.keys().isdisjoint(_LAMP) and not (told and n == at - 1 and slots.keys() == {"source"}):
            return False
        if slots.get("family") in _LAMPLESS or "_scope" in slots:
            return False
        named = named or not slots.keys().isdisjoint(_NAMES)
        counted = counted or "qty" in slots
        if named and counted:
            return True
        if mention.gap >= 3 and not (mention.gap == 4 and mentions[at].gap < 5):
            return False
        n -= 1
    return False


def _counted_right_before(work: Work, mentions: list[Mention], at: int) -> bool:
    """Whether a count stands right before a bracketed number: "40 (3) T12 strips"."""
    first = mentions[at].first
    return (
        at > 0
        and mentions[at].gap == 0
        and work.text_at(first - 1) == "("
        and mentions[at - 1].last
        == (
            first - 4
            if work.text_at(first - 2) == "/"
            else first - 3
            if work.text_at(first - 2) == "with"
            else first - 2
        )
        and _takes(mentions[at - 1], "qty") is not None
    )


def _counted_later(mentions: list[Mention], past: int, leads: bool) -> bool:
    """Whether the same item says its count further on: "(3) T8 troffers, 24 of them", "troffer, (2) T12, qty 31"."""
    n = past
    while leads and n < len(mentions) and mentions[n].gap == 0 and not mentions[n].slots.isdisjoint(_NAMES):
        n += 1
    while n < len(mentions) and n <= past + 6:
        mention = mentions[n]
        slot = _slot(mention.options[0])
        if mention.gap >= 3 or slot in _NAMES or slot == "source":
            return False
        if slot == "qty":
            count = mention.options[0]
            sure = count.score >= 4.0 and count.rule not in ("bare count", "N x")
            return sure or (leads is False and count.rule == "bare count" and count.score >= 4.5)
        n += 1
    return False


def lamps_inside(work: Work, mentions: list[Mention]) -> list[Mention]:
    """The mentions with counts of lamps taken as such."""
    out = mentions
    for at, mention in enumerate(mentions):
        count = _takes(mention, "qty")
        if count is None or len(count.slots) > 1:
            continue
        value = count.slots[0][1]
        if not 1 <= value <= _MOST or count.rule in (
            "counted",
            WORKED_OUT,
            ADDS_UP,
            "dozens",
            "dozen",
            "x N",
        ):
            continue
        if mention.options[0].slots[:1] and mention.options[0].slots[0][0] == "lamps":
            continue
        past = _tube_behind(mentions, at)
        if past is None:
            if _in_each(work, mentions, at) and _awaits(mentions, at, told=True):
                if out is mentions:
                    out = list(mentions)
                out[at] = mention._replace(
                    options=(Option((("lamps", value),), 5.0, "lamps in each"),), bare=False
                )
            continue
        named = (
            past < len(mentions) and mentions[past].gap == 0 and not mentions[past].slots.isdisjoint(_NAMES)
        )
        if named and not (
            _counted_later(mentions, past, leads=True) or _counted_right_before(work, mentions, at)
        ):
            continue  # "3 T8 strips"
        if not named and (mention.gap >= 5 or at == 0):
            continue
        if not named and not _awaits(mentions, at) and not _counted_later(mentions, past, leads=False):
            continue
        if out is mentions:
            out = list(mentions)
        lamps = Option((("lamps", value),), count.score + 1.5, "lamps of the type before")
        if _counted_right_before(work, mentions, at):
            before = _takes(mentions[at - 1], "qty")
            if before is not None:
                out[at - 1] = out[at - 1]._replace(
                    options=(Option(before.slots, 5.0, "count before lamps"),), bare=False
                )
        out[at] = mention._replace(options=(lamps, *[o for o in mention.options if _slot(o) != "lamps"]))
    return out


def _slot(option: Option) -> str:
    return option.slots[0][0] if option.slots else ""
