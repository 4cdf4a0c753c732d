"""What a question about light asks, beside the luminaires themselves: the level, the room or lot, the run of wall, how far out.

The public reading has no slots for it. The passages it takes are blanked before the luminaires are read, or "80 x 150 shop"
would be 80 luminaires. Every pattern is bounded; the text is folded (`bot.reading.text.fold`).
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any, Final

from bot.reading.compiled import parsed
from bot.reading.tokens import number_value

FEET_PER_METRE: Final = 1 / 0.3048
LUX_PER_FOOTCANDLE: Final = FEET_PER_METRE**2
FEET2_PER_ACRE: Final = 43_560.0
LEAST_SIDE_FT: Final = 6.0
"""A room's side; "2x4" is a troffer."""
MOST_TEXT: Final = 4_000
NEAR: Final = 40
"""Characters before or after a size within which a place makes it a room."""

_NUM = (
    r"(?<![\d.,$#/-])(?P<{0}>\d{{1,3}}(?:,\d{{3}}){{1,2}}|\d{{1,6}}(?:\.\d{{1,3}})?|\.\d{{1,3}})(?![\d,]*\d)"
)
_WORDS: Final = {
    "half a": 0.5, "a half": 0.5, "half": 0.5, "medio": 0.5, "media": 0.5, "one": 1, "a": 1, "un": 1, "una": 1, "uno": 1, "two": 2,
    "dos": 2, "three": 3, "tres": 3, "four": 4, "cuatro": 4, "five": 5, "cinco": 5, "six": 6, "seis": 6, "eight": 8, "ocho": 8,
    "ten": 10, "diez": 10, "fifteen": 15, "quince": 15, "twenty": 20, "veinte": 20, "thirty": 30, "treinta": 30, "forty": 40,
    "cuarenta": 40, "fifty": 50, "cincuenta": 50, "a hundred": 100, "one hundred": 100, "cien": 100,
}  # fmt: skip
_FC = r"(?:f\.?c\.?s?(?![a-z])|(?:foot|feet|ft)\.?[ -]?candles?|footcandles?|fcs?(?![a-z])|pies?[ -]candelas?|candelas?[ -]pies?|bujias?[ -]pies?)"
_LUX = r"(?:lux(?:es)?|lx)(?![a-z])"
_FT = r"(?:'|ft\.?(?![a-z])|feet(?![a-z])|foot(?![a-z])|pies?(?![a-z]))"
_M = r"(?:meters?|metres?|metros?|mts?\.?|m)(?![a-z0-9])"
_UNIT = rf"(?: ?(?:{_FT}|{_M}))"
_BY = r" ?(?:x|by|por|\*) ?"


ASKED_OF_LIGHT: Final = "light."
"""How the path of a question of ours about light begins."""


@dataclass(frozen=True, slots=True)
class AskedOfLight:
    """Values by slot of `engine.request.AskedLight`, in JSON form, and what was taken from the text.

    Attributes:
        values: only what was said.
        spans: characters of the text that say what is no slot of a luminaire; they are blanked for the reader.
        metric: lux or metres were used there.
    """

    values: dict[str, Any] = field(default_factory=dict)
    spans: tuple[tuple[int, int], ...] = ()
    metric: tuple[int, int] | None = None

    @property
    def has_wants(self) -> bool:
        """Whether the text asks something about light."""
        return bool(self.values.get("wants"))


def asked_of_light(folded: str) -> AskedOfLight:
    """What ``folded`` asks about light; values may be empty."""
    text = folded[:MOST_TEXT]
    taken = _Taken(text)
    _levels(taken)
    _sizes(taken)
    _runs(taken)
    _property_line(taken)
    _reach(taken)
    _poles(taken)
    if not taken.values and (bare := _BARE.fullmatch(text.strip())):
        start = text.index(bare["n"])
        taken.take(
            start, len(text.rstrip()), bare_ft=taken.feet(bare["n"], bare["unit"] or "", (start, len(text)))
        )
    if space := _space(text):
        taken.values["space"] = space
    if wants := _wants(text, taken.values):
        taken.values["wants"] = wants
    return AskedOfLight(taken.values, tuple(sorted(taken.spans)), taken.metric)


