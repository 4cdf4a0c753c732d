"""Sentences that only ask: "do they come in bronze?", "will they work on 480", "did you use 11 cents". In a talk they change nothing."""

from bot.reading.late import Late

_ASKS = Late(
    r"[ ,]*(?:(?:so|and|ok|okay|hey|also|but|btw|oh|um|y|oye|thanks|thx|quick question|quick q|q|question|one question|just curious|curious|pregunta)[ ,:-]{1,3}){0,3}"
    r"(?:(?!do (?:it|that|this|them)(?![a-z]))(?:do|does|did|will|would|can|could|are|is|was|were|have|has|should) (?:they|it|these|those|that|this|the|your|those lights|any|all|you (?:use|guys|have|carry|stock|make|sell|need|offer|ship|include|figure|assume|count|take|know|get|mean)|u (?:use|have|carry|make|need))(?![a-z])"
    r"|do i |do we |are you|are u|is there|are there|is it |would (?:a |an |the )?[a-z0-9]{1,12} be (?:better|ok|okay|enough|cheaper|brighter|too)|when (?:can|will|do|would|is)|who (?:is|does|do|makes)|which (?:one|is|are)|why|what'?s (?:the|your|included|that)|whats (?:the|your|included|that)|what (?:is|are|was|were|does|do|did|kind|color|colour|size|lens|warranty)"
    r"|how (?:long|bright|big|heavy|soon|far|did|do|does|is|are|was|were|hot|old|tall)|where (?:is|are|do|does|did)|vienen |tienen |son dimeables|se pueden|sirven|cual es|cuando |quien |por que |funcionan|traen |hay en)"
)
_REQUEST = Late(
    r"(?<![a-z])(?:what if|what about|how about|can (?:you|we|u|i) (?:make|do|add|change|switch|use|go|get|have|run|price|quote|put|swap|drop|take|bump|try|see it|redo|keep)|could (?:you|we|u) (?:make|do|add|change|switch|use|go|run|price|quote|put|swap|drop|take|bump|try|redo)"
    r"|could (?:those|these|they|it|all of (?:them|those|these)|the [a-z]{3,12}(?: [a-z]{3,12})?) (?:all )?be(?! (?:ready|here|shipped|done|used|better|enough|dimm|wired|mounted|installed|replaced|in by))|podrian ser|pueden ser"
    r"|should be|will be|is now|are now|do the|do those in|do them in|do all)(?![a-z])"
)
_MARK = Late(r"[.;!?\n](?![0-9])")


def asked_only(folded: str) -> list[tuple[int, int]]:
    """The sentences of a text that ask and say nothing, as character ranges."""
    out = []
    start = 0
    for match in [*_MARK.finditer(folded), None]:
        end = match.start() if match is not None else len(folded)
        sentence = folded[start:end]
        marked = match is not None and match.group() == "?"
        if sentence.strip() and _only_asks(sentence, marked):
            out.append((start, end))
        start = end + 1
    return out


def _only_asks(sentence: str, marked: bool) -> bool:
    if _REQUEST.search(sentence):
        return False
    opened = _ASKS.match(sentence)
    if opened is None:
        # "so 458 watts each?": our own figure said back
        return marked and sentence.strip().startswith("so ") and len(sentence) < 40
    return marked or len(sentence) < 70
