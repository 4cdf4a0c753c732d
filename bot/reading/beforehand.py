"""What a talk says of the whole job, and which of its words mean no line: read before the lines are.

"forget the rebate", "6 days a week", "rate is 11.5 now", "all three", "that's all", "cut it down to 6", "i said 15, should be 16".
"""

from bisect import bisect_right
from collections.abc import Iterator

from bot.reading.bare_numbers import known_watts
from bot.reading.clause import Work
from bot.reading.every_one_of import every_one_of, kept_lights
from bot.reading.late import Late
from bot.reading.message import Known, Said
from bot.reading.ordinals import use_ordinals
from bot.reading.supply import VOLTS

DROP = (
    r"(?:forget(?: about)?|drop|skip|lose|scratch|scrap|never ?mind(?: about)?|nix|cancel|ditch|kill|remove|take (?:off|out)|leave (?:off|out)|pull|no|without|dont need|"
    r"dont want|wont need|not doing|ignore|dont (?:worry|bother) (?:about|with)|no more|no longer need|undo|quita\w{0,3}|sin|olvida\w{0,3}|ya no quiero|ya no|cancela\w{0,3}|elimina\w{0,3})"
    r"(?: (?:the|that|any|those|our|my|el|la|los|las|lo|lo de|lo del|de la|del))?"
)
"""Words that take something away, as a pattern."""
_JOB_WORDS: tuple[tuple[str, str], ...] = (
    (
        "rebate_per_luminaire",
        r"rebates?|incentives?|utility (?:money|rebate)|reembolso|incentivo|bonificacion|descuento",
    ),
    ("labor_per_luminaire", r"labou?r|install(?:ation)?(?: cost)?|mano de obra|instalacion"),
    ("budget", r"budget|cap|limit|presupuesto"),
    ("payback_limit_years", r"payback(?: limit)?|roi|retorno|recuperacion"),
    ("demand_rate_per_kw", r"demand(?: charges?| rate)?|demanda|cargo por demanda"),
    ("needed_by", r"deadline|due date|need date|date|fecha"),
    ("po", r"po|p\.o\.|purchase order|orden de compra"),
)
_JOB = Late(
    rf"(?<![a-z0-9]){DROP} (?:"
    + "|".join(f"(?P<{slot}>{words})" for slot, words in _JOB_WORDS)
    + r")(?![a-z0-9])(?! (?:is|of|to|went|changed|\$?\d))"
)
_ALL_SAID = Late(
    r"(?:after|thats|that's|at|is|its|was|be|not) all(?! (?:of|the|\d))|all (?:set|good|right|clear)|por todo|es todo|seria todo|eso es todo|despues de todo"
)
_DAYS = Late(
    r"(?<![\d.a-z])(?P<n>[1-7]|five|six|seven|cinco|seis|siete) (?:days?|dias?)(?: an?| per| a la| por)?(?: week| semana)?|(?P<ms>mon(?:day)?s?(?: ?- ?| thru | through | to )sat(?:urday)?s?|m-sat|lunes a sabados?)|(?P<all>lunes a domingos?|mon(?:day)?(?: ?- ?| thru | through | to )sun(?:day)?)|(?P<mf>m-f|m - f|mon-fri|monday (?:thru|through|to) friday|weekdays|lunes a viernes)"
)
_DAILY = Late(
    r"(?<![\d.$a-z])(?P<n>\d{1,2}(?:\.5)?) (?:a|per|each|every|al|por) (?:day|night|dia|noche)(?![a-z])"
)
_FURTHER_DAYS = Late(
    r"(?:(?:oh|and|also|plus|plus on|on|y|tambien|actually|they're|theyre|were|we're|open|and on|they run) )*(?:(?P<both>weekends?|sat(?:urday)?s? and sun(?:day)?s?|fines de semana)|sat(?:urday)?s?|sabados?)(?: too| also| as well| tambien)?"
)
_DAYS_OFF = Late(
    r"(?:(?:oh|and|but|so|ok|we|we're|were|they|they're|theyre|its|it's|y|pero|que|actually) )*(?:(?:every ?day|daily|all week|seven days|7 days|all days|todos los dias|diario|diariamente|toda la semana) (?:but|except|menos|excepto|salvo)(?: for| on)?"
    r"|closed|dark|off|not(?: on)?|no|never on|except|cerrado|cerramos|cerrados|menos|no abrimos|no on)(?: on| los| el)? (?:(?P<both>weekends?|sat(?:urday)?s?(?: and|/| &) ?sun(?:day)?s?|fines? de semana|sabados? y domingos?)|sundays?|saturdays?|mondays?|domingos?|sabados?|lunes)(?: though| tho| please| only| solamente)?"
)
_OTHER_DAY = Late(
    r"(?<![a-z])(?P<day>(?:next )?(?:monday|tuesday|wednesday|thursday|friday|saturday|sunday|week)|tomorrow|end of (?:the )?(?:week|month)|lunes|martes|miercoles|jueves|viernes|sabado|domingo) (?:is|works|would be|will|esta|seria)(?: be| do| work)? ?(?:ok|okay|fine|good|better|soon enough|instead|bien|mejor)?(?![a-z])"
)
_UNDER = Late(
    r"(?<![a-z])(?:keep|kept|stay|come in|cap|cut|hold|has to be|needs to be|must be|got to be|gotta be|get it)(?: (?:it|this|us|me|everything|the whole thing|the total))? (?:under|below|less than|at(?= \$?(?:\d{4}|\d{1,3},\d{3}|\d{1,3} ?(?:k|grand)(?![a-z])))) \$?(?P<n>\d{1,3}(?:,\d{3}){1,2}|\d{1,7})(?P<k> ?k| grand)?(?![\d.a-z%])(?! ?(?:w|watts?|lumens?|hours?|hrs?|ft|feet|foot|sq|volts?|v|years?|yrs?|months?|days?|weeks?|fc|lux|cents?|each|ea|apiece|per|a )(?![a-z]))"
)
_BELOW = Late(
    r"(?<![a-z])(?:under|below|less than|no more than) \$?(?P<n>\d{1,3})(?P<k> ?k| grand)(?![a-z0-9])|(?<![a-z])for (?:under|below|less than) \$?(?P<n2>\d{1,3},\d{3}|\d{4,6})(?![\d.%])(?! ?(?:w|watts?|lumens?|hours?|hrs?|k|sq)(?![a-z]))"
)
"""A limit without a verb: "under 2k total", "for under 2500"."""
_AS_IT_IS = Late(
    r"(?<![a-z])(?:usually|normally|always|is|was|its|it's|been|runs|comes|came|bills?|paid|pay) (?:to )?$"
)
"""Before "under 2k": what it comes to now, and no limit."""
_WORD_DAYS = {"five": 5, "six": 6, "seven": 7, "cinco": 5, "seis": 6, "siete": 7}
_DOWN_TO = Late(
    r"(?<![a-z])(?P<verb>drop|cut|knock|take|bring|lower|reduce|trim|pull|move|raise|scale|baja\w{0,3}|quita\w{0,3}|cambia\w{0,3}) (?:[a-z]{2,12} ){1,3}in half|(?<![a-z])(?P<verb2>drop|cut|knock|take|bring|lower|reduce|trim|pull|move|raise|scale|baja\w{0,3}|quita\w{0,3}|cambia\w{0,3}) (?!off|out)(?:[a-z0-9'-]{1,14} ){0,5}?(?:down |back |up )?(?:to|a) (?:about |like |around |just |only )?\d"
)
_UNITS = r"(?:'?s)? ?-?(?:ft|feet|foot|footers?|'|v|volts?|w|watts?|watters?|k|kelvin|pies)?"
_INSTEAD = Late(
    r"(?<![a-z])(?:i said|said|told you|i told you|from|went from|was|were|had|i put|put|says|dije|habia dicho|eran|puse|de|not|no|no son|isnt|arent|its not|instead of|rather than) (?P<old>\d{1,5})(?:'?s)?(?! ?(?:ft|feet|v|w|volts|watts|cents|'))(?: [a-z-]{1,14}){0,3}?"
    r",? ?(?:but |y |and |pero )?(?:to|should be|shouldve been|should have been|need|make it|its|it's|is|are|they are|theyre|now|really|actually|its really|now its|change (?:it|that) to|a|son|es|debe ser|deben ser|deberian ser|mejor|[-;,.]|sino) (?:really |actually |now |like |about )?(?P<new>\d{1,5})(?!\d)"
    r"|(?P<new2>(?<!\d)\d{1,5})(?:'?s)?(?: [a-z-]{1,14}){0,2}?,? (?:not|instead of|rather than|and not|no|y no|en vez de|en lugar de) (?P<old2>\d{1,5})(?!\d)"
    r"|(?:(?<![a-z])(?:the|those|that|los de|el de|las de) |^ *\*?)(?P<old3>\d{2,4})(?:'?s)? (?:is|are|r|was|were|son|es|should be|need to be) (?:all )?(?:actually|really|in fact|supposed to be|realmente|en realidad|a|an)? ?(?P<new3>\d{2,4})(?!\d)(?! ?(?:ft|feet|v|volts|'))"
    rf"|(?<![a-z0-9.$])(?P<old4>\d{{1,5}}){_UNITS}(?: (?:one|figure|number|count|thing))?,?(?:'?s| is| are| was| were| r)?(?: really| actually| supposed to be| meant to be| should be| should read| should say| should(?:'?ve| have) (?:been|said)| ought to be| changed to| became| turned out to be| changes to| goes to| becomes| en realidad| debe ser){{1,2}}(?: about| like)? (?P<new4>\d{{1,5}})(?!\d|[.,]\d)"
)
_POINTED = Late(r"(?<![a-z])(?:las|los|the|those) (?:de )?$")
_WRONG = Late(
    rf"(?<![a-z0-9.$])(?:the |that |those |my )?(?P<old>\d{{1,5}}){_UNITS}(?: (?:one|figure|number|count|thing|i (?:said|gave(?: you)?|put|sent|wrote|told you)))?(?: earlier| before)?,?(?:'s| was| is| were| are|s)? (?:a |an |just a |just |all )?(?:wrong|guess|guesses|typo|incorrect|mistake|(?:(?<=was )|(?<=is )|(?<=were )|(?<=are ))off(?! (?:the|this|that|of|it|my|our)(?![a-z]))|not right|error|old|outdated|estimate|bad|no good|misread|fat finger|equivocad[oa]|un error|mal)(?![a-z])"
)
_ALL_SO_MANY = Late(
    r"(?<![a-z])(?:all|both|l[oa]s|tod[oa]s l[oa]s) (?:of the )?(?P<n>[2-9]|two|three|four|five|six|dos|tres|cuatro) (?=of|are|r |in|on|at|get|need|should|to|have|types|lines|kinds|en|son|a )|(?<![a-z])all (?P<n2>[2-9]|two|three|four|five)(?=$|[.,!])"
)
_PO = Late(
    r"(?<![a-z])(?:po|p\.o\.|purchase order|orden de compra)(?: ?#| number| no\.?| num)?(?:[ ,:]{1,2}(?:is|changed|now|should|ought|needs|be|read|reads|say|to|really|actually|es|ahora|cambio|a|was|has|too|also|its|it's|tambien)){1,4}[ ,:]{1,2}#?(?P<po>[a-z]{0,4}-?\d[a-z0-9-]{1,15})(?![a-z0-9])"
)
_NOT_FORGET = Late(
    r"(?<![a-z])(?:dont|don't|do not|never|no|no te|no se) (?P<verb>forget(?: about)?|forgetting|olvid[a-z]{1,4})(?![a-z])"
)
_LEFT_ALONE = Late(
    r"(?<![a-z])(?P<verb>leave the|leave|keep|dejar?|deja) (?:the |los |las |el |la )?(?:[a-z-]{2,14} ){1,3}?(?:alone|as is|as they are|as they were|the same|how they are|where they are|like they are|igual|como esta\w{0,2}|asi)(?![a-z])"
)
_OFF_BY = Late(
    r"(?<![a-z])(?:off|out|wrong|short|over) by (?P<n>\d{1,4}|one|two|three|four|five|six)(?![a-z0-9])(?=.*\d)"
)
_LEFT_OVER = Late(
    r"(?<![\d.a-z])(?P<first>\d{1,5}|one|two|three|four|five|six|dos|tres) (?:[a-z-]{1,14} ){1,9}?,? ?(?:so|leaves|leaving|that leaves|down to|which makes it|quedan) (?:(?:its|it's|just|only|now|that's|thats|that leaves|leaves|we're at|were at|we have|there are|theres|call it|make it|about|son|quedan|is|like) ){0,3}(?P<n>\d{1,5})(?: now| left| total| of them| remaining)?[ .!]{0,3}$"
)


