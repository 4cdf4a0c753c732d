"""Clauses of a talk that edit what is there and say nothing new: "scratch the color", "swap the counts", "move 3 from the front to the back".

They are read first, each as a whole, and blanked; what is left of the message is read as ever. The types that such a clause
names are read by the reader itself ("the back ones" is what it is in any other sentence).
"""

import re
from collections.abc import Callable
from dataclasses import replace
from typing import NamedTuple

from bot.reading.late import Late
from bot.reading.message import Command, Known, Passage, Said, Scope


class Edits(NamedTuple):
    """What the editing clauses of a message say.

    Attributes:
        spans: their characters.
        passages: what becomes of lines.
        job: job slots that are taken back.
        command: the whole of the last change is taken back.
    """

    spans: list[tuple[int, int]]
    passages: list[Passage]
    job: dict[str, Said]
    command: Command | None


Phrase = Callable[[int, int], Scope | None]
"""Which types the characters from, to name; ``None`` where none."""

_SAID = (
    r"(?:(?:what(?:ever)?|everything|anything|all|the (?:part|bit|thing|stuff|line|note|comment|business)|my (?:bit|note|comment|remark)|lo)"
    r"(?: that)?(?: (?:i|we|que)(?:'ve|'d)?(?: (?:just|had|have|ever|te|les|le))? ?(?:said|told (?:you|u)|wrote|mentioned|put|asked|sent|dije|puse|pedi))?(?: (?:earlier|before|above|first|antes))?"
    r"(?: (?:about|on|for|re|regarding|of|with|sobre|de|del))?|(?:that|those|this) thing about|lo de|lo del)"
)
_VERB = (
    r"(?:forget(?: about)?|drop|scratch|scrap|skip|lose|remove|delete|ignore|disregard|nix|ditch|kill|cancel|omit|strike|erase|cut|"
    r"never ?mind(?: about)?|nvm(?: on| about)?|get rid of|take (?:off|out|away|back)|leave (?:off|out)|pull|"
    r"(?:we |i )?(?:dont|don't|do not|wont|won't) (?:need|want|bother with|worry about)|no longer (?:need|want)|no need for|hold off on|back out|scrub|"
    r"quita\w{0,3}|olvida\w{0,3}|olvidate de|cancela\w{0,3}|elimina\w{0,3}|borra\w{0,3}|ya no (?:quiero|queremos|ocupo|necesito)|ignora\w{0,3})"
)
_DENY = r"(?:no|without|w/o|not|sin|skip)"
_LINE_NOUNS: tuple[tuple[str, str], ...] = (
    ("cct_k", r"(?:colou?r|light) temp(?:erature)?s?|kelvins?|cct|temperatura(?: de color)?"),
    ("finish", r"colou?rs?|finish(?:es)?|paint|acabado"),
    ("voltage", r"voltages?|volts|voltaje"),
    ("height_ft", r"(?:mounting |pole |ceiling )?heights?|altura"),
    ("spacing_ft", r"spacing"),
    ("optic", r"optics?|distribution|lens(?:es)?|optica"),
    ("cri", r"cri"),
    ("mount", r"mount(?:ing|s)?|montaje"),
    ("emergency_backup", r"(?:emergency|battery|em)(?: (?:backups?|packs?|ballasts?|units?|thing|battery))?|batter(?:y|ies)|backups?|respaldo|baterias?"),
    ("damp_or_wet", r"(?:wet|damp)(?: (?:location|rating|rated|label|listing))?"),
    ("dark_sky", r"dark ?sky(?: thing| friendly)?"),
    ("keep_housing", r"(?:retrofit )?kits?|retrofits?"),
    ("price_now", r"(?:current|present|old|existing) prices?"),
    ("input_watts", r"input watts|system watts"),
)  # fmt: skip
_CONTROLS: tuple[tuple[str, str], ...] = (
    ("motion", r"(?:motion|occupancy|occ)(?: (?:sensors?|detectors?|controls?|stuff))?|motions"),
    ("photocell", r"photo ?(?:cells?|controls?|eyes?|sensors?)|fotoceldas?|pcs"),
    ("dimming", r"dim(?:ming|mers?|mable)?(?: (?:drivers?|controls?|stuff|part))?|atenuacion"),
    ("timer", r"time ?(?:rs?|clocks?)"),
    ("any", r"(?:the )?(?:sensors?|controls?|sensores|controles)"),
)  # fmt: skip
_JOB_NOUNS: tuple[tuple[str, str], ...] = (
    ("rebate_per_luminaire", r"rebates?|incentives?|utility money|reembolso|incentivo"),
    ("labor_per_luminaire", r"labou?r|install(?:ation)?(?: costs?)?|mano de obra|instalacion"),
    ("demand_rate_per_kw", r"demand(?: charges?| rates?)?|demanda"),
    ("budget", r"budget|spending cap|presupuesto"),
    ("payback_limit_years", r"payback(?: (?:limit|thing|requirement))?"),
    ("needed_by", r"deadline|due dates?|need dates?|date|delivery date|fecha"),
    ("schedule", r"schedule|hours|run ?time|burn hours|operating hours|horario|horas"),
    ("rate_per_kwh", r"(?:power|electric|energy|kwh|utility)? ?(?:rate|cost of power|power cost|kwh)|tarifa"),
    ("po", r"po(?: number)?|purchase order"),
    ("site", r"site|job ?site"),
    ("customer", r"customer|client(?: name)?"),
    ("place", r"(?:city|town|location|zip|place)"),
)  # fmt: skip
_NOUN = "|".join(words for _, words in (*_LINE_NOUNS, *_CONTROLS, *_JOB_NOUNS))
_THE = r"(?:(?:the|that|those|these|any|our|my|all|all the|el|la|los|las) )?"
_TAIL = (
    r"(?P<of>(?: (?:on|for|from|off|of|in|en|de|para) (?!now\b|me\b|us\b|it\b|that\b|them\b|those\b|all\b|everything\b)[^.,;:!?\n\d]{2,40}?)?)"
    r"(?P<rest>(?: (?:too|also|as well|please|pls|plz|for now|then|altogether|entirely|completely|part|stuff|bit|thing|on (?:them|those|it|all)|after all|tambien|por favor|"
    r"it varies|they vary|varies|(?:since|because|cuz|bc|its|it's|we|i|i'll|i'd|we'll|they|thats|that's)(?: [a-z']{1,14}){1,9}))*)"
    r"(?= ?(?:[.,;:!?\n-]|$| (?:and|but|y|pero|then)(?![a-z])))"
)
DROPPED = Late(
    rf"(?<![a-z0-9])(?:(?P<verb>{_VERB})|(?P<deny>{_DENY})|(?P<about>(?:forget|scratch|ignore|disregard|never ?mind|nvm|take back|strike|drop|skip|scrap|cancel|olvida\w{{0,3}}|ignora\w{{0,3}})(?: about)? {_SAID}))"
    rf" {_THE}(?P<nouns>(?:{_NOUN})(?:(?:,| and| &| or| nor|, and| y| ni)? ?(?:no |the |los |las |el |la )?(?:{_NOUN})){{0,3}}?){_TAIL}"
)
EACH_NOUN = Late("|".join(
    f"(?P<{name}>(?<![a-z])(?:{words})(?![a-z]))" for name, words in (*_LINE_NOUNS, *_CONTROLS, *_JOB_NOUNS)
))  # fmt: skip
CONTROL_NAMES = frozenset(name for name, _ in _CONTROLS)
JOB_NAMES = frozenset(name for name, _ in _JOB_NOUNS)

