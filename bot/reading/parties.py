"""Names and dates around the job: customer, site, when it is needed."""

import re

from bot.reading.clause import Work
from bot.reading.late import Late
from bot.reading.message import Said
from bot.reading.organisations import ORGANISATIONS
from bot.reading.places import is_city
from bot.reading.strangers import counts_behind
from bot.reading.text import fold
from bot.reading.words import lexicon, speaks, words_of

_NAME = r"(?P<name>[^\n.;:!?()|]{2,80})"
_CUSTOMER = Late(
    r"(?<![a-z])(?:(?:the |el )?customer(?:'s)?(?: name)?(?: is| es|:| -| =)|(?:the |el )?client(?: is| es|:|'?s? name(?: is|:))|(?:bill(?:ed|ing)?|invoice|sold) to:?|(?:el )?(?:nombre del )?cliente(?: es|:| is| se llama)|(?:el )?negocio se llama"
    r"|(?:la )?empresa(?: es|:| se llama)|(?<!power )(?<!electric )(?<!utility )(?<!light )(?<!energy )(?<!insurance )company(?: is(?! \$?\.?\d)(?! (?:doing|going|handling|taking|replacing|paying|coming|supposed|gonna|not|getting|already|the one|responsible|changing|swapping))|:| name is| name:)|(?:quote|bill|job) (?:is )?for customer|end user(?: is|:)|owner is|account name:?)\s{0,3}"
    + _NAME
)
_SITE = Late(
    r"(?<![a-z])(?:job ?site(?: is|:| -)|(?<!night )(?<!web)site(?:: | is |- )|(?<!mano de )(?:la )?obra(?: es|:)|(?<!different )(?<!new )(?<!another )(?<!next )(?<!other )(?<!separate )(?<!unrelated )project(?: name)?(?: is|:)|job name(?: is|:)|location:|sitio:|proyecto:|lugar:|(?:it's|its|this is) for the site)\s{0,3}"
    + _NAME
)
_FOR = Late(
    r"(?:(?<![A-Za-z])[Ff]or|(?<![A-Za-z])FOR|[Pp]ara(?: la| el)?) (?:the )?(?:(?:our |my )?(?:client|customer),? )?(?P<name>[A-Z][\w'&-]{1,24}(?: (?:of|the|and|&|de|del|la|[A-Z][\w'&-]{0,24})){1,6})"
)
_FOR_PLAIN = Late(
    r"(?<![a-z])(?:(?:this|that|it|job|quote|bid)(?: one| job| quote)?(?:'?s| is| be|) for|(?:quote|quoting|price|pricing|bid|job|work|numbers?|proposal|upgrade|project)(?: on this| this)? for|doing (?:a |the )?(?:job|work|project) (?:at|for)|(?:esto |la cotizacion |el trabajo |la obra )?es para|(?:cotizacion|precio|presupuesto|trabajo) para)"
    r" (?:the |la |el )?(?P<name>[a-z][a-z'&-]{1,20}(?: [a-z][a-z'&-]{0,20}){0,6})"
)
"""A name in small letters, as it is dictated: "this is for maple grove elementary school"."""
_KIND_FIRST = Late(
    r"(?<![A-Za-z])(?:[Ff]or|[Pp]ara|[Aa]t|[Ee]n)(?: the| la| el)? (?P<name>(?:iglesia|templo|capilla|escuela|primaria|secundaria|colegio|taller|ferreteria|panaderia|taqueria|restaurante|hotel|motel|bodega|tienda|mercado|farmacia|clinica|hospital|rancho|fabrica|maquiladora|gimnasio|plaza)"
    r"(?: (?:de|del|la|las|los|el))?(?: [A-ZÁÉÍÓÚÑ][\w'&-]{1,24}){1,4})"
)
"""A kind in small letters before its name: "para la ferreteria El Tornillo"."""
_KINDS_ALONE = words_of(
    "elementary high middle auto body self car dental physical health medical animal county city town public private a an my our your some this that his her their local old new big small little downtown parking front back side north south east west main whole entire same other next first second"
)
"""Words that name nobody in front of a kind of business: "the auto body shop"."""
_TYPE_BEHIND = re.compile(r" \d{1,4}(?=[ -])")
_NAMED_PARTY = Late(
    r"(?<![A-Za-z])(?:(?P<customer>[Cc]ustomer|CUSTOMER|[Cc]lient|[Cc]liente|[Ee]nd user)|(?P<site>[Jj]ob ?site at|[Ss]ite at|(?:(?<=^)|(?<=\n)|(?<=[.;] ))(?:Job|JOB|Project)(?: name)?:)) ?:? ?"
    r"(?P<name>[A-Z][\w'&.-]{1,24}(?: (?:of|the|and|&|de|del|la|[A-Z][\w'&-]{0,24}|\d{1,3}(?=[.,;\n]|$))){1,6})"
)
"""A name with capitals right behind the word for who or where it is: "customer Lakeview Dental", "Job: Elm Street Warehouse"."""
_STOP_WORDS = re.compile(
    r" (?:/|site|job site|jobsite|project|contact|attn|phone|tel|cell|ph|ship to|and|we|they|has|have|needs?|wants?|po|with|at|in|but|tiene|tienen|quiere|y queremos|y|queremos|zip|who|for|need|thx|thanks|thank|please|pls|asap|need|wanting|looking|out in|over in|which|that)(?= )|,| - | -- "
)

