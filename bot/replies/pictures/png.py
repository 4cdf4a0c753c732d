"""Our SVG pictures as PNG, for mail programs that show no SVG: the same shapes, drawn with Pillow and the font inside it.

Only what `bot.replies.pictures.svg` writes is understood. The font comes with Pillow, so a machine without fonts draws the
same picture. It has no accented letters: the accents are drawn here, over the plain letters.
"""

import io
import itertools
import math
import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Final
from xml.etree import ElementTree

from PIL import Image, ImageDraw, ImageFont

from bot.replies.pictures.svg import INK, PAPER

SCALE: Final = 2
"""Dots in the PNG for a unit of the SVG: sharp on a phone, small enough for a mail."""
_FINER: Final = 2
"""Drawn that much larger and made smaller: soft edges."""
_UNIT: Final = SCALE * _FINER
_SVG: Final = "{http://www.w3.org/2000/svg}"
_HATCH_SPACE, _HATCH_WIDTH = 6.0, 1.6
_WHITE: Final = 255
_GREY_STEP: Final = 17
_PLAIN: Final = {
    "’": "'", "‘": "'", "“": '"', "”": '"', "–": "-", "—": "-", "−": "-", "×": "x", "…": "...", "½": "1/2",
    "¼": "1/4", "¢": "c", "°": " deg", "\u00a0": " ", "ß": "ss", "º": "o", "ª": "a",
}  # fmt: skip
_UPSIDE_DOWN: Final = {"¿": "?", "¡": "!"}
_POINT: Final = re.compile(r"([ML])(-?[0-9.]{1,12}) (-?[0-9.]{1,12})")
_STEM_AND_DOT: Final = frozenset("ij")


def png_of(svg: str) -> tuple[bytes, str]:
    """The picture as PNG, in greys, and what it shows in words (the SVG's own description).

    Raises:
        ValueError: no SVG of ours.
    """
    root = ElementTree.fromstring(svg)  # noqa: S314  our own picture, from a few lines above
    box = root.attrib["viewBox"].split()
    width, height = int(box[2]), int(box[3])
    page = _Page(Image.new("L", (width * _UNIT, height * _UNIT), _WHITE))
    for shape in root:
        page.draw(shape)
    small = page.image.resize((width * SCALE, height * SCALE), Image.Resampling.BOX)
    out = io.BytesIO()
    # Sixteen greys, four bits a dot.
    greys = small.point([round(v / _GREY_STEP) for v in range(256)])
    greys.putpalette([v for step in range(16) for v in 3 * (step * _GREY_STEP,)])
    greys.save(out, "PNG", bits=4, compress_level=6)
    return out.getvalue(), root.findtext(f"{_SVG}desc") or ""


