"""Hours that are said for a part of the year, or a day that is only half one: a schedule holds neither, so they are left unread and raise a doubt.

"10 hours a day Nov thru Mar", "12 hours in summer, 8 in winter", "7 to 5 and half days on Saturday".
"""

from bisect import bisect_left
from dataclasses import replace

from bot.reading.clause import Work
from bot.reading.late import Late
from bot.reading.words import words_of

_MONTH = (
    r"(?:jan|feb|mar|apr|may|jun|jul|aug|sept?|oct|nov|dec|january|february|march|april|june|july|august|september|october|november|december"
    r"|enero|febrero|marzo|abril|mayo|junio|julio|agosto|septiembre|octubre|noviembre|diciembre)"
)
_PART = Late(
    rf"(?<![a-z])(?:from |desde |de )?{_MONTH}\.? ?(?:thru|through|to|till?|until|-|a|hasta) ?{_MONTH}(?![a-z])"
    r"|(?<![a-z])half[ -]?days?(?: on)?(?: (?:sat|sun|fri)[a-z]{0,6})?(?![a-z])|(?<![a-z])medio dia los sabados(?![a-z])"
    r"|(?<![a-z0-9.])(?:\d{1,2} )?(?:in|during|over|en|closed in|closed for|off in) (?:the )?(?:summers?|winters?|off ?season|verano|invierno)(?: months)?(?![a-z])"
    r"|(?<![a-z])(?:all|only) (?:summer|winter)(?: long)?(?![a-z])|(?<![a-z])(?:summers?|winters?) only(?![a-z])"
    r"|(?<=hrs |urs )(?:summers?|winters?)(?: months)?(?![a-z])|(?<![a-z])(?:summers?|winters?)(?: months)?(?= ?:? \d{1,2} ?h)"
    r"|(?<![a-z0-9])(?:[1-9]|1[01]) (?:months|mos|meses) (?:a|per|of the|out of the|each|al) (?:year|yr|ano)(?![a-z])"
    r"|(?<=[,;(] )(?:[2-9]|1[01]) (?:months|mos|meses)(?= ?(?:[.,;)]|$))"
)


_HINTS = tuple(
    sorted(
        words_of(
            "half summer winter season verano invierno months mos meses medio jan feb mar apr may jun jul aug sep oct nov dec ene abr ago dic"
        )
    )
)
"""One of these stands in whatever the pattern fits."""


def part_year(work: Work) -> None:
    """Leave such words unread and doubt the schedule; nothing where none is told."""
    schedule = work.job.get("schedule")
    if schedule is None or not any(hint in work.folded for hint in _HINTS):
        return
    starts: list[int] = []
    found = False
    for match in _PART.finditer(work.folded):
        low, high = match.span()
        if any(said.start < high and low < said.end for slot, said in work.job.items() if slot != "schedule"):
            continue  # a date that it is needed by
        found = True
        starts = starts or [atom.start for atom in work.atoms]
        spots = [
            index
            for index in range(bisect_left(starts, low), bisect_left(starts, high))
            if not schedule.start <= work.atoms[index].start < schedule.end
        ]
        for index in spots:
            work.atoms[index] = work.atoms[index]._replace(kind="w", mean={})
            work.used[index] = 1
        if spots:  # said to be unread as one stretch
            first, last = spots[0], spots[-1]
            work.atoms[first] = work.atoms[first]._replace(end=work.atoms[last].end, mean={"foreign": True})
            work.used[first] = 0
    if found:
        others = (*schedule.others, None)
        work.job["schedule"] = replace(
            schedule, others=others, why="only a part of the year or of a day", margin=0.5
        )
