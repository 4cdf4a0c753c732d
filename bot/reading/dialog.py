"""Talk about the job so far: undo, start over, a new job, back to the first; add, drop, the same but."""

import re

from bot.reading.answers import Asked
from bot.reading.clause import Work
from bot.reading.message import Command, Passage, Said, Scope

_COMMANDS: tuple[tuple[Command, re.Pattern[str]], ...] = (
    ("previous_job", re.compile(
        r"\b(?:back to|return to|go back to|switch back to|volvamos a|regresemos a|regresa a|volver a|vuelve a|de vuelta a|regresar a|lets do|reopen|pull up|bring back)"
        r" (?:the |that |my |our |el |la |lo )?(?:first|1st|original|previous|earlier|other|old|last|prior|primer|primero|primera|anterior|otro|otra)(?: one| job| quote| building| project| trabajo| cotizacion| pedido| edificio| order| list| thing)?\b(?! (?:count|number|height|color|voltage|version|figure|option))")),
    ("start_over", re.compile(
        r"\b(?:start over|start again|start from scratch|start fresh|clear (?:it|everything|all)(?: out)?|wipe (?:it|everything)|scrap (?:it all|everything|the whole thing|all of it|that whole)|forget (?:all|everything|the whole thing|it all|all of (?:it|that))|reset|begin again|from the top|empezar de nuevo|empecemos de nuevo|empieza de nuevo|empezamos de nuevo|empezar de cero|empecemos de cero|borra todo|borralo todo|olvida todo|desde cero|de nuevo desde|throw it all out|toss it all|clean slate|empieza otra vez|volver a empezar)\b")),
    ("undo", re.compile(
        r"\b(?:undo|put it back|put that back|put them back|change it back|change that back|revert|take that back|go back to (?:what|how|the way) it was|back to (?:what|how|the way) it was|back how it was|the way it was|como estaba|deshaz\w{0,3}|deshacer|regresalo|dejalo como|quita ese cambio|never ?mind that(?: last)?(?: change| one)?|cancel that(?: last)?(?: change)?|forget that(?: last)? change|scratch that last|ignore that last|ignore my last|forget (?:my|the) last|that last change|strike that last|back one step|roll (?:it |that )?back|leave it (?:how|like|as|the way) it was|as it was before|like it was before|what it was before|lo anterior estaba bien|regresa el cambio|olvida (?:eso ultimo|lo ultimo|el ultimo)|como antes)\b")),
    ("new_job", re.compile(
        r"(?:^|[.!\n;] ?|\b(?:ok|okay|and|now|also|hey|so|y|ahora|bueno|next|alright|well|then),? )(?:(?:a |another |start a |start |i have a |ive got a |got a |its a |this is a |different |separate |brand |el |un |una |otro |otra |heres a |here is a |got another |have another |i got a |we have a |need a |can you do a |do a )*)"
        r"(?:new job|new quote|new project|new building|different building|different job|different project|separate quote|separate job|other job|next job|another job|another quote|another project|different quote|new one|new customer|different customer|different site|trabajo nuevo|nuevo trabajo|otro trabajo|otra cotizacion|nueva cotizacion|cotizacion nueva|otro proyecto|nuevo proyecto|proyecto nuevo|otro edificio|edificio distinto|otro cliente|cotizacion aparte|fresh quote|fresh job|second job|unrelated job|separate project|separate building|totally different|completely different|nuevo pedido)\b")),
)  # fmt: skip
_COPY = re.compile(
    r"\b(?:same (?:thing |setup |deal |lights? |fixtures? |again |ones? |type |exact )?(?:for|in|at|on|over|but|as)|same (?:thing|setup|deal|again)|(?:lo )?mismo (?:para|en)|igual (?:para|en)|duplicate|copy that|repeat that|do the same|another (?:set|batch)|los mismos (?:para|en)|las mismas (?:para|en))\b"
)
_ORDINALS = {
    "first": 0, "1st": 0, "second": 1, "2nd": 1, "third": 2, "3rd": 2, "fourth": 3, "4th": 3, "fifth": 4, "last": -1,
    "primero": 0, "primera": 0, "segundo": 1, "segunda": 1, "tercero": 2, "tercera": 2, "ultimo": -1, "ultima": -1, "primer": 0, "tercer": 2,
}  # fmt: skip
_ORDINAL = re.compile(
    r"\b(?:the |el |la |los |las |on |that |those )?(first|1st|second|2nd|third|3rd|fourth|4th|fifth|last|primer[oa]?|segund[oa]|tercer[oa]?|ultim[oa])(?: one| ones| line| type| item| set| group| batch| fixture| linea)(?![a-z])|\b(?:line|item|linea|number|type) ?(?:#|no\.? ?)?([1-9])\b"
)
_REMOVE_AFTER = re.compile(r"\b(?:got|were|are|been|already|have been) (?:already )?(?:replaced|done|changed|swapped|gone|removed|taken down)|no longer|take (?:those|them|it|em) (?:off|out)|dont need|closed|off the list")


