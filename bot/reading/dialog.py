"""Talk about the job so far: undo, start over, a new job, back to the first; add, drop, the same but."""

from bisect import bisect_left
from dataclasses import replace

from bot.reading.answers import Asked
from bot.reading.clause import Work, ends_clause
from bot.reading.intents import short_answer
from bot.reading.labels import Label, labels_of
from bot.reading.late import Late
from bot.reading.lines import public
from bot.reading.message import Known, Passage, Reply, Said, Scope
from bot.reading.ordinals import ORDINALS, ordinal_scope, second_ordinal
from bot.reading.sameness import same_as
from bot.reading.unnamed_sorts import another_lamp, begins_with_and, of_another_sort

_COPY = Late(
    r"\b(?:same (?:thing |setup |deal |lights? |fixtures? |again |ones? |type |exact )?(?:for|in|at|on|over|but|as)|same (?:thing|setup|deal|again)|(?:lo )?mismo (?:para|en)|igual (?:para|en)|duplicate|(?:has|have|gets?|needs?|with|uses?) the same(?! (?:time|thing))|copy that|repeat that|do the same|another (?:set|batch)|los mismos (?:para|en)|las mismas (?:para|en))\b"
    r"|(?<=[a-z0-9])(?<!stay)(?<!stays)(?<!staying)(?<!remain)(?<!remains)(?<!kept)(?<!keep)(?<!are)(?<!is)(?<!were)(?<!them)(?<!it)(?<!those)(?<!all)(?<!rest)(?<!else)(?<!the)(?: ?[:,-] ?| )(?:the )?same(?: (?:again|thing|count|qty|quantity|number))?(?= ?(?:$|[.,;!]| (?:but|except|only|with|just)(?![a-z])))|(?<![a-z])(?:mismo|igual|ditto)(?= ?(?:$|[.,;!]))"
)
_REMOVE_AFTER = Late(
    r"\b(?:(?:dont|don't|do not) (?:need|have) to be (?:on|in|there|included|quoted)|not (?:doing|replacing|touching|changing|quoting)|any ?more\b|com(?:e|es|ing) off|can wait|next year|(?:a )?(?:different|separate|another) (?:budget|job|quote)|some other time|separately|el proximo ano|out of scope|off the table|on hold|not part of|not happening|is out\b|are out\b|r out\b)|\b(?:got|were|was|is|are|been|already|have been|has been) (?:cut|cancel+ed|scrapped|dropped|axed|pulled)(?![a-z])|\b(?:somebody|someone|another (?:guy|contractor)) else (?:has|does|is doing|did)\b|\b(?:got|were|are|been|already|have been) (?:already )?(?:replaced|done|changed|swapped|gone|removed|taken down)|no longer|(?:take|leave|keep) (?:those|them|it|em|that|these) (?:off|out)|(?:dejalos|dejalas|los dejamos|las dejamos|se quedan) fuera|siempre no|ya no(?= ?(?:$|[.,;!]))|ya no (?:van|va|se (?:hacen|hace|cotizan|ocupan|necesitan))|dont need|closed|off the list|(?<=s) gone\b(?: from)?"
)


_OF_EACH = Late(r"(?<![a-z])(?:of each|of both|each of them|de cada (?:uno|una)|each)(?![a-z])")
_EACH_TYPE = Late(
    r"(?<![a-z])(?:of each|of both|of all|on each|each type|per type|de cada (?:uno|una|tipo))(?![a-z])(?! of)"
)
_OF_THEM = Late(
    r"[a-z0-9]{1,9} (?:of (?:them|em|'em|those|these|the)|de (?:ellos|ellas|esos|esas|los|las))(?![a-z])"
)
_PLACE_HAS = Late(
    r"(?:[a-z]{3,12}) (?:has|have|gets|needs|takes|tiene|lleva|ocupa|got)(?: (?:about|another|like|also))? $"
)
_HAS = Late(r"(?: (?:also|still|only|just))? (?:has|have|gets|needs|takes|tiene|lleva|ocupa|got)(?![a-z])")
_TO_N = Late(r"(?<![a-z])to (?:about |like |around )?\d")