_NOT_FIRST = frozenset(
    {
        "wants",
        "needs",
        "has",
        "is",
        "asked",
        "said",
        "service",
        "po",
        "name",
        "number",
        "id",
        "qty",
        "led",
        "mh",
        "hps",
    }
)

_DAYS = r"(?:mon|tues|wednes|thurs|fri|satur|sun)day|mon|tue|tues|wed|thu|thur|thurs|fri|lunes|martes|miercoles|jueves|viernes|sabado|domingo"
_HOLIDAY = r"thanksgiving|christmas|xmas|easter|labor day|memorial day|new years?(?: day)?|halloween|july 4th|fourth of july|4th of july|spring break|navidad|the holidays|winter break|opening day|homecoming"
_MONTHS = r"january|february|march|april|may|june|july|august|september|october|november|december|jan|feb|mar|apr|jun|jul|aug|sept|sep|oct|nov|dec|enero|febrero|marzo|abril|mayo|junio|julio|agosto|septiembre|octubre|noviembre|diciembre"
_WHEN = (
    r"(?P<when>(?P<iso>(?:19|20)\d{2}-\d{2}-\d{2})"
    r"|(?P<us>\d{1,2}/\d{1,2}/(?:\d{4}|\d{2})(?!\d))"
    r"|\d{1,2}/\d{1,2}(?![\d/])"
    r"|(?P<mdy>(?:" + _MONTHS + r")\.? \d{1,2}(?:st|nd|rd|th)?,? (?:19|20)\d{2})"
    r"|(?:the )?(?:end|middle|first|last|beginning|start) of (?:the |next |this )?(?:month|week|year|quarter|summer|spring|fall|winter|day|" + _MONTHS + r")|(?:fin|fines|finales) de (?:mes|ano|semana|" + _MONTHS + r")"
    r"|(?:" + _MONTHS + r")\.? \d{1,2}(?:st|nd|rd|th)?(?![\d:])"
    r"|\d{1,2} de (?:" + _MONTHS + r")"
    r"|(?:the )?\d{1,2}(?:st|nd|rd|th)(?: of (?:" + _MONTHS + r"|the month|next month))?"
    r"|(?:early |mid |late |mid-|end of )?(?:" + _MONTHS + r")(?![a-z])"
    r"|(?:next |this |el |proximo )?(?:" + _DAYS + r")(?![a-z])(?: (?:morning|noon|afternoon|night|am|the \d{1,2}(?:st|nd|rd|th)?|que viene|next week))?"
    r"|" + _HOLIDAY + r"|tomorrow|manana|hoy|today|tonight|next week|next month|this week|end of week|eow|eom|eoy|month end|year end|spring|summer|fall|winter|noon|la proxima semana|la semana que viene|proximo mes|close of business|cob|the weekend|this weekend|next year)"
)  # fmt: skip
_NEEDED = Late(
    r"(?<![a-z])(?P<cue>(?:(?:need|needs|needed|want|wants|must have|gotta have|got to have|get|deliver(?:ed|y)?|due|have|required|install(?:ed)?|done|finish(?:ed)?|complete(?:d)?|ship(?:ped)?|here|in hand|on ?site|ready|wrapped up|arrive)"
    r"(?: (?:it|them|em|these|those|done|all|this|everything|fixtures|lights|material|delivered|in|here|on site|onsite|finished|installed|up|the job|be|to be|is|date|date is|ok|quote|a quote|price|pricing|on|hand|complete|completed|replaced|for)){0,4} (?:by|before|no later than)"
    r"|(?:push|move|change|bump|slide) (?:it|that|the date|this) to|no later than|(?:required|reqd|req'd|needed|due|deliver(?:y)?)(?: date)?:? (?=\d{4}-\d{2}-\d{2}(?!\d))|due(?: date)?:?|deadline(?: is|:)?|(?:need|gotta have|got to have|must have) (?:em|them|it|these) (?=\d{1,2}/\d{1,2}(?!\d|/| ?(?:w|v|ft|lamp)))|need date:?|need(?:ed)? by:|required by:|needs? (?:it |them |em |these |this |this done )?(?:by )?(?="
    + _DAYS
    + r"|tomorrow|today|tonight|asap|\d{4}-\d{2}-\d{2}|\d{1,2}/\d{1,2}/\d{2}|(?:"
    + _MONTHS
    + r")\.? \d)|by|before"
    r"|(?:need|needs|want|gotta have|must have|have to have)(?: (?:it|them|em|these|this|those|all|everything|done|here|pricing|price|quote|a|the)){0,3} for (?=(?:this |next |el )?(?:"
    + _DAYS
    + r"|tomorrow)(?![a-z])(?! night))|for (?=(?:this |next |el )?(?:"
    + _DAYS
    + r") *(?:$|[.,;!\n]))"
    r"|need(?:s|ed)? (?:them |it |em |this )?por el|(?:lo|los|la|las) (?:necesit\w{1,5}|ocup\w{1,4}|quier\w{1,3}|quer\w{1,5}) (?:para|antes de|pa)(?: el| la)?|para el|pa'l|pal|antes del|antes de|a mas tardar(?: el)?|pa(?: el)?|urge(?:n)? (?:para|pa)(?: el)?|para (?=manana|hoy|fin|"
    + _DAYS
    + r"))) ?(?:el |la )?(?:about |around |like |maybe )?(?:(?:cob|eod|close of business|end of (?:the )?day)(?: on)? (?=(?:next |this )?(?:"
    + _DAYS
    + r")))?"
    + _WHEN
)
_CUES = words_of(
    """by before later push move change bump slide required reqd req needed due deliver delivery deadline need needs gotta must want have for
    para pa pal antes tardar urge urgen por lo los la las"""
)
"""One of these stands in whatever the pattern fits."""
_MONTH_NUMBER = {name[:3]: number for number, name in enumerate(
    ["january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november", "december"], 1)}  # fmt: skip


