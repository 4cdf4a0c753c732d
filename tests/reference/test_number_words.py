"""Numbers said in words against an independent number-word library (num2words 0.5, English and Spanish).

The library writes the number out; the reader must read the same number back, in the sentences of the trade.
"""

from collections.abc import Callable, Iterable

import pytest
from num2words import num2words

from bot.reading import read_first
from tests.examples import tried

COUNTS = (*range(1, 1001), *range(1001, 10_000, 7))
"""Every count to a thousand, and a walk over the rest that meets every last digit."""
OTHER_FORMS = COUNTS[:: tried(3, 1)]
"""For the same words written or used otherwise: every third, which meets every last digit too; all of them in the long profile."""
LAMP_WATTS = (35, 50, 70, 75, 100, 150, 175, 200, 250, 310, 320, 350, 400, 750, 875, 1000, 1500)
FEET = tuple(range(8, 61))
CENTS = tuple(range(4, 46))
VOLTS = (120, 208, 240, 277, 347, 480)


def english(number: int) -> str:
    return str(num2words(number, lang="en"))


def spanish(number: int) -> str:
    return str(num2words(number, lang="es"))


def before_masculine(number: int) -> str:
    """As it stands before a masculine noun: *veintiún reflectores*, *treinta y un reflectores* (the grammar's apocope)."""
    words = spanish(number)
    if words.endswith("veintiuno"):
        return words.removesuffix("uno") + "ún"
    return words.removesuffix("o") if words.endswith("uno") else words


def before_feminine(number: int) -> str:
    """As it stands before a feminine noun: *doscientas veintiuna luminarias* (hundreds and ones agree)."""
    words = spanish(number).replace("cientos", "cientas").replace("quinientos", "quinientas")
    return words[:-1] + "a" if words.endswith("uno") else words


def misread(
    numbers: Iterable[int], message: Callable[[int], str], expected: Callable[[int], dict[str, object]]
) -> list[str]:
    """One line for every number that is not read back."""
    out = []
    for number in numbers:
        text = message(number)
        reading = read_first(text)
        job, lines = reading.job.stated(), [line.stated() for line in reading.lines]
        want = expected(number)
        read = {**job, **(lines[0] if lines else {})}
        if len(lines) > 1 or any(read.get(slot) != value for slot, value in want.items()):
            out.append(f"{text!r}: {lines or job}")
    return out


def report(faults: list[str], of: int) -> str:
    return f"{len(faults)} of {of} misread:\n" + "\n".join(faults[:15])


@pytest.mark.parametrize(
    "style",
    [english, lambda n: english(n).replace("-", " "), lambda n: english(n).replace(",", ""),
     lambda n: english(n).replace(" and ", " "), lambda n: english(n).upper()],
    ids=["as written", "no hyphens", "no commas", "no and", "capitals"],
)  # fmt: skip
def test_a_count_in_english_words_is_read_back(style: Callable[[int], str]) -> None:
    numbers = COUNTS if style is english else OTHER_FORMS
    faults = misread(
        numbers,
        lambda n: f"{style(n)} 250 watt wall packs",
        lambda n: {"qty": n, "watts": 250.0, "family": "wall_pack"},
    )

    assert not faults, report(faults, len(numbers))


@pytest.mark.parametrize(
    "message",
    [
        lambda n: f"we have {english(n)} high bays",
        lambda n: f"replace {english(n)} troffers at twelve feet",
        lambda n: f"qty {english(n)}, flood lights",
    ],
    ids=["we have", "replace", "qty"],
)
def test_a_count_in_english_words_is_read_back_in_other_sentences(message: Callable[[int], str]) -> None:
    numbers = range(2, 400)
    faults = misread(numbers, message, lambda n: {"qty": n})

    assert not faults, report(faults, len(numbers))


@pytest.mark.parametrize("noun", ["reflectores", "proyectores"])
def test_a_count_in_spanish_words_is_read_back_before_a_masculine_noun(noun: str) -> None:
    numbers = COUNTS[1:] if noun == "reflectores" else OTHER_FORMS[1:]
    faults = misread(
        numbers,
        lambda n: f"{before_masculine(n)} {noun} de 250 vatios",
        lambda n: {"qty": n, "watts": 250.0, "family": "flood"},
    )

    assert not faults, report(faults, len(numbers))