def blanked(folded: str, asked: AskedOfLight) -> str:
    """``folded`` with what was taken replaced by spaces, character for character."""
    out = folded
    for start, end in asked.spans:
        out = out[:start] + " " * (end - start) + out[end:]
    return out


class _Taken:
    """The values so far, and the passages that they came from."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.values: dict[str, Any] = {}
        self.spans: list[tuple[int, int]] = []
        self.metric: tuple[int, int] | None = None

    def free(self, start: int, end: int) -> bool:
        """Whether nothing was taken there yet."""
        return all(end <= a or start >= b for a, b in self.spans)

    def take(self, start: int, end: int, **values: Any) -> None:
        """Keeps values that are not there yet."""
        self.spans.append((start, end))
        for slot, value in values.items():
            self.values.setdefault(slot, value)

    def feet(self, number: str, unit: str, span: tuple[int, int]) -> float:
        """A length in feet; metres are told."""
        value = number_value(number)
        if _is_metric(unit):
            self.metric = self.metric or span
            return round(value * FEET_PER_METRE, 2)
        return value


def _is_metric(unit: str | None) -> bool:
    return bool(unit) and re.match(_M, (unit or "").strip()) is not None


def _compile(source: str) -> re.Pattern[str]:
    return re.compile(source)


@lru_cache(maxsize=1)
def _level() -> re.Pattern[str]:
    words = "|".join(sorted(_WORDS, key=len, reverse=True))
    number = _NUM.format("n")
    return _compile(
        rf"(?:{number}(?: ?(?:-|to|a|or|o) ?\d{{1,5}}(?:\.\d{{1,2}})?)?|(?<![a-z])(?P<word>{words})(?= ))(?: (?:average|avg|minimum|min|maintained))? ?"
        rf"(?P<unit>{_FC}|{_LUX})"
    )


def _levels(taken: _Taken) -> None:
    for match in _level().finditer(taken.text):
        lux = re.fullmatch(_LUX, match["unit"]) is not None
        word = match["word"]
        value = float(_WORDS[word]) if word else number_value(match["n"])
        if word in {"a", "un", "una"} and lux:
            continue
        if lux:
            value = value / LUX_PER_FOOTCANDLE
            taken.metric = taken.metric or match.span()
        if not 0 < value <= 1000:
            continue
        around = taken.text[max(0, match.start() - 22) : match.end() + 22]
        extra: dict[str, Any] = {}
        if re.search(r"(?<![a-z])(?:average|avg|promedio|en promedio)(?![a-z])", around):
            extra["level_is"] = "average"
        elif re.search(r"(?<![a-z])(?:minimum|min|minimo|darkest|worst|lowest)(?![a-z])", around):
            extra["level_is"] = "minimum"
        taken.take(*match.span(), level_fc=round(value, 4), **extra)


@lru_cache(maxsize=1)
def _area() -> re.Pattern[str]:
    return _compile(
        rf"{_NUM.format('a')}(?P<ua>{_UNIT})?(?: (?:wide|long|de ancho|de largo))?{_BY}(?P<b>\d{{1,3}}(?:,\d{{3}})?|\d{{1,6}}(?:\.\d{{1,2}})?)(?![\d.]*\d)(?P<ub>{_UNIT})?"
        r"(?! ?(?:w|watts?|v|volts?|mh|hps|hid|lamps?|k|lm|lumens?|lights?|t\d|x)(?![a-z]))"
    )


@lru_cache(maxsize=1)
def _square() -> re.Pattern[str]:
    return _compile(
        rf"{_NUM.format('n')}(?P<k> ?k(?![a-z]))? ?(?P<unit>sq\.? ?(?:ft|feet|foot|m|meters?|metres?)|square (?:feet|foot|meters?|metres?)|sf(?![a-z])|sqft|ft2|m2|pies? cuadrados?|"
        r"metros? cuadrados?|acres?)"
    )


@lru_cache(maxsize=1)
def _one_side() -> re.Pattern[str]:
    return _compile(
        rf"{_NUM.format('n')}[ -]?(?P<unit>{_FT}|{_M})[ -]?(?:wide |long |square )?(?=(?:{_place_words()})(?![a-z]))"
    )


def _sizes(taken: _Taken) -> None:
    text = taken.text
    for match in _area().finditer(text):
        unit = match["ub"] or match["ua"] or ""
        sides = [taken_value(match[side], unit) for side in ("a", "b")]
        before, after = (
            text[max(0, match.start() - NEAR) : match.start()],
            text[match.end() : match.end() + NEAR],
        )
        alone = _ALONE.fullmatch(text[: match.start()]) and _ALONE.fullmatch(text[match.end() :])
        known = unit or alone or _place().search(before) or _place().search(after)
        if min(sides) < LEAST_SIDE_FT or not known:
            continue
        if not unit and max(sides) > 3_000:
            continue
        if _is_metric(unit):
            taken.metric = taken.metric or match.span()
        taken.take(*match.span(), length_ft=max(sides), width_ft=min(sides))
    for match in _square().finditer(text):
        value = number_value(match["n"]) * (1000 if match["k"] else 1)
        unit = match["unit"]
        if unit.startswith("acre"):
            value *= FEET2_PER_ACRE
        elif (
            "m" in unit.replace("square", "").replace("sq", "")[:7] and "f" not in unit and "pie" not in unit
        ):
            value *= FEET_PER_METRE**2
            taken.metric = taken.metric or match.span()
        if taken.free(*match.span()) and 20 <= value <= 1e8:
            taken.take(*match.span(), area_ft2=round(value, 1))
    if not {"length_ft", "area_ft2"} & taken.values.keys():
        for match in _one_side().finditer(text):
            side = taken.feet(match["n"], match["unit"], match.span())
            following = text[match.end() : match.end() + 12]
            if side >= 4 * LEAST_SIDE_FT and taken.free(*match.span()) and not _RUNS_ALONG.match(following):
                taken.take(*match.span(), length_ft=side)


def taken_value(number: str, unit: str) -> float:
    """A side in feet."""
    value = number_value(number)
    return round(value * FEET_PER_METRE, 2) if _is_metric(unit) else value


_ALONE = re.compile(
    r"(?:[\s.,!]|it'?s|its|about|around|roughly|maybe|approx|like|or so|son|es|mide|unos|como|de|aprox|mas o menos){0,8}"
)
"""What may stand about a size that is the whole message."""
_BARE = re.compile(
    rf"(?:it'?s |its |about |around |roughly |maybe |son |es |unos |como |a |at )*{_NUM.format('n')}(?: ?(?P<unit>{_FT}|{_M}))?(?: (?:away|out|long|total|or so|all around|de largo|mas o menos))*[.!]?"
)
_RUNS_ALONG = re.compile(
    r"(?:wall|fence|sidewalk|walkway|path|street|road|drive|alley|building|perimeter|pole|ceiling|house)"
)


@lru_cache(maxsize=1)
def _run() -> tuple[re.Pattern[str], ...]:
    number = _NUM.format("n")
    unit = rf"[ -]?(?P<unit>{_FT}|{_M})"
    kinds = r"(?P<kind>perimeter|building|wall|side|fence|sidewalk|walkway|walking path|path|trail|street|road|drive|driveway|alley|perimetro|pared|muro|barda|banqueta|andador|sendero|calle|camino|edificio)"
    return (
        _compile(
            rf"{number}{unit}?(?: (?:of|de|linear feet of|long|largo|de largo|total))? ?{kinds}(?![a-z])"
        ),
        _compile(rf"(?P<kind>perimeter|perimetro)(?: (?:of|is|about|de|es|mide)){{0,2}} {number}{unit}?"),
        _compile(
            rf"{number}{unit}(?: (?:all the way|long|total|de largo))? (?P<kind>around|alrededor|all around)"
        ),
        _compile(
            rf"{kinds}(?:'s| is| that is|, | de| es| mide| of){{0,2}} {number}{unit} (?:long|de largo|largo)"
        ),
    )


SHORTEST_WALL_FT: Final = 60.0
"""A wall of less, of which nothing more is said, may be so tall rather than so long."""
_MAY_BE_TALL: Final = frozenset({"wall", "building", "side", "pared", "muro", "edificio"})
_SAID_LONG = re.compile(r" (?:of|de|linear|long|largo|total) ")
_AROUND: Final = frozenset({"perimeter", "perimetro", "around", "all around", "alrededor"})


@lru_cache(maxsize=1)
def _wide() -> re.Pattern[str]:
    return _compile(
        rf"{_NUM.format('n')}[ -]?(?P<unit>{_FT}|{_M})(?: |-)(?:wide|de ancho|ancho)(?! ?(?:x|by))"
    )


def _runs(taken: _Taken) -> None:
    text = taken.text
    for match in _wide().finditer(text):
        width = taken.feet(match["n"], match["unit"], match.span())
        if taken.free(*match.span()) and 2 <= width <= 200:
            taken.take(*match.span(), path_ft=width)
    for pattern in _run():
        for match in pattern.finditer(text):
            unit = match["unit"] or ""
            value = taken_value(match["n"], unit)
            kind = match["kind"]
            if (
                not taken.free(*match.span())
                or value < 4 * LEAST_SIDE_FT
                or (not unit and kind not in _AROUND)
            ):
                continue
            if value < SHORTEST_WALL_FT and kind in _MAY_BE_TALL and not _SAID_LONG.search(match.group()):
                continue
            if _is_metric(unit):
                taken.metric = taken.metric or match.span()
            taken.take(
                match.start(), match.end(), run_ft=value, **({"around": True} if kind in _AROUND else {})
            )


_LINE_WORDS: Final = (
    r"property line|lot line|fence line|fence|neighbou?rs?(?:'s)?(?: (?:house|yard|window|windows|property))?|boundary|next door|"
    r"houses?|lindero|colindancia|vecin[oa]s?|cerca|barda|limite de (?:la )?propiedad"
)


@lru_cache(maxsize=1)
def _line() -> tuple[re.Pattern[str], ...]:
    number, unit = _NUM.format("n"), rf" ?(?P<unit>{_FT}|{_M})"
    words = rf"(?<![a-z])(?:{_LINE_WORDS})(?![a-z])"
    return (
        _compile(
            rf"{words}[^.;?\d]{{0,24}} {number}{unit}(?: (?:away|off|out|back|behind|from \w{{1,12}}|de distancia))?"
        ),
        _compile(rf"{number}{unit}[^.;?\d]{{0,24}} {words}"),
    )


def _property_line(taken: _Taken) -> None:
    for pattern in _line():
        for match in pattern.finditer(taken.text):
            number = match.span("n")[0], match.span("unit")[1]
            if "line_ft" in taken.values or not taken.free(*number):
                continue
            after = taken.text[number[1] : number[1] + 14]
            if re.match(r" (?:up|high|tall|poles?|mount|de alto|arriba)", after):
                continue
            taken.take(*number, line_ft=taken.feet(match["n"], match["unit"], number))


@lru_cache(maxsize=1)
def _out() -> tuple[re.Pattern[str], ...]:
    number, unit = _NUM.format("n"), rf" ?(?P<unit>{_FT}|{_M})"
    return (
        _compile(
            rf"(?<![a-z])(?:out(?: to| at)?|reach(?:es|ing)?|throws?|carry|carries|hasta|alcanc\w{{1,3}}|alcanza[nr]?)(?: [a-z]{{1,12}}){{0,3}} {number}{unit}(?: out)?(?! ?(?:up|high|poles?|mount))"
        ),
        _compile(
            rf"{number}{unit} (?:out(?![a-z])|(?:away |out )?from the (?:wall|building|poles?|fixtures?|lights?)|de la pared|del muro|del poste|afuera|away(?![a-z]))"
        ),
    )


def _reach(taken: _Taken) -> None:
    for pattern in _out():
        for match in pattern.finditer(taken.text):
            number = match.span("n")[0], match.span("unit")[1]
            if "reach_ft" not in taken.values and taken.free(*number):
                taken.take(*number, reach_ft=taken.feet(match["n"], match["unit"], number))


_POLES = re.compile(
    r"(?<![\d.'])(?P<n>\d{1,4}|one|two|three|four|five|six|seven|eight|nine|ten|twelve|dos|tres|cuatro|cinco|seis|ocho|diez|doce)"
    r"(?: (?!ft|feet|foot|pies|m\b|w\b)[a-z]{2,10}){0,2} (?:poles|postes)(?![a-z])"
)
_HEADS = re.compile(
    r"(?<![a-z\d])(?P<n>1|2|3|4|one|two|three|four|un|una|dos|tres|cuatro|single|twin|double|dual|triple|quad|doble|dobles|singles|twins|doubles|quads|back to back)"
    r"[ -]?(?:heads?|headed|per pole|cabezas?|each pole|por poste|a pole|on a pole|/pole)(?![a-z])|(?<![a-z])(?P<alone>quads|quad|twins|twin|doubles|back to back|singles|dobles)(?![a-z])(?! (?:tap|level))"
)
_COUNTS: Final = {
    "one": 1, "un": 1, "una": 1, "single": 1, "singles": 1, "two": 2, "dos": 2, "twin": 2, "twins": 2, "double": 2, "doubles": 2, "dual": 2,
    "doble": 2, "dobles": 2, "back to back": 2, "three": 3, "tres": 3, "triple": 3, "four": 4, "cuatro": 4, "quad": 4, "quads": 4,
    "five": 5, "cinco": 5, "six": 6, "seis": 6, "seven": 7, "eight": 8, "ocho": 8, "nine": 9, "ten": 10, "diez": 10, "twelve": 12, "doce": 12,
}  # fmt: skip


def _poles(taken: _Taken) -> None:
    if match := _POLES.search(taken.text):
        taken.values.setdefault("poles", _count(match["n"]))
    if match := _HEADS.search(taken.text):
        heads = _count(match["n"] or match["alone"])
        if 1 <= heads <= 4:
            taken.values.setdefault("heads", heads)


def _count(word: str) -> int:
    return _COUNTS[word] if word in _COUNTS else int(word)


@lru_cache(maxsize=1)
def _spaces() -> tuple[tuple[str, str], ...]:
    rows = parsed("spaces")["spaces"]
    return tuple(
        sorted(
            ((word, key) for key, words in rows.items() for word in words),
            key=lambda row: (-len(row[0]), row[0]),
        )
    )


def _place_words() -> str:
    words = [word for word, _ in _spaces()] + parsed("spaces")["places"]["words"]
    return "|".join(re.escape(word) for word in sorted(set(words), key=lambda word: (-len(word), word)))


@lru_cache(maxsize=1)
def _place() -> re.Pattern[str]:
    return _compile(rf"(?<![a-z])(?:{_place_words()})(?![a-z])")


@lru_cache(maxsize=1)
def _space_pattern() -> re.Pattern[str]:
    return _compile(rf"(?<![a-z])(?:{'|'.join(re.escape(word) for word, _ in _spaces())})(?![a-z])")


def _space(text: str) -> str | None:
    """The kind of place named; the one whose word is longest, then the first."""
    keys = dict(_spaces())
    found = list(_space_pattern().finditer(text))
    if not found:
        return None
    best = max(found, key=lambda match: (len(match.group()), -match.start()))
    return str(keys[best.group()])


_WANTS: Final = (
    (
        "spill",
        r"(?<![a-z])(?:spill\w{0,4}|trespass|glare|uplight|sky ?glow|dark[ -]?sky|property line|lot line|neighbou?rs?(?:'s)?|shine (?:in|on|over)\w{0,3}|deslumbr\w{1,6}|vecin[oa]s?|lindero|colindancia|resplandor|molest\w{1,5})(?![a-z])",
    ),
    (
        "count",
        r"(?<![a-z])(?:how many(?! (?:fc|foot ?candles?|lux|lumens?|watts?|hours?|feet|ft|years?))|cuant[oa]s(?! (?:fc|pies|lux|luxes|lumenes|watts|horas|anos|metros))|what (?:count|quantity)|number of (?:lights|fixtures|poles|heads))(?![a-z])",
    ),
    (
        "spacing",
        r"(?<![a-z])(?:how far apart|spac(?:e|ed|ing)(?! heater)|how close together|what spacing|que tan separad[oa]s|a que distancia|que distancia|cada cuant[oa]s?|separacion|between poles)(?![a-z])",
    ),
    (
        "compare",
        r"(?<![a-z])(?:as bright|brighter than|same (?:light|amount of light|brightness|level)|one[ -]for[ -]one|1 ?(?:for|4|:) ?1|uno (?:por|a) uno|igual(?: de)?|misma luz|than (?:now|what|before)|as (?:now|before|what)|still (?:get|give|have|hold)|like (?:now|before)|que ahora|que antes)(?![a-z])",
    ),
    (
        "reach",
        r"(?<![a-z])(?:how far (?!apart)(?:\w{1,6} )?|throws?|reach(?:es)?|how wide|carry|que tan lejos|hasta donde|alcance|how far out)(?![a-z])",
    ),
    (
        "level",
        r"(?<![a-z])(?:foot ?candles?|footcandles?|fc|lux(?:es)?|light enough|bright(?:er|ness)?|enough light|light levels?|dark(?: spots?|est)?|too dim|see the ball|enough|uniform\w{0,3}|evenly|alcanza\w{0,2}|alcanzo|suficiente|alumbr\w{1,6}|ilumin\w{1,6}|nivel(?:es)? de luz|brillante|good enough|how much light)(?![a-z])",
    ),
)


def _wants(text: str, values: dict[str, Any]) -> list[str]:
    wants = [name for name, pattern in _patterns_of_wants() if pattern.search(text)]
    if "line_ft" in values and "spill" not in wants:
        wants.insert(0, "spill")
    return wants


@lru_cache(maxsize=1)
def _patterns_of_wants() -> tuple[tuple[str, re.Pattern[str]], ...]:
    return tuple((name, _compile(source)) for name, source in _WANTS)


def folded_over(parts: Iterator[AskedOfLight]) -> dict[str, Any]:
    """Values of several messages about one job: what is said later stands, and what is wanted is what was asked last.

    A bare length answers what is missing: how far the line is where spill was asked about, else how much there is to light.
    """
    out: dict[str, Any] = {}
    for part in parts:
        values = dict(part.values)
        bare = values.pop("bare_ft", None)
        if bare is not None and out.get("wants"):
            missing = "line_ft" if "spill" in out["wants"] and "line_ft" not in out else "run_ft"
            values[missing] = bare
        if {"length_ft", "area_ft2"} & values.keys():
            for slot in ("length_ft", "width_ft", "area_ft2"):
                out.pop(slot, None)
        wants = values.pop("wants", None)
        out |= values
        if wants:
            out["wants"] = wants
    return out
