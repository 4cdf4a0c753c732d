"""Tariff files: what is read, and the one line said of each broken one (``broken_tariffs/``)."""

import json
from decimal import Decimal
from pathlib import Path

import pytest

from engine.money.tariff import TariffError, read_tariff, sample_tariffs, slug
from engine.written_file import MAX_BYTES

BROKEN = Path(__file__).parent / "broken_tariffs"
EXPECTED = json.loads((BROKEN / "expected.json").read_text(encoding="utf-8"))


@pytest.mark.parametrize("name", EXPECTED)
def test_a_broken_tariff_is_refused_with_one_line_that_says_file_key_and_what_is_allowed(name: str) -> None:
    file = f"{name}.toml"

    with pytest.raises(TariffError) as caught:
        read_tariff(file, (BROKEN / file).read_bytes())

    said = str(caught.value)
    assert said.startswith(f"{file}, ")
    assert EXPECTED[name] in said
    assert "\n" not in said
    assert "allowed:" in said
    assert caught.value.key in said


def test_every_broken_file_has_its_expectation() -> None:
    assert {path.stem for path in BROKEN.glob("*.toml")} == set(EXPECTED)


def test_a_file_that_is_too_big_is_not_read() -> None:
    with pytest.raises(TariffError, match="at most 100000 bytes"):
        read_tariff("big.toml", b"#" * (MAX_BYTES + 1))


def test_deep_nesting_is_a_fault_and_not_a_crash() -> None:
    with pytest.raises(TariffError):
        read_tariff("deep.toml", b"name = " + b"[" * 20_000)


def test_bytes_that_are_no_text_are_a_fault() -> None:
    with pytest.raises(TariffError, match="UTF-8"):
        read_tariff("latin.toml", b'name = "caf\xe9"')


def test_the_sample_tariffs_are_valid_and_their_utilities_invented() -> None:
    samples = sample_tariffs()

    assert set(samples) == {"flat", "blocks", "time_of_use"}
    assert all("(invented)" in tariff.utility for tariff in samples.values())


def test_rates_are_exact_decimals() -> None:
    assert sample_tariffs()["flat"].seasons[0].energy[0].usd_per_kwh == Decimal("0.112")


def test_the_rest_of_the_week_is_what_no_other_period_names() -> None:
    summer = sample_tariffs()["time_of_use"].seasons[0]
    named = {hour for period in summer.energy[:2] for hour in period.hours["weekday"]}

    assert summer.energy[2].hours["weekday"] == frozenset(range(24)) - named
    assert summer.energy[2].hours["weekend"] == frozenset(range(24))


def test_hours_may_run_over_midnight() -> None:
    text = b"""
name = "N"
utility = "U (invented)"
source = "invented"
[[season]]
name = "all"
months = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12]
[[season.energy]]
name = "night"
hours = [[22, 6]]
usd_per_kwh = 0.07
[[season.energy]]
name = "day"
usd_per_kwh = 0.14
"""
    night, day = read_tariff("n.toml", text).seasons[0].energy

    assert night.hours["weekday"] == frozenset({22, 23, 0, 1, 2, 3, 4, 5})
    assert day.hours["weekend"] == frozenset(range(6, 22))


def test_names_become_parts_of_formulas() -> None:
    assert slug("On-peak (summer) #2") == "on_peak_summer_2"
