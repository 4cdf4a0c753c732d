"""What a talk takes back or carries over: "forget the rebate", "no bronze after all", "5 of them are done", "only the floods", "cans too"."""

import re
from dataclasses import replace
from typing import Any

from bot.reading.beforehand import DROP
from bot.reading.clause import Work
from bot.reading.joins import public
from bot.reading.late import Late
from bot.reading.mentions import Mention
from bot.reading.message import Known, Passage, Said, Scope
from bot.reading.portions import portions
from bot.reading.what_is_left import what_is_left

_SLOT_DROPPED = Late(rf"(?<![a-z0-9]){DROP}(?: color| finish| colour)? ?$")
_SOME_GO = Late(
    r"(?<![a-z])(?:take|took|knock|knocked|pull|pulled|drop|dropped|cut|lose|lost|subtract|remove|removed|scratch|scrap|forget|nix|skip|delete|tore|demoed|swapped|minus|less|deduct|quita\w{0,3}|saca\w{0,3}|resta\w{0,3}) (?:off |out |down |about |like )?(?:another |otros |otras )?(?P<qty>[a-z0-9]{1,9})(?: (?:more|mas))?(?: (?:of|off|out|de|from|menos|last|already|this)(?![a-z])|[ .!]*$|(?= ?[,;.])| [a-z]{3,14}(?: [a-z]{3,14})?(?: off| out| down| from| last| already|[ .!]*$))"
    r"|(?<![a-z0-9.])(?P<several>\d{1,4}|one|two|three|four|five|six|seven|eight|nine|ten) (?:[a-z]{3,12} ){1,2}(?:fewer|less|menos)(?![a-z])(?! than)"
    r"|(?P<fewer>[a-z0-9]{1,9}) (?:fewer|less|menos)(?![a-z])"
)
_DONE = Late(
    r"(?<![a-z])(?:already (?:did|changed|replaced|swapped|fixed|have)|(?:got|were|are|r|been|already|have been|was|is|just|have) (?:already |all |just )?(?:replaced|done|changed|swapped|gone|removed|taken down|led|leds|new|fixed|out of the job|off the job|demolished|torn (?:out|down)|finished)"
    r"|(?:take|leave|knock|pull|keep) (?:those|them|it|em|that|these) (?:off|out)|off the list|ya (?:se cambiaron|estan (?:hechos|hechas|listos|listas|cambiados|cambiadas)|son led|los cambiaron|las cambiaron|quedaron))"
)
_ONLY = Late(
    r"(?<![a-z])(?:(?:only|just|solo|nomas|solamente|nada mas) (?:do|doing|quote|quoting|price|pricing|need|want|keep|replace|replacing|bid|figure|run|show|cotiza\w{0,3}|quiero|queremos|necesito|ocupo|haz|deja\w{0,3}|haga\w{0,2}|vamos a hacer)"
    r"|(?:keep|leave|quote|do|price|deja\w{0,3}|cotiza\w{0,3}|haz) (?:only|just|solo|nomas|solamente|nada mas)"
    r"|(?:^|(?<=[,.;] ))(?:just|only|solo|nomas)(?= (?:the |los |las )?[a-z -]{3,24} (?:now|for now|then|left|are left|remain|ahora)[ .!]*$)) (?:the |los |las |el |la )?"
)
_JUST_THE = Late(
    r"(?:^|[.;!\n] ?|(?<![a-z])(?:says|said|wants) )(?:so |ok |no |now |mejor |actually )?(?:just|only|solo|nomas|solamente|nada mas) (?:the |los |las )(?=[^.;!\n?]{2,60}$)"
)
_ONLY_BEHIND = Late(
    r"(?: (?:lights|heads|ones))? (?:only|alone|solamente|nada mas|nomas|solo)(?: (?:for now|please|pls|then|now|por favor|por ahora|on this one))* *(?:$|[.,;!\n])"
)
_ON = Late(r"(?<![a-z])(?:on|for|in|at|en|para|not|no)(?: (?:the|los|las))? $")
_AND = Late(r"(?:(?:and|&|y|plus|,) ?(?:the |those |los |las )?)$")
_TOO = Late(
    r"(?<![a-z])(?:too|also|as well|tambien|likewise|ditto|same (?:for|on|with|goes for|thing (?:for|on|with))|the same (?:for|on)|igual|lo mismo (?:para|con|en)|and the|y (?:los|las))(?![a-z])"
)
_WHOLE = Late(
    r"(?<![a-z])(?:(?:new|complete|full|whole|all new|brand new) (?:fixtures|luminaires|heads|units|lights|ones)|luminarias (?:nuevas|completas)|not? (?:kits?|retrofits?|retrofit kits?|tubes)|instead of (?:kits?|tubes|retrofits?))(?![a-z])"
)
_UNWANTED = Late(
    r"(?<![a-z])(?:no|not|dont|don't|do not|without|never|instead of|rather than|sin) (?:(?:want|need|buy|buying|any|the|all) ){0,3}$"
)
_NOT_THE = Late(r"(?<![a-z])(?:no|not|ni|no not)(?: (?:the|those|these|los|las|el|la|on the|for the))? ?$")
_LED_LAMPS = Late(
    r"(?<![a-z])(?:corn ?cobs?|corn lamps?|cobs|led (?:retrofit |replacement )?(?:lamps?|bulbs?|tubes?|ufos?)|ufos?|plug and play|mazorcas?|(?:retrofit )?kits?(?:,| at| with)? \d{2,3} ?(?:w|watts?)|\d{2,3} ?(?:w|watts?) (?:retrofit |led )?kits?)(?![a-z])"
)
_DENIED = Late(r"(?<![a-z])(?:no|without|sin|not)(?: (?:the|any|el|la|los|las))? ?$")
_TAKEN = frozenset(
    {
        "finish",
        "cct_k",
        "cri",
        "optic",
        "mount",
        "emergency_backup",
        "keep_housing",
        "dark_sky",
        "damp_or_wet",
        "voltage",
        "spacing_ft",
        "height_ft",
    }
)


