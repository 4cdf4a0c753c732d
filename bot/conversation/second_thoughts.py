"""A first message that takes back what it said: "6 wallpacks, 2 floods. Scratch the floods", "5 packs and 4 floods, I have that backwards".

What is taken back is said of types that stand already, as in a later message: the opening is cut where a clause of second thoughts
begins, and the clause is read and folded as one more message of the conversation. Three things must be plain, else the message is read
in one piece: that something is taken back (a cue), what it is (every part of it finds its type), and what stands instead.
"""

from dataclasses import replace
from typing import Final

from bot.conversation.fold import fold
from bot.conversation.known import known_of
from bot.conversation.state import EMPTY, JobState, State
from bot.reading import read_message
from bot.reading.late import Late
from bot.reading.message import Message, Passage
from bot.reading.spaced import as_sent

_LONGEST: Final = 700
"""The longest text that is cut [characters]: a long one is a description with its own order."""
_MOST_CUTS: Final = 4
_LEAD = r"(?:(?:oh|and|ok|okay|but|well|so|hmm+|also|ah|eh|uh|um|y|o|pero|bueno|oye)[ ,]+){0,3}"
_CUE: Final = (
    r"(?:no|nope|nah|wait|actually|sorry|i (?:mean|meant|lied|take)|meant|scratch|strike|oops|whoops|correction|rather|perdon|digo|mejor|miento|hold on|hang on|"
    r"forget|never ?mind|nvm|nix|drop|skip|ignore|disregard|lose|cancel|remove|delete|scrap|omit|exclude|leave (?:out|off)|take (?:out|off)|"
    r"(?:only|just) (?:do |price |quote |need |want )?(?:the |those |\d)|make (?:it|that|them|the)|everything (?:but|except)|all (?:but|except)|except|(?:don'?t|do not|not) (?:need|want|do|price|quote|include|count|bother)|"
    r"i (?:have|had|got) (?:that|those|it|them)|(?:other way|swap|switch|flip|reverse)|on second thought|my bad|excuse me|edit|recount|turns out|(?:its|it's|they'?re|that'?s|thats|it is|they are|there'?s|theyre) (?:really|actually|wrong|only|more like)|"
    r"the [a-z0-9 ]{2,30} (?:stay|stays|belong|belongs|are out|are off|are staying|can wait)|theres? really|"
    r"quita\w{0,3}|olvida\w{0,3}|borra\w{0,3}|saca\w{0,3}|solo|nomas|solamente|ya no|siempre no|menos|wrong|(?:its|it's|that's|thats) (?:not|wrong)|take (?:that|it) back)(?![a-z])"
)
_CUT = Late(
    rf"(?:[.;!?\n][.;!?\n ]*(?![0-9])|, ?| ?-+>? | ?\( ?)(?={_LEAD}{_CUE})"
    r"|[.;!\n][.;!\n ]*(?=[^.;!?\n]{4,60}? so (?:skip|drop|leave|forget|dont|don't|not|ignore) )"
)
_ACTIONS: Final = frozenset({"change", "remove", "split", "swap", "move"})


def opening(text: str, turn: int, max_bytes: int) -> tuple[State, Message] | None:
    """The state after a first message that takes back what it said, and the message; ``None`` where it is read in one piece."""
    if not 12 <= len(text) <= _LONGEST:
        return None
    cuts = [match.end() for match in _CUT.finditer(text.lower()) if match.end() >= 8]
    if not cuts or len(cuts) > _MOST_CUTS or len(text.lower()) != len(text):
        return None
    told: tuple[State, Message] | None = None
    at = cuts[0]
    for end in (*cuts[1:], len(text)):
        begun = told or _begun(text[:at], turn, max_bytes)
        if begun is None:
            return None
        further = _taken_back(*begun, text, at, end, turn)
        if further is not None:
            told = further
        elif told is not None:
            return None
        at = end
    return told


def _begun(text: str, turn: int, max_bytes: int) -> tuple[State, Message] | None:
    message = read_message(text, max_bytes=max_bytes)
    state = fold(EMPTY, message, turn)
    if message.intent != "quote" or message.command is not None or state.empty:
        return None
    return state, message


def _taken_back(
    state: State, before: Message, text: str, at: int, end: int, turn: int
) -> tuple[State, Message] | None:
    """The state and the message with the clause from ``at`` to ``end``; ``None`` where it doesn't plainly take something back."""
    clause = read_message(text[at:end], in_conversation=True, known=known_of(state))
    if clause.intent != "revise" or clause.command is not None or clause.reply is not None or clause.unread:
        return None
    if not all(_plain(passage, state) for passage in clause.passages):
        return None
    placed = as_sent(clause, list(range(at, end)), end)
    after = fold(state, placed, turn)
    if after.unplaced or (state.lines and not after.lines) or not _takes_back(state.job, after.job):
        return None
    after = replace(after, history=state.history)
    return after, _together(before, placed)


def _plain(passage: Passage, state: State) -> bool:
    """Whether a part of the clause says which types it is about, and what becomes of them."""
    if passage.action not in _ACTIONS or passage.more or passage.same or passage.too:
        return False
    if any(said.rule.startswith("bare") for said in passage.slots.values()) and passage.scope is None:
        return False
    return passage.scope is not None or len(state.lines) == 1


def _takes_back(old: JobState, new: JobState) -> bool:
    """Whether something that was said before does not stand any more."""
    if len(new.lines) < len(old.lines):
        return True
    pairs = zip(
        [old.slots, *[line.slots for line in old.lines]],
        [new.slots, *[line.slots for line in new.lines]],
        strict=False,
    )
    return any(
        slot not in after or after[slot].value != held.value
        for before, after in pairs
        for slot, held in before.items()
    )


def _together(first: Message, clause: Message) -> Message:
    return replace(
        first,
        passages=(*first.passages, *clause.passages),
        job={**first.job, **clause.job},
        unread=(*first.unread, *clause.unread),
        faults=(*first.faults, *clause.faults),
        risk=first.risk + clause.risk,
    )