@dataclass(slots=True)
class _Page:
    image: Image.Image

    def draw(self, shape: ElementTree.Element) -> None:
        kind = shape.tag.removeprefix(_SVG)
        if kind == "rect":
            self._rect(shape)
        elif kind == "line":
            self._line(shape)
        elif kind == "path":
            self._path(shape)
        elif kind == "text":
            self._text(shape)
        elif kind not in {"title", "desc", "defs"}:
            raise ValueError(f"{kind!r} is no shape of our pictures")

    def _rect(self, shape: ElementTree.Element) -> None:
        if "x" not in shape.attrib:
            return  # the paper, which is there already
        x, y = _number(shape, "x"), _number(shape, "y")
        right, bottom = x + _number(shape, "width"), y + _number(shape, "height")
        corners = [(x, y), (right, y), (right, bottom), (x, bottom)]
        self._fill([_place(p) for p in corners], shape)
        self._stroke([_place(p) for p in (*corners, corners[0])], shape)

    def _line(self, shape: ElementTree.Element) -> None:
        start = _place((_number(shape, "x1"), _number(shape, "y1")))
        end = _place((_number(shape, "x2"), _number(shape, "y2")))
        for piece in _dashed(start, end, shape.attrib.get("stroke-dasharray", "")):
            self._stroke(list(piece), shape)

    def _path(self, shape: ElementTree.Element) -> None:
        points = [_place((float(x), float(y))) for _, x, y in _POINT.findall(shape.attrib["d"])]
        if shape.attrib["fill"] != "none":
            self._fill(points, shape)
        closed = shape.attrib["d"].endswith("Z")
        outline = [*points, points[0]] if closed else points
        pattern = shape.attrib.get("stroke-dasharray", "")
        for piece in _dashed_along(outline, pattern) if pattern else [outline]:
            self._stroke(piece, shape)

    def _fill(self, points: list[tuple[float, float]], shape: ElementTree.Element) -> None:
        left, top = (math.floor(min(p[i] for p in points)) for i in (0, 1))
        right, bottom = (math.ceil(max(p[i] for p in points)) + 1 for i in (0, 1))
        mask = Image.new("L", (right - left, bottom - top), 0)
        opacity = round(255 * float(shape.attrib.get("fill-opacity", "1")))
        ImageDraw.Draw(mask).polygon([(x - left, y - top) for x, y in points], fill=opacity)
        tone = shape.attrib["fill"]
        if tone.startswith("url("):
            hatched = _hatching(self.image.size).crop((left, top, right, bottom))
            self.image.paste(hatched, (left, top), mask)
        else:
            self.image.paste(_tone(tone), (left, top, right, bottom), mask)

    def _stroke(self, points: list[tuple[float, float]], shape: ElementTree.Element) -> None:
        tone = shape.attrib.get("stroke", "none")
        if tone == "none":
            return
        width = max(1, round(_number(shape, "stroke-width") * _UNIT))
        ImageDraw.Draw(self.image).line(points, fill=_tone(tone), width=width, joint="curve")

    def _text(self, shape: ElementTree.Element) -> None:
        words = _Words(
            shape.text or "", round(_number(shape, "font-size") * _UNIT), "font-weight" in shape.attrib
        )
        share = {"middle": 0.5, "end": 1.0}.get(shape.attrib["text-anchor"], 0.0)
        x = _number(shape, "x") * _UNIT - share * words.width
        words.draw(self.image, x, _number(shape, "y") * _UNIT, _tone(shape.attrib["fill"]))