_ONE = Late(
    r"(?<![a-z0-9])(?:(?P<more>(?:add |plus |throw in |need |and )?(?:just )?(?:one|1) (?:more|extra)|uno mas|una mas)|(?P<less>(?P<one>one|1) (?:less|fewer)|(?:take|knock|drop|lose|minus|subtract|pull|cut|remove) (?:just )?(?:one|1)(?: off| out)?|uno menos|una menos|quita\w{0,2} (?:uno|una)))"
    r"(?:[ .!]{0,3}$|(?:[,;.-]{1,2} ?| )(?:its|it's|they|theyre|they're|that|that's|thats|one|cuz|because|since|cause|bc|the|he|already|no|dont|we|i|ya|esta|porque)(?: [a-z']{1,14}){0,9}[ .!]{0,3}$)"
)
_REST_GOES = Late(
    r"(?<![a-z])(?:drop|lose|forget|skip|scratch|cut|remove|delete|nix|leave (?:off|out)|take (?:off|out)|quita|olvida|elimina|borra) (?:out )?(?:everything|all|the rest|the others|all of them|everything else|all the others|all the rest|the other ones|todo|todos|todas|lo demas|los demas|las demas|el resto|todo lo demas)(?! of it)"
)
_NO_SENSORS = Late(
    r"(?<![a-z])(?:no|without|sin|dont need|dont want) (?:any )?(?:controls?|sensors?|controles|sensores)(?![a-z])"
)


_WITHOUT = Late(
    r"(?:(?:actually|sorry|wait|no|make that|scratch that|lets go|let's go|on second thought|hmm|ok|and|but)[ ,]{1,2}){0,3}(?:without(?: (?:them|those|it|that|one))?|skip (?:them|those|it|that)|mejor sin)[ .!)]*$"
)
_ONE_MORE = re.compile(
    r"(?<![a-z0-9])(?:(?:one|1) (?:more|extra|additional|other)|another|an extra|an additional|otr[oa]|un[oa] mas)(?: of (?:the|those))? ?$"
)


_TOLD_IN_TURN = frozenset({"lamps", "watts", "source", "height_ft", "voltage", "cct_k", "lamp_feet"})