def _full_date(match: re.Match[str]) -> str | None:
    """The ISO date where day, month and year are given."""
    if match["iso"]:
        return match["iso"]
    if match["us"]:
        month, day, year = (int(part) for part in match["us"].split("/"))
        year += 2000 if year < 100 else 0
        if 1 <= month <= 12 and 1 <= day <= 31:
            return f"{year:04d}-{month:02d}-{day:02d}"
    if match["mdy"]:
        parts = match["mdy"].replace(",", " ").replace(".", " ").split()
        day = int("".join(char for char in parts[1] if char.isdigit()))
        return f"{int(parts[2]):04d}-{_MONTH_NUMBER[parts[0][:3]]:02d}-{day:02d}"
    return None


def _use_characters(work: Work, start: int, end: int) -> None:
    for index, atom in enumerate(work.atoms):
        if atom.start < end and atom.end > start:
            work.used[index] = 1


_NO_NAME = words_of(
    "we we'd wed we're i i'd im i'm they they're he she you it its it's there this that these those what who how please can could"
)


_TELLS = words_of(
    "in not no already all open closed only mostly really very pretty kinda about around on at fed three single fine ok okay good happy still now just dark"
    " outside out off under over behind being too so quite usually always never without with within up down ready done willing interested"
    " picky cheap tight gone here also both either a an un una muy bien ya abierto cerrado todo toda solo"
)
"""Words that tell what somebody or some place is like, and begin no name: "site is all 480", "the client is not happy"."""


