"""What stands below (and above) the writer's words and is none of them: signatures, sign-offs, disclaimers, banners."""

import re
from collections.abc import Sequence
from functools import partial
from typing import Final

from bot.mail.lines import Line
from bot.mail.words import fold, listed

_PHONE: Final = re.compile(
    r"\+?\(?\d{3}\)?[\s./-]{0,3}\d{3}[\s./-]{0,2}\d{4}|\+\d[\d ().-]{8,18}\d|555[-. ]\d{4}"
)
_EMAIL: Final = re.compile(r"[\w.+-]{1,64}@[\w-]{1,100}(?:\.[\w-]{1,60}){1,6}")
_WEB: Final = re.compile(
    r"(?:https?://|www\.)\S{1,200}|\b[a-z0-9-]{2,60}\.(?:com|org|net|test|example|invalid)\b"
)
_STREET: Final = re.compile(
    r"\b\d{1,6} [a-z0-9.' ]{2,40} (?:st|street|ave|avenue|rd|road|blvd|dr|drive|ln|lane|hwy|pkwy|way|ct|suite|calle|avenida)\b"
    r"|\b(?:p\.?o\.? box|calle|suite|ste\.?) ?#?\d|,? [a-z]{2} \d{5}(?:-\d{4})?$"
)
_WORD: Final = re.compile(r"[a-z]{2,}")
_JOB: Final = re.compile(
    r"\d ?(?:w|watts?|v|volts?|ft|kw|kwh|k|lm|hrs?|hours?|pies|metros|ea|pcs)\b|\d{1,4} ?x ?\d|\$ ?\d|\bt(?:5|8|12)\b|\b(?:hps|mh|led|lights?|fixtures?|poles?|packs?|wallpacks?|bays?|troffers?|floods?|lamps?|luces|lamparas|postes)\b"
)
_THANKING: Final = re.compile(
    r"(?:many |muchas |mil )?(?:thanks|thank you|gracias)(?: (?:so much|very much|a lot|again|in advance|de antemano))?(?: (?:for|por) [a-z ,']{2,50})?"
)
_DELIMITER: Final = re.compile(r"--\s?|—|__{1,4}|-{3,5}|={3,}")
_PUNCTUATION: Final = " .,!;:-–—~*'\""
MOST_BELOW: Final = 14
"""Lines that a signature may have."""


def without_banners(lines: Sequence[Line]) -> list[Line]:
    """Without the warnings that mail servers put at the top."""
    out = list(lines)
    for number, line in enumerate(out[:14]):
        folded = fold(line.text).strip(" *|")
        if folded.startswith(listed("endings", "banners", "starts")):
            end = number + 1
            whole = len(folded) < 40 and folded.endswith((":", "]"))
            # A banner is a paragraph; "[EXTERNAL] Hi Dan" is a banner and then words.
            if (
                folded.startswith("[ext")
                and "]" in folded
                and (rest := line.text.partition("]")[2].strip(" -:*"))
            ):
                out[number] = Line(rest, line.depth, line.mark)
                return out
            while (
                not whole
                and end < len(out)
                and not out[end].is_blank
                and end < number + 6
                and _reads_on(out[end].text)
            ):
                end += 1
            return without_banners([*out[:number], *out[end:]]) if end > number else out
    return out


def _reads_on(text: str) -> bool:
    folded = fold(text)
    return any(
        word in folded
        for word in (
            "click",
            "attachment",
            "sender",
            "recogni",
            "content is safe",
            "organization",
            "enlaces",
            "remitente",
            "adjuntos",
            "important",
        )
    )


def without_ending(lines: Sequence[Line], author: str = "") -> tuple[list[Line], list[Line]]:
    """The writer's words, and what was cut off below them. What is added below a name ("PS: ...") is words again.

    ``author`` is the writer's name, where known: it is no word of the message where it ends one.
    """
    if (at := _postscript(lines)) is not None:
        before, below = without_ending(lines[:at], author)
        after, beneath = without_ending([*lines[at:], Line("")], author)
        return [*before, Line(""), *after], [*below, *beneath]
    body = [line for line in lines if line.mark != "signature"]
    cut: list[Line] = [line for line in lines if line.mark == "signature"]
    body, gone = _without_disclaimers(body)
    cut += gone
    body = _trimmed(body)
    named = frozenset(word for word in _WORD.findall(fold(author)) if len(word) > 1)
    at_name = partial(_at_name, author=named)
    for look in (_at_delimiter, _at_closing, _at_device, _at_contact, _at_closing, at_name, _at_closing):
        at = look(body)
        if at is not None:
            below = body[at:]
            kept = _added(below)
            cut = [*(line for line in below if line not in kept), *cut]
            body = _trimmed([*body[:at], *kept])
    return body, cut


