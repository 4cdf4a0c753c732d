"""What in a mail's text is not the writer's own: quoted history, signatures. It is blanked, offsets stay."""

import re

from bot.reading.message import Passage

_HISTORY = re.compile(
    r"\n(?:-{2,12} ?original message ?-{2,12}|on [^\n]{6,120} wrote:|el [^\n]{6,120} escribio:|_{10,60}|from: [^\n]{3,120}\n(?:sent|date): )"
)
_FORWARD = re.compile(
    r"forwarded message|\bfwd?:|begin forwarded|mensaje reenviado|\bfw:|see below|please (?:price|quote) (?:the )?below"
)
_SIGNATURE = re.compile(
    r"\n[ \t]{0,4}(?:--|regards|best regards|kind regards|warm regards|best|sincerely|cheers|respectfully|saludos|atentamente|thanks|thank you|thx|many thanks|kindly|yours truly|cordially|yours(?: (?:faithfully|sincerely|in (?:faith|christ|service)))?|(?:very )?truly yours|sincerely yours|in (?:faith|christ|his service)|blessings|many blessings|god bless|warmly|best wishes|all the best|take care|much obliged|much appreciated|appreciatively|cordialmente|saludos cordiales|un saludo|un cordial saludo|gracias|muchas gracias|mil gracias|sent from my [^\n]{1,40})[ ,.!]{0,3}(?=\n|$)"
)
_ADDED = re.compile(
    r"\n[ \t]{0,4}(p\.? ?s\.?(?: ?s\.?)?[ :,.-]|p\.?p\.?s|oh and |also[ ,]|forgot to |one more thing|posdata|p\.?d\.?[ :,.-])"
)
_QUOTE = re.compile(r"^>[^\n]{0,2000}$", re.MULTILINE)


def _blank(text: str, start: int, end: int) -> str:
    return text[:start] + "".join("\n" if char == "\n" else " " for char in text[start:end]) + text[end:]


_HEADER = re.compile(
    r"^(?:date|from|sent|received|to|cc|bcc|reply-to|message-id): [^\n]{0,300}$", re.MULTILINE
)
_SUBJECT = re.compile(r"(?:subject|subj|asunto): [^\n]{0,300}")
_SUBJECT_LINE = re.compile(r"(?:^|\n)[ \t]{0,4}(?:subject|subj|asunto|re): [^\n]{0,300}")


def without_subjects(folded: str, passages: list[Passage]) -> list[Passage]:
    """The passages without what only a subject line names, where the text below counts luminaires: "Subject: lot lights"."""
    if "subj" not in folded and "asunto" not in folded and "re: " not in folded:
        return passages
    spans = [match.span() for match in _SUBJECT_LINE.finditer(folded)][:20]
    kept = [
        passage
        for passage in passages
        if "qty" in passage.slots
        or (said := passage.slots.get("family")) is None
        or not any(start <= said.start < end for start, end in spans)
    ]
    counted = any("qty" in passage.slots and "family" in passage.slots for passage in kept)
    return kept if counted else passages


_COUNT = re.compile(r"(?<![\d.])\d{1,5}(?!\d)")


def _said_again(folded: str, end: int) -> bool:
    """Whether the text behind the subject holds a count of the subject's again."""
    counts = set(_COUNT.findall(folded[:end]))
    return not counts.isdisjoint(_COUNT.findall(folded[end : end + 4000]))


def _without_headers(folded: str) -> str:
    """Blank what a mail's head says of its sending, and a subject that the text says again."""
    if ":" not in folded:
        return folded
    folded = _HEADER.sub(lambda found: " " * len(found.group()), folded)
    subject = _SUBJECT.match(folded, len(folded) - len(folded.lstrip()))
    if subject and any(char.isdigit() for char in subject.group()) and _said_again(folded, subject.end()):
        folded = _blank(folded, 0, subject.end())
    return folded


_HIDDEN = re.compile(
    r"<(?P<tag>[a-z]{1,10})(?= )[^<>]{0,400}(?:display ?: ?none|visibility ?: ?hidden|font-size ?: ?0(?![.\d]*[1-9])| hidden(?=[ >]))[^<>]{0,400}>[^<]{0,4000}(?:</(?P=tag)>)?"
)
_UNSEEN = re.compile(
    r"<(?P<tag>style|script|head|title)(?:>| [^<>]{0,400}>)[^<]{0,20000}</(?P=tag)>|<!--(?:[^-]|-(?!->)){0,20000}-->"
)
_MARKUP = re.compile(r"</?[a-z][a-z0-9]{0,15}(?: [^<>]{0,400})?/?>")
_BREAKING = ("<br", "<p", "</p", "<div", "</div", "<li", "<tr", "</tr", "</h")


def _without_markup(folded: str) -> str:
    """The text of an HTML body, character for character as long: tags, and what they hide, are blanked."""
    if "<" not in folded or len(_MARKUP.findall(folded[:20000])) < 2:
        return folded

    def blanked(match: re.Match[str]) -> str:
        tag = match.group()
        return ("\n" if tag.startswith(_BREAKING) else " ") + " " * (len(tag) - 1)

    for pattern in (_UNSEEN, _HIDDEN, _MARKUP):
        folded = pattern.sub(blanked, folded)
    return folded


_DISCLAIMER = re.compile(
    r"\n[^\n]{0,80}(?:confidential|privileged|intended (?:only|solely)|received (?:this )?in error|received in error|unauthori[sz]ed (?:use|disclosure))[^\n]{0,2000}"
)


def own_words(folded: str) -> str:
    """The folded text with quoted history and signature blanked, character for character as long.

    A forwarded message is the request itself: nothing of it is blanked.
    """
    folded = _without_markup(folded)
    if "\n" not in folded:
        return folded
    if "confidential" in folded or "intended" in folded or "error" in folded:
        folded = _DISCLAIMER.sub(lambda found: "\n" + " " * (len(found.group()) - 1), folded)
    if _FORWARD.search(folded[:400]):
        return _without_headers(folded)
    match = _HISTORY.search(folded)
    if match and folded[: match.start()].strip():
        folded = _blank(folded, match.start() + 1, len(folded))
    if "\n>" in folded:
        folded = _QUOTE.sub(lambda found: " " * len(found.group()), folded)
    match = None
    for found in _SIGNATURE.finditer(folded):
        # a signature is short and near the end
        rest = folded[found.end() :]
        if rest.count("\n") <= 6 and len(rest) < 300:
            match = found
            break
    if match:
        # what is added below the name is the writer's own again: "PS they want retrofit kits"
        added = _ADDED.search(folded, match.end())
        begin = match.start() + 1 if " in " in match.group() else match.end()  # "yours in faith": no place
        folded = _blank(folded, begin, added.start(1) if added else len(folded))
    return _without_headers(folded)