_WORD_COUNTS = {
    "a": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10, "a couple": 2, "a pair": 2,
    "couple": 2, "twelve": 12, "a dozen": 12, "half a dozen": 6, "un": 1, "uno": 1, "una": 1, "dos": 2, "tres": 3, "cuatro": 4, "cinco": 5, "seis": 6,
}  # fmt: skip
_N = rf"(?P<n>\d{{1,4}}|{'|'.join(sorted(_WORD_COUNTS, key=len, reverse=True))})"
_SPLIT = Late(
    rf"(?<![a-z])(?:take|leave|pull|cut|knock|get|keep) {_THE}(?:(?P<nouns>{_NOUN})|(?P<finish>bronze|black|white|gray|grey|silver|green)(?: finish| color| paint)?) (?:back )?(?:off|out|away)(?: of there| of it| of them| them)?(?= ?(?:[.,;:!?\n]|$| and| but))"
)
_THOSE_BACK = Late(
    rf"(?<![a-z])(?:take|knock|drop|pull|cut|lose|remove) (?:those|the|these|that|them) (?:other |last |extra )?{_N}(?: (?:more|extra|new))?(?: ones)?(?: (?:back )?(?:off|out|again|back))?(?= ?(?:[.,;:!?\n]|$))"
)
_WAS_RIGHT = Late(
    r"(?<![a-z0-9.])(?:the |that )?(?P<n>\d{1,5}) ?(?:ft|feet|foot|'|v|volts?|w|watts?|k)? (?:was|is) (?:right|correct|fine|good|ok|the right (?:one|number|count)|accurate)(?: (?:after all|the first time|before|originally|all along))?"
    r"|(?<![a-z])(?:go|going|put (?:it|them|that)|change (?:it|them|that)|set (?:it|them)|take (?:it|them)|make (?:it|them)) back to (?:the )?(?P<n2>\d{1,5})(?= ?(?:[.,;!?\n]|$| please| then| pls))"
)
_EXCEPT = Late(
    r" *(?:(?:oh|but|well|and|ok|hmm|wait|sorry|actually)[ ,]{1,2}){0,2}(?:except|except for|excepting|but not|just not|excluding|other than|all but|not counting|excepto|menos)(?: for| on)? (?P<what>(?:the |those |los |las )?[^.,;:!?\n\d]{3,36}?)(?: though| please| pls)?[ .!]{0,3}"
)
_FREE = Late(
    r"(?<![a-z])(?P<noun>labou?r|install(?:ation)?|rebates?|incentives?)(?:'?s| is| are| was| will be| would be) (?:actually |really |now )?(?:free|zero|nothing|none|no charge|included|in[ -]house|gone|n/?a|not available|no longer (?:available|offered|there)|off the table|over|expired|denied|cancel+ed|pulled|0(?![\d.])|dead|on us|(?:done )?by our own guys)(?:[ ,]{1,2}(?:so|and|because|cuz|since|we|i|they|our|do|does|it|that|them|own|guys|in|house|leave|take|drop|just|out|off|self|myself|ourselves|lets|let's|skip)(?![a-z]))*"
    r"|(?<![a-z])(?P<noun3>rebates?|incentives?) (?:fell through|fell thru|ran out|expired|went away|ended|did(?:n't|nt| not) (?:come|go) (?:through|thru)|got (?:cut|pulled|denied|cancel+ed)|se (?:acabo|cayo|cancelo|termino))"
    r"|(?<![a-z])(?:there(?:'?s| is| are)|we (?:get|have)) no (?P<noun2>rebates?|incentives?|labou?r(?: costs?)?|install(?:ation)? costs?)(?: anymore| any more| after all| here| this year)?"
)
_BY_PRONOUN = Late(
    rf"(?<![a-z])(?P<noun>{_NOUN})(?P<why>(?:,| -|:| thing| part| bit)[^.;!?\n\d]{{0,40}}?|[^.,;!?\n\d]{{0,40}}? so ) ?(?:just |please |lets |let's |we can |you can |go ahead and )?(?:leave|take|drop|forget|scratch|skip|lose|remove|ditch|kill|nix|never ?mind|dont need|don't need|we dont need|we don't need)(?: (?:it|that|them|those))(?: out| off| too)?(?= ?(?:[.,;:!?\n]|$))"
)
_VALUE = Late(
    r"(?<![a-z])(?:forget(?: about)?|scratch|disregard|ignore|never ?mind(?: about)?|nvm|strike|scrub|nix|cancel|scrap|take back|olvida|ignora) (?:the |that |those |el |la |los |las )?(?P<value>\d{1,5}(?:\.\d{1,3})?)"
    r"(?: ?(?:k|kelvin|v|volts?|w|watts?|ft|feet|foot|'|hours|hrs|cents|c))?(?: (?:thing|part|number|figure|a year|one|bit|stuff))?(?= ?(?:[.,;!?\n]|$| and| but))"
)
_LAMPS_IN_EACH = Late(
    r"(?<![a-z0-9.])(?P<n>[1-8]|one|two|three|four|five|six) (?:of (?:them|em|'em|those|these)|lamps|bulbs|tubes) (?:in|per|to|inside) (?:each|a|every|one)(?: (?:fixture|one|light|unit|of them))?(?![a-z])"
)
_VALUE_BY_PRONOUN = Late(
    r"(?<![a-z0-9.])(?P<value>\d{1,5}(?:\.\d{1,3})?) ?(?:cents?|c|k|kelvin|v|volts?|w|watts?|ft|feet|foot|'|hours|hrs|days)?(?: [a-z]{2,8}){0,3}(?:,| -|\.| so| then)* (?:just |please |lets |let's )?(?:leave|take|drop|forget|scratch|skip|lose|remove) (?:it|that|them|those) ?(?:out|off)?(?: for now| please| too)?(?= ?(?:[.,;!?\n]|$))"
)
_BUT = Late(
    r"(?<![a-z])(?:everything|all(?: of (?:it|them|that|those|this))?|todo) (?:but|except(?: for)?|besides|other than|menos|excepto) (?P<what>(?:the |those |los |las |el |la )?[a-z][a-z -]{2,30}?)(?P<goes>(?:'s|s)? (?:is|are|s) (?:off|out|gone|cancel+ed|going|can go|can wait)|(?: can)? (?:goes|go|can wait|comes off))?(?= ?(?:[.,;!\n]|$))"
)
_EXCHANGED = r"(?P<noun>counts?|quantit(?:y|ies)|qtys?|numbers?|amounts?|heights?|voltages?|volts|watts|wattages?|colou?rs?|finish(?:es)?|cantidades|numeros|alturas|voltajes)"
_EXCHANGE_SLOTS = {
    "c": "qty", "q": "qty", "n": "qty", "a": "qty", "h": "height_ft", "v": "voltage", "w": "watts", "f": "finish",
}  # fmt: skip
_SWAP = Late(
    rf"(?<![a-z])(?:(?:swap|switch|flip|reverse|trade|exchange|interchange|invert|transpose|intercambia\w{{0,3}}|invierte|voltea\w{{0,3}}) (?:the |those |these |their |my |las |los )?(?:two )?{_EXCHANGED}(?: around| over)?"
    r"|(?:i |we )?(?:had|have|got|gave you|gave|put|mixed|switched|flipped|reversed|swapped)(?: up)? (?:the |those |these |them |my |las |los )?(?P<noun2>counts?|quantit(?:y|ies)|qtys?|numbers?|amounts?|heights?|voltages?|wattages?|colou?rs?)?(?: (?:on|for) (?:those|them|these))? ?(?:all )?(?:backwards?|mixed up|reversed|switched|flipped|swapped|the wrong way (?:a?round)|crossed|al reves|volteadas|volteados)"
    r"|(?:the |those |my )?(?P<noun3>counts?|quantit(?:y|ies)|qtys?|numbers?|amounts?|heights?|voltages?|wattages?|colou?rs?) (?:are|were|is|should be|need to be|got) (?:all )?(?:backwards?|mixed up|reversed|switched|flipped|swapped|the other way (?:a?round)|crossed)"
    r"|(?:should be|its|it's|no,?|sorry,?|wait,?|actually,?|make (?:it|that)|other|it is|^ *)(?: ?(?:the )?(?:other way (?:a?round)|vice versa|reverse(?: that| those)|al reves)))"
    r"(?P<of>(?: (?:on|for|of|between|de|en) (?!now|me|us)[^.,;:!?\n\d]{2,48})?)(?: please| pls)?(?= ?(?:[.,;:!?\n-]|$))"
)
_MOVED = Late(
    rf"(?<![a-z])(?:move|shift|transfer|switch|relocate|reassign|take|put|swap|steal|borrow|pasa\w{{0,3}}|mueve\w{{0,3}}|cambia\w{{0,3}}) {_N}(?: (?:more|lights|fixtures|heads|units|of (?:them|those)))?"
    r" (?:from|off|off of|out of|of|de|del) (?P<source>(?:the |those |our |los |las |el |la )?[^.,;:!?\n\d]{2,36}?)(?: and (?:put|add|move) (?:them|those|it|em))?"
    r",? (?:to|onto|over to|on to|into|on|in with|a|al|para) (?P<to>(?:the |those |our |los |las |el |la )?[^.,;:!?\n\d]{2,36}?)(?: please| pls| instead)?(?= ?(?:[.,;:!?\n]|$))"
)
_BACK = Late(
    r"(?<![a-z])(?:(?:put|bring|add|throw|stick|include|pon\w{0,3}|regresa\w{0,3}|agrega\w{0,3}) (?P<what>(?:the |those |our |los |las |el |la )?[^.,;:!?\n]{2,40}?) (?:back(?: in| on)?|otra vez|de nuevo|again)"
    r"|(?P<what5>(?:the |los |las )?[a-z-]{3,14}(?: [a-z]{3,12})?) (?:are|is|r|go|goes|come) back (?:in|on)(?: the (?:list|quote|job))?"
    r"|(?:put|bring|add) back (?:in )?(?P<what4>(?:the |those |our )[^.,;:!?\n]{2,40}?)"
    r"|(?:keep|leave|we(?:'re| are) keeping|we(?:'ll| will) keep|lets keep|let's keep|include|do|deja\w{0,3}) (?P<what2>(?:the |those |our |los |las |el |la )[^.,;:!?\n]{2,40}?)(?P<in> in)?(?: after all| then| though| anyway| on there| despues de todo)"
    r"|(?:on second thought,?|actually,?|changed my mind,?|never ?mind,?|wait,?|no,? wait,?|hold on,?|hmm,?|mejor) (?:lets |let's |we'?ll |just |please )?(?:keep|leave|include) (?P<what3>(?:the |those |our |los |las |el |la )[^.,;:!?\n]{2,40}?)(?P<in2> in)?)"
    r"(?: please| pls)?(?= ?(?:[.,;:!?\n]|$)| (?:but|with|make it|pero|con) (?:only |just |solo |make (?:it|them) )?\d)"
)
_LAST = Late(
    r"(?<![a-z])(?:(?:take|scratch|forget|ignore|strike|disregard|cancel|undo|scrap|nix|reverse|revert|never ?mind|nvm|olvida\w{0,3}|ignora\w{0,3})(?: back)?(?: about)? (?:the|that|my|this|lo|el|la) ?(?:very )?(?:last|latest|ultim[oa])(?: (?:part|bit|thing|change|message|msg|text|edit|request|correction|update|one|cambio|cosa|parte|que dije))?(?: (?:i |we )(?:just )?(?:said|made|sent|asked(?: for)?))?(?: back| out)?"
    r"|(?:i|we) (?:had it|was|were|got it) right (?:the )?(?:first time|to begin with|before|originally)|(?:the )?first (?:number|count|one|time|figure|way) was (?:right|correct)|(?:it was |was )?(?:right|fine|correct|ok) (?:the first time|the way it was|how it was|before|as it was)"
    r"|(?:forget|scratch|ignore|disregard|strike) (?:that )?(?:i|we) (?:said|asked|mentioned|wrote|sent) (?:that|it|anything)|(?:i|we) take (?:that|it) back|me retracto|(?:put|set|change|turn|switch) (?:it|that|them|everything) (?:back )?(?:to )?(?:how|the way|like|what) (?:it|they) (?:was|were|had been)(?: before)?)"
    r"(?: please| pls| then)?(?= ?(?:[.,;:!?\n-]|$))"
)


