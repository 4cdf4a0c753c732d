"""The same from the side, to scale: the wall or poles, the lights' height, how far a level reaches, a person for size.

What holds with LED is written over the ground line, what holds now under it, so that one never lies on the other.
"""

from collections.abc import Iterator
from typing import Final, Literal

from bot.replies.pictures import svg
from engine.record import record

WIDTH: Final = 360
LEFT, RIGHT, TOP = 30, 330, 62
MOST_TALL, LEAST_TALL = 190, 70
PERSON_FT: Final = 5.75
"""5 ft 9 in, a man of middling height in the United States (from memory)."""
DASH: Final = "7 4"
LETTER: Final = 5.9
"""Width of a letter at size 12, more or less."""


@record
class Reach:
    """How far out a level is held, with its words."""

    out_ft: float
    words: str


@record
class Section:
    """What the section shows; lengths in feet, words in the reader's language.

    Attributes:
        kind: what the lights hang on.
        height_ft: of the lights over the ground or floor. ``plane_ft``: of the work plane, 0 for the ground.
        lights_ft: where they are along the section, the first at 0.
        far_ft: how far out the section goes.
        new, old: how far the level reaches; ``None`` where it does not or is not known.
        between: words between two lights ("100 ft apart"); "" for none.
        title, height_words, person_words, plane_words: what each is.
        notes: lines below the picture.
        description: the picture in a sentence.
    """

    kind: Literal["wall", "pole", "ceiling"]
    height_ft: float
    plane_ft: float
    lights_ft: tuple[float, ...]
    far_ft: float
    new: Reach | None
    old: Reach | None
    between: str
    title: str
    height_words: str
    person_words: str
    plane_words: str
    notes: tuple[str, ...]
    description: str


def light_section(section: Section) -> str:
    """The picture."""
    return _Page(section).drawn()


