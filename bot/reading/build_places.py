"""Builds ``lexicon/places.txt`` from the ``zipcodes`` package (MIT; its data are those of the United States' ZIP codes).

Run ``python -m bot.reading.build_places`` after an update of that package. One line a city name, in order:
``folded name|states|ZIP codes in all`` with the states that hold most of its ZIP codes first.
"""

from collections import Counter, defaultdict

import zipcodes

from bot.reading.text import fold
from bot.reading.words import FOLDER


def lines() -> list[str]:
    """The lines of the file."""
    states: defaultdict[str, Counter[str]] = defaultdict(Counter)
    for row in zipcodes.list_all():
        if row["zip_code_type"] == "MILITARY":
            continue
        name = fold(row["city"]).strip()
        if name and all(
            part.isalpha() for part in name.replace("-", " ").replace("'", " ").replace(".", " ").split()
        ):
            states[name][row["state"]] += 1
    out = []
    for name in sorted(states):
        counts = states[name]
        ordered = sorted(counts, key=lambda state: (-counts[state], state))
        out.append(f"{name}|{','.join(ordered)}|{sum(counts.values())}")
    return out


if __name__ == "__main__":
    (FOLDER / "places.txt").write_text("\n".join(lines()) + "\n", encoding="utf-8")