_FEWER = Late(
    rf"(?:^ *|(?<=[.,;!\n] )|(?<=and )|(?<=but ))(?:(?P<less>minus|less|subtract|take off|drop|lose|knock off|take away) {_N}(?: of (?:them|those))?|(?P<more>plus|add) (?:another )?(?P<n2>\d{{1,4}}|one|two|three|four|five|six)(?: more)?|(?P<n3>\d{{1,4}}|one|two|three|four|five|six) (?:(?P<less3>less|fewer)|more))"
    r"(?= ?(?:[,;.!\n]| and| but|$))"
)


_BY = Late(
    rf"(?<![a-z])(?:(?P<up>increase|raise|bump(?: up)?|up|grow|aumenta\w{{0,3}}|sube)|(?P<down>reduce|decrease|lower|cut|drop|trim|shrink|cut down|baja|reduce)) (?P<what>(?:the |those |our |los |las )?[^.,;:!?\n\d]{{2,30}}?)(?: (?:count|qty|number))? (?:by|por|en) {_N}(?! ?(?:ft|feet|%|percent|watts?|w|v))(?![a-z0-9])"
)
_COUNTED_ANEW = Late(
    rf"(?<![a-z0-9])(?:forget(?: about)?|drop|scratch|scrap|skip|ignore|disregard|nix|cancel|strike|never ?mind|not) (?:the |those |my |that )?(?:\d{{1,5}} )?(?P<what>[a-z][a-z -]{{2,28}}?)[,.;]? (?:and |just |lets |let's |please |instead )*(?:make (?:it|that|them)|do|should be|its|it's|use|need|call it|say|we need) (?:just |only |about )?{_N}(?: instead| please| of them)?(?= ?(?:[,;.!\n]|$))"
)
_OFF_EACH = Late(
    rf"(?<![a-z])(?:(?P<down>drop|lose|take off|remove|minus|less|take|cut|knock|knock off|pull)|(?P<up>add|plus|and|another)) {_N}(?: more)? (?:of|from|off|off of|on|to) (?:each|both|every one|every type|all of them)(?: of (?:them|those))?(?: type| kind| line)?(?= ?(?:[,;.!\n]|$))"
)


