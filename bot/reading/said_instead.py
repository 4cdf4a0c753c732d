"""Figures of the whole job that are said anew right behind themselves: "60 hours a week, sorry 50", "rebate 40 each, er 45", "by friday, no monday".

What stands instead has no unit of its own, so alone it would count luminaires. It takes the place of what it corrects: the words
around the first figure are read around the second.
"""

from bot.reading.late import Late
from bot.reading.words import speaks, words_of

_PER = r"(?: ?(?:a|per|/|al|por|each|every|el|la|in a) ?(?:day|week|year|night|dia|semana|ano|noche|yr|wk|kwh|kw|kilowatt[ -]?hours?|kilowatt|kilovatio|head|fixture|light|luminaire|pieza|luminaria)s?(?: hour)?)?"
_EACH = r"(?: (?:each|ea|apiece|a head|a pop|per (?:fixture|head|light|luminaire|unit)|cada un[oa]|por luminaria))?"
_DAY = (
    r"(?:(?:next |this |el |the )?(?:mon|tues?|wednes|wed|thurs?|fri|satur|sat|sun)(?:day)?|(?:el )?(?:lunes|martes|miercoles|jueves|viernes|sabado|domingo)|(?:the )?\d{1,2}(?:st|nd|rd|th)"
    r"|(?:the )?end of (?:the )?(?:week|month|year)|next (?:week|month)|tomorrow|\d{1,2}/\d{1,2}|fin de mes)"
)
_NUMBER = r"\d{1,5}(?:\.\d{1,3})?"
_CLOCK = r"\d{1,2}(?::\d\d)? ?(?:am|pm|a|p)(?![a-z])"
_HOURS = r"\d{1,2}(?::\d\d)? ?(?:am|pm|a|p)? ?(?:to|-|til|till|until|a) ?\d{1,2}(?::\d\d)? ?(?:am|pm|a|p)?(?![a-z0-9])"
_ORDER = r"[a-z]{0,3}-?\d{3,8}"
_PHRASES: tuple[tuple[str, str, str, str], ...] = (
    # the words before a figure, the figure, the words behind it, and what may stand for it
    ("", _NUMBER, rf"(?: ?(?:cents?|c|¢|centavos){_PER}| ?(?:hours?|hrs?|horas?){_PER}| (?:days?|dias?){_PER}| shifts?| turnos?)", _NUMBER),
    (r"(?:rebate|incentive|labou?r|install|budget|demand(?: charge)?|utility (?:pays|gives)|reembolso|mano de obra|presupuesto)(?:'?s)?(?: is| of| at| es| de|:| =)? \$?", rf"{_NUMBER}k?",
     rf"(?: ?(?:a|per|/) ?kw|{_EACH})", rf"\$?{_NUMBER}k?"),
    ("", _NUMBER, r"(?: ?(?:-|to) ?\d)? ?(?:years?|yrs?|anos?) (?:pay ?back|or (?:less|under|better))", _NUMBER),
    (r"(?:po|p\.o\.|purchase order)(?: number| no\.?| num)? ?[#:]? ?", _ORDER, "", _ORDER),
    (r"(?:by|before|needed(?: by| for)?|need (?:them|it|these|those|em)(?: by)?|para(?: el)?|antes del?|due) ", _DAY, "", _DAY),
    (r"(?:to|til|till|until|-|a) ?", _CLOCK, "", _CLOCK),
    ("", _HOURS, "", _HOURS),
)  # fmt: skip
_FIX = (
    r"(?:(?:or )?no|nope|nah|just looked|looked again|just checked|that'?s (?:last year'?s?|old|not right)|that was (?:last year'?s?|old|wrong)|sorry|i mean|i meant|meant|make (?:that|it)|er+|err|um+|uh|wait|scratch that|strike that|correction|actually|rather|oops|whoops|my bad|hold on|hang on|"
    r"on second thought|change (?:that|it) to|(?:they|it|utility)(?: just)? (?:cut|changed|dropped|raised|lowered|went|got cut)(?: it)?(?: up| down)? to|thats wrong|that's wrong|i lied|typo|digo|perdon|mejor|miento|espera|bueno|wrong(?: po| day| number| rate)?|"
    r"(?:was|were) <same>|not <same>)"
)
_BEHIND = r"(?: (?:on second thought|i mean|rather|sorry|actually|now|i meant|mejor|perdon))"
_ENDS = r"(?= ?(?:[,;!?\n)]|\.(?!\d)|$| ?-|(?: (?:a kw|per kw|now|actually|though|tho|instead|please|pls|thanks|and|but|if|for|tops|max|then)(?![a-z]))))"
_FILL = r"(?:(?:its|it's|it is|by|to|at|the|maybe|more like|really|now|a|el|son|es|about|only|just|like|should be|is|de)[ :]{1,2}){0,3}"