def prepare(work: Work, known: Known | None) -> None:
    """Before the lines are read: job slots that are taken back, days alone, and an "all" that means no lines."""
    folded = work.folded
    _changes_not_removes(work)
    if known is not None:
        work.flags["families"] = known.families
        every_one_of(work)
        kept_lights(work)
    _instead(work, known)
    use_ordinals(work)
    _breaker_panel(work, known)
    _all_of_so_many(work)
    number = _PO.search(folded) if "po" not in work.job else None
    if number is not None:
        start, end = number.span("po")
        work.job["po"] = Said(work.text[start:end], start, end, rule="new order number")
        for index in _atoms_in(work, start, end):
            work.used[index] = 1
    for match in _JOB.finditer(folded):
        slot = match.lastgroup
        if slot and slot not in work.job:
            work.job[slot] = Said(None, match.start(slot), match.end(slot), rule="taken back")
    for match in _ALL_SAID.finditer(folded):
        for index in _atoms_in(work, match.start(), match.end()):
            if work.has(index, "scope") == "all":
                work.used[index] = 1
    before = known.job.get("schedule") if known is not None else None
    if "schedule" not in work.job and isinstance(before, dict) and "hours_per_day" in before:
        said = _DAYS.search(folded)
        daily = _DAILY.search(folded)
        off = _DAYS_OFF.fullmatch(folded.strip(" .!"))
        further = _FURTHER_DAYS.fullmatch(folded.strip(" .!"))
        if daily is not None and 0 < float(daily["n"]) <= 24:
            work.job["schedule"] = Said(
                {"hours_per_day": float(daily["n"])}, *daily.span(), rule="hours alone"
            )
            for index in _atoms_in(work, daily.start("n"), daily.end()):
                work.used[index] = 1
        elif off is not None:
            kept = 5 if off["both"] else 6
            work.job["schedule"] = Said({"days_per_week": kept}, 0, len(folded), rule="days off")
            for index in range(len(work.atoms)):
                work.used[index] = 1
        elif further is not None and before.get("days_per_week", 5) == 5:
            days = 7 if further["both"] else 6
            work.job["schedule"] = Said({"days_per_week": days}, 0, len(folded), rule="days alone")
            for index in range(len(work.atoms)):
                work.used[index] = 1
        elif said is not None:
            word = said["n"] or ""
            days = (
                5
                if said["mf"]
                else 6
                if said["ms"]
                else 7
                if said["all"]
                else _WORD_DAYS.get(word) or int(word)
            )
            work.job["schedule"] = Said({"days_per_week": days}, said.start(), said.end(), rule="days alone")
            for index in _atoms_in(work, said.start(), said.end()):
                work.used[index] = 1
        else:
            named = [n for n, atom in enumerate(work.atoms) if atom.mean.get("days") in (5, 6, 7)]
            if len(named) == 1 and not work.used[named[0]]:
                work.say(
                    "schedule",
                    {"days_per_week": work.atoms[named[0]].mean["days"]},
                    named[0],
                    named[0],
                    "days alone",
                )
    _bare_rate(work, known)
    read_cap(work)
    if "needed_by" not in work.job and known is not None and "needed_by" in known.job:
        day = _OTHER_DAY.search(folded)
        if day is not None:
            work.job["needed_by"] = Said(day["day"], day.start("day"), day.end("day"), rule="another day")


