"""The few SVG shapes that our pictures need, as text: fixed view box, escaped words, patterns beside tones, no scripts.

Tones are greys and hatchings, so a picture reads the same on a black-and-white printer.

Shapes written with `BLANK` for a number, and "%s" for words, are a form: written once, filled in by ``%`` for each quote.
"""

from collections.abc import Iterable, Sequence
from functools import lru_cache
from hashlib import sha256
from typing import Final, Literal

from bot.replies.clean import one_line

INK: Final = "#1b1f24"
FAINT: Final = "#8b939c"
PAPER: Final = "#ffffff"
FONT: Final = "system-ui, Segoe UI, Helvetica, Arial, sans-serif"
THINNEST: Final = 0.5
Anchor = Literal["start", "middle", "end"]


class _Blank(float):
    """Written as the place of a number instead of as one; larger than any."""

    def __format__(self, spec: str) -> str:
        return f"%{spec}"


BLANK: Final = _Blank("inf")


@lru_cache(maxsize=2048)
def escaped(text: str, limit: int = 80) -> str:
    """``text`` on one line, safe inside an element or an attribute; kept, since most pictures say the same words."""
    clean = one_line(text, limit)
    for mark, entity in (("&", "&amp;"), ("<", "&lt;"), (">", "&gt;"), ('"', "&quot;"), ("'", "&#39;")):
        clean = clean.replace(mark, entity)
    return clean


def words(x: float, y: float, text: str, anchor: Anchor = "start", size: int = 14, bold: bool = False) -> str:
    """One line of text."""
    weight = ' font-weight="600"' if bold else ""
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size}" text-anchor="{anchor}"{weight} fill="{INK}">'
        f"{escaped(text)}</text>"
    )


def box(x: float, y: float, width: float, height: float, fill: str) -> str:
    """A bar with an outline; ``fill`` is a tone or ``url(#pattern)``. One thinner than `THINNEST` is drawn as that."""
    return (
        f'<rect x="{x:.1f}" y="{y:.1f}" width="{max(width, THINNEST):.1f}" height="{height:.1f}" '
        f'fill="{fill}" stroke="{INK}" stroke-width="1.2"/>'
    )


def rule(
    x1: float, y1: float, x2: float, y2: float, tone: str = INK, width: float = 1.2, dash: str = ""
) -> str:
    """A straight line."""
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" stroke="{tone}" '
        f'stroke-width="{width:.1f}"{dashed}/>'
    )


def path_through(points: Sequence[tuple[float, float]]) -> str:
    """The "d" of straight strokes through ``points``, a round coordinate without its place."""
    text = "L".join(["%.1f %.1f"] * len(points)) % tuple([part for point in points for part in point])
    return "M" + text.replace(".0 ", " ").replace(".0L", "L").removesuffix(".0")


def path_form(across: Sequence[float]) -> str:
    """A form for `path_filled`: as `path_through`, of points whose heights are filled in."""
    return "M" + "L".join([f"{x:.1f}".removesuffix(".0") + " %.1f" for x in across])


def path_filled(form: str, heights: Sequence[float]) -> str:
    """The strokes of a `path_form` through points at these heights."""
    return (form % tuple(heights)).replace(".0L", "L").removesuffix(".0")


def picture(width: int, height: int, title: str, description: str, body: Iterable[str]) -> str:
    """The whole picture. ``{hatch}`` in the body stands for the hatching's name, unique to this content."""
    # Numbers come with one place, and a round one is written without. No text can hold this: its quotes are escaped.
    inner = "".join(body).replace('.0"', '"')
    mark = sha256(f"{title}\0{description}\0{inner}".encode()).hexdigest()[:10]
    hatch = f"hatch-{mark}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" role="img" '
        f'aria-labelledby="title-{mark} desc-{mark}" font-family="{FONT}">'
        f'<title id="title-{mark}">{escaped(title, 120)}</title>'
        f'<desc id="desc-{mark}">{escaped(description, 1000)}</desc>'
        f'<defs><pattern id="{hatch}" width="6" height="6" patternUnits="userSpaceOnUse" '
        f'patternTransform="rotate(45)"><rect width="6" height="6" fill="{PAPER}"/>'
        f'<line x1="1" y1="0" x2="1" y2="6" stroke="{INK}" stroke-width="1.6"/></pattern></defs>'
        f'<rect width="{width}" height="{height}" fill="{PAPER}"/>'
        f"{inner.replace('{hatch}', f'url(#{hatch})')}</svg>"
    )