_SETS = frozenset({"make it", "make that", "make them", "should be", "its", "it's", "they're", "theyre"})


def _action_at(work: Work, start: int) -> str | None:
    """The action that the words just before character ``start`` announce, within the same clause."""
    at = bisect_left(work.atoms, start, key=lambda atom: atom.start) - 1
    joined = False
    while at >= 0:
        atom = work.atoms[at]
        if ends_clause(atom) or (atom.kind == "s" and atom.text == ","):
            return None
        if (
            joined is False
            and atom.text in _SETS
            and at + 1 < len(work.atoms)
            and work.atoms[at + 1].kind == "n"
        ):
            return "change"  # "also make it 20" adds none
        if atom.text in ("do", "use") and at + 1 < len(work.atoms) and work.atoms[at + 1].kind == "n":
            return None  # "scrap the wall packs, we'll do 10 sconces"
        actions = atom.mean.get("action", ())
        for name in ("remove", "add", "change"):
            if name in actions:
                return name if name == "add" or not joined else None
        joined = joined or "join" in atom.mean
        at -= 1
    return None


_MORE = Late(
    r"(?<![a-z0-9])(?:\d{1,5}|one|two|three|four|five|six|seven|eight|nine|ten|twelve|couple|few|dozen|uno|dos|tres|cuatro|cinco|seis|diez) (?:more|mas|extra)(?![a-z])(?! o menos| or less| like| thing| question)|(?<![a-z])(?:another|additional|extra|otr[oa]s) \d{1,5}|\d{1,5} (?:extra|additional) |(?<![a-z0-9.] )(?<![0-9.a-z])\+ ?\d{1,4}(?![\d.]| ?(?:cri|k|v|w|ft|%))|(?<=[a-z] )\+ ?\d{1,4}[ .!]{0,3}$"
)


def _same_slots(work: Work) -> tuple[str, ...]:
    """Slots that are as before: "same voltage", "same lamp and height"."""
    out: list[str] = []
    past = 0
    for index in range(len(work.atoms)) if work.speaks_of("scope") else ():
        if index >= past and work.has(index, "scope") == "same":
            named, last = same_as(work, index)
            past = last + 1
            out.extend(slot for slot in named if slot not in out)
    return tuple(out)


def _with_denied(work: Work, slots: dict[str, Said], alone: bool = True) -> dict[str, Said]:
    """Mark the values that the writer says it is not."""
    denied = work.flags.get("denied", [])
    out = dict(slots)
    without = tuple(work.flags.get("without", ()))
    if without and "controls" in out and (alone or out["controls"].value == ("none",)):
        out["controls"] = replace(out["controls"], without=without)
    for slot, value in denied:
        if slot in out and out[slot].value != value:
            out[slot] = replace(out[slot], instead_of=value)
    return out


_PLACE_NEEDS = Late(
    r"(?:(?:and|also|oh|plus|the|our|my|ok|so)[ ,]{1,2}){0,3}(?P<place>(?!we |they |it |i |you |customer |owner |job |boss |client |he |she |that |this |there )[a-z]{3,14}(?: [a-z]{3,12}){0,2}) (?:needs?|has|gets?|wants?|takes?|is getting) (?:about |like )?(?:\d{1,4}|a dozen|[a-z]{3,6}) [a-z -]{3,24}(?:too|as well|also|same (?:kind|type|ones?|thing|deal))(?![a-z])"
)


def _at_new_place(passage: Passage, said: int, labels: list[Label]) -> Passage:
    """What differs at the place that a copy is for: "same thing for the overflow lot but 8" speaks of no lot lights."""
    scope = passage.scope
    if (
        scope is None
        or passage.action != "change"
        or scope.kind != "family"
        or not public(passage.slots)
        or not any(
            label.start <= scope.start and scope.end <= label.end and 0 <= label.start - said <= 24
            for label in labels
        )
    ):
        return passage
    return replace(passage, action="state", scope=None)