_TO_THEM = Late(
    rf"(?<![a-z])(?:(?P<up>add|plus|put|throw in|need|want)|(?P<down>drop|take|remove|cut|pull|knock|lose|subtract|minus|deduct)) (?:another |about )?{_N}(?: more| extra| additional)?(?: off)? (?:to|on|onto|from|off|off of|of|out of|for) (?P<what>(?:the |those |our |my )?[^.,;:!?\n]{{2,36}}?)(?: please| pls| too| thanks)?(?= ?(?:[.,;:!?\n]|$))"
)
_GONE = Late(
    r"(?<![a-z])(?:please |pls |lets |let's |we can |just )?(?:drop|lose|remove|delete|skip|nix|scratch|forget(?: about)?|cut|omit|ditch|kill|take (?:out|off)|leave (?:out|off)|get rid of|quita|elimina|olvida) (?P<what>(?:the |those |all the |los |las |el |la )?[^.,;:!?\n]{3,36}?)(?: please| pls| too| for now| then| entirely| completely)?(?= ?(?:[.,;:!?\n]|$))"
)


_TO_SO_MANY = re.compile(r" (?:to|by|a|down to) (?:about |like |just |only )?\d")


def _told_apart(scope: Scope) -> bool:
    """Whether a scope says more of its types than their family."""
    return bool(
        scope.labels
        or scope.watts
        or scope.source
        or scope.having
        or scope.lowest
        or scope.highest
        or scope.height_ft
    )


