"""The compiled lexicon says what its sources say, and is left alone where it does not."""

import pytest

from bot.reading import compiled, intents, words
from bot.reading.build_lexicon import lines
from bot.reading.compiled import FILE, INTENTS, PHRASES, TABLES, parsed, part, table
from bot.reading.phrasing import LANGUAGES, intent_phrases_of, phrases_of


def test_the_compiled_file_is_what_the_sources_give_now() -> None:
    assert FILE.read_text(encoding="utf-8") == lines(), (
        "a lexicon file or a late pattern was edited and lexicon/compiled.json was not made again: "
        "run `python -m bot.reading.build_lexicon` and commit the file (until then reading starts slower)"
    )


def test_loaded_phrases_are_those_of_the_sources() -> None:
    assert words.lexicon().phrases == phrases_of({language: parsed(language) for language in LANGUAGES})
    assert intents._phrases() == intent_phrases_of(parsed("intents"))


@pytest.mark.parametrize("name", TABLES)
def test_loaded_tables_are_those_of_the_sources(name: str) -> None:
    assert table(name) == parsed(name)


def test_a_part_made_from_other_sources_is_not_used(monkeypatch: pytest.MonkeyPatch) -> None:
    known = words.lexicon.__wrapped__()
    monkeypatch.setattr(compiled, "checksum", lambda source: 1)

    assert part("phrases", PHRASES) is None
    assert part("intents", INTENTS) is None
    assert words.lexicon.__wrapped__() == known
    assert all(table(name) == parsed(name) for name in TABLES)