def passages_in_conversation(
    work: Work, passages: list[Passage], asked: Asked, known: Known | None = None
) -> list[Passage]:
    """Give each passage its action and scope: a new type, a change of what is there, a copy, a removal."""
    folded = work.folded
    copy = _COPY.search(folded)
    labels = labels_of(folded)
    new = _new_places(labels, known)
    elsewhere = bool(new)
    if copy is None and elsewhere:
        copy = _SAME_THERE.search(folded)
        if copy is not None:
            passages = _one_copy(passages)
    if copy is not None and not elsewhere and _carried_over(passages, known, copy.group()):
        copy = None
    if copy is not None and elsewhere:
        passages = [_at_new_place(passage, copy.end(), new) for passage in passages]
    elif copy is None and (needing := _PLACE_NEEDS.match(folded)) is not None and known is not None:
        # "shipping side needs 12 high bays too, same kind"
        passages = [
            Passage("copy", passage.slots, None, labels=(needing["place"],))
            if passage.action == "state"
            and public(passage.slots).keys() == {"qty", "family"}
            and passage.slots["family"].value in known.families
            else passage
            for passage in passages
        ]
        if any(passage.action == "copy" for passage in passages):
            return [
                replace(
                    passage,
                    slots={"qty": passage.slots["qty"]},
                    scope=Scope(
                        "family",
                        passage.slots["family"].start,
                        passage.slots["family"].end,
                        families=(passage.slots["family"].value,),
                    ),
                )
                if passage.action == "copy"
                else passage
                for passage in passages
            ]
    ordinal = ordinal_scope(work)
    more = bool(_MORE.search(folded))
    gone_at = [match.start() for match in _REMOVE_AFTER.finditer(folded)]
    gone = bool(gone_at)
    scopes_at = sorted(passage.scope.end for passage in passages if passage.scope is not None)
    same = _same_slots(work)
    places = [label for label in labels if not label.stands]
    counted = known is not None and all("qty" in line for line in known.lines)
    speaking = sum("controls" in passage.slots for passage in passages)
    out: list[Passage] = []
    for passage in passages:
        slots = _with_denied(work, passage.slots, speaking < 2)
        start = min((said.start for said in slots.values()), default=0)
        nearest = bisect_left(places, start - 59, key=lambda label: label.start)
        near = (
            (places[nearest].words,) if nearest < len(places) and places[nearest].start - start < 60 else ()
        )
        if (
            copy is not None
            and passage.action == "state"
            and passage.scope is None
            and not any(done.action == "copy" for done in out)
        ):
            scope = None
            if "family" in slots:
                said = slots.pop("family")
                scope = Scope("family", said.start, said.end, families=(said.value,))
            if scope is None and _OF_EACH.search(folded):
                scope = Scope("all", copy.start(), copy.end())
            out.append(Passage("copy", slots, scope, labels=tuple(label.words for label in labels)[:1]))
            continue
        if passage.scope is not None or passage.action == "remove":
            slots = public(slots)
            if (
                passage.action == "change"
                and slots.keys() == {"qty"}
                and folded[: slots["qty"].start].rstrip(" ").endswith("+")
            ):
                passage = replace(passage, action="add", more=True)  # "canopy +2"
            if (
                not slots
                and passage.action == "change"
                and passage.scope is not None
                and (_goes(passage.scope, gone_at, scopes_at) or _gone_behind(passage.scope, folded))
            ):
                passage = replace(passage, action="remove")
            out.append(replace(passage, slots=slots))
            continue
        action_word = _action_at(work, start + 1)
        described = "family" in slots or "size" in slots
        if described and gone and "family" in slots and not asked.path:
            said = slots["family"]
            kept = {slot: value for slot, value in slots.items() if slot == "qty"}
            out.append(Passage("remove", kept, Scope("family", said.start, said.end, families=(said.value,))))
            continue
        if described and action_word == "remove" and "family" in slots:
            said = slots["family"]
            kept = {slot: value for slot, value in slots.items() if slot == "qty"}
            out.append(Passage("remove", kept, Scope("family", said.start, said.end, families=(said.value,))))
            continue
        if action_word == "add" and known is not None and (those := _those_there(slots, folded, known)):
            out.append(those)
            continue
        if described and ("qty" in slots or (action_word == "add" and len(slots) > 1)):
            too = ""
            if near and any(label.words in near for label in new):
                too = _there_too(slots, folded, known)
            if too == "same":
                said = slots.pop("family")
                of = Scope("family", said.start, said.end, families=(said.value,))
                out.append(Passage("copy", slots, of, labels=near))
                continue
            action = "add" if action_word == "add" or more or too else "state"
            out.append(Passage(action, slots, None, labels=near, more=more, same=same))  # type: ignore[arg-type]
            continue
        if ordinal is not None:
            out.append(Passage("change", slots, ordinal))
            if (second := second_ordinal(work, ordinal)) is not None:
                out.append(Passage("change", slots, second))
            continue
        if described:
            out.append(Passage("state", slots, None, labels=near, same=same))
            continue
        if (
            "qty" in slots
            and (
                action_word == "add"
                or (action_word is None and asked.slot != "qty" and _ENDS.match(folded[slots["qty"].end :]))
            )
            and {"qty"} < public(slots).keys() <= _FITTED
            and _TO_SO_MANY.search(folded[: slots["qty"].start])
        ):
            out.append(Passage("split", slots, None))  # "add battery backup to 4"
            continue
        if "qty" in slots and action_word is None and begins_with_and(folded, slots["qty"]):
            lamp = another_lamp(slots, known)
            action_word = "add" if lamp or (counted and of_another_sort(work, slots["qty"])) else None
        if "qty" in slots and action_word == "add" and not more and of_another_sort(work, slots["qty"]):
            out.append(Passage("add", slots, None, labels=near))
            continue
        if (
            elsewhere
            and public(slots).keys() == {"qty"}
            and _PLACE_HAS.search(folded[: slots["qty"].start])
            and (
                named := [
                    label
                    for label in labels
                    if slots["qty"].start - 24 <= label.end <= slots["qty"].start
                    and _HAS.match(folded[label.end : slots["qty"].start])
                ]
            )
        ):
            # "the warehouse has 44": the same in a place that no line goes by; "... has 10 of them": some of those there are
            shared = _OF_THEM.match(folded, slots["qty"].start)
            out.append(Passage("copy" if shared is None else "split", slots, None, labels=(named[-1].words,)))
            continue
        if (
            "qty" in slots
            and action_word == "add"
            and (len(public(slots)) > 1 or (near and any(label.words in near for label in new)))
        ):
            # "there's also 4 at the back on 20 ft poles", "also 16 in stairwells": the same type, told apart
            out.append(Passage("copy", slots, None, labels=near))
            continue
        if "qty" in slots and (
            more
            or (
                action_word == "add"
                and public(slots).keys() == {"qty"}
                and "more like" not in folded
                and not _TO_N.search(folded)
            )
        ):
            each = _EACH_TYPE.search(folded)
            scope = Scope("all", each.start(), each.end()) if each is not None else None
            out.append(Passage("add", slots, scope, more=True))
            continue
        out.append(Passage("change", slots, None))
    if copy is not None and not any(passage.action == "copy" for passage in out):
        words = tuple(label.words for label in labels)[:1]
        if words or copy.group().startswith(("duplicate", "copy", "repeat", "another", "do the same")):
            out.append(Passage("copy", {}, None, labels=words))
    out = _said_of_copy(_copied_of(out))
    if not out and ordinal is not None:
        remove = gone or any("remove" in atom.mean.get("action", ()) for atom in work.atoms)
        out.append(Passage("remove" if remove else "change", {}, ordinal))
    return out