def _of_some(folded: str, phrase: Phrase, out: Edits) -> None:
    """Types that are told apart by what they have go, or are counted up and down: "drop the bronze ones", "2 off the front"."""
    for match in _TO_THEM.finditer(folded):
        scope = phrase(*match.span("what"))
        if scope is None or not (_told_apart(scope) or scope.kind == "ordinal"):
            continue
        count = Said(number_of(match["n"]), *match.span("n"), rule="so many on")
        if match["up"]:
            out.passages.append(Passage("add", {"qty": count}, scope, more=True))
        else:
            out.passages.append(Passage("remove", {"qty": count}, scope))
        out.spans.append(match.span())
    for match in _GONE.finditer(folded):
        if any(start < match.end() and match.start() < end for start, end in out.spans):
            continue
        if _TO_SO_MANY.search(match["what"]):
            continue  # "drop receiving to 9"
        scope = phrase(*match.span("what"))
        if scope is not None and scope.kind == "family" and _told_apart(scope):
            out.passages.append(Passage("remove", {}, scope))
            out.spans.append(match.span())


def _counted_by(folded: str, known: Known, phrase: Phrase, out: Edits) -> None:
    """So many more or fewer of a type by its name, or of each: "increase the packs by 3", "drop one of each"."""
    for match in _BY.finditer(folded) if " by " in folded or " por " in folded or " en " in folded else ():
        scope = phrase(*match.span("what"))
        if scope is None:
            continue
        count = Said(number_of(match["n"]), *match.span("n"), rule="so many on")
        out.passages.append(
            Passage("add", {"qty": count}, scope, more=True)
            if match["up"]
            else Passage("remove", {"qty": count}, scope)
        )
        out.spans.append(match.span())
    for match in _COUNTED_ANEW.finditer(folded):
        # "scratch the 12 packs, make it 15": their count is changed, and they stay
        scope = phrase(*match.span("what"))
        if scope is not None and scope.kind in ("family", "ordinal"):
            count = Said(number_of(match["n"]), *match.span("n"), rule="counted anew")
            out.passages.append(Passage("change", {"qty": count}, scope))
            out.spans.append(match.span())
    each = _OFF_EACH.search(folded)
    if each is None:
        return
    count = Said(number_of(each["n"]), *each.span("n"), rule="so many of each")
    out.spans.append(each.span())
    if each["up"]:
        out.passages.append(Passage("add", {"qty": count}, Scope("all", *each.span()), more=True))
        return
    for number in range(len(known.lines)):
        out.passages.append(Passage("remove", {"qty": count}, Scope("ordinal", *each.span(), ordinal=number)))


def _counted_on(folded: str, out: Edits) -> None:
    """So many fewer or more of what was spoken of, said beside something else: "minus one, plus two bollards"."""
    for match in _FEWER.finditer(folded):
        if not any(char.isalnum() for char in folded[: match.start()] + folded[match.end() :]):
            continue
        name = next(name for name in ("n", "n2", "n3") if match[name])
        count = Said(number_of(match[name]), *match.span(name), rule="so many on")
        scope = Scope("that", match.start(), match.end())
        fewer = match["less"] or match["less3"]
        out.passages.append(
            Passage("remove", {"qty": count}, scope)
            if fewer
            else Passage("add", {"qty": count}, None, more=True)
        )
        out.spans.append(match.span())


