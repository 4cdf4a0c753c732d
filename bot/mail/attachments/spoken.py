"""The language of a mail whose words are nearly all in its schedule."""

import re
from typing import Final

from bot.mail.attachments.files import Files
from bot.mail.words import fold, listed
from bot.replies.heard import Language

FEW_WORDS: Final = 6
"""Of a note above a schedule: more of them show the language by themselves."""
_WORD: Final = re.compile(r"[a-z]{2,20}")


def spoken(note: str, files: Files, otherwise: Language) -> Language:
    """The language that a short note, or else the heads of the schedules, are in; ``otherwise`` where they don't show it.

    Args:
        note: the mail's own words, without the schedules.
        files: the schedules.
        otherwise: what the whole was taken for.
    """
    words = _WORD.findall(fold(note[:2000]))
    if len(words) > FEW_WORDS or not files.schedules:
        return otherwise
    shown = _most(words, "note")
    if shown is not None:
        return shown
    heads = [column.head for schedule in files.schedules for column in schedule.heads.used]
    heads += [head for schedule in files.schedules for head in schedule.heads.unused]
    return _most(_WORD.findall(fold(" ".join(heads)[:4000])), "heads") or otherwise


def _most(words: list[str], part: str) -> Language | None:
    spanish = sum(word in listed("heads", part, "es") for word in words)
    english = sum(word in listed("heads", part, "en") for word in words)
    if spanish == english:
        return None
    return "es" if spanish > english else "en"