def _those_there(slots: dict[str, Said], folded: str, known: Known) -> Passage | None:
    """What is said of types that are there, counted as they are: "add photocells to the 4 packs"."""
    count, family = slots.get("qty"), slots.get("family")
    if count is None or family is None or not folded[: count.start].endswith("the "):
        return None
    there = [line.get("qty") for line in known.lines if line.get("family") == family.value]
    rest = {slot: said for slot, said in slots.items() if slot not in ("qty", "family")}
    if there != [count.value] or not rest or not public(rest).keys() <= _FITTED:
        return None
    return Passage("change", rest, Scope("family", family.start, family.end, families=(family.value,)))


_ENDS = Late(r" ?(?:$|[.;!\n])")
_FITTED = frozenset({"qty", "controls", "emergency_backup", "dark_sky", "finish", "optic"})
_TO_SO_MANY = Late(r"(?<![a-z])(?:to|on|in|for|a|en)(?: just| only| about| the)? $")


def _goes(scope: Scope, gone_at: list[int], scopes_at: list[int]) -> bool:
    """Whether words that take types away are said of this scope: no other one stands between, or none stands before them."""
    return any(
        not any(scope.end < other <= at for other in scopes_at) if at >= scope.end else at < scopes_at[0]
        for at in gone_at
    )