_TAKING = (
    "forget", "drop", "scra", "skip", "lose", "remove", "delete", "ignor", "disregard", "nix", "ditch", "kill", "cancel", "omit", "strike", "erase",
    "cut", "mind", "nvm", "get rid", "take", "leave", "pull", "need", "want", "bother", "worry", "hold off", "back out", "scrub", "quita", "olvid",
    "elimina", "borra", "ya no", "no ", "w/o", "without", "not ", "sin ",
)  # fmt: skip
"""What stands in every clause that takes a slot back; a message without it pays nothing for the words of slots."""


def edits_of(folded: str, known: Known | None, phrase: Phrase) -> Edits | None:
    """The editing clauses of a message about a job; ``None`` where there are none."""
    if known is None or not (known.lines or known.job):
        return None
    out = Edits([], [], {}, None)
    command: Command | None = None
    last = _LAST.search(folded)
    if last is not None and not (
        last.group().split(" ", 1)[0] in ("take", "cancel") and last.group().endswith("last one")
    ):
        out.spans.append(last.span())
        command = "undo"
    _swapped(folded, known, phrase, out)
    _moved(folded, phrase, out)
    _restored(folded, known, phrase, out)
    _of_some(folded, phrase, out)
    _counted_by(folded, known, phrase, out)
    _counted_on(folded, out)
    _values_dropped(folded, known, out)
    _all_but(folded, phrase, out)
    _words_dropped(folded, known, out)
    for match in _LAMPS_IN_EACH.finditer(folded):
        lamps = Said(number_of(match["n"]), *match.span(), rule="so many in each")
        out.passages.append(Passage("change", {"lamps": lamps}))
        out.spans.append(match.span())
    _named_by_pronoun(folded, known, out)
    _put_back(folded, known, phrase, out)
    for match in DROPPED.finditer(folded) if any(word in folded for word in _TAKING) else ():
        if not any(start < match.end() and match.start() < end for start, end in out.spans):
            _dropped(folded, match, known, phrase, out)
    return out._replace(command=command) if out.spans else None


def blanked_edits(folded: str, spans: list[tuple[int, int]]) -> str:
    """The text without the clauses, places kept."""
    if not spans:
        return folded
    chars = list(folded)
    for start, end in spans:
        if start < end:
            chars[start:end] = ["\n"] + [" "] * (end - start - 1)
    return "".join(chars)


def _held(known: Known, slot: str) -> bool:
    return any(slot in line for line in known.lines)


def _dropped(folded: str, match: re.Match[str], known: Known, phrase: Phrase, out: Edits) -> None:
    """A slot is taken back by its name."""
    start, end = match.span()
    scope = None
    if match["of"].strip():
        skipped = len(match["of"]) - len(match["of"].lstrip().split(" ", 1)[-1])
        scope = phrase(match.start("of") + skipped, match.end("of"))
        if scope is None:
            return
    line: dict[str, Said] = {}
    job: dict[str, Said] = {}
    for found in EACH_NOUN.finditer(match["nouns"]):
        name = found.lastgroup or ""
        if match["deny"] == "not" and any(
            one.lastgroup == name for one in EACH_NOUN.finditer(folded[max(0, start - 14) : start])
        ):
            return  # "damp not wet" says it anew
        if name in CONTROL_NAMES:
            mine = {
                control for held in known.lines for control in held.get("controls", ()) if control != "none"
            }
            if match["deny"] or not mine or (name != "any" and name not in mine):
                return
            if match["verb"] and match["verb"].endswith(("need", "want")):
                return
            line["controls"] = Said(
                None, start, end, rule="taken back", without=() if name == "any" else (name,)
            )
        elif name in JOB_NAMES:
            if name not in known.job or match["deny"]:
                return
            job[name] = Said(None, start, end, rule="taken back")
        else:
            slot = name
            if slot == "finish" and not _held(known, "finish"):
                slot = "cct_k"
            if not _held(known, slot):
                return
            line[slot] = Said(None, start, end, rule="taken back")
    if line:
        out.passages.append(Passage("change", line, scope))
    out.job.update(job)
    if line or job:
        out.spans.append((start, end))


def _values_dropped(folded: str, known: Known, out: Edits) -> None:
    """A value is taken back by naming it: "forget the 4000"."""
    for match in [*_VALUE.finditer(folded), *_VALUE_BY_PRONOUN.finditer(folded)]:
        value = float(match["value"])
        held = {
            slot for line in known.lines for slot, mine in line.items() if slot != "qty" and mine == value
        }
        job = _job_slot(known, value)
        if len(held) == 1 and job is None:
            slot = next(iter(held))
            mine = next(line[slot] for line in known.lines if line.get(slot) == value)
            out.passages.append(
                Passage("change", {slot: Said(None, *match.span(), rule="taken back", instead_of=mine)})
            )
            out.spans.append(match.span())
        elif job is not None and not held:
            out.job[job] = Said(None, *match.span(), rule="taken back")
            out.spans.append(match.span())


