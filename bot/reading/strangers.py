"""Numbers and names that are none of a line's business: phones, mail addresses, orders, streets, part numbers, dates.

Each recogniser is one bounded pattern over the folded text; what it takes is masked, so that it can't leak into a slot.
"""

import re
from functools import lru_cache
from typing import Any

from bot.reading.codes import lamp_code, long_code
from bot.reading.late import Late, that_may_fit
from bot.reading.listed_places import counted_places
from bot.reading.words import lexicon, words_of

Mask = tuple[int, int, dict[str, Any]]

_MONTH = (
    r"(?:jan(?:uary)?|feb(?:ruary)?|mar(?:ch)?|apr(?:il)?|may|june?|july?|aug(?:ust)?|sept?(?:ember)?|oct(?:ober)?"
    r"|nov(?:ember)?|dec(?:ember)?)"
)
_STREET = (
    r"(?:st|street|ave|avenue|rd|road|blvd|boulevard|dr|drive|ln|lane|pkwy|parkway|hwy|highway|ct|court|pl|place|way"
    r"|pike|terrace|ter|circle|cir|industrial pkwy|trail|loop|plaza|sq|square|broadway)"
)
_PATTERNS: tuple[tuple[str, str], ...] = (
    ("mail", r"[a-z0-9._+-]{1,64}@[a-z0-9-]{1,64}(?:\.[a-z0-9-]{1,64}){1,4}"),
    ("url", r"(?:https?://|www\.)[^\s]{1,400}"),
    ("phone", r"(?<![\d.$])(?:\+?1[ .-]?)?(?:\(\d{3}\) ?|\d{3}[ .-])\d{3}[ .-]\d{4}(?!\d)(?:,? ?(?:x|ext\.?|extension) ?\d{1,5}(?!\d))?"),
    ("phone7", r"(?:\(\d{3}\) ?)?(?<![\d.$-])\d{3}(?:[-.]\d| 0)\d{3}(?![\d-])(?:,? ?(?:x|ext\.?|extension) ?\d{1,5}(?!\d))?"),
    ("catno", r"(?<![a-z0-9.])\d{1,5}[abcdegjnpqrsuyz]\d{3,8}[a-z0-9]{0,6}(?![a-z0-9])"),
    ("jobno", r"(?<![\d.$#-])(?:19|20)\d{2}-\d{2,4}(?![\d-]|\s?(?:w|watt|v|ft|mh|hps|k)\b)|#\d{1,6}-\d{2,8}(?![\d-])"),
    ("sheet", r"(?<![a-z0-9])[a-z]{1,3}-?\d{1,3}\.\d{1,3}(?![\d.]|w)"),
    ("po", r"(?<![a-z])(?:p\.?o\.?(?:\s?(?:number|num|no\.?|#))?|purchase order(?: number| no\.?| #)?|orden de compra|oc)\s{0,2}[#:.]{0,2}\s{0,2}(?:(?:for (?:this|that)(?: one| job)? )?(?:is(?: going to be| gonna be)?|es|will be|gonna be|should be|va a ser|sera)\s)?(?P<po>(?:[a-z]{1,8}-|[a-z]{1,4})?\d[a-z0-9-]{0,20}|[a-z]{1,8}-\d{1,10})(?![a-z0-9])(?: rel \d{1,3})?"),
    ("box", r"(?<![a-z])p\.?o\.? box \d{1,6}"),
    ("partno", r"(?<![a-z])(?:p/n|pn|p\.n\.|part no\.?|part number|part #|sku|s/n|upc|cat no\.?|catalog no\.?)[ #:.]{1,3}(?=[a-z0-9]{0,12}-[a-z0-9]|\d{5}|[a-z]{1,8}\d|\d{1,6}[a-z])[a-z0-9][a-z0-9/.-]{2,24}"),
    ("licence", r"(?<![a-z])(?:licen[cs]e|lic|license|acct|account|invoice|inv|permit|serial|ser|s/n|sn|model|mod|cat|catalog|catalogue|part|pn|p/n|sku|dwg|drawing|meter|rma|asset|route|rte|suite|ste|apt|apts|ext|extension|fax|cell|tel|phone)\s{0,2}(?:number|num|no\.?|cat|#)?\s{0,2}[#:]\s{0,2}(?=[a-z0-9-]{0,20}\d)[a-z0-9][a-z0-9/.-]{0,24}"),
    ("reference", r"(?<![a-z])(?:ref|rfq|lote|local)\s{0,2}(?:number|num|no\.?|#)?\s{0,2}(?:#|:(?=\s{0,2}(?:[a-z]{0,4}-?\d{4,12}(?![a-z\d])|[a-z0-9]{1,6}-[a-z]?\d{2,8}(?![a-z\d]))))\s{0,2}(?=[a-z0-9-]{0,20}\d)[a-z0-9][a-z0-9/.-]{0,24}|(?<![a-z])rfq (?:no\.? |number |num )?(?=[a-z]{0,3}-?\d{4}|[a-z]{0,3}\d{1,3}-)[a-z]{0,3}-?\d{1,10}(?:-[a-z0-9]{1,12}){0,3}(?![a-z0-9])"),
    ("code", r"(?<![a-z])(?:job|order|quote|ticket|truck|claim|contract|wo|case|unidad|camion) (?:no\.? ?|number |num )?\d{1,8}-(?!\d{1,4}(?:w|v|watts?|volts?)(?![a-z])|\d{2,4} (?:w|watts?|mh|hps|halide|mv)(?![a-z]))[a-z0-9]{1,6}(?![a-z0-9])|(?<![a-z])truck \d{1,4}(?! ?(?:w|ft|v))\b|(?<![a-z])(?:job|proj|project|order|quote|bid|ref|wo|contract|case|ticket|est|estimate) ?(?:no\.? ?)?# ?\d{1,8}-[a-z0-9]{1,6}(?![a-z0-9])"),
    ("circuit", r"(?<![a-z])(?:ckts?|circuits?|cktos?|circuitos?)\.? #?\d{1,3}(?:(?:, ?|/| & | and | y |, and )#?\d{1,3}(?!\d)){0,8}(?![\d.]|\s?(?:w|watts?|v|volts?|ft)\b|['\"%])"),
    ("span", r"(?<![a-z])(?:poles?|postes?|floors?|levels?|rooms?|apts?|bays?|units?|pisos?|niveles|bldgs?|buildings?|docks?|aisles?|suites?) (?P<low>[1-9]\d{0,3}) ?(?:-|to|thru|through|and|&|a|al|y) ?(?P<high>\d{1,4})(?!\d|\.\d)(?! ?(?:v|volts?|k|ft|'|watts?|w)(?![a-z]))"),
    ("rooms", r"(?<![a-z])(?:rooms?|rms?|classrooms?|suites?|apts?|offices|labs|docks|aisles|floors|levels|bldgs|buildings|hangars|salones|aulas|cuartos|pisos)\.? #?[1-9]\d{0,3}[a-d]?(?:(?:, ?|,? (?:and|&|y) )#?\d{1,4}[a-d]?(?![\d.'\"]| ?(?:v|w|ft|k|x)(?![a-z]))){1,20}(?![a-z0-9])"),
    ("spot", r"(?<![a-z])(?<!st )(?<!nd )(?<!rd )(?<!th )(?:aisle|pump|press|bay|dock|gate|level|warehouse|plant|gym|hangar|zone|pier|court|field|line|machine|door|salon|sala|nivel|oven|tank|booth|stage|phase|panel|breaker|pole|fixture|light|lane|hole|shop|pod|silo|cell|bkr|court|desk|table|cabin|stall|post office|truck|van|unit|tower|wing|area|section|row|col|column|grid|hangar|barn) ?\d{1,4}[a-d]?(?=[,.:;)!?\n]|$| - | [a-z])(?! of (?:them|those|these|em|the same)(?![a-z]))(?!\.\d)"),
    ("numbered", r"(?<![a-z])(?<!st )(?<!nd )(?<!rd )(?<!th )(?:licen[cs]e|lic|acct|account|invoice|inv|ticket|claim|ref|contract|permit|work order|serial|model|route|rte|rt|hwy|highway|interstate|suite|ste|unit|apts?|room|rm|bldg|building|ext|extension|fax|page|sheet|store|district|circuit|ckt|ramp level|edificio|carretera|cat no\.?|part no\.?|sector|tier|rev|apartment|ward|dock door|lote|dept|department|panel|pnl|breaker|mdp|bkr|detail|addendum|bid|bin|grade|lab|pod|gate)s?\.? (?:no\.? |number |num |# ?)?(?=[a-z0-9-]{0,12}\d)[a-z]{0,3}-?\d{1,10}[a-f]?(?:-[a-z0-9]{1,12}){0,3}(?:,\d{1,4}(?![\d.])){0,8}(?:(?: ?- ?| thru | through | to | and | & )\d{1,6}(?![\d./]|\s?(?:w|v|k|ft|x)))?(?![\d.,]*\d|\s?(?:w|watt|watts|v|ft|k|hps|mh|lamp|x)\b| of (?:'?em|them|those|these)\b|['\"%])(?![a-z0-9])"),
    ("drawing", r"(?<![a-z])(?:see|per|on|from|the|our|your|shop|attached|electrical) drawings? (?:no\.? |number |num |# ?)?[a-z]{0,3}-?\d{1,10}(?![\d.,]*\d)(?![a-z0-9])"),
    ("location", r"(?<![a-z])(?:ticket|claim|job|reference|quote|order|contract|wo|work order|bid|cust(?:omer)?|truck|school|item|case|tag|unit|room|rm|bldg|building|floor|level|circuit|ckt|panel|phase|lot|bay|dock|door|aisle|press|zone|store|pump|line|hole|court|field|pole|site|gate|exit|hangar|section) ?# ?\d{1,6}[a-z]?"),
    ("wire", r"# ?\d{1,2} (?:wire|awg|ga|thhn|cu|copper|cable)|\(\d{1,3} ?a\)|(?<![\w.])\d{2,3} ?a(?= (?:breaker|service|circuit|panel|feed)|[,.)])|(?<![a-z])ckts? \d{1,3}(?:, ?\d{1,3}){0,6}"),
    ("page", r"(?<![\w.])\d{1,2} of \d{1,2}(?! (?:the|our|them|those|my|these|em)\b| ?(?:w|ft|v)\b)(?=[:;,.)\n]| (?:emails?|pages?|texts?|messages?|parts?))"),
    ("clock24", r"(?<![\w.,$/-])(?P<c1>[01]\d|2[0-4])(?P<c2>[0-5]\d) ?(?:hrs?\.?|hours|h)? ?(?:-|to|thru|til|till|until|a|hasta(?: las)?) ?(?P<c3>[01]\d|2[0-4])(?P<c4>[0-5]\d)(?![\d/-])(?: ?(?P<c5>hrs?|hours)(?![a-z]))?"),
    ("shiftweek", r"(?<![\d/.$-])(?P<s1>8|9|1\d|2[0-4])/(?P<s2>[5-7])(?![\d/.])(?=[ ,.;]|$)"),
    ("zeros", r"(?<![\w.,$])0\d{1,11}(?![\w.,]*\d|\.\d)(?! ?(?:cents|per|/))"),
    ("plan", r"(?<![\w.])\d{2,3} x \d{2,3}(?=[,.;)]|$| ft| foot| feet| with an? | w/ ?an? | room| gym| shop| warehouse| lot| building| barn| space| store)"),
    ("person", r"(?<![a-z])(?:i'?m|i am|im about) \d' ?\d{1,2}\"?"),
    ("class", r"(?<![a-z])(?:class|clase|cl) ?(?:i{1,3}|[123])(?![a-z0-9])(?:[ ,/]{1,3}(?:div(?:ision)?\.?|zone|zona) ?(?:i{1,2}|[0-2]{1,2})(?![a-z0-9]))?|(?<![a-z])(?:div(?:ision)?\.?|zone|zona) ?(?:i{1,2}|[0-2]{1,2})(?![a-z0-9])"),
    ("address", r"(?<![\d$.#])(?:\d{1,5} (?:[nsew]\.? |north |south |east |west )?(?:[a-z][a-z']{1,20} ){1,3}|(?:\d{3,5} (?:[nsew]\.? |north |south |east |west )?|\d{1,5} (?:[nsew]\.?|north|south|east|west) )\d{1,3}(?:st|nd|rd|th) )" + _STREET + r"\b\.?(?:(?:,)? (?:suite|ste|unit|apt|#) ?[a-z0-9-]{1,6})?"),
    ("iso", r"(?<![\d-])(?:19|20)\d{2}-\d{2}-\d{2}(?![\d-])"),
    ("usdate", r"(?<![\d/.$])\d{1,2}/\d{1,2}/(?:19|20)?\d{2}(?![\d/])"),
    ("md", r"(?<![\d/.$])(?:1[0-2]|0?[1-9])/(?:3[01]|[12]\d|0?[1-9])(?![\d/'\"]|\s?(?:v|volt|dis|d\b|\d))"),
    ("monthday", r"(?<![a-z])" + _MONTH + r"\.? \d{1,2}(?:st|nd|rd|th)?(?:,? (?:19|20)\d{2})?(?![\d:]|\s?(?:w|hps|mh|ft|wall|watt)\b)"),
    ("daymonth", r"(?<!\d)\d{1,2}(?:st|nd|rd|th)? (?:of |de )?" + _MONTH + r"(?![a-z])(?:,? (?:de )?(?:19|20)\d{2})?"),
    ("ordinal", r"(?<![\d.])\d{1,4}(?:st|nd|rd|th)(?![a-z0-9])(?: (?:and|&|thru|to) [a-z]{1,12} (?:st|street|ave)\b)?"),
    ("year", r"(?<![a-z])(?:in|since|built|from|circa|installed|built in|year|mfg|mfd|mfr|manufactured|dated|date|made|made in|yr|vintage|desde|del|fabricado|hecho en) (?:19[4-9]\d|20[0-4]\d)(?![\d\w])|(?<![a-z])'(?:[5-9]\d|[0-2]\d)(?= |,|\.|$)"),
    ("hashed", r"# ?\d{4,6}(?!\d)(?:,? (?:and |& )?# ?\d{3,6}(?!\d)){0,12}"),
    ("highway", r"(?<![a-z0-9])(?:i|us|sr|cr|fm)-\d{1,3}(?![a-z0-9])|(?<![a-z])exits? \d{1,3}[a-d]?(?= (?:off|on|of|from|at)(?![a-z]))"),
    ("club", r"(?<![\d.,])(?:4-h|501 ?\(?c\)? ?\(?[34]\)?)(?![a-z0-9])"),
    ("lettered", r"(?<![a-z])types? [a-h]\d?(?= (?!\d)[a-z]| \dx\d)"),
    ("oldyear", r"(?<![\d$#.,/-])(?:19[5-9]\d|20[0-4]\d) (?=(?:quote|study|job|project|order|bid|audit|survey|budget|code|invoice|renovation|remodel|build|construction|vintage|season|price|prices|pricing|estimate)(?![a-z]))"),
    ("area", r"(?<!\d)\d{1,3}(?:,?\d{3}){0,2} ?(?:sq\.? ?f(?:ee)?t\.?|sqft|square f(?:ee|oo)t|sf)\b"),
    ("percent", r"(?<![\d.])\d{1,4}(?:\.\d{1,3})? ?(?:%|percent|pct\b|por ciento)"),
    ("fire", r"(?<![\d,])\d{1,3}(?:,\d{3}){0,2} ?(?:degrees|degs?\b|f\b|amps?|a breaker|hp\b(?! ?(?:sod|na\b))|hz\b|phase|ph\b|psi\b|ga\b|awg|btu|kva|gal\b|gallons?|lbs?\b(?! \d{2,4} ?w?(?:atts?)? ?-?(?:mh|hps|metal|halide|psmh|ps|mv|merc|led)| (?:fixtures?|lights?|lites?)\b)|mph|yr warranty|year warranty|yr warr|wire\b|(?:hr|hour|hours|hrs) (?:response|notice|turnaround|drive|lead|meeting|fire|rated|window))"),
    ("ip", r"(?<![a-z])(?:ip|ik|nema ?)\d{1,3}[a-z]?(?![a-z0-9])"),
    ("size", r"(?<![\w.])(?<!panel )(?<!paneles )(?<!plafones )(?<!gabinetes )(?<!lamparas )(?<!luminarias )(?<!troffers )(?<!panels )(?:\d{2,4}x\d{2,4}|\d{2,4} by \d{2,4}|\d{1,4}' ?x ?\d{1,4}'|\d{2,4} ?ft ?x ?\d{2,4} ?ft|\d{2,4} feet by \d{2,4} feet)(?![\d]| ?(?:w|watt|watts|v|mh|hps|k|lamp|t8|t12|t5)\b|w)(?<!2'x4')(?<!2'x2')(?<!1'x4')(?<!2' x 4')(?<!2' x 2')(?<!1' x 4')"),
    ("degrees", r"(?<=\d) ?@ ?(?:180|90|120)(?!\d| ?v| ?ft|\.|')(?: ?deg(?:rees)?)?|(?:(?<=twin )|(?<=dual )|(?<=double ))180(?!\d)"),
    ("tag", r"(?m:^)[ \t]{0,6}(?P<tag>[a-z]{1,2}-?\d{1,2}[a-z]?)(?=[ \t]{1,6}\d{1,4} [a-z0-9]|[ \t]{2,6}[a-z0-9(])"),
    ("list", r"(?<!\S)\(?[a-h]\)(?= )|(?m:^)[ \t]{0,6}(?:(?:item|line|type|renglon|partida) ?#? ?\d{1,3} ?[:.)](?= )|\d{1,2}[.)](?=[ \t]{1,6}\S)|[a-h][.)](?= ))"),
)  # fmt: skip
_UNIT_WORDS = frozenset({"suite", "ste", "unit", "apt", "#"})
_NO_STREET = frozenset(
    {
        "on",
        "at",
        "in",
        "the",
        "of",
        "for",
        "along",
        "off",
        "by",
        "up",
        "to",
        "and",
        "down",
        "my",
        "our",
        "a",
        "en",
        "la",
        "el",
    }
)
_STREET_OK = frozenset(
    {
        "main",
        "high",
        "park",
        "lake",
        "north",
        "south",
        "east",
        "west",
        "first",
        "second",
        "third",
        "center",
        "mill",
        "church",
        "school",
        "commerce",
        "industrial",
        "canal",
        "green",
        "state",
        "new",
        "old",
        "bay",
        "hall",
        "washington",
        "office",
        "plant",
        "college",
    }
)