def _copied_of(passages: list[Passage]) -> list[Passage]:
    """Where the type that is copied was only named ("has the same garage lights but 20 of them") it is what the copy is of."""
    copies = [n for n, passage in enumerate(passages) if passage.action == "copy" and passage.scope is None]
    named = [
        n
        for n, passage in enumerate(passages)
        if passage.action == "change"
        and passage.scope is not None
        and passage.scope.kind == "family"
        and not passage.slots
    ]
    if len(copies) != 1 or len(named) != 1:
        return passages
    out = [passage for n, passage in enumerate(passages) if n != named[0]]
    at = out.index(passages[copies[0]])
    out[at] = replace(out[at], scope=passages[named[0]].scope)
    return out


_SAME_THERE = Late(
    r"(?<![a-z])(?:same (?:[a-z0-9-]{2,14} ){1,4}?(?:for|in|at|over|on) |of the same(?! (?:time|thing))|(?:is|are) the same as|just like (?:those|these|that|the)|identical|iguales|igual que|los mism[oa]s|las mismas)"
)


_SAME_KIND = Late(
    r"(?<![a-z])(?:same (?:kind|type|thing|deal|ones?|style|setup|lights?|fixtures?|lamps?|story|as (?:the )?(?:others?|rest|first))|identical|los mism[oa]s|del mismo)(?= ?(?:$|[.,;!]| (?:but|and|just)(?![a-z])))"
)
_THERE_TOO = Late(r"(?<![a-z])(?:too|also|as well|tambien)(?![a-z])")
_GONE_BEHIND = Late(
    r" (?:are |is |were |be |to be |need to |needs? to |should |all |have |has |got |get |estan ){0,3}(?:back )?(?:gone|go(?:es)? away|went away|not happening|(?:isnt|isn't|arent|aren't|aint|ain't|wont be) (?:happening|needed|going in|part of it)|cancel?led|scrapped|postponed|nixed|on hold|a no go|history|out|off|dropped|removed|cut|pulled|deleted|struck|scratched|eliminated|fuera)"
    r"(?:(?: (?:of|from|off|in|on|de))? (?:this|it|that|here|there|(?:the |this |that |my |our |el |la )?(?:quote|job|list|order|bid|price|proposal|pricing|count|project|scope|mix|cotizacion|lista|pedido)))?(?: again)?(?: please| pls| now| then| too| completely| altogether| entirely)?(?= *(?:$|[.,;!\n]| and | y | but ))"
)