def _tells(work: Work, start: int) -> bool:
    """Whether what follows "is" says how it is and names nobody; a word with a capital names."""
    begin = work.folded[max(0, start - 4) : start].rstrip(" ")
    if not begin.endswith((" is", " es")):
        return False
    word = (work.folded[start : start + 24].split() or [""])[0].rstrip(",'.;!)")
    capital = work.text[start : start + 4].lstrip(" ")[:1].isupper() and any(c.islower() for c in work.text)
    return not capital and (word in _TELLS or (len(word) > 4 and word.endswith(("ing", "ed"))))


def _record(work: Work, slot: str, start: int, end: int) -> None:
    """Record a name, cut at the first word that begins something else."""
    folded = work.folded[start:end]
    if _tells(work, start):
        return
    if folded.lstrip()[:1].isdigit():
        number = re.match(r" ?\d{1,5}", folded)
        if number is not None and counts_behind(work.folded, start + number.end()):
            return  # "new customer: 6 floods 400 MH", "Project: 12 wall packs"
    if slot == "site" and folded.lstrip().startswith(
        ("in ", "near ", "en ", "down in ", "over in ", "out in ")
    ):
        return  # "the jobsite is in St. Paul": a place
    opening = folded.split()[:1]
    if slot == "customer" and (
        (opening and opening[0].strip(",'") in _NO_NAME)
        or work.folded[:start]
        .rstrip(" :=-")
        .endswith(
            (
                "different customer",
                "another customer",
                "other customer",
                "different client",
                "another client",
                "other client",
            )
        )
    ):
        return  # "for a different customer: we'd want something like it here"
    cut = _STOP_WORDS.search(folded)
    if cut:
        end = start + cut.start()
    number = _TYPE_BEHIND.search(work.folded[start:end])
    if number is not None and counts_behind(work.folded, start + number.end()):
        end = start + number.start()  # "Sallow Hill Storage 13 shoebox heads"
    value = work.text[start:end]
    stripped = value.rstrip(" ,-")
    end = start + len(stripped)
    lead = len(stripped) - len(stripped.lstrip())
    if stripped.strip():
        work.job[slot] = Said(stripped.strip(), start + lead, end, rule="named")
        _use_characters(work, start, end)


_LATEST = Late(
    r"(?<![a-z0-9])(?:(?P<cue>latest|a mas tardar)[:,]? (?:by |is |el )?)?"
    + _WHEN
    + r"(?(cue)(?![a-z0-9])|,? (?:(?:at|by) )?(?:the )?(?:very |absolute )?(?:latest|a mas tardar)(?![a-z]))"
)
"""A date that is the latest: "friday latest", "12/15 at the latest", "el viernes a mas tardar"."""
_PAST = re.compile(r"(?<![a-z])(?:was|were|had|era|eran)(?![a-z])[^;\n]{0,10}$")
"""What was before a date: "was 8.1 cents before jan"."""


def read_needed_by(work: Work, asked: bool = False) -> None:
    """When it is needed: an ISO date where it is full, else the phrase."""
    match: re.Match[str] | None = None
    for found in _NEEDED.finditer(work.folded) if speaks(work.folded, _CUES) else ():
        if found["cue"].strip() in ("by", "before", "pa") and (
            _weak_when(found["when"]) or _PAST.search(work.folded, max(0, found.start() - 14), found.start())
        ):
            continue
        match = found
    if match is None and ("latest" in work.folded or "tardar" in work.folded):
        found_late = _LATEST.search(work.folded)
        if found_late is not None and not _weak_when(found_late["when"]):
            match = found_late
    if match is None and asked:
        match = re.search(_WHEN, work.folded)
    if match is None:
        return
    start, end = match.span("when")
    value = _full_date(match) or work.text[start:end].lower()
    for prefix in ("the ", "el ", "la "):
        if (
            value.startswith(prefix)
            and not value.startswith(("the end", "the first", "the last", "the middle", "the beginning"))
            and prefix != "the "
        ):
            value = value[len(prefix) :]
    work.job["needed_by"] = Said(value, start, end, rule="needed by")
    _use_characters(work, match.start(), end)


