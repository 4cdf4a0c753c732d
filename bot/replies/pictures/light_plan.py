"""The ground or floor seen from above, to scale: the lights, and the lines on which a level is just held, now and with LED.

The two lines are told apart by stroke, not by tone: solid and heavy with LED, dashed now.
"""

import math
from collections.abc import Iterator, Sequence
from typing import Final, Literal

from bot.replies.pictures import svg
from engine.record import record

WIDTH: Final = 360
LEFT, RIGHT, TOP = 14, 346, 52
MOST_TALL, LEAST_TALL = 300, 90
DASH: Final = "7 4"
_ROW: Final = 20
_WALL: Final = 8

Point = tuple[float, float]


@record
class Lamp:
    """A light from above: its place, and where it looks [ft; degrees from +y, counter-clockwise]; ``None`` all round."""

    x_ft: float
    y_ft: float
    facing_deg: float | None


@record
class Plan:
    """What the plan shows; every length in feet, every word in the reader's language.

    Attributes:
        x_ft, y_ft: what is shown; +y is away from the wall or across the rows, and is drawn downwards.
        lamps: with LED (where both sides stand alike, the only ones).
        new_lines, old_lines: where the level is just held; ``old_lines`` is ``None`` where now is not known.
        wall: a wall stands at y = 0. ``bounds_ft``: of a lot or room from 0, 0.
        mark_ft: the darkest place. ``line_ft``: a property line so far out.
        title, new_words, old_words, mark_words, line_words: what each is.
        scale_ft, scale_words: a round length for the scale.
        description: the picture in a sentence.
    """

    x_ft: tuple[float, float]
    y_ft: tuple[float, float]
    lamps: tuple[Lamp, ...]
    new_lines: tuple[tuple[Point, ...], ...]
    old_lines: tuple[tuple[Point, ...], ...] | None
    wall: bool
    bounds_ft: Point | None
    mark_ft: Point | None
    line_ft: float | None
    title: str
    new_words: str
    old_words: str
    mark_words: str
    line_words: str
    scale_ft: float
    scale_words: str
    description: str


def light_plan(plan: Plan) -> str:
    """The picture."""
    return _Page(plan).drawn()


class _Page:
    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        wide, deep = plan.x_ft[1] - plan.x_ft[0], plan.y_ft[1] - plan.y_ft[0]
        self.scale = min((RIGHT - LEFT) / wide, MOST_TALL / deep)
        self.left = (WIDTH - wide * self.scale) / 2
        self.tall = max(deep * self.scale, LEAST_TALL)

    def at(self, x_ft: float, y_ft: float) -> Point:
        """On the page."""
        return (
            self.left + (x_ft - self.plan.x_ft[0]) * self.scale,
            TOP + (y_ft - self.plan.y_ft[0]) * self.scale,
        )

    def drawn(self) -> str:
        plan = self.plan
        body = [svg.words(8, 22, plan.title, size=15, bold=True)]
        body += self._ground()
        for line in plan.old_lines or ():
            body.append(_stroke([self.at(*p) for p in line], 1.8, DASH))
        for line in plan.new_lines:
            body.append(_stroke([self.at(*p) for p in line], 2.8))
        body += [piece for lamp in plan.lamps for piece in self._lamp(lamp)]
        if plan.mark_ft is not None and plan.mark_words:
            body += _cross(*self.at(*plan.mark_ft))
        foot = TOP + self.tall + 24
        rows = list(self._key(foot))
        body += [piece for row in rows for piece in row]
        height = round(foot + _ROW * len(rows) + 4)
        return svg.picture(WIDTH, height, plan.title, plan.description, body)

    def _ground(self) -> Iterator[str]:
        plan = self.plan
        if plan.bounds_ft is not None:
            (x, y), (right, bottom) = self.at(0.0, 0.0), self.at(*plan.bounds_ft)
            yield svg.box(x, y, right - x, bottom - y, svg.PAPER)
        elif plan.wall:
            x, y = self.at(plan.x_ft[0], 0.0)
            right, _ = self.at(plan.x_ft[1], 0.0)
            yield svg.box(x, y - _WALL, right - x, _WALL, "{hatch}")
        else:
            x, y = self.at(plan.x_ft[0], 0.0)
            right, _ = self.at(plan.x_ft[1], 0.0)
            yield svg.rule(x, y, right, y, svg.FAINT, 1)
        if plan.line_ft is not None:
            x, y = self.at(plan.x_ft[0], plan.line_ft)
            right, _ = self.at(plan.x_ft[1], plan.line_ft)
            yield svg.rule(x, y, right, y, svg.INK, 1.2, "2 3")

    def _lamp(self, lamp: Lamp) -> Iterator[str]:
        x, y = self.at(lamp.x_ft, lamp.y_ft)
        if not (LEFT - 8 <= x <= RIGHT + 8):
            return
        side = 7.0
        yield svg.box(x - side / 2, y - side / 2, side, side, svg.INK)
        if lamp.facing_deg is not None:
            turn = math.radians(lamp.facing_deg)
            yield svg.rule(x, y, x - 11 * math.sin(turn), y + 11 * math.cos(turn), svg.INK, 2)

    def _key(self, top: float) -> Iterator[list[str]]:
        plan = self.plan
        y = top
        yield [svg.rule(12, y - 4, 44, y - 4, svg.INK, 2.8), svg.words(52, y, plan.new_words, size=13)]
        if plan.old_lines is not None:
            y += _ROW
            yield [
                svg.rule(12, y - 4, 44, y - 4, svg.INK, 1.8, DASH),
                svg.words(52, y, plan.old_words, size=13),
            ]
        if plan.line_ft is not None:
            y += _ROW
            yield [
                svg.rule(12, y - 4, 44, y - 4, svg.INK, 1.2, "2 3"),
                svg.words(52, y, plan.line_words, size=13),
            ]
        if plan.mark_ft is not None and plan.mark_words:
            y += _ROW
            yield [*_cross(28, y - 4), svg.words(52, y, plan.mark_words, size=13)]
        y += _ROW
        length = plan.scale_ft * self.scale
        yield [
            svg.rule(12, y - 4, 12 + length, y - 4, svg.INK, 1.2),
            svg.rule(12, y - 9, 12, y + 1, svg.INK, 1.2),
            svg.rule(12 + length, y - 9, 12 + length, y + 1, svg.INK, 1.2),
            svg.words(max(52.0, 20 + length), y, plan.scale_words, size=13),
        ]


def _stroke(points: Sequence[Point], width: float, dash: str = "") -> str:
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<path d="{svg.path_through(points)}" fill="none" stroke="{svg.INK}" '
        f'stroke-width="{width:.1f}"{dashed}/>'
    )


def _cross(x: float, y: float) -> list[str]:
    return [svg.rule(x - 5, y - 5, x + 5, y + 5, width=2), svg.rule(x - 5, y + 5, x + 5, y - 5, width=2)]


def round_length(longest_ft: float, unit_ft: float = 1.0) -> float:
    """The longest of 1, 2, 5, 10, 20, 50, ... units that is no more than a third of ``longest_ft`` [ft]."""
    target = longest_ft / 3 / unit_ft
    step = 10.0 ** math.floor(math.log10(target))
    best = next(step * n for n in (5, 2, 1) if step * n <= target * (1 + 1e-9))
    return best * unit_ft


Side = Literal["new", "old"]
