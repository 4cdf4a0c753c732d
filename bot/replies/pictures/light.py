"""From a layout, or a line's light before and after, to its plan and section: iso-lines worked out, words chosen."""

import math
from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import Final

import numpy as np

from bot.replies import shown
from bot.replies.heard import Language
from bot.replies.pictures.light_plan import Lamp, Plan, light_plan, round_length
from bot.replies.pictures.light_section import Reach, Section, light_section
from bot.replies.words import Words, words_in
from engine.light.before_after import BeforeAfter
from engine.light.contours import iso_lines
from engine.light.distribution import Distribution, distribution
from engine.light.illuminance import Placed, horizontal_fc
from engine.light.layout_poles import is_round
from engine.light.layout_shape import Drawn, Layout
from engine.light.photometry import Photometry
from engine.light.spots import OUT_HEIGHTS
from engine.light.throw import reach_ft
from engine.quantities import FEET_PER_METRE

POINTS_ACROSS: Final = 81
SAME_FT: Final = 0.75
"""Reaches closer than that are drawn as one."""
LEAST_PIECE: Final = 6
"""Points of a line that is worth drawing."""
MOST_POINTS: Final = 90
"""Of one line: a smooth curve at the size of a phone."""
_METRE: Final = FEET_PER_METRE
WALL_DEEP_MH: Final = 3.0
MOST_TABLES: Final = 64
"""Tables of light that are kept: some tens of kilobytes each."""


def pictures_of_layout(layout: Layout, words: Words, metric: bool) -> Iterator[tuple[str, str]]:
    """(name, SVG) of the plan and the section of a layout; none where there is nothing to draw."""
    if layout.drawn is not None:
        yield from _pictures(layout.drawn, words, metric)


def pictures_of_light(light: BeforeAfter, words: Words, metric: bool) -> Iterator[tuple[str, str]]:
    """(name, SVG) of the plan and the section of a line's light before and after; none for ceilings."""
    scene = light.scene
    if scene.arrangement != "grid":
        yield from _pictures_of_one(
            light.before.photometry,
            float(light.before.lumens.value),
            light.after.photometry,
            float(light.after.lumens.value),
            scene.arrangement,
            float(scene.above_ft.value),
            float(scene.height_ft.value),
            light.level_fc,
            words.language,
            metric,
        )


@lru_cache(maxsize=512)
def _pictures_of_one(
    old: Photometry,
    old_lumens: float,
    new: Photometry,
    new_lumens: float,
    arrangement: str,
    above_ft: float,
    height_ft: float,
    level_fc: float,
    language: Language,
    metric: bool,
) -> tuple[tuple[str, str], ...]:
    """The pictures of a luminaire by itself; kept, since a line stays as it is through most of a
    conversation, and of the products of a catalogue at the usual heights there are a few hundred (8 kB each).
    """
    tilt = math.degrees(math.atan(OUT_HEIGHTS)) if arrangement == "aim" else 0.0

    def placed(photometry: Photometry, lumens: float) -> Placed:
        table = _table(photometry)
        return Placed(table, 0.0, 0.0, above_ft, 0.0, tilt, lumens / table.lumens)

    before, after = (placed(old, old_lumens),), (placed(new, new_lumens),)
    reaches = [r for one in (before, after) if (r := _reach_of(one, level_fc)) is not None]
    far = max([WALL_DEEP_MH * above_ft, *(1.15 * reach for reach in reaches)])
    drawn = Drawn(
        kind="wall" if arrangement == "wall" else "poles",
        x_ft=(-0.85 * far, 0.85 * far),
        y_ft=(0.0 if arrangement == "wall" else -0.5 * far, far),
        before=before,
        after=after,
        level_fc=level_fc,
        height_ft=height_ft,
        plane_ft=0.0,
    )
    return tuple(_pictures(drawn, words_in(language), metric))


@lru_cache(maxsize=MOST_TABLES)
def _table(photometry: Photometry) -> Distribution:
    """The table of a luminaire's light; few are kept, since they are large."""
    return distribution(photometry)


@lru_cache(maxsize=MOST_TABLES)
def _is_round(table: Distribution, tilt_deg: float) -> bool:
    """As `is_round`, wherever it hangs."""
    return is_round(Placed(table, 0.0, 0.0, 0.0, 0.0, tilt_deg))


@lru_cache(maxsize=MOST_TABLES)
def _reach_of(placed: tuple[Placed, ...], level_fc: float) -> float | None:
    """As `reach_ft`; few are kept, since those placed hold their tables of light."""
    return reach_ft(placed, level_fc)


