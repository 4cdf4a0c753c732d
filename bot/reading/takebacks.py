"""What a talk takes back or carries over: "forget the rebate", "no bronze after all", "5 of them are done", "only the floods", "cans too"."""

import re
from collections.abc import Iterator
from dataclasses import replace

from bot.reading.clause import Work
from bot.reading.ordinals import use_ordinals
from bot.reading.mentions import Mention
from bot.reading.message import Known, Passage, Said, Scope

_DROP = (
    r"(?:forget(?: about)?|drop|skip|lose|scratch|scrap|never ?mind(?: about)?|nix|cancel|ditch|kill|remove|take (?:off|out)|leave (?:off|out)|pull|no|without|dont need|"
    r"dont want|wont need|not doing|ignore|dont (?:worry|bother) (?:about|with)|no more|no longer need|undo|quita\w{0,3}|sin|olvida\w{0,3}|ya no quiero|ya no|cancela\w{0,3}|elimina\w{0,3})"
    r"(?: (?:the|that|any|those|our|my|el|la|los|las|lo|lo de|lo del|de la|del))?"
)
_JOB_WORDS: tuple[tuple[str, str], ...] = (
    ("rebate_per_luminaire", r"rebates?|incentives?|utility (?:money|rebate)|reembolso|incentivo|bonificacion|descuento"),
    ("labor_per_luminaire", r"labou?r|install(?:ation)?(?: cost)?|mano de obra|instalacion"),
    ("budget", r"budget|cap|limit|presupuesto"),
    ("payback_limit_years", r"payback(?: limit)?|roi|retorno|recuperacion"),
    ("demand_rate_per_kw", r"demand(?: charges?| rate)?|demanda|cargo por demanda"),
    ("needed_by", r"deadline|due date|need date|date|fecha"),
    ("po", r"po|p\.o\.|purchase order|orden de compra"),
)
_JOB = re.compile(
    rf"(?<![a-z0-9]){_DROP} (?:"
    + "|".join(f"(?P<{slot}>{words})" for slot, words in _JOB_WORDS)
    + r")(?![a-z0-9])(?! (?:is|of|to|went|changed|\$?\d))"
)
_SLOT_DROPPED = re.compile(rf"(?<![a-z0-9]){_DROP}(?: color| finish| colour)? ?$")
_ALL_SAID = re.compile(r"(?:after|thats|that's|at|is|its|was|be|not) all(?! (?:of|the|\d))|all (?:set|good|right|clear)|por todo|es todo|seria todo|eso es todo|despues de todo")
_DAYS = re.compile(r"(?<![\d.a-z])(?P<n>[1-7]|five|six|seven|cinco|seis|siete) (?:days?|dias?)(?: an?| per| a la| por)?(?: week| semana)?|(?P<mf>m-f|m - f|mon-fri|monday (?:thru|through|to) friday|weekdays|lunes a viernes)")
_OTHER_DAY = re.compile(
    r"(?<![a-z])(?P<day>(?:next )?(?:monday|tuesday|wednesday|thursday|friday|saturday|sunday|week)|tomorrow|end of (?:the )?(?:week|month)|lunes|martes|miercoles|jueves|viernes|sabado|domingo) (?:is|works|would be|will|esta|seria)(?: be| do| work)? ?(?:ok|okay|fine|good|better|soon enough|instead|bien|mejor)?(?![a-z])"
)
_UNDER = re.compile(
    r"(?<![a-z])(?:keep|kept|stay|come in|cap|cut|hold|has to be|needs to be|must be|got to be|gotta be|get it)(?: (?:it|this|us|me|everything|the whole thing|the total))? (?:under|below|less than|at(?= \$?\d{4})) \$?(?P<n>\d{1,3}(?:,\d{3}){1,2}|\d{1,7})(?P<k> ?k| grand)?(?![\d.a-z%])"
)
_WORD_DAYS = {"five": 5, "six": 6, "seven": 7, "cinco": 5, "seis": 6, "siete": 7}
_SOME_GO = re.compile(
    r"(?<![a-z])(?:take|knock|pull|drop|cut|lose|subtract|remove|minus|less|deduct|quita\w{0,3}|saca\w{0,3}|resta\w{0,3}) (?:off |out )?(?:another |otros |otras )?(?P<qty>[a-z0-9]{1,9})(?: (?:more|mas))?(?: (?:of|off|out|de|from|menos)(?![a-z])|[ .!]{0,3}$)"
    r"|(?P<fewer>[a-z0-9]{1,9}) (?:fewer|less|menos)(?![a-z])"
)
_DONE = re.compile(
    r"(?<![a-z])(?:already (?:did|changed|replaced|swapped|fixed|have)|(?:got|were|are|r|been|already|have been|was|is|just|have) (?:already |all |just )?(?:replaced|done|changed|swapped|gone|removed|taken down|led|leds|new|fixed|out of the job|off the job|demolished|torn (?:out|down)|finished)"
    r"|(?:take|leave|knock|pull|keep) (?:those|them|it|em|that|these) (?:off|out)|off the list|ya (?:se cambiaron|estan (?:hechos|hechas|listos|listas|cambiados|cambiadas)|son led|los cambiaron|las cambiaron|quedaron))"
)
_ONLY = re.compile(
    r"(?<![a-z])(?:(?:only|just|solo|nomas|solamente|nada mas) (?:do|doing|quote|quoting|price|pricing|need|want|keep|replace|replacing|bid|figure|run|show|cotiza\w{0,3}|quiero|queremos|necesito|ocupo|haz|deja\w{0,3}|haga\w{0,2}|vamos a hacer)"
    r"|(?:keep|leave|quote|do|price|deja\w{0,3}|cotiza\w{0,3}|haz) (?:only|just|solo|nomas|solamente|nada mas)) (?:the |los |las |el |la )?"
)
_TOO = re.compile(
    r"(?<![a-z])(?:too|also|as well|tambien|likewise|ditto|same (?:for|on|with|goes for|thing (?:for|on|with))|the same (?:for|on)|igual|lo mismo (?:para|con|en)|and the|y (?:los|las))(?![a-z])"
)
_WHOLE = re.compile(
    r"(?<![a-z])(?:(?:new|complete|full|whole|all new|brand new) (?:fixtures|luminaires|heads|units|lights|ones)|luminarias (?:nuevas|completas)|not? (?:kits?|retrofits?|retrofit kits?|tubes)|instead of (?:kits?|tubes|retrofits?))(?![a-z])"
)
_NOT_THE = re.compile(r"(?<![a-z])(?:no|not|ni|no not)(?: (?:the|those|these|los|las|el|la|on the|for the))? ?$")
_DENIED = re.compile(r"(?<![a-z])(?:no|without|sin|not)(?: (?:the|any|el|la|los|las))? ?$")
_TAKEN = frozenset(
    {"finish", "cct_k", "cri", "optic", "mount", "emergency_backup", "keep_housing", "dark_sky", "damp_or_wet", "voltage", "spacing_ft", "height_ft"}
)


