"""The words of the staff's and customers' pages: the same keys and values to fill in, in both languages; none is missing."""

import re
import string
import tomllib
from importlib.resources import files
from pathlib import Path

from bot.staff.passwords import hashed
from bot.staff.roles import ROLES
from bot.staff.words import LANGUAGES, page_words

FOLDER = Path(str(files("bot.page").joinpath("staff")))


def slots(text: str) -> set[str]:
    return {name for _, name, _, _ in string.Formatter().parse(text) if name}


def test_both_languages_say_the_same_things() -> None:
    english, spanish = page_words("en"), page_words("es")

    assert english.keys() == spanish.keys()
    assert {k: slots(v) for k, v in english.items()} == {k: slots(v) for k, v in spanish.items()}
    assert all(text.strip() for words in (english, spanish) for text in words.values())


def test_every_key_that_is_used_has_its_words_and_every_word_is_used() -> None:
    known = page_words("en").keys()
    sources = [path.read_text("utf-8") for path in FOLDER.glob("*.j2")]
    sources += [path.read_text("utf-8") for path in Path(str(files("bot.staff").joinpath("."))).glob("*.py")]
    whole = "\n".join(sources)
    said = set(re.findall(r"""\bt\(\s?['"]([a-z_0-9]+)['"][,)]""", whole))
    heads = tuple(re.findall(r"""['"]([a-z_]+_)['"] ~""", whole))
    quoted = set(re.findall(r"""['"]([a-z_0-9]{3,40})['"]""", whole)) | {f"error_{status}" for status in (401, 403, 404, 429, 500, 503)}  # fmt: skip

    assert said <= known
    assert all(any(key.startswith(head) for key in known) for head in heads)
    assert {key for key in known - said - quoted if not key.startswith(heads)} == set()


def test_roles_and_acts_have_their_words() -> None:
    whole = "\n".join(path.read_text("utf-8") for path in Path(str(files("bot").joinpath("."))).rglob("*.py"))
    acts = set(
        re.findall(
            r"""note\((?:session\.connection, |s\.connection, )?(?:BY|by|name|person\.name), "([a-z_]+)\"""",
            whole,
        )
    )

    assert len(acts) >= 10
    for language in LANGUAGES:
        words = page_words(language)
        assert all(f"role_{role}" in words and f"role_hint_{role}" in words for role in ROLES)
        assert all(f"act_{act}" in words for act in acts)


def test_the_wording_files_are_plain_tables() -> None:
    for language in LANGUAGES:
        text = files("bot.staff").joinpath(f"wording/{language}.toml").read_text("utf-8")
        assert all(isinstance(value, str) for value in tomllib.loads(text).values())


def test_a_hash_names_its_parameters() -> None:
    # RFC 9106, section 4, second recommended option: Argon2id, 3 passes, 64 MiB, 4 lanes.
    assert hashed("a few plain words", "maria").startswith("$argon2id$v=19$m=65536,t=3,p=4$")
