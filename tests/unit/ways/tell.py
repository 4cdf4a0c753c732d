"""The same job told in many ways: by name, value first, as the rest, by ordinal, by place, of all but one; in one message or in two.

What two honest readers could take differently is not composed, or stands in known_failures.toml as open.
"""

from collections.abc import Callable
from dataclasses import dataclass
from random import Random  # noqa: TID251 seeded by the way and the number: the same text each time
from typing import Any, Final

from tests.unit.ways.jobs import KINDS, WORDS, Kind, give_each, give_sides, kinds, values_of

Clause = Callable[[Random, str, list[Kind]], str | None]


@dataclass(frozen=True, slots=True)
class Told:
    """A job as told: the messages, and what holds after the last of them."""

    way: str
    number: int
    texts: tuple[str, ...]
    job: dict[str, Any]
    lines: tuple[dict[str, Any], ...]
    said: tuple[str, ...]

    @property
    def id(self) -> str:
        return f"{self.way} {self.number}"


def _say(rng: Random, language: str, slot: str, form: str, kind: Kind) -> str:
    return str(rng.choice(WORDS[language][slot][form])).format(v=kind.words[slot], n=_the(language, kind))


def _the(language: str, kind: Kind) -> str:
    """The name behind a preposition: in Spanish with its article."""
    if language == "es":
        return f"{WORDS['es']['families'][kind.family]['article']} {kind.back}"
    return kind.back


def _named(language: str, kind: Kind, rng: Random) -> str:
    """The name as the subject of a clause."""
    if language == "es" or rng.random() < 0.25:
        return _the("es", kind) if language == "es" else f"the {kind.back}"
    return kind.back


def _slots(rng: Random, most: int = 2) -> list[str]:
    chosen = [rng.choice(KINDS)]
    if most > 1 and rng.random() < 0.3:
        chosen.append(rng.choice([kind for kind in KINDS if kind != chosen[0]]))
    return chosen


def item(rng: Random, language: str, kind: Kind) -> str:
    """A type as counted: count, lamp, name."""
    if language == "es":
        return f"{kind.qty} {kind.name} {kind.lamp}"
    forms = ("{q} {l} {n}", "{q} {l} {n}", "({q}) {l} {n}", "{q} {n} {l}", "{q} {n}, {l}")
    if kind.lamp.startswith("F"):
        forms = tuple(form for form in forms if "(" not in form)  # "(2) F32T8" is lamps a luminaire
    form = rng.choice(forms)
    return form.format(q=kind.qty, l=kind.lamp, n=kind.name)


def _list(rng: Random, language: str, made: list[Kind], opening: bool = True) -> str:
    words = WORDS[language]
    join = rng.choice(words["joins"])
    items = [item(rng, language, kind) for kind in made]
    if any(", " in one for one in items) and join == ", ":
        join = "; "
    return (rng.choice(words["opening"]) if opening else "") + join.join(items)


# what clauses say of types that are counted elsewhere


def inline(rng: Random, language: str, made: list[Kind]) -> str | None:
    slots = [slot for slot in _slots(rng) if give_each(rng, language, made, slot)]
    if not slots:
        return None
    between = rng.choice((" ", ", "))
    items = [
        between.join((item(rng, language, kind), *(_say(rng, language, slot, "own", kind) for slot in slots)))
        for kind in made
    ]
    return rng.choice(WORDS[language]["opening"]) + rng.choice(
        (", and ", " and ", "; ") if between == " " else ("; ", "\n")
    ).join(items)


def named(rng: Random, language: str, made: list[Kind]) -> str | None:
    slots = [slot for slot in _slots(rng) if give_each(rng, language, made, slot)]
    if not slots:
        return None
    told = made
    if len(slots) == 1 and rng.random() < 0.2:
        told = [rng.choice(made)]
        for kind in made:
            if kind is not told[0]:
                del kind.slots[slots[0]]
    join = rng.choice((", ", ", ", " and ", "; ") if len(slots) == 1 else (", ", "; "))
    parts = []
    for n, kind in enumerate(told):
        form = "bare" if n and rng.random() < 0.6 else "after"
        said = (" y " if language == "es" else " and ").join(
            _say(rng, language, slot, form, kind) for slot in slots
        )
        parts.append(f"{_named(language, kind, rng)} {said}")
    return join.join(parts)