class _Page:
    def __init__(self, section: Section) -> None:
        self.section = section
        tallest = max(section.height_ft, PERSON_FT + 1)
        self.scale = min((RIGHT - LEFT) / section.far_ft, MOST_TALL / tallest)
        wide = section.far_ft * self.scale
        self.left = LEFT if section.kind == "wall" else LEFT + max(0.0, (RIGHT - LEFT - wide) / 2)
        self.ground = TOP + max(tallest * self.scale, LEAST_TALL)

    def at(self, x_ft: float, up_ft: float) -> tuple[float, float]:
        """On the page."""
        return self.left + x_ft * self.scale, self.ground - up_ft * self.scale

    def drawn(self) -> str:
        section = self.section
        body = [svg.words(8, 22, section.title, size=15, bold=True)]
        body += self._frame()
        body += self._reaches()
        body += self._lights()
        body += self._person()
        y = self.ground + (50 if section.old is not None or section.between else 26)
        for note in section.notes:
            body.append(svg.words(8, y, note, size=13))
            y += 19
        return svg.picture(WIDTH, round(y - 6), section.title, section.description, body)

    def _frame(self) -> Iterator[str]:
        section = self.section
        yield svg.rule(self.left - 22, self.ground, RIGHT + 14, self.ground, width=1.8)
        if section.kind == "wall":
            _, top = self.at(0.0, section.height_ft)
            yield svg.box(self.left - 14, top - 14, 10, self.ground - top + 14, "{hatch}")
        elif section.kind == "ceiling":
            x, y = self.at(0.0, section.height_ft)
            right, _ = self.at(section.far_ft, section.height_ft)
            yield svg.rule(x, y - 5, right, y - 5, svg.FAINT, 1.2)
            if section.plane_ft > 0:
                _, plane = self.at(0.0, section.plane_ft)
                yield svg.rule(x, plane, right, plane, svg.INK, 1, "2 3")

    def _lights(self) -> Iterator[str]:
        section = self.section
        for n, x_ft in enumerate(section.lights_ft):
            x, y = self.at(x_ft, section.height_ft)
            if section.kind == "pole":
                yield svg.rule(x, y, x, self.ground, width=3)
            yield svg.box(x - 6, y - 3, 12, 6, svg.INK)
            if n == 0:
                words = section.height_words
                if section.kind == "wall":
                    yield svg.words(self.left + 10, y - 8, words, size=12)
                else:
                    yield svg.words(max(8.0, min(x - 6, RIGHT - LETTER * len(words))), y - 12, words, size=12)

    def _reaches(self) -> Iterator[str]:
        section = self.section
        x0, y0 = self.at(0.0, section.height_ft)
        if section.old is not None:
            x, _ = self.at(section.old.out_ft, 0.0)
            yield svg.rule(x0, y0, x, self.ground, svg.INK, 1.2, DASH)
            yield svg.rule(x, self.ground, x, self.ground + 8, svg.INK, 1.6)
            yield from self._label(section.old.words, x, self.ground + 22)
        if section.new is not None:
            x, _ = self.at(section.new.out_ft, 0.0)
            yield svg.rule(x0, y0, x, self.ground, svg.INK, 2)
            yield svg.rule(x, self.ground - 10, x, self.ground, svg.INK, 2.4)
            # over the ray: it only falls from where the words begin
            words = section.new.words
            start = min(x0 + 0.5 * (x - x0), WIDTH - 8 - LETTER * len(words))
            share = max(0.0, (start - x0) / (x - x0)) if x > x0 else 0.0
            yield svg.words(start, y0 + share * (self.ground - y0) - 9, words, size=12)
        if section.between and len(section.lights_ft) > 1:
            first, _ = self.at(section.lights_ft[0], 0.0)
            last, _ = self.at(section.lights_ft[1], 0.0)
            y = self.ground + 12
            yield svg.rule(first, y, last, y, svg.INK, 1)
            yield svg.rule(first, y - 5, first, y + 5, svg.INK, 1)
            yield svg.rule(last, y - 5, last, y + 5, svg.INK, 1)
            yield from self._label(section.between, (first + last) / 2, y + 17)

    def _label(self, words: str, x: float, y: float) -> Iterator[str]:
        """Words with their middle at ``x``, or as near to it as the picture lets them."""
        half = LETTER * len(words) / 2
        yield svg.words(min(max(x, 8.0 + half), WIDTH - 8.0 - half), y, words, "middle", 12)

    def _person(self) -> Iterator[str]:
        section = self.section
        x_ft = self._clear_place()
        x, foot = self.at(x_ft, 0.0)
        tall = PERSON_FT * self.scale
        head = tall / 7.5
        neck = foot - tall + head
        yield _disc(x, foot - tall + head / 2, max(head / 2, 1.0))
        width = max(1.0, tall / 18)
        hip = foot - tall * 0.47
        yield svg.rule(x, neck, x, hip, width=width * 1.6)
        reach = tall * 0.13
        yield svg.rule(x, hip, x - reach * 0.7, foot, width=width)
        yield svg.rule(x, hip, x + reach * 0.7, foot, width=width)
        shoulder = neck + tall * 0.06
        yield svg.rule(x, shoulder, x - reach, hip + tall * 0.03, width=width)
        yield svg.rule(x, shoulder, x + reach, hip + tall * 0.03, width=width)
        words = section.person_words
        yield svg.words(
            min(x + max(reach, 4) + 4, WIDTH - 8 - LETTER * len(words)), foot - tall + 9, words, size=12
        )

    def _clear_place(self) -> float:
        """Where the person stands: under the light's reach, away from poles and from where rays come down."""
        section = self.section
        if len(section.lights_ft) > 1:
            return section.lights_ft[0] + 0.28 * (section.lights_ft[1] - section.lights_ft[0])
        out = [r.out_ft for r in (section.new, section.old) if r is not None]
        return 0.3 * min(out) if out else 0.35 * section.far_ft


def _disc(x: float, y: float, radius: float) -> str:
    corners = ((1, 0), (0.71, 0.71), (0, 1), (-0.71, 0.71), (-1, 0), (-0.71, -0.71), (0, -1), (0.71, -0.71))
    points = [(x + radius * a, y + radius * b) for a, b in corners]
    return f'<path d="{svg.path_through(points)}Z" fill="{svg.INK}" stroke="{svg.INK}" stroke-width="1"/>'