_DOWN_TO = re.compile(
    r"(?<![a-z])(?P<verb>drop|cut|knock|take|bring|lower|reduce|trim|pull|move|raise|scale|baja\w{0,3}|quita\w{0,3}|cambia\w{0,3}) (?!off|out)(?:[a-z0-9'-]{1,14} ){0,5}?(?:down |back |up )?(?:to|a) (?:about |like |around |just |only )?\d"
)
_INSTEAD = re.compile(
    r"(?<![a-z])(?:i said|said|told you|i told you|from|went from|was|were|had|i put|put|says|dije|habia dicho|eran|puse|de|not|no|no son|isnt|arent|its not|instead of|rather than) (?P<old>\d{1,5})(?! ?(?:ft|feet|v|w|volts|watts|cents|'))(?: [a-z-]{1,14}){0,3}?"
    r",? ?(?:but |y |and |pero )?(?:to|should be|shouldve been|should have been|need|make it|its|it's|is|are|they are|theyre|now|really|actually|its really|now its|change (?:it|that) to|a|son|es|debe ser|deben ser|deberian ser|mejor|[-;,.]|sino) (?:really |actually |now |like |about )?(?P<new>\d{1,5})(?!\d)"
    r"|(?P<new2>(?<!\d)\d{1,5})(?: [a-z-]{1,14}){0,2}?,? (?:not|instead of|rather than|and not|no|y no|en vez de|en lugar de) (?P<old2>\d{1,5})(?!\d)"
)