def value_first(rng: Random, language: str, made: list[Kind]) -> str | None:
    slots = [slot for slot in _slots(rng, 1) if give_each(rng, language, made, slot)]
    if not slots:
        return None
    told = [rng.choice(made)] if rng.random() < 0.2 else made
    if len(told) == 1:
        for kind in made:
            if kind is not told[0]:
                del kind.slots[slots[0]]
    form = rng.choice(WORDS[language][slots[0]]["on"])
    join = rng.choice((", ", ", ", " and " if language == "en" else " y "))
    return join.join(form.format(v=kind.words[slots[0]], n=_the(language, kind)) for kind in told)


def grouped(rng: Random, language: str, made: list[Kind]) -> str | None:
    """Types that share a value named together: "floods and packs 277, bollards 120"."""
    if len(made) < 3:
        return None
    side = sorted(rng.sample(range(len(made)), 2))
    others = [n for n in range(len(made)) if n not in side]
    slots = [slot for slot in _slots(rng, 1) if give_sides(rng, language, made, slot, side)]
    if not slots:
        return None
    slot = slots[0]
    groups = [side, others] if rng.random() < 0.5 else [others, side]
    on = str(rng.choice(WORDS[language][slot]["on"])) if rng.random() < 0.3 else ""
    parts = []
    for numbers in groups:
        names = " and ".join(made[n].back for n in numbers)
        if on:
            parts.append(on.format(v=made[numbers[0]].words[slot], n=names))
        else:
            parts.append(f"{names} {_say(rng, language, slot, 'after', made[numbers[0]])}")
    return ", ".join(parts)


def topic(rng: Random, language: str, made: list[Kind]) -> str | None:
    """What is spoken of first, then its values bare: "voltage is 480 on the floods, 277 on the rest"."""
    slot = rng.choice(
        [slot for slot, words in WORDS[language].items() if isinstance(words, dict) and "topic" in words]
    )
    if not give_each(rng, language, made, slot):
        return None
    lead = rng.choice(WORDS[language][slot]["topic"])
    unit = {"cct_k": "k"}.get(slot, "")
    if rng.random() < 0.5:
        link = rng.choice(("on the", "for the", "for"))
        said = [f"{kind.words[slot]}{unit} {link} {kind.back}" for kind in made]
    else:
        said = [f"{kind.back} {kind.words[slot]}{unit}" for kind in made]
        lead = lead.removesuffix(" is").removesuffix(" are").removesuffix(":") + ":"
    return f"{lead} " + rng.choice((", ", ", ", " and ")).join(said)


def rest(rng: Random, language: str, made: list[Kind]) -> str | None:
    one = rng.randrange(len(made))
    slots = [slot for slot in _slots(rng) if give_sides(rng, language, made, slot, [one])]
    if not slots:
        return None
    other = made[one - 1]
    word = rng.choice(WORDS[language]["rest"])
    said = []
    for slot in slots:
        first = f"{_named(language, made[one], rng)} {_say(rng, language, slot, 'after', made[one])}"
        join = rng.choice((", ", " and ", "; ") if language == "en" else (", ", " y "))
        if rng.random() < 0.25 and language == "en":
            on = str(rng.choice(WORDS[language][slot]["on"]))
            first = on.format(v=made[one].words[slot], n=made[one].back)
            word_on = word.removeprefix("the ")
            second = on.replace("the {n}", "{n}" if word_on == word else "the {n}").format(
                v=other.words[slot], n=word_on
            )
            said.append(f"{first}{join}{second}")
            continue
        form = "bare" if rng.random() < 0.6 else "after"
        said.append(f"{first}{join}{word} {_say(rng, language, slot, form, other)}")
    return ". ".join(said)


