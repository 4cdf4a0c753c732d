"""An answer about light made ready to show: sentences, what was read and taken for granted, guidance, each already in words."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Final

from bot.replies import shown
from bot.replies.cautioned import caution_short, caution_text
from bot.replies.clean import one_line
from bot.replies.describe import line_details, line_title, value_words
from bot.replies.figure_names import figure_name
from bot.replies.heard import Heard
from bot.replies.sources import short_source
from bot.replies.view import faults_of, unread_of
from bot.replies.words import Words, value_kinds
from engine.figure import Figure
from engine.light.layout_shape import Allowance, Layout, Say
from engine.light.layout_spill import bug_says
from engine.proposal import Quote, QuoteLine
from engine.quantities import FEET_PER_METRE
from engine.record import record
from engine.tables.rows import LightLevelRow

QUESTION: Final = "light."
CAUTIONS: Final = ("light_level_not_designed", "licensed_work")
OUTDOOR_CAUTIONS: Final = ("light_level_not_designed", "glare_trespass", "licensed_work")
_SAID_BY_NAME: Final = frozenset({"poles_at_edges", "poles_spread"})
_QUIET: Final = _SAID_BY_NAME | {"plane_ft"}
"""Worth a word only where there is room."""
_TOGETHER: Final = frozenset(
    {
        "ceiling_reflectance",
        "walls_reflectance",
        "floor_reflectance",
        "led_depreciation",
        "led_dirt_depreciation",
    }
)
"""Shares that are told in one breath."""


@record
class FigureView:
    """A number that can be opened: its words, as it is shown, its path."""

    words: str
    shown: str
    figure: str


@record
class LineLayoutView:
    """The answer for one line. Every field is text.

    Attributes:
        title: the luminaires and what would replace them. ``part``: the latter's number and watts.
        answer: sentences, the most telling first.
        figures: what can be opened.
        sky: uplight, glare and backlight.
        guides: levels that rules and guides name.
        power: what a code allows; "" indoors. ``limits``: at a property line; "" where none was asked about.
        basis: what the figures rest on.
    """

    title: str
    part: str
    answer: tuple[str, ...]
    figures: tuple[FigureView, ...]
    sky: str
    guides: tuple[str, ...]
    power: str
    limits: str
    basis: str


@record
class LayoutView:
    """The whole reply's material.

    Attributes:
        read: what was read, a line each.
        assumed: what was taken, the main ones; ``assumed_short``: in a few words each.
        lines: an answer for each line that has one.
        question: "" where nothing is asked.
        left_out: a word about lines that are not answered here; "" for none.
    """

    headline: str
    read: tuple[str, ...]
    assumed: tuple[str, ...]
    assumed_short: tuple[str, ...]
    lines: tuple[LineLayoutView, ...]
    question: str
    left_out: str
    unread: tuple[str, ...]
    faults: tuple[str, ...]
    cautions: tuple[str, ...]
    cautions_short: tuple[str, ...]


def layout_view(quote: Quote, reading: Heard, words: Words, texts: Sequence[str] = ()) -> LayoutView:
    """The material of a quote that has layouts."""
    metric = bool(quote.request.job.metric)
    teller = LayoutTeller(words, metric)
    lines = {line.index: line for line in quote.lines}
    layouts = quote.layouts
    views = tuple(teller.line(n, layout, lines[layout.setting.index]) for n, layout in enumerate(layouts))
    offers = sum(1 for line in quote.lines if line.chosen is not None)
    cautions = OUTDOOR_CAUTIONS if any(layout.bug is not None for layout in layouts) else CAUTIONS
    assumed = teller.assumed(layouts, lines)
    return LayoutView(
        headline=" ".join(views[0].answer) if len(views) == 1 else "",
        read=tuple(teller.read(quote, reading)),
        assumed=tuple(text for text, _ in assumed),
        assumed_short=tuple(short for _, short in assumed if short),
        lines=views,
        question=teller.question(next((each for each in layouts if each.question), None)),
        left_out=words.of("layout_phrases", "more_lines") if offers > len(layouts) else "",
        # a word without a number in it that went unused is part of the question
        unread=tuple(part for part in unread_of(reading, texts) if any(ch.isdigit() for ch in part)),
        faults=faults_of(reading),
        cautions=tuple(caution_text(key, words.language) for key in cautions),
        cautions_short=tuple(caution_short(key, words.language) for key in cautions),
    )


@record
class LayoutTeller:
    """Says what a layout holds, in one language, in feet and footcandles or in metres and lux."""

    words: Words
    metric: bool

    def say(self, say: Say) -> str:
        """One sentence.

        Raises:
            KeyError: a key without words, or a value that its wording needs is missing.
        """
        kinds = value_kinds()["layout_says"][say.key]
        values = {name: self.value(kind, say.values[name]) for name, kind in kinds.items()}
        frame: str = self.words.of("layout_says", say.key)
        return frame.format_map(values)

    def value(self, kind: str, value: Any) -> str:
        """A value as its kind is written."""
        match kind:
            case "fc":
                return shown.footcandles(value, self.words, self.metric)
            case "fc_range":
                return self.range_fc(*value)
            case "feet":
                return shown.feet(value, self.words, self.metric)
            case "about_feet":
                return shown.feet(value if self.metric else round(float(value)), self.words, self.metric)
            case "area":
                return self.area(value)
            case "percent":
                return shown.percent(value)
            case "heights":
                return shown.plain(value, 1)
            case "heads":
                phrase = "one_head" if value == 1 else "many_heads"
                return self._phrase(phrase, count=shown.whole(value))
            case "count":
                return shown.whole(value)
            case "text":
                return one_line(str(value), 40)
            case _:
                return str(self.words.of(kind, str(value)))

    def area(self, value: float) -> str:
        """An area: "7,200 sq ft"; three digits are enough."""
        amount = value / FEET_PER_METRE**2 if self.metric else value
        rounded = float(f"{amount:.3g}")
        return self._phrase("square_metres" if self.metric else "square_feet", value=shown.whole(rounded))

    def range_fc(self, low: float | None, high: float | None) -> str:
        """Two levels: "10 to 30 fc", "50 fc" where they are one."""
        if low is None or high is None or low == high:
            return shown.footcandles(low if high is None else high, self.words, self.metric)
        first = shown.footcandles(low, self.words, self.metric)
        last = shown.footcandles(high, self.words, self.metric)
        return self._phrase("fc_range", low=first.partition(" ")[0], high=last)

    def line(self, number: int, layout: Layout, line: QuoteLine) -> LineLayoutView:
        """The answer for one line; ``number`` is the layout's place, in the paths of its figures."""
        product = line.options[line.chosen or 0].product
        answer = [self.say(say) for say in layout.says]
        told = {say.key for say in layout.says}
        sky = (
            []
            if layout.bug is None
            else [self.say(say) for say in bug_says(layout.bug) if say.key not in told]
        )
        return LineLayoutView(
            part=f"{product.part_number}, {shown.watts(product.input_watts)}",
            title=self._phrase(
                "with_product",
                title=line_title(line.stated, self.words),
                description=one_line(product.description, 120),
                part=product.part_number,
                watts=shown.watts(product.input_watts),
            ),
            answer=tuple(answer),
            figures=tuple(self._figures(number, layout)),
            sky=" ".join(sky),
            guides=tuple(self.guide(row) for row in layout.guides),
            power="" if layout.allowance is None else self._power(layout.allowance),
            limits=self._limits(layout),
            basis=self._basis(layout),
        )

    def _figures(self, number: int, layout: Layout) -> Iterator[FigureView]:
        for name, figure in layout.figures.items():
            if name.endswith(("_before", "_after")) or name.startswith("power_"):
                yield FigureView(
                    figure_name(figure, self.words) if figure.name == name else self._name(name),
                    self.figure(figure),
                    f"light.{number}.{name}",
                )

    def _name(self, name: str) -> str:
        return self.words.find("names", name) or name

    def figure(self, figure: Figure) -> str:
        """A figure's value with its unit, as a person reads it."""
        match figure.unit:
            case "fc":
                return shown.footcandles(figure.value, self.words, self.metric)
            case "ft":
                return shown.feet(figure.value, self.words, self.metric)
            case "ft2":
                return self.area(float(figure.value))
            case "W/ft2" | "W/ft":
                return self._density(float(figure.value), figure.unit)
            case _:
                return shown.amount(figure.value, figure.unit, self.words)

    def guide(self, row: LightLevelRow) -> str:
        """One level that a rule or guide names, with its source."""
        return self._phrase(
            "guide",
            area=str(self.words.of("guide_areas", row.area)),
            level=self.range_fc(row.fc_low, row.fc_high),
            criterion=str(self.words.of("criteria", row.criterion)),
            rule=self.words.find("rules", row.rule) or one_line(row.rule, 60),
            seen=str(self.words.of("seen", row.seen)),
        )

    def read(self, quote: Quote, reading: Heard) -> Iterator[str]:
        """What was read: the luminaires, then what was asked of light."""
        for line in reading.lines[:10]:
            yield ", ".join((line_title(line, self.words), *line_details(line, self.words, self.metric)))
        if asked := tuple(self._asked(quote)):
            yield "; ".join(asked)

    def _asked(self, quote: Quote) -> Iterator[str]:
        asked = quote.request.light
        if asked is None:
            return
        if asked.space is not None:
            yield self._phrase("read_space", space=str(self.words.of("spaces", asked.space)))
        if asked.length_ft is not None and asked.width_ft is not None:
            yield self._phrase(
                "read_size", length=self._feet(asked.length_ft), width=self._feet(asked.width_ft)
            )
        elif asked.length_ft is not None:
            yield self._phrase("read_side", length=self._feet(asked.length_ft))
        if asked.area_ft2 is not None:
            yield self._phrase("read_area", area=self.area(asked.area_ft2))
        if asked.run_ft is not None:
            yield self._phrase("read_around" if asked.around else "read_run", run=self._feet(asked.run_ft))
        if asked.path_ft is not None:
            yield self._phrase("read_path", width=self._feet(asked.path_ft))
        if asked.level_fc is not None:
            level = shown.footcandles(asked.level_fc, self.words, self.metric)
            if asked.level_is is None:
                yield self._phrase("read_level", level=level)
            else:
                measure = str(self.words.of("measures", asked.level_is))
                yield self._phrase("read_level_is", level=level, measure=measure)
        if asked.reach_ft is not None:
            yield self._phrase("read_reach", out=self._feet(asked.reach_ft))
        if asked.line_ft is not None:
            yield self._phrase("read_line", out=self._feet(asked.line_ft))
        if asked.poles is not None:
            yield self._phrase("read_poles", poles=shown.whole(asked.poles))
        if asked.heads is not None:
            yield self._phrase("read_heads", heads=self.value("heads", asked.heads))

    def assumed(self, layouts: Sequence[Layout], lines: Mapping[int, QuoteLine]) -> list[tuple[str, str]]:
        """What was taken, once each: in full, and in a few words ("" for what need not be named where room is short)."""
        out: dict[str, str] = {}
        for layout in layouts:
            setting = layout.setting
            if setting.asked.family_is_taken:
                family = value_words("family", setting.stated.family, self.words)
                out.setdefault(self._phrase("taken_family", family=family), family)
            if setting.space_is_assumed:
                space = str(self.words.of("spaces", setting.space.space))
                out.setdefault(self._phrase("taken_space", space=space), space)
            if setting.asked.watts_are_led and setting.stated.led_watts is not None:
                said = shown.plain(setting.stated.led_watts, 1)
                out.setdefault(self._phrase("taken_led_watts", watts=said), "")
            line = lines[setting.index]
            if text := self._light_taken(layout, line):
                out.setdefault(text, "")
            if setting.lamp is not None and self._tells_present(layout):
                source, watts = setting.lamp
                lamp = value_words("source", source, self.words)
                out.setdefault(
                    self._phrase("taken_lamp", lamp=lamp, watts=shown.watts(watts)),
                    f"{shown.watts(watts)} {lamp}",
                )
            found = {figure.name: figure for figure in layout.assumed}
            for figure in layout.assumed:
                if figure.name not in _TOGETHER:
                    out.setdefault(self._taken(figure), self._taken_short(figure))
            for text in self._taken_together(found):
                out.setdefault(text, "")
        return list(out.items())

    def _tells_present(self, layout: Layout) -> bool:
        return any(say.key.startswith("compare_") or say.key == "line_now" for say in layout.says)

    def _light_taken(self, layout: Layout, line: QuoteLine) -> str:
        """The new light, where neither the present one's size nor its own was said."""
        said = line.stated
        given = (said.watts, said.source, said.input_watts, said.lamps, said.led_watts, said.led_lumens)
        if any(value is not None for value in given):
            return ""
        product = line.options[line.chosen or 0].product
        return self._phrase(
            "taken_product",
            part=product.part_number,
            watts=shown.watts(product.input_watts),
            lumens=f"{shown.whole(product.lumens)} lm",
        )

    def _taken_together(self, found: Mapping[str, Figure]) -> Iterator[str]:
        surfaces = [found.get(f"{name}_reflectance") for name in ("ceiling", "walls", "floor")]
        if surfaces[0] is not None and surfaces[1] is not None and surfaces[2] is not None:
            yield self._phrase(
                "taken_surfaces",
                ceiling=self._leaf(surfaces[0], surfaces[0].value),
                walls=self._leaf(surfaces[1], surfaces[1].value),
                floor=self._leaf(surfaces[2], surfaces[2].value),
                source=self._why(surfaces[0]),
            )
        age, dirt = found.get("led_depreciation"), found.get("led_dirt_depreciation")
        if age is not None and dirt is not None:
            yield self._phrase(
                "taken_loss",
                age=self._leaf(age, age.value),
                dirt=self._leaf(dirt, dirt.value),
                source=self._why(dirt),
            )

    def _why(self, figure: Figure) -> str:
        return "" if figure.origin is None else short_source(figure.origin.source, self.words).rstrip(".")

    def _taken(self, figure: Figure) -> str:
        origin = figure.origin
        source = self._why(figure)
        if figure.name in _SAID_BY_NAME:
            return self._phrase(f"taken_{figure.name}", source=source)
        low = high = None
        if origin is not None:
            low, high = origin.low, origin.high
        spread = ""
        if low is not None and high is not None and low != high:
            first, last = self._leaf(figure, low), self._leaf(figure, high)
            joined = self._phrase("fc_range", low=_number_alone(first, last), high=last)
            spread = self._phrase("taken_range", range=joined)
        return self._phrase(
            "taken",
            name=figure_name(figure, self.words),
            value=self._leaf(figure, figure.value),
            range=spread,
            source=source,
        )

    def _taken_short(self, figure: Figure) -> str:
        if figure.name in _QUIET:
            return ""
        name = figure_name(figure, self.words)
        return f"{name[:1].lower()}{name[1:]} {self._leaf(figure, figure.value)}"

    def _leaf(self, figure: Figure, value: Any) -> str:
        if figure.name in _TOGETHER:
            return shown.percent(100 * float(value))
        if figure.unit == "fc":
            return shown.footcandles(value, self.words, self.metric)
        if figure.unit == "ft":
            return shown.feet(value, self.words, self.metric)
        return shown.amount(value, figure.unit, self.words)

    def question(self, layout: Layout | None) -> str:
        """The one question; "" for none."""
        if layout is None:
            return ""
        slot = layout.question.removeprefix(QUESTION)
        if slot == "size":
            slot = f"size_{layout.setting.arrangement}"
        return str(self.words.of("layout_questions", f"{slot}_metric" if self.metric else slot))

    def _power(self, allowance: Allowance) -> str:
        return self._phrase(
            "power",
            density=self.figure(allowance.density),
            edition=one_line(allowance.edition, 20),
            zone2=self._density(float(allowance.zone2.value), allowance.unit),
            zone3=self._density(float(allowance.zone3.value), allowance.unit),
            area=str(self.words.of("allowance_areas", allowance.area)),
            base=self._phrase("site_watts", value=shown.whole(allowance.base_watts.value)),
        )

    def _density(self, value: float, unit: str) -> str:
        if self.metric:
            feet = FEET_PER_METRE**2 if unit == "W/ft2" else FEET_PER_METRE
            return self._phrase(
                "watts_per_m2" if unit == "W/ft2" else "watts_per_m", value=shown.plain(value * feet, 2)
            )
        return self._phrase(
            "watts_per_ft2" if unit == "W/ft2" else "watts_per_ft", value=shown.plain(value, 3)
        )

    def _limits(self, layout: Layout) -> str:
        by_zone = {row.zone: row for row in layout.limits}
        if not {"LZ2", "LZ3"} <= by_zone.keys():
            return ""
        return self._phrase(
            "limits",
            homes=shown.footcandles(by_zone["LZ2"].vertical_fc, self.words, self.metric),
            business=shown.footcandles(by_zone["LZ3"].vertical_fc, self.words, self.metric),
        )

    def _basis(self, layout: Layout) -> str:
        before = layout.setting.before
        told = any(name.endswith("_before") for name in layout.figures)
        key = "basis" if before is None or not told else "basis_generic" if before.generic else "basis_own"
        room = "basis_room" if layout.setting.arrangement == "room" else "basis_direct"
        return f"{self._phrase(key)} {self._phrase(room)}"

    def _feet(self, value: float) -> str:
        return shown.feet(value, self.words, self.metric)

    def _phrase(self, key: str, /, **values: str) -> str:
        frame: str = self.words.of("layout_phrases", key)
        return frame.format_map(values)


def _number_alone(first: str, last: str) -> str:
    """The first of a range without the unit that the last has too: "5 fc", "10 fc" -> "5"."""
    number, _, unit = first.partition(" ")
    return (
        number
        if unit and last.endswith(f" {unit}")
        else first.removesuffix("%")
        if last.endswith("%")
        else first
    )
