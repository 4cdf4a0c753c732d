"""Draft, none or human: what becomes of a message."""

import re
from collections.abc import Collection
from dataclasses import dataclass
from typing import Final, Literal

from bot.mail.arrived import Arrived
from bot.mail.headers import Address
from bot.mail.history import subject_itself, subject_prefixes
from bot.mail.machines import Ours, answerable, why_unanswered
from bot.mail.newest import Newest
from bot.mail.words import fold, listed
from bot.reading.shape import Reading

Verdict = Literal["draft", "none", "human"]
_WORD: Final = re.compile(r"[a-z]+")
_PICTURED: Final = re.compile(
    r"(?<![a-z])(?:photos?|pics?|pictures?|images?|scans?|scanned|screenshots?|snapshots?|fotos?|imagen|imagenes|escaneo|escaneado|escaneada|captura)(?![a-z])"
)
_ATTACHED: Final = re.compile(
    r"(?<![a-z])(?:attach(?:ed|ment|ments|ing)?|enclosed|spreadsheet|schedule|adjunt[oa]s?|anex[oa]s?|archivo)(?![a-z])"
)
_LIGHTS: Final = re.compile(
    r"(?<![a-z])(?:leds?|lights?|lighting|luminaires?|fixtures?|lamps?|retrofits?|lamparas?|luminarias?|focos?|luces|alumbrado|iluminacion)(?![a-z])"
)
MOST_THANKS_WORDS: Final = 40
REASONS_OF_HANDOFF: Final = {
    "danger": "emergency: somebody may be in danger",
    "hazardous_location": "hazardous location: the area must be classified by a qualified person",
    "over_600_volts": "over 600 V: outside of what is quoted",
    "live_work": "live work is asked for",
    "person_wanted": "the writer asks for a person",
}


KINDS: Final = {
    "automatic reply": "automatic",
    "no-reply": "noreply",
    "hazardous location": "hazardous",
    "over 600 V": "voltage",
    "live work is asked for": "live",
    "the writer asks for a person": "person",
}
"""Beginnings of reasons whose kind has a shorter name."""


@dataclass(frozen=True, slots=True)
class Decision:
    """What becomes of a message, and why, in one line that begins with the kind of reason."""

    reply: Verdict
    reason: str

    @property
    def kind(self) -> str:
        """The kind of reason, as the pages' words know it: "request", "bounce", "legal"."""
        name = self.reason.partition(":")[0]
        return KINDS.get(name, name)


def by_form(message: Arrived, ours: Ours, seen: Collection[str] = ()) -> Decision | None:
    """What can be decided before a word is read; ``None`` where the words decide."""
    reason = why_unanswered(message, ours, seen)
    if reason is not None:
        return Decision("none", reason)
    types = message.part_types | {message.content_type}
    if types & {"application/pkcs7-mime", "application/x-pkcs7-mime"}:
        return Decision("human", "unreadable: it is signed in a form that hides its text")
    if message.sender is None and not message.reply_to:
        return Decision("human", "unreadable: it does not say who sent it")
    return None


def by_words(
    message: Arrived, newest: Newest, reading: Reading, ours: Ours, *, scheduled: bool = False
) -> Decision:
    """What the words decide.

    Args:
        message: as it arrived.
        newest: what was read.
        reading: of that.
        ours: our own addresses.
        scheduled: the job came, or came too, in an attachment that was read.
    """
    if ours.holds(message.sender) and not (
        newest.is_forwarded and not newest.points_back and not ours.holds(newest.by)
    ):
        return Decision("none", "own: it comes from our own address")
    folded = fold(newest.text)
    if newest.note:
        folded = f"{fold(newest.note)}\n{folded}"
    described = _is_described(reading) or scheduled
    if not newest.text.strip() and not scheduled:
        return _without_words(message)
    if not described:
        for kind, reason in (
            ("away", "automatic reply: it says that its writer is away"),
            ("bounced", "bounce: it says that a message was not delivered"),
        ):
            if _has(folded[:600], listed("machines", "texts", kind)):
                return Decision("none", reason)
    counted = any(line.qty for line in reading.lines)
    sells = _is_spam(folded, most=2 if not described else 3 if not counted else 5)
    if (urgent := _for_a_person(folded, reading, message, described)) is not None and not (
        sells and urgent.kind in ("order", "complaint", "person")
    ):
        return urgent
    if sells:
        return Decision("none", "spam: it sells something")
    return _by_intent(message, folded, reading, described)