_ALL_SO_MANY = re.compile(
    r"(?<![a-z])(?:all|both|l[oa]s|tod[oa]s l[oa]s) (?:of the )?(?P<n>[2-9]|two|three|four|five|six|dos|tres|cuatro) (?=of|are|r |in|on|at|get|need|should|to|have|types|lines|kinds|en|son|a )|(?<![a-z])all (?P<n2>[2-9]|two|three|four|five)(?=$|[.,!])"
)
_PO = re.compile(
    r"(?<![a-z])(?:po|p\.o\.|purchase order|orden de compra)(?: ?#| number| no\.?| num)?(?: (?:is|changed|now|should|be|to|es|ahora|cambio|a|was|has)){1,4} #?(?P<po>[a-z]{0,4}-?\d[a-z0-9-]{1,15})(?![a-z0-9])"
)
_ONE = re.compile(
    r"(?<![a-z0-9])(?:(?P<more>(?:add |plus |throw in |need |and )?(?:just )?(?:one|1) (?:more|extra)|uno mas|una mas)|(?P<less>(?P<one>one|1) (?:less|fewer)|(?:take|knock|drop|lose|minus|subtract) (?:just )?(?:one|1)(?: off)?|uno menos|una menos))[ .!]{0,3}$"
)
_REST_GOES = re.compile(
    r"(?<![a-z])(?:drop|lose|forget|skip|scratch|cut|remove|delete|nix|leave (?:off|out)|take (?:off|out)|quita|olvida|elimina|borra) (?:out )?(?:everything|all|the rest|the others|all of them|everything else|all the others|all the rest|the other ones|todo|todos|todas|lo demas|los demas|las demas|el resto|todo lo demas)(?! of it)"
)
_NO_SENSORS = re.compile(r"(?<![a-z])(?:no|without|sin|dont need|dont want) (?:any )?(?:controls?|sensors?|controles|sensores)(?![a-z])")


def _all_of_so_many(work: Work) -> None:
    """As in "all three are 480": the number counts types, not luminaires."""
    for match in _ALL_SO_MANY.finditer(work.folded):
        name = "n" if match["n"] else "n2"
        for index in _atoms_in(work, match.start(name), match.end(name)):
            work.used[index] = 1


def _changes_not_removes(work: Work) -> None:
    """As in "cut the shoeboxes down to 6": the verb takes nothing away."""
    for match in _DOWN_TO.finditer(work.folded):
        for index in _atoms_in(work, match.start("verb"), match.end("verb")):
            atom = work.atoms[index]
            if "action" in atom.mean:
                work.atoms[index] = atom._replace(mean={"action": frozenset({"change"})})


def _instead(work: Work, known: Known | None) -> None:
    """As in "i said 15, should be 16": the first number is what was said, the second takes its place."""
    values = {value for line in (known.lines if known else ()) for value in line.values() if isinstance(value, (int, float))}
    at = {atom.start: index for index, atom in enumerate(work.atoms) if atom.kind == "n"}
    for match in _INSTEAD.finditer(work.folded):
        old, new = ("old", "new") if match["old"] else ("old2", "new2")
        first, second = at.get(match.start(old)), at.get(match.start(new))
        if first is None or second is None or work.atoms[first].value not in values or work.unit(second + 1) in ("w", "v", "ft"):
            continue
        work.flags.setdefault("instead", {})[second] = work.atoms[first].value
        work.used[first] = 1