def _postscript(lines: Sequence[Line]) -> int | None:
    """Where "PS: ..." begins, behind a blank line."""
    for number in range(1, len(lines)):
        folded = fold(lines[number].text).strip()
        if lines[number - 1].is_blank and any(
            folded.startswith(start) and folded[len(start) : len(start) + 1] in (" ", ":", ",", "-", ".")
            for start in listed("endings", "postscript", "starts")
        ):
            return number
    return None


def _trimmed(lines: Sequence[Line]) -> list[Line]:
    out = list(lines)
    while out and (out[-1].is_blank or _is_rule(out[-1].text)):
        out.pop()
    while out and out[0].is_blank:
        out.pop(0)
    return out


def _is_rule(text: str) -> bool:
    return len(text.strip()) > 2 and not text.strip(" -_=*~")


def _without_disclaimers(lines: Sequence[Line]) -> tuple[list[Line], list[Line]]:
    """Without paragraphs that are legal or technical boilerplate."""
    out: list[Line] = []
    gone: list[Line] = []
    paragraph: list[Line] = []

    def flush() -> None:
        text = fold(" ".join(line.text for line in paragraph))
        certain = any(phrase in text for phrase in listed("endings", "disclaimers", "certain"))
        hits = sum(phrase in text for phrase in listed("endings", "disclaimers", "phrases"))
        if (
            text
            and (certain or hits >= 3 or (hits == 2 and len(text) > 120))
            and not (len(text) < 2000 and len(_JOB.findall(text)) > 3)
        ):
            gone.extend(paragraph)
        else:
            out.extend(paragraph)
        paragraph.clear()

    for line in lines:
        starts = any(
            fold(line.text).strip(" *").startswith(phrase)
            for phrase in listed("endings", "disclaimers", "certain")
        )
        if starts and paragraph and not line.is_blank:
            flush()
        paragraph.append(line)
        if line.is_blank:
            flush()
    flush()
    return out, gone


def _added(below: Sequence[Line]) -> list[Line]:
    """What is said once more under a signature."""
    for number, line in enumerate(below[1:], 1):
        folded = fold(line.text).strip()
        if any(
            folded.startswith(start) and not folded[len(start) : len(start) + 1].isalnum()
            for start in listed("endings", "added", "starts")
        ) and (number > 1 or not _is_name(line.text)):
            end = number
            while end < len(below) and not below[end].is_blank:
                end += 1
            return list(below[number:end])
    return []


def _at_delimiter(lines: Sequence[Line]) -> int | None:
    """The usual "-- " on a line of its own."""
    for number in range(len(lines)):
        text = lines[number].text.strip()
        if text == "--" or (text and _DELIMITER.fullmatch(text) and len(lines) - number <= MOST_BELOW):
            rest = [line for line in lines[number + 1 :] if not line.is_blank]
            if text == "--" or (rest and number and all(_is_under(line.text) for line in rest)):
                return number
    return None


def _is_under(text: str) -> bool:
    """Whether a line can belong to a signature."""
    return len(text) < 90 and not _JOB.search(_without_contact(fold(text)))


def _without_contact(folded: str) -> str:
    for pattern in (_EMAIL, _WEB, _PHONE):
        folded = pattern.sub(" ", folded)
    return folded


def _closing_of(text: str) -> bool:
    folded = fold(text).strip(_PUNCTUATION)
    if folded in listed("endings", "closings", "lines") or (
        _THANKING.fullmatch(folded) and not _JOB.search(folded)
    ):
        return True
    if len(folded) > 48 or any(char.isdigit() for char in folded):
        return False
    # "Thanks, Dan", "Regards - Ann", "Thanks! Dan Hale"
    for phrase in listed("endings", "closings", "lines"):
        if folded.startswith(phrase) and len(phrase) > 1:
            rest = folded[len(phrase) :]
            if (
                rest[:1]
                and rest[:1] in " ,.!-–—;:"
                and len(rest.split()) <= 3
                and _is_name(text.strip()[len(phrase) :].strip(_PUNCTUATION))
            ):
                return True
            if rest.strip(_PUNCTUATION) in (
                "all",
                "everyone",
                "guys",
                "team",
                "a todos",
                "y saludos",
                "and have a great day",
                "and regards",
            ):
                return True
    return False