def _without_words(message: Arrived) -> Decision:
    kinds = {each.kind for each in message.attached}
    if "image" in kinds:
        return Decision("human", "picture: it holds nothing but pictures, which are not read")
    if kinds & {"pdf", "sheet", "other"}:
        return Decision("human", "attachment: it holds nothing but a file")
    return Decision("human", "unreadable: it holds no words")


def _is_described(reading: Reading) -> bool:
    """Whether the job has a luminaire that somebody could quote."""
    return any(
        {"family", "source", "watts", "size", "led_watts", "led_lumens", "lamps"} & line.stated().keys()
        for line in reading.lines
    )


def _has(folded: str, phrases: Collection[str]) -> bool:
    return any(_stands(folded, phrase) for phrase in phrases if phrase in folded)


def _stands(folded: str, phrase: str) -> bool:
    """Whether the phrase stands on word boundaries."""
    at = folded.find(phrase)
    while at >= 0:
        before = folded[at - 1] if at else " "
        after = folded[at + len(phrase)] if at + len(phrase) < len(folded) else " "
        if not (before.isalnum() and phrase[0].isalnum()) and not (after.isalnum() and phrase[-1].isalnum()):
            return True
        at = folded.find(phrase, at + 1)
    return False


def _count(folded: str, phrases: Collection[str]) -> int:
    return sum(_stands(folded, phrase) for phrase in phrases if phrase in folded)


def _for_a_person(folded: str, reading: Reading, message: Arrived, described: bool) -> Decision | None:
    if reading.intent == "handoff":
        return Decision("human", REASONS_OF_HANDOFF.get(reading.reason, REASONS_OF_HANDOFF["person_wanted"]))
    flat = " ".join(folded.split())
    if _has(flat, listed("persons", "danger", "certain")) and not _is_history_of_damage(flat):
        return Decision("human", REASONS_OF_HANDOFF["danger"])
    if _has(flat, listed("persons", "live", "certain")):
        return Decision("human", REASONS_OF_HANDOFF["live_work"])
    if _has(flat, _legal(described)):
        return Decision("human", "legal: it threatens or starts a legal step")
    certain = _count(flat, listed("persons", "complaint", "certain"))
    likely = _count(flat, listed("persons", "complaint", "likely"))
    if (
        (certain and not (described and certain == 1 and not likely and _asks_price(flat) and _mild(flat)))
        or (likely >= (3 if described else 2))
        or (likely and not described and reading.intent in ("other", "status"))
    ):
        return Decision("human", "complaint: something went wrong for the writer")
    subject = fold(subject_itself(message.subject))
    if _has(flat, listed("persons", "order", "change")):
        return Decision("human", "order: an order is to be changed")
    ordered = _has(flat, listed("persons", "order", "certain")) or (
        subject.startswith(listed("persons", "order", "subjects")) and not _asks_price(flat)
    )
    if ordered or reading.intent == "accept":
        return Decision("human", "order: the writer says go ahead, and a person confirms orders")
    return None


def _legal(described: bool) -> tuple[str, ...]:
    phrases = listed("persons", "legal", "certain")
    # A law firm, a court or a tribunal may want lights too.
    return tuple(
        phrase
        for phrase in phrases
        if not described
        or phrase not in ("court", "law firm", "attorney at law", "abogado", "tribunal", "attorney general")
    )


_DAMAGE_PAST: Final = re.compile(
    r"(?:last (?:year|month|week|winter|summer|storm)|after the storm|insurance|years? ago|already (?:out|down|removed))"
)


def _is_history_of_damage(flat: str) -> bool:
    """Damage that is over: "the pole fell last winter, we need a new head"."""
    return _DAMAGE_PAST.search(flat) is not None and not any(
        word in flat for word in ("spark", "smok", "shock", "electrocut", "burning", "live wire")
    )


def _mild(flat: str) -> bool:
    """Words of complaint that are about the lights there now, or another seller."""
    return any(
        phrase in flat
        for phrase in (
            "other supplier",
            "previous",
            "last contractor",
            "old ones",
            "existing",
            "current lights",
            "tenants",
            "residents",
            "neighbors",
            "vecinos",
        )
    )