def _all_but(folded: str, phrase: Phrase, out: Edits) -> None:
    """As in "everything but the bollards is off", which leaves those; "everything except the floods" leaves all others."""
    for match in _BUT.finditer(folded):
        before = folded[max(0, match.start() - 24) : match.start()]
        scope = phrase(*match.span("what"))
        if (
            _OFF_BEFORE.search(before)
            or _OTHERS_ARE.search(match["what"])
            or scope is None
            or scope.kind not in ("family", "ordinal")
            or _SETS.search(folded[match.end() :])
        ):
            continue
        goes = match["goes"] is not None
        if not goes and (
            match.end() < len(folded.rstrip(" .!")) or (match.start() and not _PRICED.search(before))
        ):
            continue
        if goes:
            out.passages.extend(
                [
                    Passage("change", {}, scope),
                    Passage("remove", {}, Scope("others", scope.end, match.end())),
                ]
            )
        else:
            out.passages.append(Passage("remove", {}, scope))
        out.spans.append(match.span())


_OTHERS_ARE = re.compile(
    r" (?:in|at|with|need|get) "
)  # "everything but the floods in bronze" tells of the others
_SETS = re.compile(r"^ ?(?:is|are|gets?|needs?|at|on|in|should|has|have|wants?) ")
_OFF_BEFORE = re.compile(
    r"(?<![a-z])(?:drop|forget|skip|scratch|lose|cut|remove|delete|nix|cancel|(?:leave|take) (?:off|out)|quita|olvida|elimina|borra) $"
)
_PRICED = re.compile(
    r"(?:^|[.;,\n] ?|(?<![a-z])(?:quote|price|keep|do|want|need|bid|replace|actually|ok|so|make it|cotiza|deja) )$"
)


def _words_dropped(folded: str, known: Known, out: Edits) -> None:
    """What was said of the job in words is taken back by the same words: "no rush anymore, forget friday"."""
    for slot, value in known.job.items():
        if not isinstance(value, str) or len(value) < 3:
            continue
        match = re.search(
            rf"(?<![a-z])(?:forget(?: about)?|scratch|disregard|ignore|never ?mind|nix|cancel|scrap|drop|strike|olvida) (?:the |that |by |by the |el )?{re.escape(value.lower())}(?: (?:thing|deadline|date|part))?(?= ?(?:[.,;!?\n]|$))",
            folded,
        )
        if match is not None:
            out.job[slot] = Said(None, *match.span(), rule="taken back")
            out.spans.append(match.span())


def _job_slot(known: Known, value: float) -> str | None:
    """The job slot that has the value, in whichever way it is written."""
    for slot, mine in known.job.items():
        if isinstance(mine, dict) and value in [
            part for part in mine.values() if isinstance(part, (int, float))
        ]:
            return slot
        if (
            isinstance(mine, (int, float))
            and not isinstance(mine, bool)
            and (mine == value or round(mine * 100, 4) == value)
        ):
            return slot
    return None


def _put_back(folded: str, known: Known, phrase: Phrase, out: Edits) -> None:
    """What was said last goes: from some types, of a count, or for the value of before."""
    apart = _EXCEPT.fullmatch(folded)
    if apart is not None and (scope := phrase(*apart.span("what"))) is not None:
        out.passages.append(Passage("revert", {}, scope))
        out.spans.append(apart.span())
        return
    split = _SPLIT.search(folded)
    if split is not None:
        said = Said(None, *split.span(), rule="taken back")
        found = EACH_NOUN.search(split["nouns"]) if split["nouns"] else None
        name = found.lastgroup if found is not None else "finish"
        if name in CONTROL_NAMES:
            mine = {
                control for line in known.lines for control in line.get("controls", ()) if control != "none"
            }
            if mine and (name == "any" or name in mine):
                without = () if name == "any" else (str(name),)
                out.passages.append(Passage("change", {"controls": replace(said, without=without)}))
                out.spans.append(split.span())
        elif name in JOB_NAMES and name in known.job:
            out.job[str(name)] = said
            out.spans.append(split.span())
        elif name is not None and name not in JOB_NAMES and _held(known, name):
            finish = "gray" if split["finish"] == "grey" else split["finish"]
            if finish is None or any(line.get("finish") == finish for line in known.lines):
                out.passages.append(Passage("change", {name: replace(said, instead_of=finish)}))
                out.spans.append(split.span())
    those = _THOSE_BACK.search(folded)
    if (
        those is not None
        and number_of(those["n"]) > 1
        and not any(start < those.end() and those.start() < end for start, end in out.spans)
    ):
        count = Said(number_of(those["n"]), *those.span("n"), rule="so many on")
        out.passages.append(Passage("remove", {"qty": count}, Scope("that", *those.span())))
        out.spans.append(those.span())
    for match in _WAS_RIGHT.finditer(folded):
        value = float(match["n"] or match["n2"])
        slots = {slot for slot, was in known.earlier if was == value}
        if len(slots) == 1 and not any(line.get(slot) == value for line in known.lines for slot in slots):
            slot = slots.pop()
            typed = int(value) if slot in ("qty", "voltage", "lamps", "cct_k", "cri") else value
            out.passages.append(Passage("change", {slot: Said(typed, *match.span(), rule="as it was")}))
            out.spans.append(match.span())


