"""Which figure a person means: by the number they saw ("where's 295 from"), or by its name ("why those hours").

Numbers win over names; ties go to the totals, then to the first line, so the answer never depends on chance.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from bot.replies.figures_at import LIGHT, named_figures
from bot.replies.words import LANGUAGES, words_in
from engine.figure import Figure, in_order
from engine.proposal import Quote

MOST_TEXT: Final = 600
MOST_SEARCHED_LINES: Final = 100
_NUMBER: Final = re.compile(
    r"(?P<whole>[0-9]{1,3}(?:,[0-9]{3}){1,4}|[0-9]{1,12})?(?P<decimals>\.[0-9]{1,6})?\s?(?P<tail>k\b|%|¢|cents?\b|centavos?\b)?"
)
_LINE: Final = re.compile(r"\b(?:line|línea|linea|renglón|renglon)\s?#?([0-9]{1,4})\b")
_EXACT, _NEAR = 100, 10
_NEARNESS: Final = 0.01


@dataclass(frozen=True, slots=True)
class _Number:
    value: float
    decimals: int
    is_thousands: bool
    is_percent: bool
    is_cents: bool


def find_figure(quote: Quote, text: str) -> str | None:
    """The path of the figure that ``text`` asks about, or ``None`` where it names a number that the quote has not.

    Without a number or a name ("how did you get that") it is the figure that a reply leads with.
    """
    lowered = text[:MOST_TEXT].lower()
    line = _LINE.search(lowered)
    index = int(line.group(1)) - 1 if line else _line_of_family(quote, lowered)
    numbers = list(_numbers(_LINE.sub(" ", lowered)))
    names = _names(lowered)
    best: tuple[float, str] | None = None
    for path, figure in _candidates(quote):
        score = float(max((_number_score(figure, n) for n in numbers), default=0))
        if numbers and score == 0 and any(ch.isdigit() for ch in lowered) and not names:
            continue
        score += names.get(path.rpartition(".")[2], 0)
        if score > 0 and index is not None and path.startswith(f"lines.{index}."):
            score += 2
        if score > 0 and (best is None or score > best[0]):
            best = (score, path)
    if best is not None:
        return best[1]
    if any(n.is_percent and n.value == _percent_saved(quote) for n in numbers):
        return "totals.kwh_saved_per_year"
    if numbers:
        return None
    if quote.layouts and (leading := quote.layouts[0].leading):
        return f"{LIGHT}.0.{leading}"
    for name in words_in("en").of("asked_by", "that"):
        if name in quote.totals:
            return f"totals.{name}"
    return None


def _percent_saved(quote: Quote) -> int | None:
    """The share of energy saved, as the replies show it."""
    before, saved = quote.totals.get("kwh_before_per_year"), quote.totals.get("kwh_saved_per_year")
    if before is None or saved is None or before.value <= 0:
        return None
    return round(100 * float(saved.value) / float(before.value))


def _candidates(quote: Quote) -> Iterator[tuple[str, Figure]]:
    """Named figures first; then whatever lies below a line or the totals, once each name."""
    done: set[str] = set()
    for path, figure in named_figures(quote):
        done.add(path)
        yield path, figure
    below: list[tuple[str, Iterable[Figure]]] = []
    for line in quote.lines[:MOST_SEARCHED_LINES]:
        roots = [*line.figures.values()]
        if not roots and line.existing is not None and line.existing.input_watts is not None:
            roots.append(line.existing.input_watts)
        below.append((f"lines.{line.index}", roots))
    if len(quote.lines) <= MOST_SEARCHED_LINES:
        below.append(("totals", quote.totals.values()))
    for place, figures in below:
        for figure in in_order(figures):
            path = f"{place}.{figure.name}"
            if path not in done:
                done.add(path)
                yield path, figure


def _numbers(text: str) -> Iterator[_Number]:
    for match in _NUMBER.finditer(text):
        whole, decimals, tail = match.group("whole"), match.group("decimals"), match.group("tail") or ""
        if whole is None and decimals is None:
            continue
        digits = f"{(whole or '0').replace(',', '')}{decimals or ''}"
        yield _Number(
            float(digits), len(decimals or ".") - 1, tail == "k", tail == "%", tail[:1] in ("c", "¢")
        )


def _number_score(figure: Figure, number: _Number) -> int:
    if not isinstance(figure.value, int | float | Decimal):
        return 0
    amount = float(figure.value)
    wanted = number.value * (1000 if number.is_thousands else 1)
    is_share = figure.unit in {"1", "1/yr"}
    if (number.is_percent and not is_share) or (number.is_cents and figure.unit != "USD/kWh"):
        return 0
    shifts = [1.0]
    if is_share or figure.unit == "USD/kWh":
        shifts = [100.0] if number.is_percent or number.is_cents else [1.0, 100.0]
    step = (1000 if number.is_thousands else 1) * 10.0**-number.decimals
    for shift in shifts:
        if abs(amount * shift - wanted) <= step / 2 + 1e-9:
            return _EXACT if not is_share or shift == 1.0 or number.is_percent else _NEAR
    if wanted and abs(amount - wanted) <= _NEARNESS * abs(wanted):
        return _NEAR
    return 0


def _names(text: str) -> dict[str, int]:
    """Figure name -> score, by the words of either language; longer phrases count more."""
    out: dict[str, int] = {}
    for language in LANGUAGES:
        for phrase, names in words_in(language).table("asked_with").items():
            if _has_phrase(text, phrase):
                for rank, name in enumerate(names):
                    out[name] = max(out.get(name, 0), 10 + 3 * len(phrase.split()) - rank)
    return out


def _has_phrase(text: str, phrase: str) -> bool:
    at = text.find(phrase)
    while at >= 0:
        before = text[at - 1] if at else " "
        after = text[at + len(phrase)] if at + len(phrase) < len(text) else " "
        if not before.isalnum() and not after.isalnum():
            return True
        at = text.find(phrase, at + 1)
    return False


def _line_of_family(quote: Quote, text: str) -> int | None:
    for line in quote.lines[:MOST_SEARCHED_LINES]:
        if line.stated.family is None:
            continue
        for language in LANGUAGES:
            row = words_in(language).table("families")[line.stated.family]
            if _has_phrase(text, row["one"]) or _has_phrase(text, row["many"]):
                return line.index
    return None
