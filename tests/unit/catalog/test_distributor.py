"""The distributor's file is read as strictly as the sheets."""

from pathlib import Path

import pytest

from catalog_demo import DISTRIBUTOR
from engine.catalog import distributor
from engine.catalog.distributor import load_distributor
from engine.catalog.fault import CatalogueFault

SOUND = DISTRIBUTOR.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (SOUND.replace('currency = "USD"', 'currency = "dollars"'), "currency: found 'dollars'; allowed is three capital letters"),
        (SOUND.replace("quote_valid_days = 30", "quote_valid_days = 0"), "quote_valid_days: found '0'"),
        (SOUND.replace("quote_valid_days = 30", ""), "quote_valid_days: found nothing"),
        (SOUND + '\nmotto = "light"\n', "motto: found 'light'; allowed is a name that is known"),
        (SOUND.replace('key = "harbor_road"', 'key = "Harbor Road"'), "branches.0.key: found 'Harbor Road'"),
        (SOUND.replace("@example.com", ""), "email: found 'quotes'"),
        ("name = ", "not TOML"),
    ],
)  # fmt: skip
def test_a_broken_file_is_refused_with_words_that_help(tmp_path: Path, text: str, words: str) -> None:
    assert text != SOUND
    path = tmp_path / "distributor.toml"
    path.write_text(text, encoding="utf-8")

    with pytest.raises(CatalogueFault) as caught:
        load_distributor(path)

    assert words in str(caught.value)
    assert str(caught.value).startswith("distributor.toml: found") or "distributor.toml, column" in str(
        caught.value
    )


def test_a_file_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(CatalogueFault, match="no readable file"):
        load_distributor(tmp_path / "distributor.toml")


def test_bytes_of_another_encoding_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "distributor.toml"
    path.write_bytes(SOUND.replace("Oxbow", "Öxbow").encode("latin-1"))

    with pytest.raises(CatalogueFault, match="not UTF-8"):
        load_distributor(path)


def test_a_file_too_big_to_be_meant_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(distributor, "MAX_BYTES", 100)

    with pytest.raises(CatalogueFault, match="too many bytes"):
        load_distributor(DISTRIBUTOR)