def in_turn(mentions: list[Mention], known: Known | None) -> list[Passage] | None:
    """The same slots for each line in their order, and nothing else: "recounted, 11 and 9", "277 and 480", "100 W MH and 400 W HPS"."""
    count = len(known.lines) if known is not None else 0
    if count < 2 or not mentions or len(mentions) % count:
        return None
    each = len(mentions) // count
    told: list[dict[str, Said]] = []
    for number in range(count):
        slots: dict[str, Said] = {}
        for mention in mentions[number * each : (number + 1) * each]:
            if not mention.options[0].slots:
                return None
            slot, value = mention.options[0].slots[0]
            slots[slot] = Said(value, mention.start, mention.end, rule="in turn")
        told.append(slots)
    if any(slots.keys() != told[0].keys() for slots in told) or len(told[0]) != each:
        return None
    bare = each == 1 and all(mention.bare for mention in mentions)
    alike = len({tuple([said.value for said in slots.values()]) for slots in told}) < count
    if not bare and (alike or not told[0].keys() <= _TOLD_IN_TURN):
        return None
    return [
        Passage(
            "change",
            slots,
            Scope(
                "ordinal",
                mentions[number * each].start,
                mentions[(number + 1) * each - 1].end,
                ordinal=number,
            ),
        )
        for number, slots in enumerate(told)
    ]


def _of_all(work: Work, start: int, end: int) -> bool:
    """Whether words for all or the rest, that no type follows, stand between two characters."""
    return any("scope" in atom.mean for atom in work.atoms if start <= atom.start < end)