def read_cap(work: Work) -> None:
    """As in "keep it under 20k total": what may be spent."""
    cap = _UNDER.search(work.folded) if "budget" not in work.job else None
    if cap is None:
        below = _BELOW.search(work.folded) if "budget" not in work.job else None
        if below is not None and not _AS_IT_IS.search(work.folded[: below.start()]):
            name = "n" if below["n"] else "n2"
            most = float(below[name].replace(",", "")) * (1000 if below["k"] else 1)
            work.job["budget"] = Said(most, below.start(name), below.end(), rule="kept under")
            for index in _atoms_in(work, below.start(name), below.end()):
                work.used[index] = 1
        return
    amount = float(cap["n"].replace(",", ""))
    if (cap["k"] == "k" and 1800 <= amount <= 7000) or amount * (1000 if cap["k"] else 1) < 500:
        return  # "stay under 4000k" is a colour
    work.job["budget"] = Said(
        amount * (1000 if cap["k"] else 1), cap.start("n"), cap.end(), rule="kept under"
    )
    for index in _atoms_in(work, cap.start("n"), cap.end()):
        work.used[index] = 1


def _changes_not_removes(work: Work) -> None:
    """As in "cut the shoeboxes down to 6", "leave the packs alone": the verb takes nothing away."""
    left = _LEFT_OVER.search(work.folded)
    if left is not None:
        # "2 poles got knocked down, so its 6 now": what is left is what counts
        for index in _atoms_in(work, left.start("first"), left.end("first")):
            work.used[index] = 1
        work.flags["left_over"] = True
    off = _OFF_BY.search(work.folded)
    if off is not None:
        # "the count was off by 2, it's 14"
        for index in _atoms_in(work, off.start("n"), off.end("n")):
            work.used[index] = 1
    for match in _NOT_FORGET.finditer(work.folded):
        for index in _atoms_in(work, match.start("verb"), match.end("verb")):
            work.atoms[index] = work.atoms[index]._replace(mean={"action": frozenset({"add"})})
    for match in [*_DOWN_TO.finditer(work.folded), *_LEFT_ALONE.finditer(work.folded)]:
        verb = "verb2" if "verb2" in match.re.groupindex and match["verb2"] else "verb"
        for index in _atoms_in(work, match.start(verb), match.end(verb)):
            atom = work.atoms[index]
            if "action" in atom.mean:
                work.atoms[index] = atom._replace(mean={"action": frozenset({"change"})})


