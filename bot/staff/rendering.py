"""Turns a page's material into HTML. Every text is escaped by the templates; nothing of a stranger is ever markup."""

from collections.abc import Mapping
from datetime import datetime
from functools import lru_cache
from importlib.resources import files
from pathlib import Path
from typing import Any, Final
from xml.etree import ElementTree

from aiohttp import web
from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from bot.channels.guards import FORMS_POLICY
from bot.replies.clean import one_line
from bot.replies.heard import Language
from bot.staff.words import language_of, page_words

_SVG: Final = "{http://www.w3.org/2000/svg}"
_SHAPES: Final = frozenset(
    _SVG + name
    for name in (
        "svg",
        "title",
        "desc",
        "defs",
        "pattern",
        "g",
        "rect",
        "line",
        "path",
        "circle",
        "text",
        "tspan",
    )
)
_LOCAL_URL: Final = "url(#"


def page(
    request: web.Request,
    template: str,
    *,
    status: int = 200,
    language: Language | None = None,
    **values: Any,
) -> web.Response:
    """A page of ours in the browser's language (or the one that is given)."""
    spoken = language or language_of(request)
    words = page_words(spoken)
    text = _environment().get_template(template).render(t=_Say(words), lang=spoken, **values)
    return web.Response(
        text=text,
        status=status,
        content_type="text/html",
        headers={
            "Content-Security-Policy": FORMS_POLICY,
            # With no referrer at all browsers send our own forms with the origin "null".
            "Referrer-Policy": "same-origin",
            "Cache-Control": "no-store",
            "Content-Language": spoken,
            "Vary": "Accept-Language, Cookie",
        },
    )


def words_of(request: web.Request) -> Mapping[str, str]:
    """The pages' words in the browser's language."""
    return page_words(language_of(request))


class _Say:
    """``t(...)`` in a template; a key that is not there is an error."""

    def __init__(self, words: Any) -> None:
        self._words = words

    def __call__(self, key: str, **values: object) -> str:
        frame: str = self._words[key]
        return frame.format_map(values)


@lru_cache(maxsize=1)
def _environment() -> Environment:
    folder = Path(str(files("bot.page").joinpath("staff")))
    environment = Environment(
        loader=FileSystemLoader(folder),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
    environment.filters |= {"moment": _moment, "short": one_line, "picture": safe_picture}
    return environment


def _moment(at: str) -> Markup:
    """A time as the page's script turns it into the reader's own."""
    shown = datetime.fromisoformat(at).strftime("%Y-%m-%d %H:%M UTC")
    return Markup('<time datetime="{}">{}</time>').format(at, shown)


def safe_picture(svg: str) -> Markup:
    """A picture that we drew, if it is nothing but shapes and words; else nothing."""
    if "<!" in svg:
        return Markup()
    try:
        root = ElementTree.fromstring(svg)  # noqa: S314  no document type, so no entities
    except ElementTree.ParseError:
        return Markup()
    for node in root.iter():
        if node.tag not in _SHAPES:
            return Markup()
        for name, value in node.attrib.items():
            small = name.lower()
            if small.startswith("on") or "href" in small or small == "style":
                return Markup()
            if "url(" in value and not value.startswith(_LOCAL_URL):
                return Markup()
    return Markup(svg)  # noqa: S704  looked through, node by node