def prepare(work: Work, known: Known | None) -> None:
    """Before the lines are read: job slots that are taken back, days alone, and an "all" that means no lines."""
    folded = work.folded
    _changes_not_removes(work)
    _instead(work, known)
    use_ordinals(work)
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
        match = _DAYS.search(folded)
        if match is not None:
            word = match["n"] or ""
            days = 5 if match["mf"] else _WORD_DAYS.get(word) or int(word)
            work.job["schedule"] = Said({"days_per_week": days}, match.start(), match.end(), rule="days alone")
            for index in _atoms_in(work, match.start(), match.end()):
                work.used[index] = 1
    _bare_rate(work)
    cap = _UNDER.search(folded) if "budget" not in work.job else None
    if cap is not None:
        amount = float(cap["n"].replace(",", "")) * (1000 if cap["k"] else 1)
        work.job["budget"] = Said(amount, cap.start("n"), cap.end(), rule="kept under")
        for index in _atoms_in(work, cap.start("n"), cap.end()):
            work.used[index] = 1
    if "needed_by" not in work.job and known is not None and "needed_by" in known.job:
        day = _OTHER_DAY.search(folded)
        if day is not None:
            work.job["needed_by"] = Said(day["day"], day.start("day"), day.end("day"), rule="another day")


def _atoms_in(work: Work, start: int, end: int) -> Iterator[int]:
    for index, atom in enumerate(work.atoms):
        if atom.start >= end:
            return
        if atom.end > start:
            yield index


def _bare_rate(work: Work) -> None:
    """As in "rate is 11.5 now": a number right behind the word for the price of energy."""
    if "rate_per_kwh" in work.job:
        return
    for index in range(len(work.atoms)):
        if "rate" not in work.cue(index):
            continue
        at = index + 1
        while at < len(work.atoms) and at <= index + 4 and work.atoms[at].kind in ("w", "p") and not work.is_number(at):
            at += 1
        if work.is_number(at) and not work.unit(at + 1):
            value = work.atoms[at].value
            if 3 <= value <= 60:
                work.say("rate_per_kwh", round(value / 100, 6), at, at, "bare rate")
            elif 0.02 <= value < 1:
                work.say("rate_per_kwh", value, at, at, "bare rate")
            return


def in_turn(mentions: list[Mention], known: Known | None) -> list[Passage] | None:
    """One figure for each line in their order, and nothing else: "recounted, 11 and 9", "277 and 480"."""
    count = len(known.lines) if known is not None else 0
    if count < 2 or len(mentions) != count or not all(mention.bare for mention in mentions):
        return None
    firsts = [mention.options[0].slots[:1] for mention in mentions]
    if any(not first for first in firsts) or len({first[0][0] for first in firsts}) != 1:
        return None
    return [
        Passage(
            "change",
            {slots[0][0]: Said(slots[0][1], mention.start, mention.end, rule="in turn")},
            Scope("ordinal", mention.start, mention.end, ordinal=number),
        )
        for number, (mention, slots) in enumerate(zip(mentions, firsts, strict=True))
    ]