_PRICE: Final = re.compile(
    r"(?<![a-z])(?:quot\w{1,4}|pric\w{1,4}|costs?|cotiz\w{1,8}|precios?|presupuesto|costo|cuesta\w?|how much|cuanto|estimates?|bids?|ballpark|proposal|propuesta)(?![a-z])"
)


def _asks_price(folded: str) -> bool:
    return _PRICE.search(folded) is not None


def _is_spam(folded: str, most: int) -> bool:
    """Whether it sells: ``most`` signs that are likely alone make it so; where a job is described it takes more."""
    flat = " ".join(folded.split())
    certain = _count(flat, listed("machines", "spam", "certain"))
    likely = _count(flat, listed("machines", "spam", "likely"))
    if most > 2:
        return likely + 2 * certain >= most
    return certain >= 2 or (certain == 1 and (likely >= 1 or not _asks_price(flat))) or likely >= 2


_TAKES_NOTE: Final = re.compile(
    r"^\W{0,4}(?:thanks|thank you|thx|got it|received|perfect|great|gracias|muchas gracias|recibido)\b.{0,200}(?:let you know|get back to you|be in touch|review (?:it|this|them)|take a look|le aviso|les aviso|le confirmo|lo reviso|quedo en contacto)",
    re.DOTALL,
)


def _only_thanks(folded: str) -> bool:
    words = _WORD.findall(folded)
    if len(words) <= MOST_THANKS_WORDS and _TAKES_NOTE.search(folded) and not re.search(r"[?\d]", folded):
        return True
    known = set(listed("persons", "thanks", "words"))
    return (
        0 < len(words) <= MOST_THANKS_WORDS
        and bool(set(words) & set(listed("persons", "thanks", "verbs")))
        and sum(word not in known for word in words) <= len(words) // 6
        and "?" not in folded
    )


def _by_intent(message: Arrived, folded: str, reading: Reading, described: bool) -> Decision:
    intent = reading.intent
    if described and intent != "status":
        return Decision("draft", "request: it describes lights to be replaced")
    if intent == "status":
        return Decision("human", "status: it asks after a quote or an order")
    pictures = [each for each in message.attached if each.kind == "image" and not each.is_inline]
    inline = [each for each in message.attached if each.kind == "image" and each.is_inline]
    files = [each for each in message.attached if each.kind in ("pdf", "sheet")]
    if pictures and not files and (_PICTURED.search(folded) or _ATTACHED.search(folded) or len(folded) < 200):
        return Decision("human", "picture: the job is in pictures, which are not read")
    if inline and _PICTURED.search(folded) and not files:
        return Decision("human", "picture: the job is in pictures, which are not read")
    if files:
        return Decision("draft", "request: the job is in an attached file")
    if _only_thanks(folded):
        return Decision("none", "thanks: it asks nothing")
    if intent == "greet":
        return (
            Decision("none", "greeting: it asks nothing")
            if message.in_reply_to
            else Decision("draft", "request: it opens a conversation")
        )
    if intent == "other" and _LIGHTS.search(folded) and _asks_price(folded):
        return Decision("draft", "request: it asks for a quote and does not say of what")
    if intent == "other":
        return Decision("human", "other: it is about something that is not quoted here")
    if intent in ("explain", "compare") and not reading.lines:
        return Decision("human", f"{intent}: it asks about an earlier quote")
    if intent == "layout" and not reading.lines:
        return Decision("human", "layout: it asks for a lighting design")
    return Decision(
        "draft", "request: it asks for a quote" if intent == "quote" else "request: it goes on with one"
    )


def addressee(message: Arrived, newest: Newest, ours: Ours) -> tuple[Address | None, bool]:
    """Who the draft goes to, and whether that is the one who asked first, past a colleague of ours who forwarded it."""
    if (
        newest.is_forwarded
        and not newest.points_back
        and ours.is_staff(message.sender)
        and newest.by is not None
        and not ours.holds(newest.by)
        and newest.by != message.sender
    ):
        wanted = (
            newest.reply_to
            if newest.reply_to is not None and not ours.is_staff(newest.reply_to)
            else newest.by
        )
        return wanted, True
    return answerable(message, ours), False


def is_follow_up(message: Arrived, newest: Newest) -> bool:
    """Whether it goes on with a conversation that is not in it."""
    return (newest.has_history or bool(message.in_reply_to)) and "reply" in subject_prefixes(message.subject)[
        :1
    ]
