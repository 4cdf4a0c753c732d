"""Terms and tariffs on the command line and in the server."""

from collections.abc import Callable
from pathlib import Path

import pytest

from bot.app import build_app
from bot.opening import DEMO_CATALOGUE
from bot.settings import Settings
from engine.errors import ConfigurationError
from tests.system.conftest import Outcome

Run = Callable[..., Outcome]
TARIFFS = Path(__file__).parents[2] / "engine" / "money" / "tariffs"
TEXT = "36 2x4 troffers 4 lamp t8, office, m-f 7am to 6pm"


def test_ask_takes_terms_and_tariff(wattclerk: Run) -> None:
    files = (
        "--terms",
        str(DEMO_CATALOGUE / "terms_example.toml"),
        "--tariff",
        str(TARIFFS / "time_of_use.toml"),
    )
    outcome = wattclerk("ask", *files, TEXT)

    assert outcome.status == 0
    for expected in ("sales tax", "freight", "contingency", "rebate", "on demand"):
        assert expected in outcome.out


@pytest.mark.parametrize("command", ["ask", "quote"])
@pytest.mark.parametrize("option", ["--terms", "--tariff"])
def test_a_file_with_a_fault_is_one_line(wattclerk: Run, tmp_path: Path, command: str, option: str) -> None:
    (tmp_path / "mine.toml").write_text("nonsense = 1\n")
    outcome = wattclerk(command, option, "mine.toml", TEXT)

    assert outcome.status == 1
    assert outcome.out == ""
    assert len(outcome.error_lines) == 1
    assert "mine.toml" in outcome.err
    assert "allowed:" in outcome.err


def test_a_tariff_is_checked_and_told(wattclerk: Run, wattclerk_afresh: Run, tmp_path: Path) -> None:
    outcome = wattclerk_afresh("tariff", str(TARIFFS / "blocks.toml"))
    assert outcome.status == 0
    assert "from 1,000 to 10,000 kWh a month: $0.117 a kWh" in outcome.out

    text = (TARIFFS / "blocks.toml").read_text()
    (tmp_path / "mine.toml").write_text(text.replace("0.117", "-0.117"))
    outcome = wattclerk("tariff", "mine.toml")
    assert outcome.status == 1
    assert outcome.error_lines == [
        "wattclerk: mine.toml, season 1, block 2, usd_per_kwh: found '-0.117', allowed: at least 0"
    ]


def test_the_server_does_not_start_on_terms_with_a_fault(tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_text("lift = 'sometimes'\n")

    with pytest.raises(ConfigurationError, match=r"mine\.toml, lift"):
        build_app(Settings(data_folder=tmp_path, terms=tmp_path / "mine.toml"))
    assert not (tmp_path / "wattclerk.db").exists()