def _at_closing(lines: Sequence[Line]) -> int | None:
    """A line like "Regards," with nothing but a signature below."""
    for number, line in enumerate(lines):
        if not line.text.strip() or not _closing_of(line.text):
            continue
        below = [each for each in lines[number + 1 :] if not each.is_blank]
        kept = {id(each) for each in _added(lines[number:])}
        below = [each for each in below if id(each) not in kept]
        if len(below) <= MOST_BELOW and all(_is_under(each.text) for each in below) and (number or below):
            return number
    return None


def _at_device(lines: Sequence[Line]) -> int | None:
    """A line like "Sent from my phone", among the last."""
    for number in range(max(0, len(lines) - 3), len(lines)):
        folded = fold(lines[number].text).strip(" *<>[]()-")
        if (
            folded.startswith(listed("endings", "devices", "starts"))
            and len(folded) < 90
            and not _JOB.search(folded)
        ):
            return number
    return None


def _at_contact(lines: Sequence[Line]) -> int | None:
    """A block of name, title, phone, address at the end, though nothing announces it."""
    at, strong, number = None, False, len(lines)
    while number > 0 and len(lines) - number <= MOST_BELOW:
        number -= 1
        line = lines[number]
        if line.is_blank:
            if (
                at is not None
                and number
                and not _is_contact(lines[number - 1].text)
                and not _is_name(lines[number - 1].text)
            ):
                break
            continue
        if _is_contact(line.text):
            at, strong = number, True
        elif _is_name(line.text) or _is_title(line.text):
            at = number
        else:
            break
    return at if strong and at else None


def _is_contact(text: str) -> bool:
    """A phone, an address, a site, and no sentence around it."""
    folded = fold(text)
    if len(folded) > 110 or _JOB.search(_without_contact(folded)):
        return False
    if not (_PHONE.search(folded) or _EMAIL.search(folded) or _WEB.search(folded) or _STREET.search(folded)):
        return False
    rest = _STREET.sub(" ", _without_contact(folded))
    words = [word for word in _WORD.findall(rest) if word not in listed("endings", "contact", "labels")]
    return len(words) <= (6 if "|" in folded or "•" in text or "·" in text else 3) and not {
        "call",
        "llame",
        "marque",
        "reach",
    } & set(words)


def _is_title(text: str) -> bool:
    folded = fold(text)
    words = _WORD.findall(folded)
    return (
        0 < len(words) <= 7
        and not _JOB.search(folded)
        and bool(set(words) & set(listed("endings", "contact", "titles")))
        and not folded.rstrip().endswith((".", "?", "!"))
    )


def _is_name(text: str) -> bool:
    """One to four capitalised words: a name, a firm."""
    words = text.strip().strip(_PUNCTUATION + "|/").split()
    if (
        not 0 < len(words) <= 5
        or text.rstrip().endswith(("?", ":", ";"))
        or any(char.isdigit() for char in text)
    ):
        return False
    if _JOB.search(fold(text)):
        return False
    small = {"de", "la", "del", "of", "and", "y", "the", "van", "von", "da", "&", "jr.", "sr."}
    return all(word in small or word[:1].isupper() for word in words) and words[0][:1].isupper()


def _at_name(lines: Sequence[Line], author: frozenset[str]) -> int | None:
    """The writer's name, or a bare first name or "- Dan" set apart, as the last line."""
    if len(lines) < 2:
        return None
    text = lines[-1].text.strip()
    own = _WORD.findall(fold(text))
    if (
        own
        and len(own) <= 4
        and author.issuperset(word for word in own if len(word) > 1)
        and not any(c.isdigit() for c in text)
    ):
        return len(lines) - 1
    dashed = text[:1] in "-–—~" and len(text) > 2
    if not (dashed or lines[-2].is_blank or lines[-2].text.rstrip().endswith((".", "!", "?", ","))):
        return None
    bare = text.strip(_PUNCTUATION)
    words = bare.split()
    if len(words) <= 3 and _is_name(bare) and len(bare) <= 30 and not bare.isupper():
        return len(lines) - 1
    return None