def ordinal(rng: Random, language: str, made: list[Kind]) -> str | None:
    number = len(made)
    if number == 2:
        side, words = (
            [0],
            rng.choice(
                (
                    ("the former", "the latter"),
                    ("first one", "second one"),
                    ("the first", "the second"),
                    ("first type", "second type"),
                )
            ),
        )
    elif number == 3:
        side, words = rng.choice(
            (
                ([0, 1], ("first two", "last one")),
                ([0, 1], ("the first two", "the last")),
                ([0], ("first one", "the other two")),
                ([0], ("the first", "the others")),
                ([0], ("first one", "last two")),
            )
        )
    else:
        side, words = rng.choice(
            (
                ([0, 1], ("first two", "last two")),
                ([0, 1, 2], ("the first three", "the last one")),
                ([0], ("the first one", "the rest")),
            )
        )
    slots = [slot for slot in _slots(rng, 1) if give_sides(rng, language, made, slot, list(side))]
    if not slots:
        return None
    slot = slots[0]
    last = next(n for n in range(number) if n not in side)
    join = rng.choice((", ", " and "))
    said = _say(rng, language, slot, "after", made[0])
    return f"{words[0]} {_of_one(said) if len(side) == 1 else said}{join}{words[1]} {_say(rng, language, slot, 'bare', made[last])}"


def _of_one(said: str) -> str:
    """The words of a clause with a single type as its subject."""
    for many, one in (
        ("are ", "is "),
        ("get ", "gets "),
        ("need ", "needs "),
        ("run ", "runs "),
        ("take ", "takes "),
        ("want ", "wants "),
    ):
        said = said.replace(many, one)
    return said


def all_but(rng: Random, language: str, made: list[Kind]) -> str | None:
    one = rng.randrange(len(made))
    slots = [slot for slot in _slots(rng, 1) if give_sides(rng, language, made, slot, [one])]
    if not slots:
        return None
    slot, words = slots[0], WORDS[language]
    other, value = made[one - 1], made[one].words[slots[0]]
    every = f"{rng.choice(words['all'])} {_say(rng, language, slot, 'bare', other)}"
    for twice, once in (
        ("are are", "are"),
        ("is are", "is"),
        ("are get", "get"),
        ("is get", "gets"),
        ("everything get ", "everything gets "),
    ):
        every = every.replace(twice, once)
    if rng.random() < 0.4:
        if slot == "controls":
            shared = made[one - 1].slots[slot]
            if not any([value] == shared for value, _ in values_of(language, slot, made[one].family)):
                return None
            # without a word of exception both are meant
            made[one].slots[slot] = [*made[one].slots[slot], *shared]
        return f"{every}, {rng.choice(words[slot]['on']).format(v=value, n=made[one].back)}"
    return f"{every} {rng.choice(words['except'])} the {made[one].back} {_say(rng, language, slot, 'bare', made[one])}"


_PLACED: Final = {
    "inside": ("high_bay", "strip", "troffer", "downlight", "vapor_tight"),
    "outside": ("wall_pack", "flood", "area", "street", "canopy", "bollard"),
}


def place(rng: Random, language: str, made: list[Kind]) -> str | None:
    """Types that stand in places which the list names; the clauses name the places alone."""
    places = rng.sample(("shop", "office", "warehouse", "yard", "lobby", "garage", "back lot"), len(made))
    slot = rng.choice(("voltage", "voltage", "height_ft", "cct_k", "finish", "controls"))
    if not give_each(rng, language, made, slot):
        return None
    for kind, where in zip(made, places, strict=True):
        if kind.name.startswith("parking lot"):
            kind.name = "pole lights"  # they name a place of their own
        kind.name = f"{kind.name} in the {where}"
        kind.back = where
    forms = rng.choice((("after", "bare"), ("on", "on")))
    parts = []
    for n, kind in enumerate(made):
        if forms[0] == "on":
            parts.append(
                str(WORDS[language][slot]["on"][0])
                .replace(" on ", " in ")
                .format(v=kind.words[slot], n=kind.back)
            )
        else:
            said = _of_one(_say(rng, language, slot, forms[1] if n else forms[0], kind))
            parts.append(f"{kind.back if n or rng.random() < 0.5 else 'the ' + kind.back} {said}")
    return ", ".join(parts)