def _instead(work: Work, known: Known | None) -> None:
    """As in "i said 15, should be 16": the first number is what was said, the second takes its place."""
    values = {
        value
        for line in (known.lines if known else ())
        for value in line.values()
        if isinstance(value, (int, float))
    }
    if known is not None and known.job.get("metric"):
        # whoever writes in metres corrects metres: "not 8, 7"
        values |= {
            round(line[slot] / 3.28084, 2)
            for line in known.lines
            for slot in ("height_ft", "spacing_ft")
            if slot in line
        }
    watts = {line.get("watts") for line in (known.lines if known else ())}
    at = {atom.start: index for index, atom in enumerate(work.atoms) if atom.kind == "n"}
    for match in _INSTEAD.finditer(work.folded):
        old, new = next(
            pair
            for pair in (("old", "new"), ("old2", "new2"), ("old3", "new3"), ("old4", "new4"))
            if match[pair[0]]
        )
        if old == "old3" and not (
            (float(match[old]) in watts and float(match[new]) in known_watts())
            or (
                "should be" in match.group()
                and (float(match[new]) in VOLTS) == (float(match[old]) in VOLTS)
                and (float(match[old]) not in watts or float(match[new]) in known_watts())
            )
        ):
            continue
        if (
            float(match[old]) in watts
            and float(match[new]) not in known_watts()
            and _POINTED.search(work.folded[: match.start(old)])
        ):
            continue  # "cambia las de 400 a 9"
        first, second = at.get(match.start(old)), at.get(match.start(new))
        if (
            first is None
            or second is None
            or work.atoms[first].value not in values
            or work.unit(second + 1) in ("w", "v", "ft")
        ):
            if (
                old == "old4"
                and first is not None
                and second is not None
                and work.atoms[first].value in values
            ):
                work.use(first, first + 1 if work.unit(first + 1) in ("w", "v", "ft") else first)
            continue
        work.flags.setdefault("instead", {})[second] = work.atoms[first].value
        work.used[first] = 1
        if old == "old4" and work.unit(first + 1) in ("w", "v", "ft"):
            work.used[first + 1] = 1
    for match in _WRONG.finditer(work.folded):
        first = at.get(match.start("old"))
        if first is None or work.atoms[first].value not in values:
            continue
        last = first + 1 if work.unit(first + 1) in ("w", "v", "ft") else first
        work.use(first, last)
        others = [n for n in at.values() if n != first and not work.used[n]]
        if len(others) == 1 and not work.unit(others[0] + 1):
            work.flags.setdefault("instead", {})[others[0]] = work.atoms[first].value


