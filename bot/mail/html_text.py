"""An HTML body as lines: tables stay tables, what nobody sees is left out, quotes and signatures are marked."""

import re
from dataclasses import dataclass, replace
from typing import Final

from lxml import etree, html

from bot.mail.bounds import MOST_BODY_BYTES, MOST_CELLS, MOST_LINE_CHARS, MOST_LINES
from bot.mail.hidden import (
    BLACK,
    WHITE,
    Colour,
    blends,
    colour,
    is_hidden,
    is_see_through,
    sheet_rules,
    style_of,
)
from bot.mail.lines import Line, Mark, clean

_UNSEEN: Final = frozenset(
    [
        "del",
        "s",
        "strike",
        "head",
        "style",
        "script",
        "title",
        "meta",
        "link",
        "template",
        "object",
        "iframe",
        "svg",
        "math",
        "select",
        "option",
        "textarea",
        "noframes",
        "canvas",
        "audio",
        "video",
        "map",
    ]
)
"""Elements whose text is none of the page's words; what is struck out was taken back."""
_BLOCKS: Final = frozenset(
    [
        "address",
        "article",
        "aside",
        "blockquote",
        "body",
        "center",
        "dd",
        "details",
        "div",
        "dl",
        "dt",
        "fieldset",
        "figcaption",
        "figure",
        "footer",
        "form",
        "h1",
        "h2",
        "h3",
        "h4",
        "h5",
        "h6",
        "header",
        "hr",
        "html",
        "li",
        "main",
        "nav",
        "ol",
        "p",
        "pre",
        "section",
        "summary",
        "table",
        "tbody",
        "tfoot",
        "thead",
        "tr",
        "td",
        "th",
        "ul",
        "caption",
    ]
)
_APART: Final = frozenset(
    ["p", "h1", "h2", "h3", "h4", "h5", "h6", "table", "ul", "ol", "dl", "blockquote", "pre"]
)
"""Blocks with room above and below."""
_QUOTE_CLASS: Final = re.compile(
    r"(?:^|[\s_-])(?:[a-z]{0,20}_)?(?:quote|quoted|quotes?_container|extra|history|cite-prefix|reply-?intro|original-?message|"
    r"rplyfwdmsg|appendonsend|previous-?message|src_body_section)(?=$|[\s_-])|rplyfwd|appendonsend|(?:^|_)(?:attr)(?=$|\s)",
)
_SIGNATURE_CLASS: Final = re.compile(r"signature(?=$|[\s_-])|(?:^|[\s_-])sig(?:$|[\s_-])")
_BLANKS: Final = re.compile(r"[ \t\r\n\f]+")
MOST_CELL_CHARS: Final = 240


@dataclass(slots=True)
class _Here:
    """What holds at a place in the tree."""

    depth: int = 0
    mark: Mark = ""
    text: Colour = BLACK
    behind: Colour = WHITE
    see_through: bool = False
    pre: bool = False

    @property
    def is_blended(self) -> bool:
        return self.see_through or blends(self.text, self.behind)


@dataclass(frozen=True, slots=True)
class HtmlText:
    """The lines; ``has_table``: some came from a table of data; ``cut``: it was too long."""

    lines: tuple[Line, ...]
    has_table: bool
    cut: bool


def html_lines(body: str) -> HtmlText:
    """The lines that a reader of an HTML body sees. Whatever the markup, this ends and raises nothing."""
    cut = len(body) > MOST_BODY_BYTES
    parser = html.HTMLParser(
        encoding="utf-8", remove_comments=True, remove_pis=True, no_network=True, huge_tree=False
    )
    try:
        # A NUL or a lone surrogate would end the text there.
        data = clean(body[:MOST_BODY_BYTES]).encode("utf-8", "replace")
        root = html.document_fromstring(data, parser=parser)
    except (etree.ParserError, etree.XMLSyntaxError, ValueError, AssertionError):
        return HtmlText((), False, cut)
    rules: dict[str, dict[str, str]] = {}
    for sheet in list(root.iter("style"))[:20]:
        rules.update(sheet_rules(sheet.text or ""))
    writer = _Writer(rules)
    writer.walk(root, _Here())
    return HtmlText(tuple(writer.lines), writer.has_table, cut or writer.cut)


