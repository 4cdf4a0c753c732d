"""Cutting a folded text into tokens that remember where they stood."""

import re
from typing import final

from bot.reading.numerals import WORDS


@final
class Token:
    """One word, number, mark or line break. Never changed once it is made.

    Attributes:
        start, end: characters in the text as sent.
        text: the folded text of it.
        kind: ``w`` word, ``n`` number, ``c`` code (letters then digits), ``p`` mark, ``b`` line break.
        value: of a number, else 0.
        glued: no space before it.
    """

    __slots__ = ("end", "glued", "kind", "start", "text", "value")

    def __init__(self, start: int, end: int, text: str, kind: str, value: float, glued: bool) -> None:
        self.start = start
        self.end = end
        self.text = text
        self.kind = kind
        self.value = value
        self.glued = glued

    def _replace(
        self,
        start: int | None = None,
        end: int | None = None,
        text: str | None = None,
        kind: str | None = None,
        glued: bool | None = None,
    ) -> "Token":
        """The token with some fields otherwise."""
        return Token(
            self.start if start is None else start,
            self.end if end is None else end,
            self.text if text is None else text,
            self.kind if kind is None else kind,
            self.value,
            self.glued if glued is None else glued,
        )


_TOKEN = re.compile(
    r"(?! )(?:"
    # most words: letters that end where the word ends; the rest of the pattern would say the same of them
    r"(?P<q>[a-z]{2,64}+(?![^\W_]|'))"
    r"|(?P<b>\n)"
    r"|(?P<x>(?<=\d)x(?=[a-z]?\d)|(?<=\d )x(?=\d))"
    r"|(?P<c>(?:(?<![a-z0-9'\"])|(?<=\dx))[a-z]{1,8}+\d{1,8}(?:[a-z0-9]{0,12})(?:/[a-z]{1,3}\b)?)"
    r"|(?P<n>\d{1,3}(?:,\d{3})+(?![\d])(?:\.\d{1,6})?|0,\d{1,4}(?![\d,])|\d{1,12}(?:\.\d{1,6})?(?!\d)|\d{1,64}|\.\d{1,6})"
    r"|(?P<f>[½¼¾])"
    r"|(?P<w>[^\W\d_]{1,64}(?:'[a-z]{1,3}(?![a-z]))?)"
    r"|(?P<p>[^\s]))"
)
_FRACTIONS = {"½": 0.5, "¼": 0.25, "¾": 0.75}


def number_value(text: str) -> float:
    """The value of a written number: thousands commas dropped, ``0,15`` is a decimal comma."""
    if "," in text:
        if text.startswith("0,"):
            return float(text.replace(",", "."))
        text = text.replace(",", "")
    return float(text)


def tokenise(folded: str, start: int = 0, end: int | None = None) -> list[Token]:
    """Tokens of ``folded[start:end]``, in order; spaces are not tokens."""
    tokens: list[Token] = []
    last = start - 1  # what comes first is never glued
    for match in _TOKEN.finditer(folded, start, len(folded) if end is None else end):
        kind = match.lastgroup or "p"
        at, to = match.span()
        text = match.group()
        value = 0.0
        if kind == "q" or kind == "x":
            kind = "w"
        elif kind == "n":
            value = number_value(text)
        elif kind == "f":
            kind, value = "n", _FRACTIONS[text]
        elif kind == "w" and "'" in text:
            text = text.replace("'", "")
        elif text == "&":
            kind, text = "w", "and"
        tokens.append(Token(at, to, text, kind, value, at == last))
        last = to
    return _joined_by_an(tokens) if " an " in folded else tokens


def _joined_by_an(tokens: list[Token]) -> list[Token]:
    """Tokens with an "an" that can be no article read as "and": "12 wall packs an 4 floods", "a dozen an a half"."""
    for at in range(1, len(tokens) - 1):
        token, after = tokens[at], tokens[at + 1]
        if token.text != "an":
            continue
        if (
            after.text[:1] not in "8e" and not after.text.startswith(("11", "18"))
            if after.kind == "n" or after.text in WORDS
            else after.text == "a"
        ):
            tokens[at] = token._replace(text="and")
    return tokens


_ENDS = frozenset(
    {
        "pack",
        "packs",
        "bay",
        "bays",
        "head",
        "heads",
        "light",
        "lights",
        "lite",
        "lites",
        "box",
        "boxes",
        "tight",
        "tights",
    }
)
"""The second words of names of the trade."""


def unglued(tokens: list[Token]) -> list[Token]:
    """Tokens with the figures behind a name's second word parted from it: "wall packs100w"."""
    out: list[Token] = []
    for at, token in enumerate(tokens):
        if token.kind == "c" and at and tokens[at - 1].kind == "w":
            text, start = token.text, token.start
            letters = len(text) - len(text.lstrip("abcdefghijklmnopqrstuvwxyz"))
            if text[:letters] in _ENDS:
                out.append(Token(start, start + letters, text[:letters], "w", 0.0, token.glued))
                out.extend(
                    [
                        part._replace(start=start + part.start, end=start + part.end, glued=True)
                        for part in tokenise(text, letters)
                    ]
                )
                continue
        out.append(token)
    return out