def _joined(names: frozenset[str], told: str = "") -> str:
    """The patterns of these names, each with an empty group behind it that tells which one it was.

    A group around it would keep the matcher from seeing at once that the first letter is another. ``told`` is what the
    whole says already and each need not say again.
    """
    return "|".join(
        f"(?:{pattern.removeprefix(told)})(?P<g_{name}>)" for name, pattern in _PATTERNS if name in names
    )


_BY_MARK = frozenset({"mail", "url", "list", "tag"})
_OFTEN = frozenset({"phone", "phone7", "catno", "zeros", "clock24", "wire", "fire"})
"""What nothing tells from afar: looked for in every text."""
_TOLD: dict[str, tuple[str, ...]] = {
    "jobno": ("-", "#"), "iso": ("-",), "area": ("sq", "sf"), "highway": ("i-", "us-", "sr-", "cr-", "fm-", "exit"),
    "po": ("po", "p.o", "purchase order", "orden de compra", "oc"), "sheet": (".",), "class": ("cl", "div", "zon"), "size": ("x", " by "),
    "ordinal": ("st", "nd", "rd", "th"), "ip": ("ip", "ik", "nema"),
    "partno": ("p/n", "pn", "p.n.", "part n", "part #", "sku", "s/n", "upc", "cat no", "catalog no"),
    "year": (" 19", " 20", "'"), "address": tuple([f" {word}" for word in _STREET[3:-1].split("|")]),
}  # fmt: skip
"""What the others need, where it can't be found from the pattern."""
# one look at the first character spares most positions most patterns: none of these begins inside a number
_ALWAYS = Late(r"(?=(?<!\d)\d|[(+#])(?:" + _joined(_OFTEN) + ")")
_ORDER_OF: dict[str, int] = {name: number for number, (name, _) in enumerate(_PATTERNS)}
_SELDOM: tuple[Late, ...] = tuple(
    [
        Late(_joined(frozenset({name})), _TOLD.get(name, ()))
        for name, _ in _PATTERNS
        if name not in _BY_MARK and name not in _OFTEN
    ]
)


