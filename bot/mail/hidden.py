"""What an HTML body says and nobody sees: styles that hide, white on white, sizes of nothing."""

import re
from collections.abc import Mapping
from typing import Final

from lxml import etree

_DECLARATION: Final = re.compile(r"\s*([a-z-]{1,40})\s*:\s*([^;{}]{0,200})", re.IGNORECASE)
_RULE: Final = re.compile(r"([^{}@]{1,300})\{([^{}]{0,600})\}")
_AT_BLOCK: Final = re.compile(r"@[^{};]{0,200}(?:;|\{(?:[^{}]|\{[^{}]{0,2000}\}){0,200}\})")
_SIMPLE: Final = re.compile(r"([a-z][a-z0-9]{0,20})?([.#][\w-]{1,60})?", re.IGNORECASE)
_NUMBER: Final = re.compile(r"-?\d{0,6}\.?\d{1,4}")
_HEX: Final = re.compile(r"#([0-9a-f]{6}|[0-9a-f]{3})\b", re.IGNORECASE)
_RGB: Final = re.compile(
    r"rgba?\(\s*(\d{1,3})[\s,]+(\d{1,3})[\s,]+(\d{1,3})(?:[\s,/]+([\d.]{1,6}%?))?", re.IGNORECASE
)
_NAMED: Final = {
    "white": (255, 255, 255), "snow": (255, 250, 250), "ivory": (255, 255, 240), "whitesmoke": (245, 245, 245), "black": (0, 0, 0),
    "red": (255, 0, 0), "blue": (0, 0, 255), "green": (0, 128, 0), "navy": (0, 0, 128), "gray": (128, 128, 128), "grey": (128, 128, 128),
    "yellow": (255, 255, 0), "silver": (192, 192, 192), "ghostwhite": (248, 248, 255), "orange": (255, 165, 0), "maroon": (128, 0, 0),
}  # fmt: skip
_ALIKE: Final = 36
"""Sum of the differences of red, green and blue under which a colour can't be told from what is behind it."""
MOST_RULES: Final = 400

Style = Mapping[str, str]
Colour = tuple[int, int, int]
WHITE: Final[Colour] = (255, 255, 255)
BLACK: Final[Colour] = (0, 0, 0)


def declarations(style: str) -> dict[str, str]:
    """``"color:#FFF; display:none"`` as names and values, lower case."""
    out = {}
    for piece in style[:2000].split(";"):
        found = _DECLARATION.match(piece)
        if found:
            out[found.group(1).lower()] = found.group(2).replace("!important", "").strip().lower()
    return out


def sheet_rules(css: str) -> dict[str, dict[str, str]]:
    """Simple selectors of a style element (``p``, ``.x``, ``#x``, ``p.x``) with their declarations; blocks for media are left out."""
    css = _AT_BLOCK.sub(
        " ", re.sub(r"/\*[^*]{0,2000}\*+/", " ", css[:60_000]).replace("<!--", " ").replace("-->", " ")
    )
    out: dict[str, dict[str, str]] = {}
    for selectors, body in _RULE.findall(css)[:MOST_RULES]:
        said = declarations(body)
        if not said:
            continue
        for selector in selectors.split(","):
            name = selector.strip().lower()
            if name and _SIMPLE.fullmatch(name):
                out.setdefault(name, {}).update(said)
    return out


def style_of(element: etree._Element, rules: Mapping[str, dict[str, str]]) -> dict[str, str]:
    """What holds for an element: the sheet's rules, then its own style."""
    out: dict[str, str] = {}
    if rules:
        tag = str(element.tag)
        names = ["." + name for name in (element.get("class") or "").lower().split()[:20]]
        if element.get("id"):
            names.append("#" + str(element.get("id")).lower())
        for name in (tag, *names, *(tag + name for name in names)):
            out.update(rules.get(name, {}))
    if own := element.get("style"):
        out.update(declarations(own))
    return out


def is_hidden(element: etree._Element, style: Style) -> bool:
    """Whether nobody sees the element by its own style and attributes (colours apart)."""
    if element.get("hidden") is not None or (element.get("aria-hidden") or "").lower() == "true":
        return True
    if not style:
        return False
    if "line-through" in style.get("text-decoration", "") + style.get("text-decoration-line", ""):
        return True  # Taken back by who wrote it.
    if (
        style.get("display") == "none"
        or style.get("visibility") in ("hidden", "collapse")
        or style.get("mso-hide") == "all"
    ):
        return True
    if _at_most(style.get("font-size"), 1.0) or _at_most(style.get("opacity"), 0.05):
        return True
    if (
        _at_most(style.get("line-height"), 0.0)
        and "font-size" not in style
        and style.get("overflow") == "hidden"
    ):
        return True
    if style.get("overflow", "").startswith("hidden") and any(
        _at_most(style.get(name), 1.0) for name in ("max-height", "height", "max-width", "width")
    ):
        return True
    if style.get("clip", "").replace(" ", "") in ("rect(0,0,0,0)", "rect(0000)", "rect(1px,1px,1px,1px)"):
        return True
    return any(_far_off(style.get(name)) for name in ("text-indent", "left", "top", "margin-left"))


def _at_most(value: str | None, bound: float) -> bool:
    if not value:
        return False
    found = _NUMBER.match(value)
    if not found:
        return False
    number = float(found.group())
    unit = value[found.end() :].strip()
    # One em is not small; one percent is.
    return 0 <= number <= (bound if unit in ("", "px", "pt", "%") else 0.1)


def _far_off(value: str | None) -> bool:
    found = _NUMBER.match(value) if value else None
    return found is not None and float(found.group()) <= -900


def colour(value: str | None) -> Colour | None:
    """A colour's parts; ``None`` where it names none we know. A see-through one counts as white on white: `TRANSPARENT` is apart."""
    if not value:
        return None
    value = value.strip().lower()
    for word in value.split():
        if word in _NAMED:
            return _NAMED[word]
    if found := _HEX.search(value):
        digits = found.group(1)
        if len(digits) == 3:
            digits = "".join(digit * 2 for digit in digits)
        return int(digits[:2], 16), int(digits[2:4], 16), int(digits[4:], 16)
    if found := _RGB.search(value):
        return int(found.group(1)), int(found.group(2)), int(found.group(3))
    return None


def is_see_through(value: str | None) -> bool:
    """Whether text of that colour can't be seen at all."""
    if not value:
        return False
    found = _RGB.search(value)
    return value.strip() == "transparent" or bool(found and found.group(4) in ("0", "0.0", "0%"))


def blends(text: Colour, behind: Colour) -> bool:
    """Whether the one can't be told from the other."""
    return sum(abs(a - b) for a, b in zip(text, behind, strict=True)) <= _ALIKE