def command_of(work: Work) -> tuple[Command | None, int]:
    """The command that a message gives, and where its words end; ``None`` and 0 where it gives none."""
    for command, pattern in _COMMANDS:
        match = pattern.search(work.folded)
        if match is None:
            continue
        for index, atom in enumerate(work.atoms):
            if atom.start < match.end() and atom.end > match.start() and atom.kind != "b":
                work.used[index] = 1
        return command, match.end()
    return None, 0


def ordinal_scope(work: Work) -> Scope | None:
    """"the second one", "line 2", "the last one"."""
    match = _ORDINAL.search(work.folded)
    if match is None:
        return None
    number = _ORDINALS[match[1]] if match[1] else int(match[2]) - 1
    return Scope("ordinal", match.start(), match.end(), ordinal=number)


def _action_at(work: Work, stop: int) -> str | None:
    """The action that the words before character ``stop`` announce."""
    found: str | None = None
    for atom in work.atoms:
        if atom.start >= stop:
            break
        actions = atom.mean.get("action", ())
        for name in ("remove", "add", "change"):
            if name in actions:
                found = name
                break
    return found


def passages_in_conversation(work: Work, passages: list[Passage], asked: Asked) -> list[Passage]:
    """Give each passage its action and scope: a new type, a change of what is there, a copy, a removal."""
    copy = _COPY.search(work.folded)
    ordinal = ordinal_scope(work)
    out: list[Passage] = []
    removed_whole = bool(_REMOVE_AFTER.search(work.folded))
    for passage in passages:
        slots = passage.slots
        if copy is not None and passage.action == "state" and "family" not in slots and not any(done.action == "copy" for done in out):
            out.append(Passage("copy", slots, passage.scope))
            continue
        if passage.scope is not None:
            action = passage.action
            out.append(Passage(action, slots, passage.scope))
            continue
        if passage.action == "remove":
            out.append(passage)
            continue
        start = min((said.start for said in slots.values()), default=0)
        action_word = _action_at(work, start + 1)
        described = "family" in slots or "size" in slots
        if described and "qty" in slots and action_word != "remove":
            out.append(Passage("add" if action_word == "add" else "state", slots, None))
            continue
        if described and action_word == "add" and len(slots) > 1:
            out.append(Passage("add", slots, None))
            continue
        if ordinal is not None:
            out.append(Passage("change", slots, ordinal))
            continue
        if described:
            families = (slots["family"].value,) if "family" in slots else ()
            if families:
                said = slots["family"]
                rest = {slot: value for slot, value in slots.items() if slot != "family"}
                kind = "remove" if action_word == "remove" else "state"
                if kind == "remove":
                    out.append(Passage("remove", {slot: value for slot, value in rest.items() if slot == "qty"}, Scope("family", said.start, said.end, families=families)))
                else:
                    out.append(Passage("state", slots, Scope("family", said.start, said.end, families=families)))
                continue
        scope = asked.scope() if asked.slot in slots else None
        out.append(Passage("change", slots, scope))
    if copy is not None and not any(passage.action == "copy" for passage in out):
        out.append(Passage("copy", {}, None))
    if not out and removed_whole and ordinal is not None:
        out.append(Passage("remove", {}, ordinal))
    return out


def said_true(start: int, end: int, rule: str) -> Said:
    """A slot that is simply true."""
    return Said(True, start, end, rule=rule)