def _found(folded: str) -> list[tuple[str, re.Match[str]]]:
    """All that the patterns take, in order, with the name of each; of those that begin at one place the first pattern takes it."""
    ahead: list[tuple[int, int, str, re.Match[str], Late]] = []

    def look(pattern: Late, start: int) -> None:
        match = pattern.search(folded, start)
        if match is not None:
            name = "po" if match.lastgroup == "po" else (match.lastgroup or "")[2:]
            ahead.append((match.start(), _ORDER_OF[name], name, match, pattern))

    look(_ALWAYS, 0)
    for pattern in that_may_fit(_SELDOM, folded):
        look(pattern, 0)
    out: list[tuple[str, re.Match[str]]] = []
    while ahead:
        best = min(ahead, key=lambda found: found[:2])
        out.append((best[2], best[3]))
        end = best[3].end()
        again = [found[4] for found in ahead if found[0] < end]
        ahead = [found for found in ahead if found[0] >= end]
        for pattern in again:
            look(pattern, end)
    return out


_MAIL = re.compile(_joined(frozenset({"mail"})))
_URL = re.compile(_joined(frozenset({"url"})))
_LIST = re.compile(_joined(frozenset({"list"})))
_ITEM = re.compile(
    r"(?m:^)[ \t]{0,6}(\d{1,3})(?=[ \t]{1,6}\d{1,5} ?(?:ea|each|pcs?|units?|ft|lf|lot|pza|pzas)(?![a-z]))"
)
_TAG = re.compile(_joined(frozenset({"tag"})))

