"""A small grammar of messages whose reading is known because they were composed, English and Spanish.

Every choice is one that people make and that says one thing only; what two honest readers could take differently is not composed
(a height that two lines might share stands on its own line of text, a count never touches a bare number).
"""

from dataclasses import dataclass
from functools import cache
from typing import Any

from hypothesis import strategies as st
from num2words import num2words

Slots = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of text and what it states."""

    text: str
    slots: Slots


@dataclass(frozen=True, slots=True)
class Composed:
    """A whole message with its gold."""

    text: str
    job: Slots
    lines: list[Slots]


def pieces(*options: tuple[str, Slots]) -> st.SearchStrategy[Piece]:
    return st.sampled_from([Piece(text, slots) for text, slots in options])


@dataclass(frozen=True, slots=True)
class Language:
    """The word lists of one language."""

    count_before: st.SearchStrategy[Piece]
    count_after: st.SearchStrategy[Piece]
    lamp: st.SearchStrategy[Piece]
    noun: st.SearchStrategy[Piece]
    order: str
    attributes: tuple[st.SearchStrategy[Piece], ...]
    job: tuple[st.SearchStrategy[Piece], ...]
    opening: tuple[str, ...]


@cache
def counts(*forms: str) -> st.SearchStrategy[Piece]:
    return st.builds(
        lambda n, form: Piece(form.format(n=n), {"qty": n}), st.integers(2, 140), st.sampled_from(forms)
    )


def said_counts(language: str, *forms: str) -> st.SearchStrategy[Piece]:
    # numbers that end in one change with the gender of the noun in Spanish; the number-word tests cover them
    numbers = st.integers(2, 140).filter(lambda n: language == "en" or n % 10 != 1)
    return st.builds(
        lambda n, form: Piece(form.format(n=num2words(n, lang=language)), {"qty": n}),
        numbers,
        st.sampled_from(forms),
    )


def lamps(
    table: dict[str, tuple[tuple[int, ...], tuple[str, ...]]], watt_forms: tuple[str, ...]
) -> st.SearchStrategy[Piece]:
    """Watts with or without the source: the words of each source go with watts that are sold of it."""

    def of(source: str) -> st.SearchStrategy[Piece]:
        watts, names = table[source]
        return st.builds(
            lambda w, form, name: Piece(f"{form.format(w=w)} {name}".strip(), {"watts": w, **({"source": source} if name else {})}),
            st.sampled_from(watts), st.sampled_from(watt_forms), st.sampled_from((*names, "")),
        )  # fmt: skip

    return st.sampled_from(sorted(table)).flatmap(of)


@cache
def in_any_order(options: tuple[Any, ...]) -> st.SearchStrategy[Any]:
    """All of them; made once, since making a strategy anew at each draw takes longer than reading what is composed."""
    return st.permutations(options)


HEIGHTS = st.integers(9, 45)
ENGLISH = Language(
    count_before=st.one_of(counts("{n}", "({n})", "{n} ea", "{n}ea", "qty {n}", "{n} each", "{n} pcs"), said_counts("en", "{n}")),
    count_after=counts("x{n}", "x {n}", "qty {n}", "- {n} ea", "({n})", "{n} of them"),
    lamp=st.one_of(
        lamps(
            {
                "MH": ((175, 250, 400, 1000), ("MH", "metal halide", "halide")),
                "HPS": ((70, 100, 150, 250, 400), ("HPS", "high pressure sodium", "sodium")),
                "PSMH": ((320, 350), ("pulse start", "pulse start metal halide")),
                "MV": ((100, 175), ("mercury vapor", "MV", "merc")),
            },
            ("{w}W", "{w} W", "{w}w", "{w} watt", "{w}-watt"),
        ),
        pieces(("175MH", {"watts": 175, "source": "MH"}), ("250 HPS", {"watts": 250, "source": "HPS"}), ("M58", {"watts": 250, "source": "MH"}),
               ("S51", {"watts": 400, "source": "HPS"}), ("MH400/U", {"watts": 400, "source": "MH"}), ("LU150", {"watts": 150, "source": "HPS"})),
    ),
    noun=pieces(("wall packs", {"family": "wall_pack"}), ("wallpacks", {"family": "wall_pack"}), ("floods", {"family": "flood"}),
                ("flood lights", {"family": "flood"}), ("shoeboxes", {"family": "area"}), ("cobra heads", {"family": "street"}),
                ("high bays", {"family": "high_bay"}), ("canopy lights", {"family": "canopy"}), ("bollards", {"family": "bollard"})),
    order="{count} {lamp} {noun}",
    attributes=(
        st.builds(lambda h, form: Piece(form.format(h=h), {"height_ft": h}), HEIGHTS,
                  st.sampled_from(("at {h} ft", "at {h}'", "{h} ft up", "mounted at {h} feet", "{h}' mounting height", "at {h}'-0\"", "{h} feet high"))),
        pieces(("277V", {"voltage": 277}), ("480v", {"voltage": 480}), ("120 volt", {"voltage": 120}), ("208 V", {"voltage": 208}),
               ("120-277V", {"voltage": "120-277"})),
        pieces(("bronze", {"finish": "bronze"}), ("in black", {"finish": "black"}), ("white finish", {"finish": "white"})),
        pieces(("4000K", {"cct_k": 4000}), ("5000 K", {"cct_k": 5000}), ("3000k", {"cct_k": 3000})),
        pieces(("with photocell", {"controls": ["photocell"]}), ("motion sensors", {"controls": ["motion"]})),
        pieces(("full cutoff", {"optic": "full_cutoff"}), ("type III", {"optic": "type_III"})),
    ),
    job=(
        pieces(("power is 11 cents", {"rate_per_kwh": 0.11}), ("$0.13/kWh", {"rate_per_kwh": 0.13}), ("we pay 9 cents a kWh", {"rate_per_kwh": 0.09}),
               ("13c/kwh", {"rate_per_kwh": 0.13}), ("rate is .12", {"rate_per_kwh": 0.12}), ("eleven cent power", {"rate_per_kwh": 0.11})),
        pieces(("dusk to dawn", {"schedule": "dusk_to_dawn"}), ("on 24/7", {"schedule": "always_on"}), ("12 hours a day", {"schedule": {"hours_per_day": 12}}),
               ("6am to 10pm", {"schedule": {"hours_per_day": 16}}), ("4000 hours a year", {"schedule": {"hours_per_year": 4000}}),
               ("10 hrs/day 5 days a week", {"schedule": {"hours_per_day": 10, "days_per_week": 5}}), ("all night", {"schedule": "dusk_to_dawn"})),
        pieces(("rebate is $75 each", {"rebate_per_luminaire": 75}), ("utility pays $50 per fixture", {"rebate_per_luminaire": 50})),
        pieces(("labor $85 each", {"labor_per_luminaire": 85}), ("labor is 90 a head", {"labor_per_luminaire": 90})),
        pieces(("budget is $5,000", {"budget": 5000}), ("budget 12k", {"budget": 12000})),
        pieces(("zip 43604", {"place": {"zip": "43604"}}), ("Toledo OH", {"place": {"city": "Toledo", "state": "OH"}})),
    ),
    opening=("", "need ", "hi, quote on ", "replacing ", "Looking at "),
)  # fmt: skip
SPANISH = Language(
    count_before=st.one_of(counts("{n}", "({n})", "{n} piezas de", "cantidad {n},"), said_counts("es", "{n}")),
    count_after=counts("x{n}", "({n})", "{n} piezas", "cantidad {n}"),
    lamp=lamps(
        {
            "MH": ((175, 250, 400, 1000), ("de aditivos metálicos", "de haluro metálico")),
            "HPS": ((70, 100, 150, 250, 400), ("de vapor de sodio", "de sodio")),
            "MV": ((100, 175), ("de vapor de mercurio", "de mercurio")),
        },
        ("de {w} vatios", "de {w}W", "de {w} watts", "{w} W"),
    ),
    noun=pieces(("reflectores", {"family": "flood"}), ("proyectores", {"family": "flood"}), ("campanas", {"family": "high_bay"}),
                ("faroles", {"family": "post_top"}), ("bolardos", {"family": "bollard"}), ("luminarias de pared", {"family": "wall_pack"})),
    order="{count} {noun} {lamp}",
    attributes=(
        st.builds(lambda h, form: Piece(form.format(h=h), {"height_ft": h}), HEIGHTS, st.sampled_from(("a {h} pies", "a {h} pies de altura", "montadas a {h} pies"))),
        pieces(("277 voltios", {"voltage": 277}), ("480 V", {"voltage": 480}), ("a 120 volts", {"voltage": 120})),
        pieces(("color bronce", {"finish": "bronze"}), ("en negro", {"finish": "black"})),
        pieces(("4000K", {"cct_k": 4000}), ("5000 K", {"cct_k": 5000})),
        pieces(("con fotocelda", {"controls": ["photocell"]}), ("con sensor de movimiento", {"controls": ["motion"]})),
    ),
    job=(
        pieces(("la luz cuesta 11 centavos", {"rate_per_kwh": 0.11}), ("a 0,13 el kilovatio", {"rate_per_kwh": 0.13}), ("$0.12 por kWh", {"rate_per_kwh": 0.12})),
        pieces(("toda la noche", {"schedule": "dusk_to_dawn"}), ("12 horas al día", {"schedule": {"hours_per_day": 12}}), ("las 24 horas", {"schedule": "always_on"}),
               ("10 horas diarias de lunes a viernes", {"schedule": {"hours_per_day": 10, "days_per_week": 5}})),
        pieces(("mano de obra $85 cada uno", {"labor_per_luminaire": 85})),
        pieces(("presupuesto de $5,000", {"budget": 5000})),
    ),
    opening=("", "necesito ", "Buenas, cotizar ", "Quiero cambiar "),
)  # fmt: skip
LANGUAGES = {"en": ENGLISH, "es": SPANISH}


@cache
@st.composite
def one_line(draw: st.DrawFn, language: Language, most: int) -> Piece:
    """One luminaire type: count, lamp, noun and some attributes in any order."""
    noun, lamp = draw(language.noun), draw(language.lamp)
    chosen = draw(in_any_order(language.attributes))[: draw(st.integers(0, most))]
    attributes = [draw(option) for option in chosen]
    between = draw(st.sampled_from((", ", " ")))
    if draw(st.booleans()):
        count = draw(language.count_before)
        head = language.order.format(count=count.text, lamp=lamp.text, noun=noun.text)
    else:
        count = draw(language.count_after)
        head = f"{language.order.format(count='', lamp=lamp.text, noun=noun.text).strip()} {count.text}"
        between = ", "  # a count at the end, then a bare number beside it, would be two readings
    slots: Slots = {}
    for piece in (noun, lamp, count, *attributes):
        slots.update(piece.slots)
    return Piece(between.join((head, *(piece.text for piece in attributes))), slots)


@cache
@st.composite
def messages(draw: st.DrawFn, language: Language, lines: int, most: int, job_most: int) -> Composed:
    """A message of ``lines`` lines; every line stands on a line of text of its own, and so does what holds for the job."""
    made = [draw(one_line(language, most)) for _ in range(lines)]
    said = [draw(option) for option in draw(in_any_order(language.job))[: draw(st.integers(0, job_most))]]
    job: Slots = {}
    for piece in said:
        job.update(piece.slots)
    body = "\n".join(piece.text for piece in made)
    tail = draw(st.sampled_from((", ", ". ", "\n")))
    after = draw(st.sampled_from((". ", "\n")))
    text = (
        draw(st.sampled_from(language.opening))
        + body
        + (after + tail.join(piece.text for piece in said) if said else "")
    )
    shout = draw(st.sampled_from((False, False, False, True)))
    return Composed(text.upper() if shout else text, job, [piece.slots for piece in made])


TUBES = pieces(
    ("F32T8", {"source": "T8", "watts": 32, "lamp_feet": 4}), ("F40T12", {"source": "T12", "watts": 40, "lamp_feet": 4}),
    ("F54T5HO", {"source": "T5HO", "watts": 54, "lamp_feet": 4}), ("T8", {"source": "T8"}), ("T12", {"source": "T12"}),
)  # fmt: skip
TUBE_SIZES = pieces(
    ("2x4", {"size": "2x4"}), ("2x2", {"size": "2x2"}), ("1x4", {"size": "1x4"}), ("", {})
)  # fmt: skip
TUBE_NOUNS = pieces(
    ("troffers", {"family": "troffer"}), ("lay-ins", {"family": "troffer"}), ("high bays", {"family": "high_bay"}),
    ("wraps", {"family": "wrap"}),
)  # fmt: skip
TUBE_ENDS = pieces(
    ("", {}), (", 277V", {"voltage": 277}), (", 9 ft ceiling", {"height_ft": 9}), (" at 12'", {"height_ft": 12})
)  # fmt: skip
NOISE: tuple[tuple[str, Slots], ...] = (
    ("call me at 419-555-0142. ", {}), ("PO 4471. ", {"po": "4471"}), ("re my mail of 3/14/2025: ", {}),
    ("my number is (614) 555-0187, ", {}), ("ship to 1250 Mill Street. ", {}), ("license #EL-20417. ", {}), ("unit 14B. ", {}),
)  # fmt: skip
"""What carries a number and is no line's business. Invented numbers; a customer's order number is a slot of the job."""


@st.composite
def tube_luminaires(draw: st.DrawFn) -> Composed:
    """Counts, sizes, lamps a luminaire and lamp codes side by side: four numbers that are four different things."""
    count = draw(counts("{n}", "({n})", "{n} ea", "qty {n}"))
    lamps = draw(st.integers(1, 6))
    lamp_words = draw(st.sampled_from(("{n} lamp", "{n}-lamp", "{n}L", "({n})"))).format(n=lamps)
    tube = draw(TUBES)
    if lamp_words.startswith("(") and not tube.text.startswith("F"):
        lamp_words = f"{lamps} lamp"
    size, noun, after = draw(TUBE_SIZES), draw(TUBE_NOUNS), draw(TUBE_ENDS)
    text = (
        " ".join(part for part in (count.text, size.text, lamp_words, tube.text, noun.text) if part)
        + after.text
    )
    slots: Slots = {"lamps": lamps}
    for piece in (count, size, tube, noun, after):
        slots.update(piece.slots)
    return Composed(text, {}, [slots])


TWO_COUNTS = st.lists(st.integers(2, 90), min_size=2, max_size=2, unique=True)


@st.composite
def corrected(draw: st.DrawFn) -> Composed:
    """A count that the writer takes back and says anew: the last statement stands."""
    wrong_count, count = draw(TWO_COUNTS)
    lamp, noun = draw(ENGLISH.lamp), draw(ENGLISH.noun)
    cue = draw(
        st.sampled_from(
            ("no wait", "sorry,", "make that", "i mean", "scratch that,", "actually", "correction:")
        )
    )
    comma = draw(st.sampled_from((", ", " - ", "... ")))
    return Composed(
        f"{wrong_count}{comma}{cue} {count} {lamp.text} {noun.text}",
        {},
        [{"qty": count, **lamp.slots, **noun.slots}],
    )


@cache
def other_noun(families: frozenset[str]) -> st.SearchStrategy[Piece]:
    """A noun of none of these."""
    return ENGLISH.noun.filter(lambda piece: piece.slots["family"] not in families)


@st.composite
def one_sentence(draw: st.DrawFn) -> Composed:
    """Two types of different families in one sentence; what one says of itself, the other says of itself too."""
    joins = (" and ", ", ", " plus ", "; ", " & ", ", also ")
    which = draw(in_any_order(tuple(range(len(ENGLISH.attributes)))))[: draw(st.integers(0, 2))]
    parts, lines = [], []
    families: set[str] = set()
    for _ in range(2):
        count = draw(counts("{n}", "{n} ea", "qty {n}"))
        lamp, noun = (
            draw(ENGLISH.lamp),
            draw(other_noun(frozenset(families))),
        )
        families.add(noun.slots["family"])
        attributes = [draw(ENGLISH.attributes[at]) for at in which]
        parts.append(
            " ".join(
                (
                    ENGLISH.order.format(count=count.text, lamp=lamp.text, noun=noun.text),
                    *(a.text for a in attributes),
                )
            )
        )
        slots: Slots = {}
        for piece in (count, lamp, noun, *attributes):
            slots.update(piece.slots)
        lines.append(slots)
    return Composed(draw(st.sampled_from(joins)).join(parts), {}, lines)


@st.composite
def with_noise(draw: st.DrawFn) -> Composed:
    """A plain message behind numbers that are none of its business."""
    message = draw(messages(ENGLISH, lines=1, most=2, job_most=0))
    noise, job = draw(st.sampled_from(NOISE))
    return Composed(f"{noise}{message.text}", {**message.job, **job}, message.lines)