def test_a_count_in_spanish_words_is_read_back_before_a_feminine_noun() -> None:
    numbers = COUNTS[1:]
    faults = misread(numbers, lambda n: f"{before_feminine(n)} luminarias de pared de 250 vatios",
                     lambda n: {"qty": n, "watts": 250.0, "family": "wall_pack"})  # fmt: skip

    assert not faults, report(faults, len(numbers))


@pytest.mark.parametrize(
    "words",
    [english, lambda n: english(n).replace("-", " ").replace(" and ", " ")],
    ids=["as written", "plain"],
)
def test_lamp_watts_in_english_words_are_read_back(words: Callable[[int], str]) -> None:
    faults = misread(
        LAMP_WATTS, lambda n: f"12 wall packs, {words(n)} watt", lambda n: {"qty": 12, "watts": float(n)}
    )

    assert not faults, report(faults, len(LAMP_WATTS))


def test_lamp_watts_in_spanish_words_are_read_back() -> None:
    faults = misread(
        LAMP_WATTS,
        lambda n: f"12 luminarias de pared de {spanish(n)} vatios",
        lambda n: {"qty": 12, "watts": float(n)},
    )

    assert not faults, report(faults, len(LAMP_WATTS))


def test_mounting_heights_in_english_words_are_read_back() -> None:
    faults = misread(
        FEET,
        lambda n: f"12 wall packs mounted at {english(n)} feet",
        lambda n: {"qty": 12, "height_ft": float(n)},
    )

    assert not faults, report(faults, len(FEET))


def test_mounting_heights_in_spanish_words_are_read_back() -> None:
    faults = misread(
        FEET,
        lambda n: f"12 reflectores a {before_masculine(n)} pies de altura",
        lambda n: {"qty": 12, "height_ft": float(n)},
    )

    assert not faults, report(faults, len(FEET))


def test_cents_a_kilowatt_hour_in_english_words_are_read_back() -> None:
    faults = misread(
        CENTS,
        lambda n: f"12 wall packs, we pay {english(n)} cents a kwh",
        lambda n: {"qty": 12, "rate_per_kwh": n / 100},
    )

    assert not faults, report(faults, len(CENTS))


def test_cents_a_kilowatt_hour_in_spanish_words_are_read_back() -> None:
    faults = misread(
        CENTS,
        lambda n: f"12 reflectores, pagamos {before_masculine(n)} centavos el kilovatio",
        lambda n: {"qty": 12, "rate_per_kwh": n / 100},
    )

    assert not faults, report(faults, len(CENTS))


def test_supply_volts_in_words_are_read_back() -> None:
    faults = misread(
        VOLTS, lambda n: f"12 wall packs, {english(n)} volts", lambda n: {"qty": 12, "voltage": n}
    )
    faults += misread(
        VOLTS, lambda n: f"12 reflectores a {spanish(n)} voltios", lambda n: {"qty": 12, "voltage": n}
    )

    assert not faults, report(faults, 2 * len(VOLTS))


@pytest.mark.parametrize(
    ("words", "count"),
    [("a dozen", 12), ("half a dozen", 6), ("two dozen", 24), ("a couple of", 2), ("a pair of", 2), ("a hundred and twenty", 120),
     ("a hundred", 100), ("forty five", 45), ("a thousand", 1000), ("twelve hundred", 1200), ("una docena de", 12),
     ("media docena de", 6), ("dos docenas de", 24), ("un par de", 2), ("cien", 100), ("ciento veinte", 120), ("mil", 1000)],
)  # fmt: skip
def test_counts_that_no_library_writes_out(words: str, count: int) -> None:
    """Common practice, no source."""
    noun = (
        "reflectores"
        if words.split()[0] in ("una", "media", "dos", "un", "cien", "ciento", "mil")
        else "flood lights"
    )
    line = read_first(f"need {words} {noun}").lines[0]

    assert (line.qty, line.family) == (count, "flood")