_CHUNK = re.compile(r"(?<![a-z0-9.'-])[a-z0-9]{1,24}+(?:[-/][a-z0-9]{1,24}){1,6}(?![a-z0-9'-])")
_PART_OK = re.compile(
    r"^(?:\d{1,5}|[a-z]{1,14}|\d{1,5}(?:w|v|k|ft|l|lamp|watt|mh|hps|hp|in|m|am|pm|a|p|x|ea|pc|pcs|s|h|hr|hrs|d|c|volt|foot)"
    r"|f[bo]?\d{2,3}t\d{1,2}(?:ho)?|t\d{1,2}(?:ho)?|[mhs]\d{2,3}|\d{1,2}x\d{1,2}|\dxf?\d{2}t?\d{0,2}|(?:mh|hps|mv|lu|cf|pl|psmh)\d{2,4}|d2d|x\d{1,4}|u|twin\d?)$"
)


@lru_cache(maxsize=4096)
def part_number(chunk: str) -> bool:
    """Whether a chunk with hyphens or slashes is somebody's part number: letters and digits that say nothing to us.

    >>> part_number("wx-250-4-tb"), part_number("2-lamp"), part_number("f32t8/sp35")
    (True, False, False)
    """
    parts = chunk.replace("/", "-").split("-")
    if not (any(char.isdigit() for char in chunk) and any(char.isalpha() for char in chunk)):
        return len(parts) >= 3 and all(part.isdigit() for part in parts) and sum(map(len, parts)) >= 8
    if re.match(
        r"^(?:f[bo]?\d{2,3}t\d|(?:mh|m|lu|mvr|s|h|cf|pl|hps|t)\d{1,4}(?:/|-ho)|\d{2,4}w?/?(?:mh|hps))", chunk
    ):
        return False
    if long_code(chunk) is not None:
        return False
    if not all(_PART_OK.match(part) for part in parts):
        return True
    if (
        len(parts) >= 3
        and sum(part.isalpha() for part in parts) >= 2
        and not any(part in lexicon().known and len(part) > 2 for part in parts)
    ):
        return True
    # short letters first, then numbers: LP2-14, EL-13304, WO-2213, SB4-400-480
    if (
        len(parts) >= 3
        and parts[0].isalpha()
        and len(parts[0]) <= 5
        and sum(part.isdigit() for part in parts) >= 2
    ):
        return parts[0] not in ("qty", "mh", "hps", "mv", "m", "dusk")
    return bool(
        len(parts) == 2
        and not ("/" in chunk and parts[0] in lexicon().phrases)
        and parts[0].isalpha()
        and len(parts[0]) <= 3
        and parts[1].isdigit()
        and (
            len(parts[1]) >= 3
            or (len(parts[0]) >= 2 and parts[0] not in lexicon().known and parts[0] not in ("up", "at"))
        )
        and parts[0]
        not in (
            "mh",
            "hps",
            "mv",
            "led",
            "psm",
            "lu",
            "lps",
            "qty",
            "inc",
            "cfl",
            "t",
            "x",
            "at",
            "all",
            "pl",
        )
    )