def in_and_out(rng: Random, language: str, made: list[Kind]) -> str | None:
    """Types that stand inside or out by what they are; the clauses say "inside" and "outside", or "poles" and "building"."""
    inside = [n for n, kind in enumerate(made) if kind.family in _PLACED["inside"]]
    outside = [n for n, kind in enumerate(made) if kind.family in _PLACED["outside"]]
    if not inside or not outside or len(inside) + len(outside) < len(made):
        return None
    slot = rng.choice(("voltage", "voltage", "cct_k", "finish"))
    if not give_sides(rng, language, made, slot, inside):
        return None
    words = rng.choice(
        (
            ("inside", "outside"),
            ("indoor ones", "outdoor ones"),
            ("everything inside", "everything outside"),
            ("interior", "exterior"),
            ("inside lights", "outside lights"),
        )
    )
    join = rng.choice((", ", " and "))
    first, second = (words[0], made[inside[0]]), (words[1], made[outside[0]])
    if rng.random() < 0.5:
        first, second = second, first
    form = rng.choice(WORDS[language][slot]["bare"][:1])
    return join.join(f"{word} {form.format(v=kind.words[slot])}" for word, kind in (first, second))


# where the clauses stand


def behind(rng: Random, language: str, made: list[Kind], clause: Clause) -> list[str] | None:
    said = clause(rng, language, made)
    if said is None:
        return None
    return [_list(rng, language, made) + rng.choice((". ", ", ", ". ", "\n", " - ")) + said]


def before(rng: Random, language: str, made: list[Kind], clause: Clause) -> list[str] | None:
    said = clause(rng, language, made)
    if said is None:
        return None
    return [said + rng.choice((": ", ". ", " - ", "\n")) + _list(rng, language, made, opening=False)]


def talk(rng: Random, language: str, made: list[Kind], clause: Clause) -> list[str] | None:
    said = clause(rng, language, made)
    if said is None:
        return None
    lead = (
        rng.choice(
            (
                "",
                "",
                "oh and ",
                "also ",
                "ok ",
                "forgot: ",
                "sorry forgot to say ",
                "one more thing, ",
                "fyi ",
                "heads up - ",
            )
        )
        if language == "en"
        else rng.choice(("", "ah y ", "también "))
    )
    return [_list(rng, language, made), lead + said]


def alone(rng: Random, language: str, made: list[Kind], clause: Clause) -> list[str] | None:
    said = clause(rng, language, made)
    return None if said is None else [said]


def hurried(rng: Random, language: str, made: list[Kind], _: Clause) -> list[str] | None:
    """No marks at all, in small letters."""
    clause = rng.choice((inline, named, value_first, rest))
    told = (alone if clause is inline else behind)(rng, language, made, clause)
    if told is None:
        return None
    text = told[0].lower().replace("\n", " ")
    for mark in (" - ", ", ", "; ", ". ", "(", ")"):
        text = text.replace(mark, " " if mark.endswith(" ") else "")
    return [text]


def notes(rng: Random, language: str, made: list[Kind], _: Clause) -> list[str] | None:
    """A list over lines, with notes under it or under each type."""
    clause = rng.choice((named, named, value_first, rest, all_but))
    said = clause(rng, language, made)
    if said is None:
        return None
    items = "\n".join(item(rng, language, kind) for kind in made)
    lead = rng.choice(("", "\n", "notes: ", "note - ")) if clause is not named else rng.choice(("", "\n"))
    return [items + "\n" + lead + said.replace(", ", rng.choice((", ", "\n")))]


