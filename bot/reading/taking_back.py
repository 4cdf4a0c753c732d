"""The words by which a message says that it takes something back: where such a clause begins, and what kind it is.

`bot.conversation.second_thoughts` reads the clause, finds what it takes back and what stands instead.
"""

from typing import Final

from bot.reading.late import Late

_LEAD = r"(?:(?:oh|and|ok|okay|but|well|so|hmm+|also|ah|eh|uh|um|y|o|pero|bueno|oye)[ ,]+){0,3}"
_THOSE = r"(?:those|them|em|'em|it|that|these|eso|esos|esas)"
_GOES = r"(?:forget(?: about)?|drop|skip|ignore|disregard|lose|cancel|remove|delete|scrap|omit|exclude|nix|dont do|don't do|dont price|don't price|dont quote|don't quote)"
_DROPS = (
    rf"(?:{_GOES} {_THOSE}|(?:leave|take|pull|keep) {_THOSE} (?:off|out|fuera))(?![a-z])(?! (?:alone|be))"
)
_CUE: Final = (
    rf"(?!{_DROPS})"
    r"(?:no|nope|nah|wait|actually|sorry|i (?:mean|meant|lied|take)|meant|scratch|strike|oops|whoops|correction|rather|perdon|digo|mejor|miento|hold (?:on|that|up|it)|hang on|"
    r"forget|never ?mind|nvm|nix|drop|skip|ignore|disregard|lose|cancel|remove|delete|scrap|omit|exclude|leave (?:out|off)|take (?:out|off)|"
    r"(?:only|just)(?= (?:do |price |quote |need |want )?(?:the |those |\d))|(?:price|quote|do|keep|bid) (?:only|just)(?= (?:the |those ))|make (?:it|that|them|the)|everything (?:but|except)|all(?: of (?:it|that|them|those))? (?:but|except)|except|"
    r"(?:don'?t|do not|not) (?:need|want|do|price|quote|include|count|bother|the(?! \d))|"
    r"(?:bump|raise|lower|change|up|set|put|reduce|increase|cut) the|"
    r"i (?:have|had|got) (?:that|those|it|them)|(?:other way|swap|switch|flip|reverse)|on second thought|my bad|excuse me|edit|recount|turns out|(?:its|it's|they'?re|that'?s|thats|it is|they are|there'?s|theyre) (?:really|actually|wrong|only|more like|not)|"
    r"(?:the |our |los |las |el |la )?[a-z0-9][a-z0-9 ]{2,28} (?:stay|stays|belongs?|(?:is|are) (?:out|off|staying|gone|really|actually|not|wrong|more like|only)|aren'?t|isn'?t|can wait|should be|should have been|ya no|no van|miscounted)|theres? really|that should|(?:take|leave|keep|pull|get|knock) (?:the|those|our|my|los|las) [a-z ]{2,24} (?:off|out)|(?:take|knock|add|minus|less) (?=\d|one|two|three|four|the )|don'?t (?:worry|bother)|[a-z ]{3,24} (?:got|was|were|has been) (?:cut|cancel+ed|pulled)|"
    r"quita\w{0,3}|olvida\w{0,3}|borra\w{0,3}|saca\w{0,3}|solo|nomas|solamente|nada mas|(?:go with|let'?s (?:do|go with|say|make it)|call it)(?= \d)|(?:they|customer|owner|boss|client|he|she)(?: now)? (?:wants?|says?|changed)|ya no|siempre no|menos|wrong|take (?:that|it) back|without)(?![a-z])"
)
CUT = Late(
    rf"[.;!\n][.;!\n ]*(?=[^.;!?\n]{{4,60}}?(?:,| so| and|y)? {_DROPS})"
    rf"|(?:[.;!\n][.;!\n ]*(?![0-9])|, ?| ?-+>? | ?\( ?)(?={_LEAD}(?:{_CUE}|[^.;!?\n,]{{4,40}} (?:actually|instead|sorry|my mistake|my bad|after all)[ .!)]*(?:$|[.;,!\n])))"
)
"""Where a clause of second thoughts may begin."""
BY_NAME = Late(rf"{_LEAD}(?:forget|never ?mind|nvm|scratch|strike|ignore|disregard|olvida)")
"""Takes back what it names, said before or not."""
STRONG = Late(
    rf"{_LEAD}(?:no wait|wait|scratch|strike|correction|i mean|i meant|oops|sorry|actually|forget|never ?mind|nvm|ignore|disregard|hold on|on second thought|my bad|that should|wrong|digo|perdon|mejor|miento|olvida)(?![a-z])"
)
"""Leaves no doubt that something is taken back."""
CLAUSE = Late(r"[.;!?\n,] *| -+ | \( ?")
"""Ends a clause."""
ALL_OF_THAT = Late(
    r"^[ ,.-]*(?:(?:ok|okay|so|and|oh|hm+|well|actually|no|nah|nope|wait|sorry|my bad|you know what|never ?mind|pues|mejor)[ ,.!-]+){0,3}"
    r"(?:(?:ditch|scratch|forget|scrap|drop|skip|kill|cancel|nix|strike|lose|never ?mind|olvida|olvide|cancela)(?: about)? (?:that|it|those|them|this|eso|esos|esas)(?: one| stuff)?(?![a-z])|olvidalo)"
    r"|(?<![a-z])make (?:that|it|those|them) (?:a |an )?\d"
)
"""Takes back all that was said last, in a talk: "ditch that", "make that 6 wallpacks"."""
NOT_THE = Late(
    r"(?<![a-z])(?:not|no)(?: the| those| any| los| las)? (?P<what>[a-z][a-z -]{2,24}?)(?= ?(?:[,.;!?]|$))"
)
"""Denies a type by its name: "8 wallpacks not floods"."""
NOTHING_INSTEAD = Late(
    rf"{_LEAD}(?:(?:scratch|forget|strike|ignore|disregard|never ?mind) (?:that|it)|never ?mind|nvm|olvidalo|olvida eso)(?![a-z])(?! (?:thing|part|last|line|one))"
)
"""Takes back what was said last; nothing stands instead."""
INSTEAD = Late(r"(?<![a-z])(?:instead(?! of)|en su lugar|en vez de eso)(?![a-z])")
"""Puts what is described in the place of what was described before."""