def _source(lead: str, figure: str, tail: str, value: str) -> str:
    fix = _FIX.replace("<same>", "(?P=was)")
    return (
        rf"(?<![a-z0-9.])(?<!not )(?<!n't )(?<!nt )(?<!no )(?P<all>{lead}(?P<was>{figure}){tail})(?:[ ,.;:(-]{{1,4}}(?:{fix}[ ,.;:-]{{1,3}}){{1,3}}(?:not (?P=was)[ ,.]{{1,2}}(?:but )?)?{_FILL}(?P<now>{value})(?<![.,])\)?{_ENDS}"
        rf"|[ ,.;:-]{{1,3}}(?P<now2>{value}){_BEHIND}(?= ?(?:[,;!?\n)]|\.(?!\d)|$))"
        # "labor 95 not 85": what is not so is dropped
        rf"|,? \(?not (?P<not>{value})\)?{_ENDS})"
    )


_CUES = words_of(
    """no nope nah looked checked that thats sorry mean meant make er err errr um umm ummm uh wait scratch strike correction actually rather
    oops whoops bad hold hang thought change cut changed dropped raised lowered went wrong lied typo digo perdon mejor miento espera
    bueno was were not now isnt isn arent aren"""
)
"""One of these stands in whatever the patterns fit."""
_SAID_ANEW = tuple([Late(_source(*phrase)) for phrase in _PHRASES])
_DENIED = tuple(
    [
        Late(
            rf"(?<![a-z])(?:is not|isn't|isnt|aren't|not|no es|no son) (?P<all>{lead}(?P<was>{figure}){tail})"
            rf"[ ,.;:-]{{1,3}}(?:(?:but|sino|mas bien|rather)[ ,]{{1,2}})?{_FILL}(?P<now>{value})(?<![.,]){_ENDS}"
        )
        for lead, figure, tail, value in (_PHRASES[0], *_PHRASES[2:])
    ]
)
"""The first figure is denied: "rate isn't 12 cents, it's 14"."""
_FARTHEST = 4.0
"""How many times as much, or as little, a figure may be that is said instead."""


def said_instead(text: str, folded: str) -> tuple[str, list[int]] | None:
    """The text with each such figure where the one stood that it corrects, and for each character its place in the text as sent.

    Returns:
        ``None`` where nothing is said anew.
    """
    if not speaks(folded, _CUES):
        return None
    found = [
        match
        for pattern in _SAID_ANEW
        for match in pattern.finditer(folded)
        if _alike(match["was"], match["now"] or match["now2"] or match["not"])
    ]
    denied = [
        match
        for pattern in _DENIED
        for match in pattern.finditer(folded)
        if _alike(match["was"], match["now"])
    ]
    found += denied
    if not found:
        return None
    out: list[str] = []
    kept: list[int] = []
    at = 0
    for match in sorted(found, key=lambda one: one.start()):
        if match.start() < at:
            continue
        if match not in denied and match["not"]:
            out.append(text[at : match.end("all")])
            kept.extend(range(at, match.end("all")))
            at = match.end()
            continue
        name = "now" if match in denied or match["now"] else "now2"
        start, end = match.span(name)
        first, last = match.span("was")
        for piece, places in (
            (text[at : match.start()], range(at, match.start())),
            # the words around the figure are read at the place of the one that stands
            (text[match.start("all") : first], [start] * (first - match.start("all"))),
            (text[start:end], range(start, end)),
            (text[last : match.end("all")], [end - 1] * (match.end("all") - last)),
        ):
            out.append(piece)
            kept.extend(places)
        at = match.end()
    out.append(text[at:])
    kept.extend(range(at, len(text)))
    return "".join(out), kept


def _alike(was: str, now: str) -> bool:
    """Whether one figure may stand for the other."""
    one, two = was.lstrip("$").rstrip("k"), now.lstrip("$").rstrip("k")
    try:
        first, second = float(one), float(two)
    except ValueError:
        return was != now
    if len(one) == len(two) >= 4:
        return one != two
    return 0 < first != second > 0 and first / _FARTHEST <= second <= first * _FARTHEST