def taken_back(work: Work, passages: list[Passage], known: Known | None) -> list[Passage]:
    """The passages of a message about a job, with what goes, what stays alone and what is carried over."""
    folded = work.folded
    out: list[Passage] = []
    one = _ONE.search(folded)
    if one is not None and not any(passage.slots for passage in passages):
        single = {"qty": Said(1, one.start(), one.end(), rule="one")}
        scope = next((passage.scope for passage in passages if passage.scope is not None), None)
        if one["more"]:
            return [Passage("add", single, scope, more=True)]
        return [Passage("remove", single, scope or Scope("that", one.start(), one.end()))]
    if known is not None and not any(passage.slots for passage in passages) and _WITHOUT.match(folded):
        lost = _featureless(work, known)
        if lost is not None:
            return [lost]
    rest = _REST_GOES.search(folded)
    named = [
        p for p in passages if not (p.scope is not None and p.scope.kind in ("all", "others") and not p.slots)
    ]
    if rest is not None and not _of_all(work, rest.start(), rest.end()):
        rest = None  # "drop all the acorns" is said of these
    if rest is not None and named and all(not p.slots and p.scope is not None for p in named):
        return [
            *[replace(p, action="change") for p in named],
            Passage("remove", {}, Scope("others", rest.start(), rest.end())),
        ]
    renamed = _renamed(work, known)
    if renamed is not None:
        return [renamed, *[p for p in passages if public(p.slots).keys() - {"family"}]]
    some = _some_that_go(folded)
    done = _DONE.search(folded)
    only = _ONLY.search(folded)
    if only is None and all(p.action == "change" and p.scope is not None and not p.slots for p in passages):
        only = _JUST_THE.search(folded)
    alone: Passage | None = None
    pointing = not work.job and all(not p.slots and p.scope is not None for p in passages)
    for passage in passages:
        slots = passage.slots
        scope = passage.scope
        if passage.action == "change" and scope is not None and not slots:
            before = folded[max(scope.start - 24, 0) : scope.start]
            if scope.kind in ("all", "others", "that"):
                continue
            if len(passages) == 1 and _taken_off(folded, scope):
                out.append(
                    replace(passage, action="remove")
                )  # "never mind building B", "take the cafeteria off"
                continue
            if scope.kind == "family" and (further := _ONE_MORE.search(before)) is not None:
                start = scope.start - len(before) + further.start()
                out.append(
                    Passage("add", {"qty": Said(1, start, scope.start, rule="one more")}, scope, more=True)
                )
                continue
            if (only is not None and abs(scope.start - only.end()) <= 5 and scope.kind == "family") or (
                pointing and _ONLY_BEHIND.match(folded, scope.end) and not _ON.search(before)
            ):
                out.append(passage)
                alone = Passage("remove", {}, Scope("others", scope.start, scope.end))
                continue
            if alone is not None and scope.kind in ("family", "ordinal") and _AND.search(before):
                out.append(passage)  # "only the floods and the cans"
                continue
            if _NOT_THE.search(before) and len(passages) > 1:
                continue
            if re.match(
                r" (?:no|not|dont|don't|doesnt|nope|tampoco)(?![a-z])", folded[scope.end : scope.end + 9]
            ):
                continue
            kits = re.search(
                r"(?:kits?|tubes|tubos|retrofits?|lamps only|new lamps|tubes only)(?: (?:for|in|on|en|para))? (?:the |los |las )?$",
                before,
            )
            if kits is not None:
                housing = Said(True, scope.start, scope.end, rule="kits for them")
                out.append(replace(passage, slots={"keep_housing": housing}))
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
                re.match(
                    r" ?(?:(?:of|de)(?: the| those| them| em| these| los| las| esos| ellos)|(?:were|got|are|is|was|have been|ya) )",
                    folded[number.end : number.end + 24],
                )
                or re.search(
                    r"already (?:did|changed|replaced|swapped|done|fixed|got|have) (?:about |like )?$|ya cambiamos $",
                    folded[: number.start],
                )
            )
            inside = done is not None and re.search(
                r"(?:of|de)(?: the| those| them| em| these| los| las| esos| ellos)? ?$",
                folded[number.start : number.end],
            )
            if (some is not None and some[0] <= number.start < some[1]) or partly or inside:
                goes = scope or (
                    _family(passage) if "family" in slots else Scope("that", number.start, number.end)
                )
                out.append(Passage("remove", {"qty": number}, goes))
                continue
        if (
            passage.action == "remove"
            and scope is not None
            and not slots
            and re.search(r"(?:^| )(?:un|una) ?$", folded[max(scope.start - 8, 0) : scope.start])
        ):
            slots = {"qty": Said(1, scope.start, scope.end, rule="one")}
            passage = replace(passage, slots=slots)
        if (
            "watts" in slots
            and "source" not in slots
            and "led_watts" not in slots
            and _LED_LAMPS.search(folded)
        ):
            slots = {("led_watts" if slot == "watts" else slot): said for slot, said in slots.items()}
            passage = replace(passage, slots=slots)
        back = {}
        controls = slots.get("controls")
        if controls is not None and controls.without and controls.value == ("none",):
            before = folded[max(controls.start - 32, 0) : controls.start]
            if _SLOT_DROPPED.search(before) and not _DENIED.search(before):
                # "drop the motion": it goes where it was asked for; "no motion" says that there is to be none
                back["controls"] = replace(controls, value=None, rule="taken back")
        for slot, said in slots.items():
            if (
                slot in _TAKEN
                and said.value is not None
                and said.instead_of is None
                and said.rule != "puts right what was said last"
                and not (
                    slot == "cct_k" and work.flags.get("corrects") and not _on_lines(known, slot, said.value)
                )
            ):
                before = folded[max(said.start - 32, 0) : said.start]
                if (
                    _SLOT_DROPPED.search(before)
                    and not re.search(r"[,.;]", before[-3:])
                    and not _answers_no(before, known, slot, said.value)
                ):
                    # "forget bronze, black": what else was said stands
                    value = said.others[0] if said.others else None
                    back[slot] = replace(said, value=value, others=(), why="", rule="taken back")
        if back:
            passage = replace(passage, slots={**slots, **back}, action="change")
        out.append(passage)
    out = _other_family(folded, _totals(folded, out), known)
    out = portions(folded, _gone_by_pronoun(folded, out), known is not None and len(known.lines) == 1)
    out = what_is_left(work, _slots_dropped(folded, out, known), known)
    if alone is not None:
        out.append(alone)
    out = _topics(folded, _made_anew(folded, _denied_alone(work, out, known)))
    bare = _NO_SENSORS.search(folded)
    if bare is not None and not any("controls" in passage.slots for passage in out):
        scope = next(
            (passage.scope for passage in out if passage.scope is not None and not passage.slots), None
        )
        if scope is not None:
            out = [passage for passage in out if passage.scope is not scope]
        out.append(
            Passage(
                "change", {"controls": Said(("none",), bare.start(), bare.end(), rule="none at all")}, scope
            )
        )
    whole = _WHOLE.search(folded)
    if whole is not None and _UNWANTED.search(folded[: whole.start()]):
        whole = None
    if whole is not None and known is not None and any("keep_housing" in line for line in known.lines):
        out.append(
            Passage("change", {"keep_housing": Said(None, whole.start(), whole.end(), rule="taken back")})
        )
    return out


_TOLD_ANEW = frozenset({"height_ft", "spacing_ft", "voltage", "cct_k", "cri", "finish", "mount", "optic"})


