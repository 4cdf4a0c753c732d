"""What is said of whole jobs: undo, start over, a new job, back to an earlier one."""

import re

from bot.reading.clause import Work
from bot.reading.late import Late
from bot.reading.message import Command, Known

_NOUN = r"(?:job|quote|project|building|bldg|customer|client|site|ticket|bid|order|estimate|list|location|facility|property|trabajo|cotizacion|proyecto|edificio|cliente|pedido|obra|presupuesto)"
_EARLIER = (
    r"(?:first|1st|original|previous|earlier|other|old|last|prior|primer[oa]?|anterior|otr[oa]|initial)"
)
_ENDS = r"(?= ?(?:$|[.,;:!?\n-]| (?:too|also|as well|here|for you|for|and|now|please|pls|para|con|i |we |with|is|has|need|en )))"
_COMMANDS: tuple[tuple[Command, Late], ...] = (
    ("previous_job", Late(
        r"(?<![a-z])(?:(?:go |going |get |getting |switch |switching |jump |come |coming |now |lets go |let's go |lets get )?back (?:to|on)|back al|back a la|return(?:ing)? to|volv\w{2,5} (?:a|al)|regres\w{1,5} (?:a|al)|vuelve a|vuelta a|vuelta al|de regreso a|de regreso al|lets do|reopen|pull up|bring (?:up|back))"
        rf" ?(?:the |that |my |our |el |la |lo )?(?:{_EARLIER}(?: one| {_NOUN}| thing)?(?![a-z])(?! (?:count|number|height|color|voltage|version|figure|option|way))|{_NOUN} ?#?(?:1|one|uno|a)(?![a-z0-9])|(?:[a-z]{{3,14}} ){{1,2}}(?:job|quote|project|order|bid|trabajo|cotizacion|proyecto)(?![a-z]))"
        rf"|(?<![a-z])(?:on|for|about|en|para|sobre|de) (?:the|that|my|el|la|esa|ese) (?:very )?(?:first|1st|original|previous|earlier|prior|primer[oa]?|anterior) {_NOUN}(?![a-z])"
        rf"|(?:^ *|[.,;!\n] ?|\bok(?:ay)? |\bnow |\band )(?:the |that |el |la )?(?:first|1st|original|previous|earlier|prior|primer[oa]?|anterior) (?:(?:one|{_NOUN}) again|{_NOUN}(?= ?[:,.-]))")),
    ("start_over", Late(
        r"\b(?:start(?:ing)? over|start again|start from scratch|start fresh|clear (?:it|everything|all)(?: out)?|wipe (?:it|everything)|(?:scrap|scratch|forget|toss|drop|kill|nix) (?:it all|everything(?! (?:but|except))|the whole thing|all of it|(?:that|this) whole (?:thing|mess|list|order|quote|job))|forget (?:all(?! but)|everything(?! (?:but|except))|the whole thing|it all|all of (?:it|that))|"
        r"(?:scratch|delete|trash|dump|nuke|kill|erase|toss) (?:everything|it all|all (?:of )?(?:it|that)|the whole thing)(?! (?:but|except))|nuke it|reset|begin again|from the top|empezar de nuevo|empecemos de nuevo|empieza de nuevo|empezamos de nuevo|empezar de cero|empecemos de cero|"
        r"borra todo|borralo todo|olvida todo|desde cero|de nuevo desde|throw (?:it|that) (?:all )?out|toss it all|clean slate|empieza otra vez|volver a empezar)\b(?! (?:but|except|menos))")),
    ("undo", Late(
        r"\b(?:undo|take back (?:that|the|my|what) ?(?:last|i (?:just )?said)?|(?:put|bring|add) (?:it|that|them|em|those|these) back(?: in| on)?|change it back|change that back|revert|take that back|go back to (?:what|how|the way) it was|back to (?:what|how|the way) it was|back how it was|the way it was|como estaba|deshaz\w{0,3}|deshacer|regresalo|dejalo como|quita ese cambio|"
        r"never ?mind (?:that(?: last)?(?: change| one)?|the change|the last change)|cancel that(?: last)?(?: change)?|forget that(?: last)? change|scratch that last|ignore that last|ignore my last|forget (?:my|the) last|that last change|strike that last|back one step|roll (?:it |that )?back|"
        r"leave it (?:how|like|as|the way) it was|as it was before|like it was before|what it was before|keep it like (?:before|it was)|lo anterior estaba bien|regresa el cambio|olvida (?:eso ultimo|lo ultimo|el ultimo)|como antes)\b(?! (?:at|to|on|up|in|a) \d)"
        r"|^ *(?:(?:no|ok|okay|oops|actually|wait|hmm|that was wrong|my bad|ay no|no no)[ ,.]{1,2}){0,3}(?:go back|leave it(?: alone)?|scratch that|strike that|i take (?:it|that) back|dejalo asi como estaba|nvm that)(?: please| then| pls)?[ .!]{0,3}$")),
    ("new_job", Late(
        r"(?:^ *|[.,;!\n?] ?|[ .,!] ?- |\b(?:ok|okay|oh|um|uh|hmm|alrighty|and|now|also|hey|so|y|ahora|bueno|next|alright|well|then|have|got|start|starting|need|do|its|it's|this is|is|for|to|quote|price|es|para|tengo|con|hay),? )(?:(?:a|an|another|yet another|one more|otro|otra|one|you|me|el|un|una|the|my|completely|totally|brand|whole|heres|this|ok) ){0,3}"
        rf"(?:(?:new|different|diff|diffrent|separate|seperate|unrelated|fresh|nuev[oa]|distint[oa]|aparte)(?: (?:separate|unrelated|different|new))? (?:{_NOUN}(?! (?:has|gets?|needs?) )|one(?= ?[:,.;]| for you))"
        rf"|(?:another|second|2nd|next|other|otr[oa]|segund[oa]) (?:job|quote|project|customer|client|ticket|bid|estimate|site|trabajo|cotizacion|proyecto|cliente|pedido|obra|presupuesto)(?! (?:has|gets?|needs?) ){_ENDS}"
        rf"|(?:another|next|other|otro) (?:building|bldg|edificio|location|facility|property)(?= ?[:;,.]| now)(?![:;,. ]{{1,3}}(?:(?:with |has |has got |needs |got )?(?:all |exactly )?(?:the |lo |los |las |el |la )?(?:same|mism[oa]s?|igual))(?![a-z]))"
        rf"|(?:next|another) one(?= ?:| for you)|{_NOUN} (?:nuev[oa]|aparte|distint[oa])|(?:job|quote|project|trabajo|cotizacion) ?#? ?(?:2|3|two|three|dos)(?= ?[:,.-])|unrelated(?= ?[:,.])|(?:totally|completely) (?:different|separate|unrelated)(?: thing| one)?)(?![a-z])")),
)  # fmt: skip