def _weak_when(when: str) -> bool:
    return when in (
        "may",
        "mar",
        "fall",
        "spring",
        "summer",
        "winter",
        "sun",
        "sat",
        "mon",
        "noon",
        "hoy",
        "today",
    )


def read_parties(work: Work) -> None:
    """Customer and site, where a plain cue names them."""
    for slot, pattern in (("customer", _CUSTOMER), ("site", _SITE)):
        match = pattern.search(work.folded)
        if match:
            _record(work, slot, *match.span("name"))
    text = work.text
    for named in _NAMED_PARTY.finditer(text) if any(char.islower() for char in text) else ():
        slot = "customer" if named["customer"] else "site"
        if slot not in work.job and named["name"].split()[0].lower().strip(",'.") not in _NOT_FIRST:
            _record(work, slot, *named.span("name"))
    # what leads to a name ends so: "for", "FOR", "para"
    led = "or " in text or "OR " in text or "ara" in text
    if led and "customer" not in work.job and any(char.islower() for char in text):
        for match in _FOR.finditer(text):
            words = match["name"].split()
            while words and words[-1][0].islower():
                words.pop()
            name = " ".join(words)
            folded = [word.lower().strip(",'") for word in words]
            if len(words) < 2 or folded[0] in (
                "building",
                "bldg",
                "unit",
                "type",
                "phase",
                "area",
                "led",
                "mh",
                "hps",
                "the",
            ):
                continue
            if (
                folded[-1] in ORGANISATIONS
                or folded[0] in ORGANISATIONS
                or (len(words) >= 3 and folded[-1] not in ("oh", "ohio"))
            ):
                start = match.start("name")
                work.job["customer"] = Said(name, start, start + len(name), rule="for")
                _use_characters(work, start, start + len(name))
                break
    if "customer" not in work.job:
        _plainly_named(work)


def _plainly_named(work: Work) -> None:
    """A customer whose name is written small, or behind its kind."""
    kind = _KIND_FIRST.search(work.text)
    if (
        kind is not None
        and any(char.islower() for char in work.text)
        and not is_city(fold(kind["name"].partition(" de ")[2]))  # "la bodega de Monterrey"
    ):
        start, end = kind.span("name")
        work.job["customer"] = Said(work.text[start:end], start, end, rule="kind and name")
        _use_characters(work, start, end)
        return
    known = lexicon().known
    for match in _FOR_PLAIN.finditer(work.folded):
        words = match["name"].split()
        last = next((n for n in range(len(words) - 1, 0, -1) if words[n] in ORGANISATIONS), 0)
        own = [word for word in words[:last] if word not in ORGANISATIONS and word not in _KINDS_ALONE]
        if not last or not own or words[0] in _KINDS_ALONE or any(word in _VERBS for word in words[:last]):
            continue
        if all(word in _TRADE_WORDS for word in own) or (len(own) == 1 and own[0] in known):
            continue  # "for parking garage"
        if last + 1 < len(words) and words[last + 1] in _PARTS:
            continue
        start = match.start("name")
        end = start + len(" ".join(words[: last + 1]))
        work.job["customer"] = Said(work.text[start:end], start, end, rule="dictated name")
        _use_characters(work, start, end)
        return


_VERBS = words_of(
    "we they i you has have need needs want wants is are was were with and or that which who tiene tienen quiere con que"
)
_TRADE_WORDS = words_of(
    "parking garage wall pack high bay light lights led lot pole area flood canopy sign exit retrofit upgrade lighting cold loading outdoor exterior interior indoor new existing"
)
_PARTS = words_of("light lights lighting lamp lamps fixture fixtures hall gym lot parking")
