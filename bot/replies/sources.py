"""Where a value comes from, in words: the kind of source in lists, the documents themselves where the working is shown.

The tables give provenance with short keys ("RT"), file names and a few stock phrases. None of these is for a customer.
"""

import re
from collections.abc import Mapping
from functools import lru_cache
from typing import Final

from bot.replies.clean import one_line
from bot.replies.heard import Language
from bot.replies.words import Words, words_in
from engine.tables import Tables, load_tables
from engine.tables.provenance import in_words

LIST_CHARACTERS: Final = 100
WORKING_CHARACTERS: Final = 1200
_OPENINGS: Final = ("assumed: ", "stated: ", "base: ", "catalogue, ")
_IN_BRACKETS: Final = re.compile(r" ?\([a-z0-9_]{1,40}\.csv: [A-Za-z0-9_]{1,60}(?:\)|; )")
_FILE: Final = re.compile(r"\b([a-z0-9_]{1,40})\.(?:csv|toml)\b")
_KEY: Final = re.compile(r"[A-Z][A-Z0-9]{1,5}(?:-[A-Za-z0-9]{1,4})?")
_MEMORY: Final = re.compile(r"(?<!from )(?<!our )\bmemory\b")
_OTHERS_FROM_MEMORY: Final = "; others memory"
_SLOT: Final = re.compile(r"\{[a-z]{1,20}\}")


def short_source(source: str, words: Words) -> str:
    """The kind of source, for lists: "5 published tables", "common practice, no source", "from memory"."""
    return _short_source(source, words.language)


@lru_cache(maxsize=4096)
def _short_source(source: str, language: Language) -> str:
    words = words_in(language)
    text = _without_files(source, words)
    if not text:
        return str(words.of("source_phrases", "our_tables"))
    for kind in ("memory", "common practice, no source"):
        if text.startswith(kind):
            return str(words.of("source_phrases", kind))
    if said := _translated(text, words):
        return said
    keys = {key for key in _KEY.findall(text) if key in _documents()}
    if keys:
        phrase = "one_published" if len(keys) == 1 else "many_published"
        return str(words.of("source_phrases", phrase)).format_map({"count": str(len(keys))})
    first = text.partition("; ")[0]
    return one_line(_translated(first, words) or _stock_phrases(first, words), LIST_CHARACTERS)


def names_documents(source: str) -> bool:
    """True where the source names a published document, and not only what the trade does or remembers."""
    return any(key in _documents() for key in _KEY.findall(source))


def sources_in_full(source: str, words: Words, tables: Tables | None = None) -> tuple[str, ...]:
    """The source with every document's name and year, for showing the working: several parts where it lists several documents.

    Args:
        source: as the engine's origin gives it.
        words: the language; names of documents stay as they are.
        tables: the tables whose documents the keys name; the program's own where not given.
    """
    text = _without_files(source, words)
    if not text:
        return (str(words.of("source_phrases", "our_tables")),)
    if said := _translated(text, words):
        return (said,)
    own = tables or load_tables()
    listed, _, rest = text.removeprefix("sources: ").partition("; ")
    parts = listed.split(", ")
    if text.startswith("sources: ") and all(_KEY.fullmatch(part) for part in parts):
        texts = [in_words(own, part) for part in parts] + ([in_words(own, rest)] if rest else [])
    else:
        texts = [in_words(own, text.removeprefix("sources: "))]
    return tuple(one_line(_stock_phrases(part, words), WORKING_CHARACTERS) for part in texts)


def table_row(reference: str, words: Words) -> str:
    """Which of our tables, and which row of it: "fixture watts, metal halide 250 W"; "" where it is no table of ours."""
    match = _FILE.match(reference)
    title = words.find("table_names", match.group(1)) if match else None
    if match is None or title is None:
        return ""
    row = reference[match.end() :].removeprefix(": ")
    said = " ".join(_row_word(word, words) for word in row.split())
    return f"{title}, {said}" if said else title


def _row_word(word: str, words: Words) -> str:
    bare = word.rstrip(",")
    families: Mapping[str, Mapping[str, str]] = words.table("families")
    if bare in families:
        found: str | None = str(families[bare]["one"])
    else:
        found = words.find("row_words", bare) or words.find("sources", bare) or words.find("controls", bare)
    return (found or one_line(bare.replace("_", " "))) + word[len(bare) :]


def _without_files(source: str, words: Words) -> str:
    """The source without what only a program needs: openings, keys of our tables' rows, names of files."""
    text = one_line(source, 4 * WORKING_CHARACTERS)
    for opening in _OPENINGS:
        text = text.removeprefix(opening)
    if _FILE.match(text):
        text = text.partition("; ")[2]
    text = _IN_BRACKETS.sub(lambda m: "" if m.group().endswith(")") else " (", text)
    if text.endswith(_OTHERS_FROM_MEMORY):
        # What is named stands for other columns of that row; ours are those that rest on memory.
        head, _, _ = text.partition(": ")
        text = f"{head}: from memory"
    return _FILE.sub(lambda m: words.find("table_names", m.group(1)) or m.group(1).replace("_", " "), text)


def _translated(text: str, words: Words) -> str | None:
    """The sentence as this language says it: as it stands in the wording, or by a pattern there with places to fill."""
    if found := words.find("source_phrases", text):
        return found
    for pattern, said in _patterns(words):
        if match := pattern.fullmatch(text):
            filled = {name: _stock_phrases(value, words) for name, value in match.groupdict().items()}
            return one_line(said.format_map(filled), WORKING_CHARACTERS)
    kind, colon, what = text.partition(": ")
    if colon and (rest := words.find("source_phrases", what)) is not None:
        return f"{words.find('source_phrases', kind) or kind}: {rest}"
    return None


def _patterns(words: Words) -> tuple[tuple[re.Pattern[str], str], ...]:
    return _compiled(tuple(words.table("source_patterns").items()))


@lru_cache(maxsize=8)
def _compiled(rows: tuple[tuple[str, str], ...]) -> tuple[tuple[re.Pattern[str], str], ...]:
    """A frame such as "{a} average rate" as a pattern; its places hold at most 120 characters, the last at most 400."""
    out = []
    for frame, said in rows:
        parts = _SLOT.split(frame)
        names = [slot[1:-1] for slot in _SLOT.findall(frame)]
        text = re.escape(parts[0])
        for name, part in zip(names, parts[1:], strict=True):
            most = 400 if name == names[-1] else 120
            text += f"(?P<{name}>.{{1,{most}}}?)" + re.escape(part)
        out.append((re.compile(text), said))
    return tuple(out)


def _stock_phrases(text: str, words: Words) -> str:
    """The phrases without a publication in the reader's language; everything else stays."""
    text = _MEMORY.sub("from memory", text)
    for phrase, said in words.table("stock_phrases").items():
        text = text.replace(phrase, said)
    return text


@lru_cache(maxsize=1)
def _documents() -> frozenset[str]:
    return frozenset(row.key for row in load_tables().sources)