_NEW_JOB = re.compile(
    rf"(?<![a-z])(?:new|different|otr[oa]|nuev[oa]) {_NOUN}(?![a-z])|{_NOUN} nuev[oa](?![a-z])"
)


_JOB_CALLED = Late(
    r"(?<![a-z])(?:(?:(?:go |going |get |getting |switch |switching |jump |come |coming |now )?back (?:to|on)|return(?:ing)? to|switch(?:ing)? to|volv\w{2,5} (?:a|al)|regres\w{1,5} (?:a|al)|de regreso (?:a|al)|as for)"
    rf"|(?P<loose>(?:^|(?<=[.,;!] ))(?:ok |so |and |oh |now )?(?:for|on|about|para|en)))(?: the| that| my| our| la| el)? (?P<name>[a-z0-9][a-z0-9 '&-]{{1,34}}?)(?P<noun> {_NOUN}| one| thing| lights)?"
    r"(?= ?(?:[.,:;!?\n-]|$)| (?:those|they|these|it|its|it's|is|are|now|and|please|pls|again|make|we|i|has|have|need|needs|for)(?![a-z]))"
)


def job_called(work: Work, known: Known | None) -> tuple[int, int, int] | None:
    """The number of the other job that a message goes back to by its name, and the characters that say so."""
    if known is None or not known.jobs:
        return None
    for match in _JOB_CALLED.finditer(work.folded):
        if match["loose"] and not match["noun"]:
            continue
        start, end = match.span("name")
        words = {word for word in match["name"].split() if len(word) > 2}
        for atom in work.atoms:
            if start <= atom.start < end:
                words.update(
                    str(atom.mean[kind])
                    for kind in ("family", "family_weak", "building")
                    if kind in atom.mean
                )
        fitting = [number for number, named in known.jobs if not words.isdisjoint(named)]
        if len(fitting) == 1 and words.isdisjoint(known.words):
            return fitting[0], match.start(), match.end()
    return None


def command_of(work: Work) -> tuple[Command | None, int]:
    """The command that a message gives, and where its words end; ``None`` and 0 where it gives none."""
    for command, pattern in _COMMANDS:
        match = pattern.search(work.folded)
        if match is None:
            continue
        if command == "start_over" and (anew := _NEW_JOB.search(work.folded, match.end())) is not None:
            command, match = "new_job", anew  # "forget all that. new job: ..."
        for index, atom in enumerate(work.atoms):
            if atom.start < match.end() and atom.end > match.start() and atom.kind != "b":
                work.used[index] = 1
        return command, match.end()
    return None, 0
