"""Words of colour and breadth that are part of a place's name: "the village green", "Black River church", "district wide"."""

from bot.reading.clause import Work
from bot.reading.words import words_of

_GREENS = words_of("village town putting bowling golf practice parish college")
_NAMED = words_of(
    """river creek lake lakes hill hills rock rocks mountain mountains oak oaks pine pines street st road rd ave avenue lane ridge valley
    spring springs falls bay beach island forest park room hall horse eagle bear bull wolf fox hawk church school academy county farm
    farms field fields house mill inn lodge point harbor gate gates springs club bean cat dog star sands water swan ball court courts acres"""
)
_BROAD = words_of(
    "district campus plant site building bldg company county city town system school facility complex floor property fleet corp warehouse park world"
)


def in_a_name(work: Work, at: int) -> bool:
    """Whether the colour at ``at`` belongs to a place's name and is none of paint."""
    text = work.text_at(at)
    before = work.text_at(at - 1)
    if text == "green" and (before.split(" ")[-1:] or [""])[0] in _GREENS:
        return True
    after = at + 1
    if after >= len(work.atoms) or " " in text:
        return False
    nxt = work.atoms[after]
    if nxt.text.split(" ")[0] not in _NAMED or {"family", "source", "size"} & nxt.mean.keys():
        return False
    start = work.atoms[at].start
    return (
        work.text[start].isupper()
        and (not work.text.isupper())
        and (at > 0 or work.text[nxt.start].isupper())
    )


def throughout(work: Work, at: int) -> bool:
    """Whether "wide" says where and not how light spreads: "district wide", "campus-wide"."""
    lead = at - 2 if work.text_at(at - 1) == "-" else at - 1
    return work.text_at(at) == "wide" and (work.text_at(lead).split(" ")[-1:] or [""])[0] in _BROAD