_SHIFT_BEHIND = re.compile(
    r" (?:operations?|ops|schedules?|facility|plant|hours|shop|use|runs?|burn|basis|days)(?![a-z])"
)
_SHIFT_BEFORE = re.compile(
    r"(?<![a-z])(?:runs?|running|operates?|operating|open|works?|working|burn|we're|were|are|on|at|hours) (?:about |roughly |a )?$"
)
"""Words beside hours and days of a week that are written as a fraction: "16/5 operation", "we run 12/7"."""
_EACH_ROOM = re.compile(r"\d{1,4}")
_TYPE_BEFORE = re.compile(
    r"(?:packs?|floods?|bays?|box|boxes|heads?|lights?|tops?|bollards?|cobras?|campanas?|reflector(?:es)?) $"
)
_DASHED = re.compile(r"\d{3,}-\d{2,}$")
"""The end of a number that counts nothing, whatever follows: "bid 2024-118"."""
_SPREAD = re.compile(r"s (\d{1,4}) ?(?:-|thru|through|to) ?(\d{1,4})$")
_LAMP_BEFORE = re.compile(r"(?:mh|hps|mv|lps|lu|halide|sodium|mercury|led|[a-z]\d{2}[a-z]{1,3})[ -]$")
_EXTENSION = re.compile(
    r"(?m:^)[ \t]{0,4}(?P<name>[a-z][a-z.'-]{1,20}(?: [a-z.'-]{1,20}){0,2}),? (?P<ext>(?:x|ext\.? ?)\d{2,5})(?m:$)"
)
"""The end of a mail: a name and an extension, which counts nothing."""
_PLACED = frozenset({"spot", "numbered", "location"})
_ROOM = re.compile(r"(?<![\w.])\d{2,3}(?: ?ft| feet|')? ?(?:x|by) ?\d{2,4}(?= ?(?:ft|feet|foot|'|[,.;)]|$))")
_NEXT = re.compile(r"[ -]{1,3}([a-z0-9]{1,24})")