def _pictures(drawn: Drawn, words: Words, metric: bool) -> Iterator[tuple[str, str]]:
    artist = _Artist(drawn, words, metric)
    yield "light_plan", light_plan(artist.plan())
    yield "light_section", light_section(artist.section())


class _Artist:
    """Makes both pictures of one `Drawn`."""

    def __init__(self, drawn: Drawn, words: Words, metric: bool) -> None:
        self.drawn, self.words, self.metric = drawn, words, metric
        self.level = shown.footcandles(drawn.level_fc, words, metric)
        self.single = len(drawn.after) == 1

    def plan(self) -> Plan:
        drawn = self.drawn
        new = self._lines(drawn.after, drawn.reflected_after_fc)
        old = self._lines(drawn.before, drawn.reflected_before_fc) if drawn.before else None
        lamps = tuple(self._lamp(one) for one in drawn.after if self._inside(one))
        mark = drawn.mark_ft if not self.single else None
        x_ft, y_ft = drawn.x_ft, drawn.y_ft
        if drawn.bounds_ft is None:
            x_ft, y_ft = self._around((*new, *(old or ())), lamps, mark)
        scale = round_length(x_ft[1] - x_ft[0], _METRE if self.metric else 1.0)
        return Plan(
            x_ft=x_ft,
            y_ft=y_ft,
            lamps=lamps,
            new_lines=new,
            old_lines=old,
            wall=drawn.kind == "wall",
            bounds_ft=drawn.bounds_ft,
            mark_ft=mark,
            line_ft=drawn.line_ft,
            title=self._say("picture_light_plan"),
            new_words=self._line_words("new", drawn.after, bool(new), drawn.reflected_after_fc),
            old_words=self._line_words("old", drawn.before, bool(old), drawn.reflected_before_fc),
            mark_words="" if mark is None else self._say("picture_light_darkest"),
            line_words=""
            if drawn.line_ft is None
            else self._say("picture_light_line", out=self._feet(drawn.line_ft)),
            scale_ft=scale,
            scale_words=self._feet(scale),
            description=self._described(bool(old)),
        )

    def _around(
        self,
        lines: Sequence[Sequence[tuple[float, float]]],
        lamps: Sequence[Lamp],
        mark: tuple[float, float] | None,
    ) -> tuple[tuple[float, float], tuple[float, float]]:
        """What of the plan has something on it, with a margin: (x from, to), (y from, to)."""
        drawn = self.drawn
        points = [point for line in lines for point in line]
        points += [(lamp.x_ft, lamp.y_ft) for lamp in lamps]
        points += [mark] if mark is not None else []
        least = 0.5 * drawn.height_ft
        out = []
        for axis, (low, high) in enumerate((drawn.x_ft, drawn.y_ft)):
            first, last = min(p[axis] for p in points), max(p[axis] for p in points)
            if axis == 1 and drawn.line_ft is not None:
                last = max(last, drawn.line_ft)
            margin = max(0.06 * (high - low), least)
            out.append((max(low, first - margin), min(high, last + margin)))
        (left, right), (top, bottom) = out
        if drawn.kind == "wall":
            top = 0.0
        return (left, right), (top, bottom)

    def _line_words(self, side: str, placed: Sequence[Placed], has_line: bool, reflected_fc: float) -> str:
        if has_line or not placed:
            return self._say(f"picture_light_{side}", level=self.level)
        (left, right), (top, bottom) = self.drawn.x_ft, self.drawn.y_ft
        middle = np.array([((left + right) / 2, (top + bottom) / 2)])
        everywhere = float(horizontal_fc(placed, middle)[0]) + reflected_fc >= self.drawn.level_fc
        return self._say(f"picture_light_{side}_{'all' if everywhere else 'none'}", level=self.level)

    def section(self) -> Section:
        drawn = self.drawn
        room = drawn.kind == "room"
        new = old = None
        between = ""
        lights: tuple[float, ...] = (0.0,)
        far = drawn.y_ft[1]
        across = self.single or drawn.kind == "wall"
        if across:
            new, old = self._reach(drawn.after, "led"), self._reach(drawn.before, "now")
            if new is not None and old is not None and abs(new.out_ft - old.out_ft) < SAME_FT:
                both = self._say("picture_light_reach_both", level=self.level, out=self._about(new.out_ft))
                new, old = Reach(new.out_ft, both), None
            far = max(1.1 * r.out_ft for r in (new, old) if r is not None) if new or old else far
            far = max(far, 1.6 * drawn.height_ft)
        else:
            lights = self._along()
            apart = lights[1] - lights[0] if len(lights) > 1 else 0.0
            if apart:
                between = self._say("picture_light_apart", spacing=self._feet(round(apart)))
            far = max(lights[-1] + (apart if room else 0.0), 1.2 * drawn.height_ft)
            if room:
                lights = tuple(x + apart / 2 for x in lights) if apart else (far / 2,)
        notes = []
        if old is not None:
            notes.append(self._say("picture_light_section_key"))
        if room and drawn.plane_ft > 0:
            notes.append(self._say("picture_light_work_plane", height=self._feet(drawn.plane_ft)))
        return Section(
            kind="wall" if drawn.kind == "wall" else "ceiling" if room else "pole",
            height_ft=drawn.height_ft,
            plane_ft=drawn.plane_ft,
            lights_ft=lights,
            far_ft=far,
            new=new,
            old=old,
            between=between,
            title=self._say("picture_light_section"),
            height_words=self._say("picture_light_up", height=self._feet(drawn.height_ft)),
            person_words=self._say("picture_light_person_metric" if self.metric else "picture_light_person"),
            plane_words="",
            notes=tuple(notes),
            description=self._described(old is not None),
        )

    def _along(self) -> tuple[float, ...]:
        """Lights of one row, from the first of two or three neighbours on [ft]."""
        drawn = self.drawn
        first = drawn.after[len(drawn.after) // 2 - 1] if drawn.bounds_ft is None else drawn.after[0]
        row = sorted({round(one.x_ft, 3) for one in drawn.after if abs(one.y_ft - first.y_ft) < 0.01})
        if len(row) < 2:
            row = sorted({round(one.y_ft, 3) for one in drawn.after})
        shown_row = row[:3] if drawn.kind == "room" else row[:2]
        return tuple(x - shown_row[0] for x in shown_row)

    def _reach(self, placed: Sequence[Placed], who: str) -> Reach | None:
        if not placed:
            return None
        found = _reach_of(tuple(placed), self.drawn.level_fc)
        if found is None or found <= 0.0:
            return None
        words = self._say(f"picture_light_reach_{who}", level=self.level, out=self._about(found))
        return Reach(found, words)

    def _about(self, value: float) -> str:
        return shown.feet(value if self.metric else round(value), self.words, self.metric)

    def _lines(
        self, placed: Sequence[Placed], reflected_fc: float
    ) -> tuple[tuple[tuple[float, float], ...], ...]:
        level = self.drawn.level_fc - reflected_fc
        if level <= 0.0:
            return ()
        found = iso_lines(placed, level, self.drawn.x_ft, self.drawn.y_ft, POINTS_ACROSS)
        out = []
        for line in found:
            if len(line) < LEAST_PIECE:
                continue
            step = max(1, math.ceil(len(line) / MOST_POINTS))
            points: list[tuple[float, float]] = [(x, y) for x, y in line[::step].tolist()]
            x, y = line[-1].tolist()
            out.append(tuple(points if points[-1] == (x, y) else [*points, (x, y)]))
        return tuple(out)

    def _lamp(self, one: Placed) -> Lamp:
        turned = self.drawn.kind != "room" and not _is_round(one.distribution, one.tilt_deg)
        return Lamp(one.x_ft, one.y_ft, one.facing_deg if turned else None)

    def _inside(self, one: Placed) -> bool:
        (left, right), (top, bottom) = self.drawn.x_ft, self.drawn.y_ft
        return left - 1e-6 <= one.x_ft <= right + 1e-6 and top - 1e-6 <= one.y_ft <= bottom + 1e-6

    def _described(self, with_old: bool) -> str:
        drawn = self.drawn
        values = {"level": self.level, "height": self._feet(drawn.height_ft)}
        if self.single:
            new, old = self._reach(drawn.after, "led"), self._reach(drawn.before, "now")
            reaches = ". ".join(r.words for r in (new, old) if r is not None)
            return self._say("picture_light_desc_one", reaches=reaches, **values)
        count = shown.whole(sum(1 for one in drawn.after if self._inside(one)))
        return self._say(
            "picture_light_desc_many" if not with_old else "picture_light_desc_both", count=count, **values
        )

    def _feet(self, value: float) -> str:
        return shown.feet(value, self.words, self.metric)

    def _say(self, phrase: str, /, **values: str) -> str:
        frame: str = self.words.of("layout_phrases", phrase)
        return frame.format_map(values)