def _answers_no(before: str, known: Known | None, slot: str, value: Any) -> bool:
    """Whether "no" answers the figure that stands, and another takes its place: "no 14 ft", where 12 was said."""
    if slot not in _TOLD_ANEW or known is None or before.split()[-1:] != ["no"] or len(before.split()) > 2:
        return False
    return any(slot in line for line in known.lines) and not _on_lines(known, slot, value)


_TAKE = Late(r"(?<![a-z])(?:take|leave|keep|pull|get|knock) (?:the |all the |those |that |los |las )?$")
_OFF = Late(r"(?: (?:stuff|lights|part|ones))? (?:off|out|fuera)(?![a-z])")
_FORGET = Late(
    r"(?<![a-z])(?:forget(?: about)?|drop|skip|scratch|scrap|never ?mind(?: about)?|nvm|nix|cancel|ditch|ignore|disregard|omit|exclude|strike|delete|remove|don'?t (?:worry|bother) (?:about|with)|"
    r"no need for|hold off on|not doing|olvida\w{0,3}|quita\w{0,3}|cancela\w{0,3}|elimina\w{0,3}|borra\w{0,3}|ignora\w{0,3}|no (?:cotices|incluyas|pongas|cuentes|hagas|cotizar|incluir)) (?:(?:the|that|those|all|all the|our|my|el|la|los|las|lo de|lo del|de) )?$"
)


def _taken_off(folded: str, scope: Scope) -> bool:
    """Whether the words around a type that nothing else is said of take it away."""
    before = folded[max(scope.start - 32, 0) : scope.start]
    if _FORGET.search(before) is not None:
        return True
    return _TAKE.search(before) is not None and _OFF.match(folded[scope.end : scope.end + 16]) is not None


def _featureless(work: Work, known: Known) -> Passage | None:
    """As in "actually without": the feature said last is not wanted."""
    end = len(work.folded)
    if "controls" in known.latest:
        why = "it was taken back"
        return Passage(
            "change",
            {"controls": Said(("none",), 0, end, others=(None,), why=why, margin=1.0, rule="without")},
        )
    for slot in ("emergency_backup", "dark_sky"):
        if slot in known.latest:
            return Passage("change", {slot: Said(None, 0, end, rule="taken back")})
    return None


def _on_lines(known: Known | None, slot: str, value: Any) -> bool:
    """Whether some line has the value."""
    return known is not None and any(line.get(slot) == value for line in known.lines)


_DROP_THOSE = Late(
    r"(?<![a-z])(?:ignore|disregard|exclude|omit|strike|drop|lose|skip|forget(?: about)?|remove|take out|cut|leave out|scratch|nix|delete|ditch|dont need|dont do|dont quote|dont include|don't include|dont count|don't count|leave|quita|borra|elimina|olvida) (?:those|them|em|these|that|that one|it|esos|esas|eso)(?= ?(?:[.,;!]|$|for now|please|pls|too|then|from|off|out|por favor))"
    r"|(?:quitalos|quitalas|quitalo|borralos|sacalos|sacalas|eliminalos)|(?:poles|ones|lights|those|they|heads|fixtures|[a-z]{3,12}s) (?:are|r) (?:staying|fine as is|ok as is|good as is)(?![a-z])"
)
_SO_MANY = Late(
    r"(?<![a-z])(?:so|makes|making|thats|that's|for a total of|total of|or) (?:that'?s |that makes |its |it's |a total of |make it |now )?(?P<n>\d{1,5}|[a-z]{3,9})(?: total| altogether| in all)?[ .!]*$|(?P<n2>\d{1,5}) (?:total|altogether|in all|en total)"
)
_NOW_IS = Late(
    r"(?<![a-z])(?:they|those|these|it|theyre|they're|thats|its|all|sorry|actually|not [a-z -]{3,20},|son|mejor)(?:'?re| are| is| were)?(?: really| actually| all| just| more like)? ?(?:the |a )?$"
)


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