def taken_back(work: Work, passages: list[Passage], known: Known | None) -> list[Passage]:
    """The passages of a message about a job, with what goes, what stays alone and what is carried over."""
    folded = work.folded
    out: list[Passage] = []
    one = _ONE.search(folded)
    if one is not None and not any(passage.slots for passage in passages):
        said = {"qty": Said(1, one.start(), one.end(), rule="one")}
        scope = next((passage.scope for passage in passages if passage.scope is not None), None)
        if one["more"]:
            return [Passage("add", said, scope, more=True)]
        return [Passage("remove", said, scope or Scope("that", one.start(), one.end()))]
    rest = _REST_GOES.search(folded)
    named = [p for p in passages if not (p.scope is not None and p.scope.kind in ("all", "others") and not p.slots)]
    if rest is not None and named and all(not p.slots and p.scope is not None for p in named):
        return [*[replace(p, action="change") for p in named], Passage("remove", {}, Scope("others", rest.start(), rest.end()))]
    some = _some_that_go(folded)
    done = _DONE.search(folded)
    only = _ONLY.search(folded)
    for passage in passages:
        slots = passage.slots
        scope = passage.scope
        if passage.action == "change" and scope is not None and not slots:
            before = folded[max(scope.start - 24, 0) : scope.start]
            if scope.kind in ("all", "others"):
                continue
            if only is not None and abs(scope.start - only.end()) <= 5 and scope.kind == "family":
                out.append(passage)
                out.append(Passage("remove", {}, Scope("others", scope.start, scope.end)))
                continue
            if _NOT_THE.search(before) and len(passages) > 1:
                continue
            if _TOO.search(folded) and scope.kind in ("family", "ordinal"):
                out.append(replace(passage, too=True))
                continue
        if passage.action == "remove" and scope is not None and len(passages) > 1 and not slots:
            before = folded[max(scope.start - 24, 0) : scope.start]
            if re.search(r"(?<![a-z])not (?:the |those |on the |for the )?$", before):
                # "not the floods, floods are 480": what was said is not meant of them; they stay
                continue
        if passage.action in ("change", "state") and "qty" in slots:
            number = slots["qty"]
            partly = done is not None and (
                re.match(r" ?(?:(?:of|de)(?: the| those| them| em| these| los| las| esos| ellos)|(?:were|got|are|is|was|have been|ya) )", folded[number.end : number.end + 24])
                or re.search(r"already (?:did|changed|replaced|swapped|done|fixed|got|have) (?:about |like )?$|ya cambiamos $", folded[: number.start])
            )
            inside = done is not None and re.search(r"(?:of|de)(?: the| those| them| em| these| los| las| esos| ellos)? ?$", folded[number.start : number.end])
            if (some is not None and some[0] <= number.start < some[1]) or partly or inside:
                goes = scope or (_family(passage) if "family" in slots else Scope("that", number.start, number.end))
                out.append(Passage("remove", {"qty": number}, goes))
                continue
        back = {}
        controls = slots.get("controls")
        if controls is not None and controls.without and controls.value == ("none",):
            before = folded[max(controls.start - 32, 0) : controls.start]
            if _SLOT_DROPPED.search(before) and not _DENIED.search(before):
                # "drop the motion": it goes where it was asked for; "no motion" says that there is to be none
                back["controls"] = replace(controls, value=None, rule="taken back")
        for slot, said in slots.items():
            if slot in _TAKEN and said.value is not None and said.instead_of is None:
                before = folded[max(said.start - 32, 0) : said.start]
                if _SLOT_DROPPED.search(before) and not re.search(r"[,.;]", before[-3:]):
                    # "forget bronze, black": what else was said stands
                    value = said.others[0] if said.others else None
                    back[slot] = replace(said, value=value, others=(), why="", rule="taken back")
        if back:
            passage = replace(passage, slots={**slots, **back}, action="change")
        out.append(passage)
    out = _gone_by_pronoun(folded, _other_family(folded, _totals(folded, out), known))
    bare = _NO_SENSORS.search(folded)
    if bare is not None and not any("controls" in passage.slots for passage in out):
        scope = next((passage.scope for passage in out if passage.scope is not None and not passage.slots), None)
        if scope is not None:
            out = [passage for passage in out if passage.scope is not scope]
        out.append(Passage("change", {"controls": Said(("none",), bare.start(), bare.end(), rule="none at all")}, scope))
    whole = _WHOLE.search(folded)
    if whole is not None and known is not None and any("keep_housing" in line for line in known.lines):
        out.append(Passage("change", {"keep_housing": Said(None, whole.start(), whole.end(), rule="taken back")}))
    return out