class _Writer:
    def __init__(self, rules: dict[str, dict[str, str]]) -> None:
        self.rules = rules
        self.lines: list[Line] = []
        self.current: list[str] = []
        self.has_table = self.cut = False
        self.seen = 0
        self._here = _Here()

    def walk(self, root: etree._Element, here: _Here, *, inside: bool = False) -> None:
        """Goes through the tree without calling itself: a page may be nested as deep as it likes.

        ``inside`` leaves out the element's own tag: what a table's cell holds.
        """
        waiting: list[tuple[str, etree._Element, _Here]] = []
        if inside:
            self._say(root.text or "", here)
            _put_children(waiting, root, here)
        else:
            waiting.append(("open", root, here))
        while waiting:
            step, element, now = waiting.pop()
            if step == "tail":
                self._say(element.tail or "", now)
                continue
            if step == "close":
                self._close(element, now)
                continue
            self.seen += 1
            if self.seen > MOST_CELLS or len(self.lines) > MOST_LINES:
                self.cut = True
                break
            if not isinstance(element.tag, str) or element.tag in _UNSEEN:
                continue
            inner = self._enter(element, now)
            if inner is None:
                continue
            if element.tag == "table" and not inside and self._is_data(element):
                self._table(element, inner)
                continue
            self._open(element, inner)
            waiting.append(("close", element, inner))
            _put_children(waiting, element, inner)
        self._break()

    def _enter(self, element: etree._Element, here: _Here) -> _Here | None:
        """What holds inside the element; ``None`` where nobody sees it."""
        style = style_of(element, self.rules)
        if is_hidden(element, style):
            return None
        tag = element.tag
        out = here
        text, behind = style.get("color"), style.get("background-color") or style.get("background")
        text = text or element.get("color") or (element.get("text") if tag == "body" else None)
        behind = behind or element.get("bgcolor")
        if text or behind:
            out = replace(
                out,
                text=colour(text) or out.text,
                behind=colour(behind)
                or (out.behind if not behind or "url" not in behind else (128, 128, 128)),
                see_through=is_see_through(text) if text else out.see_through,
            )
        if tag == "pre" or style.get("white-space", "").startswith("pre"):
            out = replace(out, pre=True)
        if tag == "blockquote" and not _is_indent(element, style):
            out = replace(out, depth=out.depth + 1)
        marks = f"{element.get('class') or ''} {element.get('id') or ''}".lower().strip()
        if marks:
            if _QUOTE_CLASS.search(marks) and tag in ("div", "span", "section", "blockquote", "table", "p"):
                out = replace(out, mark="history")
            elif _SIGNATURE_CLASS.search(marks) and out.mark != "history":
                out = replace(out, mark="signature")
        return out

    def _open(self, element: etree._Element, here: _Here) -> None:
        tag = element.tag
        if tag == "br":
            self._break(keep=True)
        elif tag in _BLOCKS:
            self._break()
            if tag in _APART:
                self._gap(here)
            if tag == "hr":
                self._here = here
                self.lines.append(Line("________________________________", here.depth, here.mark))
        self._here = here
        if tag == "li":
            self.current.append("- ")
        if tag in ("td", "th") and self.current:
            self.current.append(" ")
        self._say(element.text or "", here)

    def _close(self, element: etree._Element, here: _Here) -> None:
        tag = element.tag
        if tag in _BLOCKS:
            self._here = here
            self._break()
            if tag in _APART:
                self._gap(here)

    def _say(self, text: str, here: _Here) -> None:
        if not text or here.is_blended:
            return
        self._here = here
        if here.pre:
            first, *rest = text.replace("\r\n", "\n").split("\n")
            self.current.append(first)
            for line in rest:
                self._break(keep=True)
                self.current.append(line)
            return
        text = _BLANKS.sub(" ", text)
        if text == " " and not self.current:
            return
        self.current.append(text)

    def _break(self, *, keep: bool = False) -> None:
        """Ends the line; an empty one is kept where a line break stands for it."""
        text = "".join(self.current)
        self.current = []
        if not self._here.pre:
            text = _BLANKS.sub(" ", text).strip()
        if text or keep:
            self.lines.append(Line(text[:MOST_LINE_CHARS], self._here.depth, self._here.mark))

    def _gap(self, here: _Here) -> None:
        if self.lines and self.lines[-1].text:
            self.lines.append(Line("", here.depth, here.mark))

    # Tables

    def _is_data(self, table: etree._Element) -> bool:
        """Whether a table holds data, not layout: at least two rows of at least two short cells, and no table within."""
        if (table.get("role") or "").lower() in ("presentation", "none"):
            return False
        rows = 0
        for number, row in enumerate(table.iter("tr")):
            if number >= 400:
                break
            cells = [cell for cell in row if cell.tag in ("td", "th")]
            if number < 40 and any(
                next(cell.iter("table"), None) is not None or next(cell.iter("blockquote"), None) is not None
                for cell in cells
            ):
                return False
            texts = [_text_within(cell) for cell in cells[:40]]
            if any(len(text) > MOST_CELL_CHARS for text in texts):
                return False
            rows += sum(bool(text) for text in texts) >= 2
        return rows >= 2 and bool(re.search(r"\d", _text_within(table, 20_000)))

    def _table(self, table: etree._Element, here: _Here) -> None:
        self.has_table = True
        self._break()
        self._gap(here)
        self._here = here
        over: dict[int, tuple[int, str]] = {}
        for row in table.iter("tr"):
            self.seen += 1
            if self.seen > MOST_CELLS or len(self.lines) > MOST_LINES:
                self.cut = True
                break
            row_here = self._enter(row, here)
            if row_here is None:
                continue
            cells, at = [], 0
            for cell in row:
                if cell.tag not in ("td", "th"):
                    continue
                self.seen += 1
                while at in over:
                    cells.append(_from_above(over, at))
                    at += 1
                inside = self._enter(cell, row_here)
                shown = self._cell_text(cell, inside) if inside is not None else ""
                down, across = _span(cell.get("rowspan")), _span(cell.get("colspan"))
                for n in range(across):
                    cells.append(shown if n == 0 else "")
                    if down > 1:
                        over[at] = (down - 1, shown if n == 0 else "")
                    at += 1
            while at in over:
                cells.append(_from_above(over, at))
                at += 1
            if any(cells):
                text = " | ".join(cells) if len(cells) > 1 else cells[0]
                self.lines.append(Line(text[:MOST_LINE_CHARS], here.depth, here.mark))
        self._gap(here)

    def _cell_text(self, cell: etree._Element, here: _Here) -> str:
        inner = _Writer(self.rules)
        inner._here = here
        inner.walk(cell, here, inside=True)
        self.seen += inner.seen
        return " ".join(line.text for line in inner.lines if line.text).replace("|", "/")