def _named_by_pronoun(folded: str, known: Known, out: Edits) -> None:
    """A slot is named, and goes by a word that points back at it, or costs nothing: "labor is free, leave it out"."""
    for pattern in (_FREE, _BY_PRONOUN):
        match = pattern.search(folded)
        if match is None or any(start < match.end() and match.start() < end for start, end in out.spans):
            continue
        noun = match["noun"] or match["noun2"] or match["noun3"] if pattern is _FREE else match["noun"]
        found = EACH_NOUN.search(noun)
        name = found.lastgroup if found is not None else None
        if name is None:
            continue
        said = Said(None, *match.span(), rule="taken back")
        if name in JOB_NAMES:
            if name not in known.job:
                continue
            out.job[name] = said
        elif name in CONTROL_NAMES:
            mine = {control for line in known.lines for control in line.get("controls", ())}
            if name != "any" and name not in mine:
                continue
            without = () if name == "any" else (name,)
            out.passages.append(Passage("change", {"controls": replace(said, without=without)}))
        else:
            slot = "cct_k" if name == "finish" and not _held(known, "finish") else name
            if not _held(known, slot):
                continue
            out.passages.append(Passage("change", {slot: said}))
        out.spans.append(match.span())


def _swapped(folded: str, known: Known, phrase: Phrase, out: Edits) -> None:
    """Two types have each other's value."""
    match = _SWAP.search(folded)
    if match is None or len(known.lines) < 2:
        return
    noun = match["noun"] or match["noun2"] or match["noun3"]
    slot = "qty" if noun is None else _EXCHANGE_SLOTS.get(noun[0], "qty")
    if noun is not None and noun.startswith("colo"):
        slot = "finish" if sum("finish" in line for line in known.lines) > 1 else "cct_k"
    having = [number for number, line in enumerate(known.lines) if slot in line]
    scope: Scope | None = None
    if match["of"].strip():
        text = match["of"].strip().split(" ", 1)[1]
        at = match.end("of") - len(text)
        parted = re.search(r" (?:and|&|y|with|for) ", text)
        if parted is None:
            if phrase(at, match.end("of")) is None and len(having) != 2:
                return
        else:
            one = phrase(at, at + parted.start())
            two = phrase(at + parted.end(), match.end("of"))
            if one is None or two is None:
                return
            said = Said(None, *match.span(), rule="swapped")
            out.passages.append(Passage("swap", {slot: said}, one, other=two))
            out.spans.append(match.span())
            return
    if len(having) != 2:
        return
    start, end = match.span()
    one_of, two_of = (Scope("ordinal", start, end, ordinal=number) for number in having)
    out.passages.append(
        Passage("swap", {slot: Said(None, start, end, rule="swapped")}, scope or one_of, other=two_of)
    )
    out.spans.append((start, end))


def number_of(word: str) -> int:
    """The count that a figure or a word says."""
    return int(word) if word.isdigit() else _WORD_COUNTS[word]


def _moved(folded: str, phrase: Phrase, out: Edits) -> None:
    """So many of one type are counted with another."""
    for match in _MOVED.finditer(folded):
        one = phrase(*match.span("source"))
        two = phrase(*match.span("to"))
        if one is None or two is None or _same_scope(one, two):
            continue
        count = Said(number_of(match["n"]), *match.span("n"), rule="moved")
        out.passages.append(Passage("move", {"qty": count}, one, other=two))
        out.spans.append(match.span())


def _same_scope(one: Scope, two: Scope) -> bool:
    return replace(one, start=0, end=0) == replace(two, start=0, end=0)


_KEEP_THEM = Late(
    r" *(?:(?:actually|no|nah|wait|ok|okay|hmm+|sorry|oh|oops|on second thought|never ?mind|changed my mind|he|she|they|boss|says|said|to|mejor|siempre si|espera)[ ,.!]{1,3}){0,5}(?:(?:lets|let's|we'll|please|just|do) )?"
    r"(?:(?:keep|leave|include|deja\w{0,3}) (?:them|em|those|it|that|that one|these)(?: in| on| there| back in)?|(?:put|add|bring) (?:them|em|those|it|that|that one) back(?: in| on)?|dejal[oa]s?|ponl[oa]s? de nuevo|regresal[oa]s?)"
    r"(?: after all| though| then| please| pls)?(?P<rest>,? (?:but |just |pero )?(?:only |just |make it |with |like |solo |que sean )?(?P<n>\d{1,4}))?[ .!]*"
)


def _restored(folded: str, known: Known, phrase: Phrase, out: Edits) -> None:
    """A type that had gone comes back."""
    if known.gone and (kept := _KEEP_THEM.fullmatch(folded)) is not None:
        # "actually keep em but only 6", said of what the message before took away
        them = Scope("that", *kept.span())
        out.passages.append(Passage("restore", {}, them))
        if kept["n"]:
            count = Said(int(kept["n"]), *kept.span("n"), rule="so many kept")
            out.passages.append(Passage("change", {"qty": count}, Scope("that", *kept.span("n"))))
        out.spans.append(kept.span())
        return
    for match in _BACK.finditer(folded):
        name = next(name for name in ("what", "what2", "what3", "what4", "what5") if match[name])
        if match[name].endswith((" out", " off", " alone", " as is", " fuera")):
            continue
        scope = phrase(*match.span(name))
        if scope is None or scope.kind not in ("family", "ordinal"):
            continue
        out.passages.append(Passage("restore", {}, scope))
        out.spans.append(match.span())


def shifted(value: Scope, by: int) -> Scope:
    """A scope as it stands ``by`` characters further on."""
    return replace(value, start=value.start + by, end=value.end + by)