_PANEL = Late(
    r"(?<![a-z])(?:(?:look|check|open|peek|read)\w{0,4} (?:at |in |inside |up )?(?:the |that |their |our |my )?|(?:at|off|in|inside|from|on|per) (?:the |that |their |our |my )|(?:the|that|their|our|main|breaker) )panel(?! (?:lights?|lamps?|fixtures?|heads?|ones?)(?![a-z]))(?![a-z])"
)


def _breaker_panel(work: Work, known: Known | None) -> None:
    """As in "looked at the panel, 208": where no luminaire is a panel, it is the one with the breakers."""
    if known is None or "panel" in known.families:
        return
    for match in _PANEL.finditer(work.folded):
        for index in _atoms_in(work, match.end() - 5, match.end()):
            if work.atoms[index].text == "panel":
                work.atoms[index] = work.atoms[index]._replace(kind="w", mean={})


def _all_of_so_many(work: Work) -> None:
    """As in "all three are 480": the number counts types, not luminaires."""
    for match in _ALL_SO_MANY.finditer(work.folded):
        name = "n" if match["n"] else "n2"
        for index in _atoms_in(work, match.start(name), match.end(name)):
            work.used[index] = 1


def _atoms_in(work: Work, start: int, end: int) -> Iterator[int]:
    index = max(bisect_right(work.atoms, start, key=lambda atom: atom.start) - 1, 0)
    while index < len(work.atoms) and work.atoms[index].start < end:
        if work.atoms[index].end > start:
            yield index
        index += 1