_RENAMES = Late(
    r"(?<![a-z])(?:swap(?:ping)?|change|changing|switch|make|turn|replace|replacing|call|convert|cambia\w{0,3}|reemplaza\w{0,3})(?: out)?(?: (?:the|those|those|all|all the|my|our|los|las|el|la|todos los|todas las)){0,2} $"
)
_MADE = Late(r"(?<![a-z])(?:make|call|do|turn|haz)(?: (?:the|those|all|all the|my|our|los|las)){1,2} $")
_INTO = Late(r" (?:over )?(?:to|for|into|with|por|a|con|en) (?:be )?(?:the |some |new |unos |unas )?$")
_ARE_NOT = Late(
    r"(?:not|no|arent|aren't|isnt|isn't|are not|no son|instead of|rather than|en vez de|en lugar de)(?: (?:the|a|really|actually|los|las))? $"
)
_TOLD_AWAY = Late(
    r"(?:forget|scratch|scrap|drop|nix|ignore|strike|disregard|olvida)(?: about)?(?: the| my| those| los| las)? $"
)
_REALLY = Late(r"they'?re|they are|those are|these are|its|it's|should be|make (?:them|it)|sino|son")
_THEY_ARE = Late(
    r"[ ,;.-]{1,3}(?:(?:but|its|it's|they're|theyre|they are|those are|these are|they're really|theyre really|actually|sino|son|should be|mejor|no|make (?:them|it)|do|a)[ ,]{0,2}){0,3}(?:the |a )?$"
)
_ARE_REALLY = Late(
    r" (?:are|is|r|should be|should've been|were|are really|are actually|are supposed to be|son|deben ser|are all) (?:really |actually |supposed to be |all |en realidad )?$"
)


_SLOT_WORDS = {
    "finish": r"colou?r|finish|paint|acabado",
    "voltage": r"voltage|volts|voltaje",
    "cct_k": r"colou?r temp(?:erature)?|kelvin|cct|temperatura(?: de color)?",
    "height_ft": r"height|mounting height|altura",
    "optic": r"optics?|distribution|optica",
    "cri": r"cri",
    "mount": r"mount(?:ing)?|montaje",
    "spacing_ft": r"spacing",
}
_SLOTS_DROPPED = Late(
    rf"(?<![a-z0-9]){DROP} (?:"
    + "|".join(rf"(?P<{slot}>{words})" for slot, words in _SLOT_WORDS.items())
    + r")(?![a-z0-9])(?! (?:is|of|to|on the|for the|changed|change|\d))"
)


def _slots_dropped(folded: str, passages: list[Passage], known: Known | None) -> list[Passage]:
    """As in "forget the color, whatever you stock": a slot is taken back by its name."""
    match = _SLOTS_DROPPED.search(folded)
    slot = match.lastgroup if match is not None else None
    if match is None or slot is None or known is None or not any(slot in line for line in known.lines):
        return passages
    if slot == "finish" and not any("finish" in line for line in known.lines):
        slot = "cct_k"
    if any(slot in passage.slots for passage in passages):
        return passages
    said = Said(None, match.start(), match.end(), rule="taken back")
    scope = next((p.scope for p in passages if p.scope is not None and not p.slots), None)
    kept = [p for p in passages if p.scope is not scope or p.slots]
    return [*kept, Passage("change", {slot: said}, scope)]


_TOPIC = Late(
    r"(?<![a-z])(?:(?:wrong|mistaken|confused|off|goofed|messed up|screwed up|mixed up|equivocado) (?:about|on|with|en|con)|as for|regarding|concerning|about|re:?|en cuanto a|sobre) (?:the |those |our |my |los |las |el |la )?$"
)
_MADE_IT = Late(
    r"(?<![a-z])(?:make (?:it|that|them)|should be|do|use|its|it's|need|call it|just|only|haz|que sean) (?:just |only |about )?$"
)


def _topics(folded: str, passages: list[Passage]) -> list[Passage]:
    """As in "i was wrong about the shoeboxes, halide it is": the types are named first, what is said of them follows."""
    bare = [
        p for p in passages if p.action == "change" and p.scope is not None and not p.slots and not p.times
    ]
    told = [p for p in passages if p.action == "change" and p.scope is None and p.slots]
    if len(bare) != 1 or len(bare) + len(told) != len(passages) or not told:
        return passages
    scope = bare[0].scope
    if scope is None or not _TOPIC.search(folded[: scope.start]):
        return passages
    if any(said.start < scope.end for p in told for said in p.slots.values()):
        return passages
    return [replace(p, scope=scope) for p in told]