def counts_behind(folded: str, end: int) -> bool:
    """Whether a luminaire, lamp or unit follows the number that ends at ``end``, a few words between at most.

    Then it counts or measures ("building 40 troffers", "hall 2 lamp wraps") and is no name.
    """
    for _ in range(4):
        match = _NEXT.match(folded, end)
        if match is None:
            return False
        word = match[1]
        if word[0].isdigit():
            return True
        if word in _BREAKS:
            return False
        for rest, mean in lexicon().phrases.get(word, ()):
            if not _COUNTED.isdisjoint(mean) and folded.startswith(" ".join((word, *rest)), match.start(1)):
                return mean.get("unit") not in ("other", "days")
        end = match.end()
    return False


_COUNTED = frozenset({"family", "source", "size", "generic", "unit"})
_BREAKS = words_of(
    "of de and has have is are went fell keeps feed feeds fed serve serves power powers on in at with needs need the for y en con tiene"
)


_AND_MORE = re.compile(r"^[a-z]{3,10}(?<!s) \d{1,4} ?(?:and|&|y) ?\d")
_LAMP_BEHIND_PLACE = re.compile(r"[a-z] (?:100|150|175|250|320|400|750|1000|1500)\Z")
"""Watts that lamps outdoors have (from memory), where a place may also have a number."""