def _bare_rate(work: Work, known: Known | None) -> None:
    """As in "rate is 11.5 now": a number right behind the word for the price of energy."""
    if "rate_per_kwh" in work.job:
        if known is not None and work.job["rate_per_kwh"].value == known.job.get("rate_per_kwh"):
            _another_rate(work, known)  # "the 12 cents was last year's bill, now it's 13.5"
        return
    for index in range(len(work.atoms)):
        if "rate" not in work.cue(index):
            continue
        at = index + 1
        while (
            at < len(work.atoms)
            and at <= index + 4
            and work.atoms[at].kind in ("w", "p")
            and not work.is_number(at)
        ):
            at += 1
        if work.is_number(at) and work.text_at(at - 1) not in ("not", "instead of") and not work.unit(at + 1):
            value = work.atoms[at].value
            if 3 <= value <= 60:
                work.say("rate_per_kwh", round(value / 100, 6), at, at, "bare rate")
            elif 0.02 <= value < 1:
                work.say("rate_per_kwh", value, at, at, "bare rate")
            return
    _another_rate(work, known)


def _another_rate(work: Work, known: Known | None) -> None:
    """As in "13.7 sorry", "its 14.5 now": of all that a job says, such a figure can only be the price of energy."""
    before = known.job.get("rate_per_kwh") if known is not None else None
    if not isinstance(before, float):
        return
    old = (before, round(before * 100, 4))
    numbers = [n for n, atom in enumerate(work.atoms) if atom.kind == "n" and atom.value not in old]
    if len(numbers) != 1 or not work.is_number(numbers[0]):
        return
    at = numbers[0]
    value = work.atoms[at].value
    if work.unit(at + 1) or work.text_at(at + 1) in ("k", "%") or value == int(value):
        return
    cents = value / 100 if value >= 1 else value
    if 0.4 < cents / before < 2.5:
        work.say("rate_per_kwh", round(cents, 6), at, at, "another rate")