def _there_too(slots: dict[str, Said], folded: str, known: Known | None) -> str:
    """What is said of a type that is there and is counted in a new place: "same" kind there, or only "too"."""
    family = slots["family"].value if "family" in slots else None
    if known is None or family not in known.families:
        return ""
    if _SAME_KIND.search(folded) is not None and not slots.keys() & {"source", "watts"}:
        return "same"
    return "too" if _THERE_TOO.search(folded) is not None else ""


def _gone_behind(scope: Scope, folded: str) -> bool:
    """Whether the words behind a type take it away: "wants the 400s gone from this"."""
    return _GONE_BEHIND.match(folded[scope.end : scope.end + 90]) is not None


def _said_of_copy(passages: list[Passage]) -> list[Passage]:
    """What is said behind a copy and names no type is said of it: "same for the annex but 8, and they are 250s"."""
    out: list[Passage] = []
    for passage in passages:
        before = out[-1] if out else None
        if (
            before is not None
            and before.action == "copy"
            and passage.action == "change"
            and (passage.scope is None or passage.scope.kind == "that")
            and passage.slots
            and not before.slots.keys() & passage.slots.keys()
        ):
            out[-1] = replace(before, slots={**before.slots, **passage.slots})
        else:
            out.append(passage)
    return out


def _new_places(labels: list[Label], known: Known | None) -> list[Label]:
    """The places named by which no line goes yet."""
    mine = {word for words in (known.labels if known is not None else ()) for word in words}
    return [label for label in labels if label.words not in mine]


def _one_copy(passages: list[Passage]) -> list[Passage]:
    """What is said of one type that is the same elsewhere, as one description: "same wallpacks for the annex but 5"."""
    slots: dict[str, Said] = {}
    families = set()
    for passage in passages:
        if passage.action not in ("state", "change", "add"):
            return passages
        slots |= passage.slots
        if "family" in passage.slots:
            families.add(passage.slots["family"].value)
        if passage.scope is not None:
            if passage.scope.kind != "family" or len(passage.scope.families) != 1:
                return passages
            family = passage.scope.families[0]
            families.add(family)
            slots.setdefault("family", Said(family, passage.scope.start, passage.scope.end))
    return [Passage("state", slots)] if len(families) == 1 else passages


def _carried_over(passages: list[Passage], known: Known | None, copied: str) -> bool:
    """Whether "same for the floods" names types that are there: then what was said holds for them, and nothing is copied."""
    if known is None:
        return False
    if copied.startswith(("same", " same", "the same", " the same", ":", " :", ",", "-", " -")) and any(
        passage.scope is not None
        and passage.slots
        and "qty" not in passage.slots
        and any(set(passage.scope.labels) & set(labels) for labels in known.labels)
        for passage in passages
    ):
        return True  # "back ones same but 277"
    return any(
        passage.scope is not None
        and not passage.slots
        and (
            bool(known.families & set(passage.scope.families))
            or any(set(passage.scope.labels) & set(labels) for labels in known.labels)
            or passage.scope.kind == "others"
        )
        for passage in passages
    ) and not any("qty" in passage.slots for passage in passages)


def reply_of(work: Work, asked: Asked) -> Reply | None:
    """A bare answer: yes, no, not known, the first or the second of what was offered."""
    folded = work.folded
    end = len(folded)
    kind = short_answer(folded)
    if kind is None:
        if asked.path and (match := _NTH.fullmatch(folded.strip(" .!"))):
            return Reply("nth", 0, end, ORDINALS[match[1]])
        return None
    if kind == "unsure":
        return Reply("unknown", 0, end)
    return Reply(kind, 0, end)


_NTH = Late(
    r"(?:the |el |la |lo )?(first|1st|second|2nd|third|3rd|last|primer[oa]?|segund[oa]|tercer[oa]?|ultim[oa])(?: one| option)?(?: please)?"
)