def counts_behind(rng: Random, language: str, made: list[Kind], _: Clause) -> list[str] | None:
    """The count at the end of each type, over lines or between slashes."""
    slots = [
        slot
        for slot in _slots(rng, 1)
        if slot in ("voltage", "height_ft", "finish", "cct_k") and give_each(rng, language, made, slot)
    ]
    if not slots:
        return None
    slash = rng.random() < 0.5
    items = []
    for kind in made:
        own = _say(rng, language, slots[0], "own", kind)
        if slash:
            items.append(f"{kind.lamp} {kind.name} {own} x{kind.qty}")
        else:
            items.append(
                rng.choice(
                    (
                        f"{kind.name} {kind.lamp} {own} - {kind.qty}",
                        f"{kind.name} {kind.lamp}, {own} - {kind.qty}",
                        f"{kind.name} {kind.lamp} {own} x {kind.qty}",
                    )
                )
            )
    return [(" / " if slash else "\n").join(items)]


def swapped(rng: Random, language: str, made: list[Kind], _: Clause) -> list[str] | None:
    """Sentences in any order: the list, what is said of its types, and a word on the job."""
    said = rng.choice((named, value_first, rest, all_but))(rng, language, made)
    if said is None:
        return None
    counted = rng.choice(("there are ", "we have ", "I need ")) + _list(rng, language, made, opening=False)
    text, slot, value = rng.choice(WORDS[language]["job"])
    made[0].slots["job"] = {slot: value}
    sentences = [said, counted, text]
    rng.shuffle(sentences)
    return [". ".join(sentence[0].upper() + sentence[1:] for sentence in sentences) + "."]


def placed_or_in_and_out(rng: Random, language: str, made: list[Kind]) -> str | None:
    return (place if rng.random() < 0.6 else in_and_out)(rng, language, made)


Way = tuple[str, Callable[[Random, str, list[Kind], Clause], list[str] | None], Clause]
WAYS: Final[dict[str, Way]] = {
    "inline": ("en", alone, inline),
    "named behind": ("en", behind, named),
    "named before": ("en", before, named),
    "value first": ("en", behind, value_first),
    "rest": ("en", behind, rest),
    "ordinal": ("en", behind, ordinal),
    "place": ("en", behind, placed_or_in_and_out),
    "all but": ("en", behind, all_but),
    "grouped": ("en", behind, grouped),
    "topic": ("en", behind, topic),
    "topic before": ("en", before, topic),
    "talk grouped": ("en", talk, grouped),
    "talk topic": ("en", talk, topic),
    "hurried": ("en", hurried, named),
    "notes": ("en", notes, named),
    "counts behind": ("en", counts_behind, named),
    "talk named": ("en", talk, named),
    "talk value first": ("en", talk, value_first),
    "talk rest": ("en", talk, rest),
    "talk ordinal": ("en", talk, ordinal),
    "talk place": ("en", talk, placed_or_in_and_out),
    "talk all but": ("en", talk, all_but),
    "swapped": ("en", swapped, named),
    "spanish inline": ("es", alone, inline),
    "spanish named behind": ("es", behind, named),
    "spanish named before": ("es", before, named),
    "spanish value first": ("es", behind, value_first),
    "spanish rest": ("es", behind, rest),
}


def tell(way: str, number: int) -> Told:
    """The ``number``th job told in a way; the same each time."""
    language, placing, clause = WAYS[way]
    for attempt in range(200):
        rng = Random(f"{way}/{number}/{attempt}")  # noqa: S311
        made = kinds(rng, language, rng.choice((2, 2, 2, 3, 3, 4)))
        texts = placing(rng, language, made, clause)
        if texts is not None:
            job = made[0].slots.pop("job", {})
            said = tuple(sorted({slot for kind in made for slot in kind.words}))
            return Told(way, number, tuple(texts), job, tuple(kind.slots for kind in made), said)
    raise ValueError(f"no job can be told in the way {way!r}")