class _Words:
    """One line of text at a size in dots, letter by letter where a letter carries an accent."""

    def __init__(self, text: str, size: int, bold: bool) -> None:
        self.size = size
        self.stroke = max(1, size // 40) if bold else 0
        self.font = _font(size)
        self.pieces = list(_pieces(text))
        self.width = sum(self.font.getlength(letters) for letters, _ in self.pieces)

    def draw(self, image: Image.Image, x: float, baseline: float, tone: int) -> None:
        """Draws it with its first letter at ``x``, on a mask no larger than the line."""
        left, top = math.floor(x) - self.size, math.floor(baseline) - 2 * self.size
        mask = Image.new("L", (math.ceil(self.width) + 2 * self.size, 3 * self.size), 0)
        pen = ImageDraw.Draw(mask)
        x, baseline = x - left, baseline - top
        for letters, mark in self.pieces:
            if mark == "upside down":
                self._upside_down(mask, letters, x, baseline)
            else:
                pen.text((x, baseline), letters, 255, self.font, anchor="ls", stroke_width=self.stroke)
                if mark:
                    self._accent(pen, letters, mark, x, baseline)
            x += self.font.getlength(letters)
        image.paste(tone, (left, top, left + mask.width, top + mask.height), mask)

    def _accent(self, pen: ImageDraw.ImageDraw, letter: str, mark: str, x: float, baseline: float) -> None:
        left, _, right, _ = self.font.getbbox(letter, anchor="ls")
        middle = x + (left + right) / 2
        body = "x" if letter in _STEM_AND_DOT else letter
        top = baseline + self.font.getbbox(body, anchor="ls")[1]
        size, thick = self.size, max(2, round(0.075 * self.size) + self.stroke)
        if letter in _STEM_AND_DOT:  # the accent stands where the dot was
            pen.rectangle((x + left - 2, baseline - size, x + right + 2, top - 1), fill=0)
        foot = top - 0.09 * size
        if mark == "\u0301":
            pen.line([(middle - 0.04 * size, foot), (middle + 0.10 * size, foot - 0.15 * size)], 255, thick)
        elif mark == "\u0300":
            pen.line([(middle + 0.04 * size, foot), (middle - 0.10 * size, foot - 0.15 * size)], 255, thick)
        elif mark == "\u0303":
            wave = [
                (middle + (n / 12 - 0.5) * 0.36 * size, foot - 0.06 * size - 0.045 * size * math.sin(n / 12 * 2 * math.pi))
                for n in range(13)
            ]  # fmt: skip
            pen.line(wave, 255, thick, joint="curve")
        elif mark == "\u0308":
            for side in (-0.11, 0.11):
                at, high, r = middle + side * size, foot - 0.05 * size, 0.055 * size
                pen.ellipse((at - r, high - r, at + r, high + r), 255)

    def _upside_down(self, mask: Image.Image, letter: str, x: float, baseline: float) -> None:
        cell = Image.new("L", (round(self.font.getlength(letter)), 2 * self.size), 0)
        ImageDraw.Draw(cell).text(
            (0, self.size), letter, 255, self.font, anchor="ls", stroke_width=self.stroke
        )
        turned = cell.rotate(180)
        # Turned about the baseline, the mark hangs below it; it is lifted to begin at the height of a small letter.
        lift = self.font.getbbox("x", anchor="ls")[1]
        mask.paste(turned, (round(x), round(baseline + lift - self.size)), turned)


def _pieces(text: str) -> Iterator[tuple[str, str]]:
    """Runs of plain letters, and single letters with the accent that goes on them."""
    run = ""
    for ch in text:
        plain = _PLAIN.get(ch, ch)
        if plain.isascii():
            run += plain
            continue
        if run:
            yield run, ""
            run = ""
        if ch in _UPSIDE_DOWN:
            yield _UPSIDE_DOWN[ch], "upside down"
            continue
        apart = unicodedata.normalize("NFD", ch)
        yield (apart[0], apart[1:2]) if apart[0].isascii() else ("?", "")
    if run:
        yield run, ""


@lru_cache(maxsize=16)
def _font(size: int) -> ImageFont.FreeTypeFont:
    font = ImageFont.load_default(size)
    if not isinstance(font, ImageFont.FreeTypeFont):
        raise ValueError("this Pillow was built without FreeType: install its wheel")
    # The plain layout: the other one needs a library that not every build has, and would space letters otherwise.
    return font.font_variant(size=size, layout_engine=ImageFont.Layout.BASIC)


@lru_cache(maxsize=4)
def _hatching(size: tuple[int, int]) -> Image.Image:
    out = Image.new("L", size, _tone(PAPER))
    pen = ImageDraw.Draw(out)
    step = _HATCH_SPACE * math.sqrt(2) * _UNIT
    width, height = size
    for n in range(int((width + height) / step) + 1):
        pen.line([(n * step, 0), (n * step - height, height)], _tone(INK), round(_HATCH_WIDTH * _UNIT))
    return out


def _dashed(
    start: tuple[float, float], end: tuple[float, float], pattern: str
) -> Iterator[tuple[tuple[float, float], tuple[float, float]]]:
    if not pattern:
        yield start, end
        return
    on, off = (float(part) * _UNIT for part in pattern.split())
    length = math.dist(start, end)
    at = 0.0
    while at < length:
        first, last = at / length, min(at + on, length) / length
        yield _between(start, end, first), _between(start, end, last)
        at += on + off


def _dashed_along(points: list[tuple[float, float]], pattern: str) -> Iterator[list[tuple[float, float]]]:
    """The strokes of a dashed line through ``points``, the pattern going on round its corners."""
    lengths = [float(part) * _UNIT for part in pattern.split()]
    left, is_on, piece = lengths[0], True, [points[0]]
    for start, end in itertools.pairwise(points):
        length, at = math.dist(start, end), 0.0
        while length - at > left:
            at += left
            corner = _between(start, end, at / length)
            if is_on:
                yield [*piece, corner]
            is_on = not is_on
            left, piece = lengths[0 if is_on else 1], [corner]
        left -= length - at
        piece.append(end)
    if is_on and len(piece) > 1:
        yield piece


def _between(start: tuple[float, float], end: tuple[float, float], share: float) -> tuple[float, float]:
    return start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share


def _number(shape: ElementTree.Element, name: str) -> float:
    return float(shape.attrib[name])


def _place(point: tuple[float, float]) -> tuple[float, float]:
    return point[0] * _UNIT, point[1] * _UNIT


def _tone(colour: str) -> int:
    """A colour such as "#8b939c" as a grey, by the luma weights of ITU-R BT.601."""
    red, green, blue = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
    return round(0.299 * red + 0.587 * green + 0.114 * blue)
