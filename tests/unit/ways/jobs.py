"""Invented jobs of two to four luminaire types, with what is said of each; the words stand in words.toml."""

import tomllib
from dataclasses import dataclass, field
from pathlib import Path
from random import Random  # noqa: TID251 seeded by the way and the number: the same text each time
from typing import Any, Final

WORDS: Final[dict[str, Any]] = tomllib.loads((Path(__file__).parent / "words.toml").read_text("utf-8"))
OUTSIDE: Final = frozenset({"wall_pack", "flood", "area", "street", "bollard", "canopy", "post_top"})
KINDS: Final = ("height_ft", "voltage", "voltage", "finish", "cct_k", "controls", "optic", "mount")
"""What is said of types; voltages are said most."""


@dataclass(slots=True)
class Kind:
    """One luminaire type of a job.

    Attributes:
        name, back: what it is called where it is counted, and where it is pointed at.
        lamp: the words for its lamp.
        slots: its gold.
        words: how each attribute is said of it, by slot.
    """

    family: str
    name: str
    back: str
    lamp: str
    slots: dict[str, Any]
    words: dict[str, str] = field(default_factory=dict)

    @property
    def qty(self) -> int:
        return int(self.slots["qty"])

    def give(self, slot: str, value: tuple[Any, str]) -> None:
        """Says an attribute of the type."""
        self.slots[slot] = [value[0]] if slot == "controls" else value[0]
        self.words[slot] = value[1]


def lamp_of(rng: Random, language: str, family: str) -> tuple[str, dict[str, Any]]:
    """Words and slots of the lamp that is there now."""
    words = WORDS[language]
    known = words["families"][family]
    if known.get("tubes"):
        text, slots = rng.choice(words["sources"]["tubes"])
        return text, dict(slots)
    source = rng.choice(sorted(known["lamps"]))
    watts = rng.choice(known["lamps"][source])
    form = rng.choice(words["sources"].get("watt_forms") or [])
    return f"{form.format(w=watts)} {rng.choice(words['sources'][source])}", {
        "watts": watts,
        "source": source,
    }


def kinds(rng: Random, language: str, number: int) -> list[Kind]:
    """So many types of different families; no two counts are the same."""
    families = WORDS[language]["families"]
    made = []
    counts = rng.sample(range(2, 49), number)
    for family, count in zip(rng.sample(sorted(families), number), counts, strict=True):
        lamp, slots = lamp_of(rng, language, family)
        names = families[family]
        name = rng.choice(names["names"])
        back = name if name in names["back"] and rng.random() < 0.5 else rng.choice(names["back"])
        made.append(Kind(family, name, back, lamp, {"qty": count, "family": family, **slots}))
        if name == "2x4s":
            made[-1].slots["size"] = "2x4"
    return made


def values_of(language: str, slot: str, family: str) -> list[tuple[Any, str]]:
    """What may be said of a family: value and words."""
    if slot == "height_ft":
        return [(h, str(h)) for h in WORDS[language]["families"][family]["heights"]]
    found: list[tuple[Any, str]] = []
    for value in WORDS[language].get(slot, {}).get("values", []):
        if not isinstance(value, list):
            found.append((value, str(value)))
            continue
        limit = value[2].split() if len(value) > 2 else []
        if not limit or family in limit or ("outside" in limit and family in OUTSIDE):
            found += [(value[0], words) for words in value[1]]
    return found


def give_each(rng: Random, language: str, made: list[Kind], slot: str) -> bool:
    """A value of its own for each type; ``False`` where they can't have one each."""
    used: set[Any] = set()
    chosen = []
    for kind in made:
        free = [value for value in values_of(language, slot, kind.family) if value[0] not in used]
        if not free:
            return False
        chosen.append(rng.choice(free))
        used.add(chosen[-1][0])
    for kind, value in zip(made, chosen, strict=True):
        kind.give(slot, value)
    return True


def give_sides(rng: Random, language: str, made: list[Kind], slot: str, side: list[int]) -> bool:
    """One value for the types numbered in ``side``, another for all others; ``False`` where there are no two such."""
    rest = [n for n in range(len(made)) if n not in side]
    shared = []
    for numbers in (side, rest):
        options = [values_of(language, slot, made[n].family) for n in numbers]
        common = [value for value in options[0] if all(value in other for other in options[1:])]
        shared.append(common)
    pairs = [(a, b) for a in shared[0] for b in shared[1] if a[0] != b[0]]
    if not pairs:
        return False
    a, b = rng.choice(pairs)
    for n, kind in enumerate(made):
        kind.give(slot, a if n in side else b)
    return True