_DROP_THOSE = re.compile(
    r"(?<![a-z])(?:drop|lose|skip|forget(?: about)?|remove|take out|cut|leave out|scratch|nix|delete|ditch|dont need|dont do|dont quote|quita|borra|elimina|olvida) (?:those|them|em|these|that|that one|it|esos|esas|eso)(?= ?(?:[.,;!]|$|for now|please|pls|too|then|from|off|out|por favor))"
    r"|(?:quitalos|quitalas|quitalo|borralos|sacalos|sacalas|eliminalos)|(?:poles|ones|lights|those|they|heads|fixtures|[a-z]{3,12}s) (?:are|r) (?:staying|fine as is|ok as is|good as is)(?![a-z])"
)
_SO_MANY = re.compile(r"(?<![a-z])(?:so|makes|making|thats|that's|for a total of|total of|or) (?:that'?s |that makes |its |it's |a total of |make it |now )?(?P<n>\d{1,5}|[a-z]{3,9})(?: total| altogether| in all)?[ .!]*$|(?P<n2>\d{1,5}) (?:total|altogether|in all|en total)")
_NOW_IS = re.compile(r"(?<![a-z])(?:they|those|these|it|theyre|they're|thats|its|all|sorry|actually|not [a-z -]{3,20},|son|mejor)(?:'?re| are| is| were)?(?: really| actually| all| just| more like)? ?(?:the |a )?$")


def _totals(folded: str, passages: list[Passage]) -> list[Passage]:
    """As in "6 more by the pond, so 12": the second count is what it comes to."""
    adds = [n for n, passage in enumerate(passages) if passage.more and "qty" in passage.slots]
    match = _SO_MANY.search(folded)
    if len(adds) != 2 or match is None:
        return passages
    first, last = passages[adds[0]], passages[adds[1]]
    name = "n" if match["n"] else "n2"
    if not match.start(name) - 1 <= last.slots["qty"].start <= match.end(name):
        return passages
    family = first.slots.get("family")
    scope = first.scope or (_family(first) if family is not None else None)
    out = [passage for n, passage in enumerate(passages) if n not in adds]
    return [*out, Passage("change", {"qty": last.slots["qty"]}, scope)]


def _other_family(folded: str, passages: list[Passage], known: Known | None) -> list[Passage]:
    """As in "sorry those are low bays": the type is called something else."""
    if known is None or len(passages) != 1 or passages[0].action != "change" or passages[0].slots:
        return passages
    scope = passages[0].scope
    if scope is None or len(scope.families) != 1 or scope.families[0] in known.families:
        return passages
    if not _NOW_IS.search(folded[: scope.start]):
        return passages
    said = Said(scope.families[0], scope.start, scope.end, rule="called otherwise")
    return [Passage("change", {"family": said}, Scope("that", scope.start, scope.end))]


def _gone_by_pronoun(folded: str, passages: list[Passage]) -> list[Passage]:
    """As in "the landlord does the poles so drop those"."""
    match = _DROP_THOSE.search(folded)
    if match is None:
        return passages
    named = [
        n
        for n, passage in enumerate(passages)
        if passage.action == "change" and not passage.slots and passage.scope is not None
    ]
    if not passages:
        return [Passage("remove", {}, Scope("that", match.start(), match.end()))]
    return [replace(passage, action="remove", too=False) if n in named else passage for n, passage in enumerate(passages)]


def _family(passage: Passage) -> Scope:
    said = passage.slots["family"]
    return Scope("family", said.start, said.end, families=(said.value,))


def _some_that_go(folded: str) -> tuple[int, int] | None:
    """Where the number stands of how many go: "take 2 off", "3 fewer"."""
    for match in _SOME_GO.finditer(folded):
        name = "qty" if match["qty"] else "fewer"
        if match[name] not in ("the", "them", "those", "it", "that", "to", "all", "off", "down", "no", "el", "los", "las"):
            return match.span(name)
    return None
