"""Words at the edges of a turn that only pad it: "ok so ...", "hey, ...", "... thanks", "... if you can"."""

from bot.reading.late import Late

_HEAD = Late(
    r"[ \n]{0,4}(?:(?:ok(?:ay|ey)?|kk?|oh|ah|hey|hi|hello|hola|so|um+|uh+|hm+|alright|all right|right|well|yo|now|lets see|let's see|let me see|lemme see|listen|look|btw|by the way|"
    r"one (?:more|last|other) thing|a couple things|quick thing|quick one|quick question|another thing|bueno|oye|pues|este|mire|mira|a ver|ay|una cosa mas|otra cosa)(?: then| so| guys| there| bud| man)?"
    r"[ ,.!:;-]{1,4}(?! ))+"
)
_TAIL = Late(
    r"(?:[ ,.!-]{1,3}(?:thanks(?: a lot| so much| again| man| guys)?|appreciate (?:it|you|ya|u)|thank you|thank u|thx|tks|ty|please|pls|plz|plse|asap|if (?:you|u) can|if possible|when (?:you|u) can|when (?:you|u) get a (?:chance|sec|minute)|"
    r"ok\?|okay\?|k\?|right\?|lol|haha|i think|i guess|i believe|i suppose|for now|if thats ok|if that's ok|gracias|por favor|porfa|porfavor|creo|si se puede|cuando puedas|boss|man|bro|dude|sir|maam|ma'am|jefe|amigo))+[ .!?]{0,3}$"
)
_ENDINGS = (
    "thanks", "a lot", "so much", "again", "man", "guys", "appreciate it", "appreciate you", "appreciate ya", "appreciate u",
    "thank you", "thank u", "thx", "tks", "ty", "please", "pls", "plz", "plse", "asap", "u can", "if possible", "a chance",
    "a sec", "a minute", "ok", "okay", "k", "right", "lol", "haha", "i think", "i guess", "i believe", "i suppose", "for now",
    "thats ok", "that's ok", "gracias", "por favor", "porfa", "porfavor", "creo", "si se puede", "cuando puedas", "boss",
    "bro", "dude", "sir", "maam", "ma'am", "jefe", "amigo",
)  # fmt: skip
"""What the last word of a padded text ends in."""


def unpadded(folded: str) -> str:
    """The text with its padding blanked, places kept; the text itself where nothing else would be left.

    >>> unpadded("ok so 11 thanks")
    '      11       '
    """
    start, end = 0, len(folded)
    head = _HEAD.match(folded)
    if head is not None:
        start = head.end()
    tail = _TAIL.search(folded) if folded.rstrip(" .!?\n").endswith(_ENDINGS) else None
    if tail is not None:
        end = max(tail.start(), start)
    if (start, end) == (0, len(folded)) or not any(char.isalnum() for char in folded[start:end]):
        return folded
    return " " * start + folded[start:end] + " " * (len(folded) - end)