def strangers(folded: str) -> list[Mask]:
    """The masked stretches of a folded text, in order, none overlapping; empty meanings where they state nothing."""
    found: list[Mask] = []
    known = lexicon().known
    listed = 0
    if "@" in folded:
        found.extend((match.start(), match.end(), {}) for match in _MAIL.finditer(folded))
    if "http" in folded or "www." in folded:
        found.extend((match.start(), match.end(), {}) for match in _URL.finditer(folded))
    for match in _LIST.finditer(folded) if ")" in folded or "." in folded else ():
        found.append((match.start(), match.end(), {"bullet": True}))
        listed += match.group().strip("( \t")[0].isdigit()
    if "\n" in folded:
        # "W1 6 wallpack": the tags of a schedule, one a line; a lamp code is none
        tags = [match for match in _TAG.finditer(folded) if lamp_code(match["tag"]) is None]
        if len(tags) > 1:
            found.extend((*match.span("tag"), {"bullet": True}) for match in tags)
        items = list(_ITEM.finditer(folded))
        if len(items) > 1 and [int(match[1]) for match in items] == list(range(1, len(items) + 1)):
            # "1 12 EA wall packs", "2 6 EA floods": items that are numbered, and their counts
            found.extend((*match.span(1), {}) for match in items)
    for name, match in _found(folded):
        mean: dict[str, Any] = {}
        start, end = match.span()
        if name == "po":
            start, end = match.span("po")
            marked = (
                match.group()[: start - match.start()]
                .rstrip(" ")
                .endswith(("#", ":", "number", "num", "no", "no.", "is", "es", "order", "compra"))
            )
            if not marked and (end - start < 3 or (end - start == 3 and counts_behind(folded, end))):
                continue  # "po 12 wallpacks", "8 ft oc 20"
            mean = {"job_po": (start, end)}
            found.append((match.start(), end, {"job_po": (start, end)}))
            continue
        if name == "clock24":
            if match["c1"][0] != "0" and match["c3"][0] != "0" and match["c5"] is None:
                continue  # "1200 to 1800" may be anything
            begin, until = int(match["c1"]) + int(match["c2"]) / 60, int(match["c3"]) + int(match["c4"]) / 60
            mean = {"clock_hours": (until - begin) % 24 or 24.0}
        elif name == "shiftweek":
            if match.group() == "24/7":
                continue
            if not (
                match["s1"] == "24"
                or _SHIFT_BEHIND.match(folded, end)
                or _SHIFT_BEFORE.search(folded, max(0, start - 24), start)
            ):
                if int(match["s1"]) > 12:
                    continue
                mean = {"date": "md"}
            else:
                mean = {"clock_hours": float(match["s1"]), "days": int(match["s2"])}
        if name in ("iso", "usdate", "md", "monthday", "daymonth", "ordinal"):
            mean = {"date": name}
        elif (
            name in _PLACED and (room := _ROOM.search(folded, start, min(end + 16, len(folded)))) is not None
        ):
            start, end = room.span()  # "warehouse 120 x 200 ft": its size, and no name of it
        elif (
            name in ("numbered", "spot") and not _DASHED.search(match.group()) and counts_behind(folded, end)
        ):
            continue
        elif name == "plan" and _TYPE_BEFORE.search(folded, max(0, start - 14), start):
            continue  # "wall pack 150 x 12": watts and a count
        elif (
            name in ("spot", "numbered")
            and _LAMP_BEHIND_PLACE.search(match.group())
            and folded[:start].endswith(" the ")
        ):
            continue  # "2 over the dock 400"
        elif name == "spot" and match.group().endswith((" 277", " 480", " 347")):
            continue  # "2x2s in the office wing 277"
        elif (
            name == "licence"
            and match.group().startswith(("suite", "ste", "apt", "local"))
            and counts_behind(folded, end)
        ):
            continue  # "tenant suite: 88 troffers"
        elif name == "numbered" and (spread := _SPREAD.search(match.group())) and match.group()[0] in "rafu":
            low, high = int(spread[1]), int(spread[2])
            if low < high <= low + 400:
                mean = {"holders": high - low + 1}
        elif name == "monthday" and "." in match.group() and counts_behind(folded, end):
            continue  # "in March. 40 high bays"
        elif name == "circuit" and counts_behind(folded, end):
            # "circuit 14 and 6 floods": the last number counts
            cut = max(match.group().rfind(mark) for mark in (",", " and ", " & ", " y "))
            if cut < 0:
                continue
            end = start + cut
        elif name == "plan" and _LAMP_BEFORE.search(folded, max(0, start - 14), start):
            # "PSMH 320 x 12": watts and a count
            continue
        elif name == "address":
            words = match.group().split()[1:-1]
            behind = next((n for n, word in enumerate(words) if word.strip(".,") in _UNIT_WORDS), len(words))
            words = words[: behind - 1] if behind < len(words) else words  # "4400 Harlow Ave unit 12"
            if len(words) > 1 and words[0].rstrip(".") in ("n", "s", "e", "w"):
                del words[0]
            located = folded[:start].endswith(
                (" at ", "located at ", "address: ", "address is ")
            ) and not counts_behind(folded, end)
            if any(
                word in _NO_STREET or (word in known and word not in _STREET_OK and not located)
                for word in words
            ):
                continue
        elif name == "rooms":
            listed_rooms = _EACH_ROOM.findall(match.group())
            if counts_behind(folded, end) and not folded.startswith(
                (" - ", " each ", " have ", " has ", " all "), end
            ):
                cut = max(match.group().rfind(mark) for mark in (",", " and ", " & ", " y "))
                end, listed_rooms = start + cut, listed_rooms[:-1]
            mean = {"holders": len(listed_rooms)} if len(listed_rooms) > 1 else {}
            if folded.startswith(" - ", end):
                end += 2
        elif name == "span" and _AND_MORE.search(match.group()) and counts_behind(folded, end):
            # "by dock 4 and 6 floods": the last number counts
            if _LAMP_BEHIND_PLACE.search(folded, start, match.end("low")) and folded[:start].endswith(
                " the "
            ):
                continue
            end = match.end("low")
        elif name == "span":
            if " - " in match.group() and counts_behind(folded, end):
                # "Floor 1 - 22 troffers": one place and its count
                found.append((start, start + match.group().index(" - "), {"bullet": True}))
                continue
            low, high = int(match["low"]), int(match["high"])
            if low < high <= low + 400:
                pair = match.group()[: match.start("high") - start].rstrip().endswith(("and", "&", "y"))
                mean = {"holders": 2 if pair else high - low + 1}
        elif name == "degrees":
            mean = {"cue": frozenset({"per_pole"})} if "@" in match.group() else {}
        found.append((start, end, mean))
    found.extend(
        (match.start(), match.end(), {})
        for match in (_CHUNK.finditer(folded) if "-" in folded or "/" in folded else ())
        if part_number(match.group())
    )
    if "x" in folded:
        found.extend(
            (*match.span("ext"), {})
            for match in _EXTENSION.finditer(folded)
            if known.isdisjoint(match["name"].replace(".", " ").split())
        )
    if listed < 2:
        # "22) 400w": one number with a bracket is a count, a list has several
        found = [
            mask
            for mask in found
            if "bullet" not in mask[2] or not folded[mask[0] : mask[1]].strip("( \t")[0].isdigit()
        ]
    found.sort(key=lambda mask: (mask[0], -mask[1]))
    kept: list[Mask] = []
    for mask in found:
        if not kept or mask[0] >= kept[-1][1]:
            kept.append(mask)
    return counted_places(kept, folded) if len(kept) > 1 else kept
