"""Places with a number each that count what hangs there: "barn 10, shop 6, house 3, all yard lights"; "shop 6" alone may be the sixth."""

import re
from typing import Any

from bot.reading.words import words_of

_PLACES = words_of(
    """barn shop gym office hall house lobby dock warehouse kitchen garage yard hallway store shed school church plant annex lot
    front back basement cafeteria taller bodega oficina"""
)
_NUMBERED = re.compile(r"(?P<place>[a-z]+) (?P<many>\d{1,3})$")
_BETWEEN = frozenset({", ", "; ", "\n", " and ", ", and ", " & ", " y ", " / ", " + "})


def counted_places(
    masks: list[tuple[int, int, dict[str, Any]]], folded: str
) -> list[tuple[int, int, dict[str, Any]]]:
    """The masks without those of two or more different places in a row, which nobody numbers so."""
    run: list[int] = []
    words: set[str] = set()
    gone: set[int] = set()
    for number, (start, end, mean) in enumerate(masks):
        named = _NUMBERED.match(folded[start:end]) if not mean and end - start <= 16 else None
        if named is None or named["place"] not in _PLACES:
            run, words = [], set()
            continue
        if run and folded[masks[run[-1]][1] : start] not in _BETWEEN:
            run, words = [], set()
        run.append(number)
        words.add(named["place"])
        if len(run) == len(words) > 1:
            gone.update(run)
    return [mask for number, mask in enumerate(masks) if number not in gone] if gone else masks