def _made_anew(folded: str, passages: list[Passage]) -> list[Passage]:
    """As in "scratch the 12 packs, make it 15": their count is changed, and they stay."""
    gone = [p for p in passages if p.action == "remove" and p.scope is not None and p.scope.kind != "all"]
    counts = [p for p in passages if p.action == "change" and p.scope is None and p.slots.keys() == {"qty"}]
    if len(passages) != 2 or len(gone) != 1 or len(counts) != 1:
        return passages
    count, scope = counts[0].slots["qty"], gone[0].scope
    if scope is None or count.start < scope.end or not _MADE_IT.search(folded[: count.start]):
        return passages
    return [replace(counts[0], scope=scope)]


_DENIABLE = frozenset(_TAKEN | {"source", "watts", "lamps", "lamp_feet", "size", "led_watts", "input_watts"})


def _denied_alone(work: Work, passages: list[Passage], known: Known | None) -> list[Passage]:
    """As in "they are not 277", "the floods aren't bronze": what was said is not so, and nothing is said for it."""
    if known is None:
        return passages
    for slot, value in work.flags.get("denied", []):
        if (
            slot not in _DENIABLE
            or not any(line.get(slot) == value for line in known.lines)
            or any(slot in passage.slots for passage in passages)
        ):
            continue
        place = max(work.folded.find("not "), work.folded.find("n't "), work.folded.find("nt "), 0)
        said = Said(None, place, len(work.folded), rule="denied", instead_of=value)
        at = next(
            (
                n
                for n, passage in enumerate(passages)
                if passage.action == "change" and passage.scope is not None and not passage.slots
            ),
            None,
        )
        if at is None:
            passages = [*passages, Passage("change", {slot: said})]
        else:
            passages = [*passages[:at], replace(passages[at], slots={slot: said}), *passages[at + 1 :]]
    return passages


def _renamed(work: Work, known: Known | None) -> Passage | None:
    """As in "swap the cans for sconces", "those aren't troffers, they're wraps", "floods, not wall packs": a type gets another name."""
    if known is None:
        return None
    named = [
        atom
        for atom in work.atoms
        if "family" in atom.mean or ("family_weak" in atom.mean and atom.text.endswith("s"))
    ]
    families = [atom.mean.get("family") or atom.mean["family_weak"] for atom in named]
    if len(named) != 2 or families[0] == families[1] or any(atom.kind == "n" for atom in work.atoms):
        return None
    folded = work.folded
    first, second = named
    before, between = folded[max(0, first.start - 40) : first.start], folded[first.end : second.start]
    old, new = None, None
    if families[0] in known.families:
        into = _RENAMES.search(before) is not None and (
            _INTO.fullmatch(between) is not None
            or (_MADE.search(before) is not None and between in (" ", " all ", " into "))
        )
        denied = (
            families[1] not in known.families
            and _THEY_ARE.fullmatch(between) is not None
            and (
                _ARE_NOT.search(before) is not None
                # "scratch the cobras, they're post tops"
                or (_TOLD_AWAY.search(before) is not None and _REALLY.search(between) is not None)
            )
        )
        if (
            into
            or denied
            or (_ARE_REALLY.fullmatch(between) is not None and families[1] not in known.families)
        ):
            old, new = 0, 1
    if (
        old is None
        and families[1] in known.families
        and families[0] not in known.families
        and _ARE_NOT.search(between) is not None
        and len(between) <= 24
    ):
        old, new = 1, 0
    if old is None or new is None:
        return None
    said = Said(families[new], named[new].start, named[new].end, rule="called otherwise")
    scope = Scope("family", named[old].start, named[old].end, families=(families[old],))
    return Passage("change", {"family": said}, scope)


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
    return [
        replace(passage, action="remove", too=False) if n in named else passage
        for n, passage in enumerate(passages)
    ]


def _family(passage: Passage) -> Scope:
    said = passage.slots["family"]
    return Scope("family", said.start, said.end, families=(said.value,))


def _some_that_go(folded: str) -> tuple[int, int] | None:
    """Where the number stands of how many go: "take 2 off", "3 fewer"."""
    for match in _SOME_GO.finditer(folded):
        name = next(name for name in ("qty", "several", "fewer") if match[name])
        if match[name] not in (
            "the",
            "them",
            "those",
            "it",
            "that",
            "to",
            "all",
            "off",
            "down",
            "no",
            "el",
            "los",
            "las",
        ):
            return match.span(name)
    return None