def _put_children(
    waiting: list[tuple[str, etree._Element, _Here]], element: etree._Element, here: _Here
) -> None:
    for child in reversed(element):
        waiting += [("tail", child, here), ("open", child, here)]


def _from_above(over: dict[int, tuple[int, str]], at: int) -> str:
    left, text = over[at]
    if left <= 1:
        del over[at]
    else:
        over[at] = (left - 1, text)
    return text


def _span(written: str | None) -> int:
    return (
        min(int(written), 40)
        if written and written.isascii() and written.isdigit() and int(written) > 0
        else 1
    )


def _text_within(element: etree._Element, most: int = MOST_CELL_CHARS + 1) -> str:
    out, size = [], 0
    for piece in element.itertext():
        out.append(piece)
        size += len(piece)
        if size > 4 * most:
            break
    return _BLANKS.sub(" ", "".join(out)).strip()[:most]


def _is_indent(element: etree._Element, style: dict[str, str]) -> bool:
    """A blockquote that only indents, as editors make it: no border, and not said to cite."""
    if element.get("type") == "cite" or element.get("cite") or (element.get("class") or ""):
        return False
    border = style.get("border") or style.get("border-left") or ""
    return border.startswith(("none", "0", "medium none")) or (
        style.get("border-width", "").startswith("0") and "border-left" not in style
    )
